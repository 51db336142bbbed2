//! The three networks that look at a film: where a foot is, and where its bones are.
//!
//! `recipe/README.md` says from what they were learned, and how.

mod layers;

use std::sync::OnceLock;

use crate::{picture::Picture, proposal::ProposalError};
use layers::Layers;

/// What a network makes of a picture: one map for each thing that it knows, row by row, as scores.
#[derive(Clone, Debug)]
pub(crate) struct Maps {
    pub(crate) width: usize,
    pub(crate) height: usize,
    /// One map after the other, each `width * height` scores.
    pub(crate) scores: Vec<Vec<f32>>,
    /// For each point that the network knows, the score of its absence.
    pub(crate) absent: Vec<f32>,
}

/// One network with its weights.
#[derive(Debug)]
pub(crate) struct Network {
    layers: Layers,
}

/// All three.
#[derive(Debug)]
pub(crate) struct Networks {
    /// Finds feet at any turn and size.
    pub(crate) whereabouts: Network,
    /// Finds the bones of a right foot from above, toes up.
    pub(crate) ap: Network,
    /// Finds the bones of a foot from the side, toes to the right.
    pub(crate) lateral: Network,
}

impl Networks {
    /// The networks that came with the program, read once.
    ///
    /// # Errors
    /// When the weights do not fit the program.
    pub(crate) fn of_this_program() -> Result<&'static Self, ProposalError> {
        static NETWORKS: OnceLock<Option<Networks>> = OnceLock::new();
        NETWORKS
            .get_or_init(|| {
                Some(Self {
                    whereabouts: Network::read(include_bytes!(
                        "../../../../assets/networks/where.safetensors"
                    ))?,
                    ap: Network::read(include_bytes!(
                        "../../../../assets/networks/ap.safetensors"
                    ))?,
                    lateral: Network::read(include_bytes!(
                        "../../../../assets/networks/lateral.safetensors"
                    ))?,
                })
            })
            .as_ref()
            .ok_or(ProposalError::BadWeights)
    }
}

impl Network {
    fn read(weights: &[u8]) -> Option<Self> {
        let layers = Layers::read(weights).ok()?;
        Some(Self { layers })
    }

    /// Looks at a picture, whose sides must be multiples of sixteen.
    ///
    /// # Errors
    /// When picture and weights do not fit each other.
    pub(crate) fn look(&self, picture: &Picture) -> Result<Maps, ProposalError> {
        self.layers
            .pass(picture)
            .map_err(|_shapes| ProposalError::BadWeights)
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashMap;

    use candle_core::{Device, Tensor, safetensors::load_buffer};

    use super::*;

    fn values(tensors: &HashMap<String, Tensor>, name: &str) -> Vec<f32> {
        tensors[name]
            .flatten_all()
            .and_then(|flat| flat.to_vec1())
            .expect("numbers")
    }

    /// The learning program wrote one picture with its own answer beside the weights.
    fn agrees_with_the_learning_program(network: &Network, check: &[u8]) {
        let check = load_buffer(check, &Device::Cpu).expect("a table of numbers");
        let picture = Picture {
            width: 96,
            height: 96,
            samples: values(&check, "picture"),
        };
        let maps = network.look(&picture).expect("a fitting picture");
        let every_third: Vec<f32> = maps
            .scores
            .iter()
            .flat_map(|map| {
                (0..96).step_by(3).flat_map(move |row| {
                    (0..96).step_by(3).map(move |column| map[row * 96 + column])
                })
            })
            .collect();
        let expected = values(&check, "maps");
        assert_eq!(every_third.len(), expected.len(), "as many maps");
        let scale = expected
            .iter()
            .fold(0.0_f32, |most, value| most.max(value.abs()));
        for (found, expected) in every_third.iter().zip(&expected) {
            // The weights were rounded to half precision after the answer was made.
            assert!(
                (found - expected).abs() < 0.01 * scale,
                "{found} in place of {expected}, of {scale}"
            );
        }
        if check.contains_key("absent") {
            let expected = values(&check, "absent");
            for (found, expected) in maps.absent.iter().zip(&expected) {
                assert!(
                    (found - expected).abs() < 0.2,
                    "{found} in place of {expected}"
                );
            }
        }
    }

    #[test]
    fn the_networks_answer_as_they_did_where_they_learned() {
        let networks = Networks::of_this_program().expect("weights that fit");
        agrees_with_the_learning_program(
            &networks.whereabouts,
            include_bytes!("../../tests/data/where-check.safetensors"),
        );
        agrees_with_the_learning_program(
            &networks.ap,
            include_bytes!("../../tests/data/ap-check.safetensors"),
        );
        agrees_with_the_learning_program(
            &networks.lateral,
            include_bytes!("../../tests/data/lateral-check.safetensors"),
        );
    }

    #[test]
    fn weights_that_are_cut_short_are_no_network() {
        assert!(Network::read(&[1, 2, 3]).is_none(), "three bytes");
    }
}
