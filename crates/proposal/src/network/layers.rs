//! The arithmetic of one network: it halves its picture four times and comes back up, keeping at each
//! size what it saw on the way down.

use std::collections::HashMap;

use candle_core::{DType, Device, Error, Result, Tensor, safetensors::load_buffer};

use super::Maps;
use crate::picture::Picture;

/// A convolution over three by three pixels, or over one, with its offsets.
#[derive(Debug)]
struct Convolution {
    kernel: Tensor,
    offset: Tensor,
    padding: usize,
}

impl Convolution {
    fn read(weights: &HashMap<String, Tensor>, name: &str) -> Result<Self> {
        let kernel = tensor(weights, &format!("{name}.weight"))?;
        let offset = tensor(weights, &format!("{name}.bias"))?;
        let (outputs, _, height, _) = kernel.dims4()?;
        Ok(Self {
            offset: offset.reshape((1, outputs, 1, 1))?,
            padding: height / 2,
            kernel,
        })
    }

    fn of(&self, picture: &Tensor) -> Result<Tensor> {
        picture
            .conv2d(&self.kernel, self.padding, 1, 1, 1)?
            .broadcast_add(&self.offset)
    }
}

fn tensor(weights: &HashMap<String, Tensor>, name: &str) -> Result<Tensor> {
    weights
        .get(name)
        .ok_or_else(|| Error::Msg(format!("the weights have no {name}")))?
        .to_dtype(DType::F32)
}

/// Two convolutions after each other, each cut off below zero.
#[derive(Debug)]
struct Pair {
    one: Convolution,
    two: Convolution,
}

impl Pair {
    fn read(weights: &HashMap<String, Tensor>, name: &str) -> Result<Self> {
        Ok(Self {
            one: Convolution::read(weights, &format!("{name}.one"))?,
            two: Convolution::read(weights, &format!("{name}.two"))?,
        })
    }

    fn of(&self, picture: &Tensor) -> Result<Tensor> {
        self.two.of(&self.one.of(picture)?.relu()?)?.relu()
    }
}

/// The score of each point's absence, from the mean over the smallest picture.
#[derive(Debug)]
struct Absence {
    weight: Tensor,
    offset: Tensor,
}

/// The layers of one network.
#[derive(Debug)]
pub(super) struct Layers {
    down: Vec<Pair>,
    up: Vec<Pair>,
    out: Convolution,
    absence: Option<Absence>,
}

impl Layers {
    /// Reads the weights of one network from a file in the safetensors format.
    pub(super) fn read(file: &[u8]) -> Result<Self> {
        let weights = load_buffer(file, &Device::Cpu)?;
        let pairs = |way: &str| -> Result<Vec<Pair>> {
            (0..)
                .map(|index| format!("{way}.{index}"))
                .take_while(|name| weights.contains_key(&format!("{name}.one.weight")))
                .map(|name| Pair::read(&weights, &name))
                .collect()
        };
        let absence = if weights.contains_key("absent.weight") {
            Some(Absence {
                weight: tensor(&weights, "absent.weight")?,
                offset: tensor(&weights, "absent.bias")?,
            })
        } else {
            None
        };
        Ok(Self {
            down: pairs("down")?,
            up: pairs("up")?,
            out: Convolution::read(&weights, "out")?,
            absence,
        })
    }

    pub(super) fn pass(&self, picture: &Picture) -> Result<Maps> {
        let (width, height) = (picture.width, picture.height);
        let mut here = Tensor::from_slice(
            &picture.samples,
            (1, Picture::CHANNELS, height, width),
            &Device::Cpu,
        )?;
        let mut seen = Vec::with_capacity(self.down.len());
        for (level, pair) in self.down.iter().enumerate() {
            if level > 0 {
                here = here.max_pool2d(2)?;
            }
            here = pair.of(&here)?;
            seen.push(here.clone());
        }
        let absent = match &self.absence {
            Some(absence) => absence
                .weight
                .matmul(&here.mean((2, 3))?.t()?)?
                .flatten_all()?
                .add(&absence.offset)?
                .to_vec1()?,
            None => Vec::new(),
        };
        seen.pop();
        for pair in &self.up {
            let skipped = seen
                .pop()
                .ok_or_else(|| Error::Msg("more ways up than down".to_owned()))?;
            let (_, _, height, width) = skipped.dims4()?;
            let larger = here.upsample_nearest2d(height, width)?;
            here = pair.of(&Tensor::cat(&[larger, skipped], 1)?)?;
        }
        let maps = self.out.of(&here)?.squeeze(0)?;
        let scores = maps.flatten_from(1)?.to_vec2()?;
        Ok(Maps {
            width,
            height,
            scores,
            absent,
        })
    }
}
