//! What an attempt is held against.

use std::collections::BTreeMap;

use plumbray_anatomy::{
    Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, Tracing, View,
};
use plumbray_measure::Measurement;
use serde::{Deserialize, Serialize};

use super::{
    bounded::{MeasurementName, Text},
    error::Damage,
};

/// What an attempt at one foot is held against.
#[derive(Clone, Debug, PartialEq)]
pub struct Reference {
    /// The foot of the set that it belongs to.
    pub foot: String,
    /// Where it comes from.
    pub source: ReferenceSource,
    /// The measurements that it gives.
    pub measurements: Vec<Measurement>,
    /// Where everything lies.
    pub tracing: Tracing,
}

/// Where a reference comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReferenceSource {
    /// The films are simulated, and the reference is computed from the foot itself.
    ExactTruth,
    /// A named person traced the films.
    Supervisor {
        /// Who.
        name: String,
    },
}

impl ReferenceSource {
    /// The name within a sentence: "the exact truth of a simulated foot", "the tracing of A. Meyer".
    #[must_use]
    pub fn name(&self) -> String {
        match self {
            Self::ExactTruth => "the exact truth of a simulated foot".to_owned(),
            Self::Supervisor { name } => format!("the tracing of {name}"),
        }
    }
}

/// The most vertices of a cortex.
const MOST_VERTICES: usize = 5000;

/// Points may lie off the film, but not a thousand films away; in pixels.
const FARTHEST_PX: f64 = 1e6;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct ReferenceFields {
    pub(super) format_version: u32,
    foot: Text,
    source: SourceFields,
    measurements: Vec<MeasurementName>,
    ap: TracingFields,
    lateral: TracingFields,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
enum SourceFields {
    ExactTruth,
    Supervisor { name: Text },
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TracingFields {
    points: BTreeMap<Landmark, PointFields>,
    cortices: BTreeMap<LongBone, CortexFields>,
}

#[derive(Clone, Copy, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PointFields {
    x_px: f64,
    y_px: f64,
    sd_px: f64,
    origin: Origin,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CortexFields {
    one: Vec<(f64, f64)>,
    two: Vec<(f64, f64)>,
    sd_px: f64,
    together_sd_px: f64,
    proximal_sd_px: Option<f64>,
    origin: Origin,
}

impl ReferenceFields {
    pub(super) fn of(reference: &Reference, format_version: u32) -> Self {
        Self {
            format_version,
            foot: Text(reference.foot.clone()),
            source: match &reference.source {
                ReferenceSource::ExactTruth => SourceFields::ExactTruth,
                ReferenceSource::Supervisor { name } => SourceFields::Supervisor {
                    name: Text(name.clone()),
                },
            },
            measurements: reference
                .measurements
                .iter()
                .copied()
                .map(MeasurementName)
                .collect(),
            ap: TracingFields::from(&reference.tracing.ap),
            lateral: TracingFields::from(&reference.tracing.lateral),
        }
    }

    pub(super) fn into_reference(self) -> Result<Reference, Damage> {
        let source = match self.source {
            SourceFields::ExactTruth => ReferenceSource::ExactTruth,
            SourceFields::Supervisor { name } => ReferenceSource::Supervisor { name: name.0 },
        };
        let tracing = Tracing {
            ap: self.ap.checked(View::Ap)?,
            lateral: self.lateral.checked(View::Lateral)?,
        };
        Ok(Reference {
            foot: self.foot.0,
            source,
            measurements: self.measurements.into_iter().map(|name| name.0).collect(),
            tracing,
        })
    }
}

impl From<&FilmTracing> for TracingFields {
    fn from(tracing: &FilmTracing) -> Self {
        let pairs = |points: &[FilmPoint]| points.iter().map(|at| (at.x_px, at.y_px)).collect();
        Self {
            points: tracing
                .points
                .iter()
                .map(|(landmark, placed)| {
                    let fields = PointFields {
                        x_px: placed.at.x_px,
                        y_px: placed.at.y_px,
                        sd_px: placed.sd_px,
                        origin: placed.origin,
                    };
                    (*landmark, fields)
                })
                .collect(),
            cortices: tracing
                .cortices
                .iter()
                .map(|(bone, cortices)| {
                    let fields = CortexFields {
                        one: pairs(&cortices.one),
                        two: pairs(&cortices.two),
                        sd_px: cortices.sd_px,
                        together_sd_px: cortices.together_sd_px,
                        proximal_sd_px: cortices.proximal_sd_px,
                        origin: cortices.origin,
                    };
                    (*bone, fields)
                })
                .collect(),
        }
    }
}

impl TracingFields {
    fn checked(self, view: View) -> Result<FilmTracing, Damage> {
        let points = self
            .points
            .into_iter()
            .map(|(landmark, point)| {
                let at = FilmPoint::new(point.x_px, point.y_px);
                let possible = is_on_a_film(at) && is_spread(point.sd_px) && landmark.is_on(view);
                let placed = PlacedPoint {
                    at,
                    sd_px: point.sd_px,
                    origin: point.origin,
                };
                if possible {
                    Ok((landmark, placed))
                } else {
                    Err(impossible(&landmark.identifier(), view))
                }
            })
            .collect::<Result<_, Damage>>()?;
        let cortices = self
            .cortices
            .into_iter()
            .map(|(bone, fields)| {
                fields
                    .checked()
                    .map(|cortices| (bone, cortices))
                    .ok_or_else(|| impossible(bone.identifier(), view))
            })
            .collect::<Result<_, Damage>>()?;
        Ok(FilmTracing { points, cortices })
    }
}

impl CortexFields {
    fn checked(self) -> Option<Cortices> {
        let line = |pairs: Vec<(f64, f64)>| {
            let points: Vec<FilmPoint> = pairs
                .into_iter()
                .map(|(x, y)| FilmPoint::new(x, y))
                .collect();
            let possible =
                points.len() <= MOST_VERTICES && points.iter().copied().all(is_on_a_film);
            possible.then_some(points)
        };
        let together = self.together_sd_px;
        let proximal = self.proximal_sd_px;
        let spreads = is_spread(self.sd_px)
            && (0.0..=self.sd_px).contains(&together)
            && proximal.is_none_or(|sd| is_spread(sd) && sd >= together);
        let (one, two) = (line(self.one)?, line(self.two)?);
        spreads.then_some(Cortices {
            one,
            two,
            sd_px: self.sd_px,
            together_sd_px: together,
            proximal_sd_px: proximal,
            origin: self.origin,
        })
    }
}

fn is_on_a_film(at: FilmPoint) -> bool {
    let near = |px: f64| px.abs() <= FARTHEST_PX;
    near(at.x_px) && near(at.y_px)
}

fn is_spread(sd_px: f64) -> bool {
    (0.0..=FARTHEST_PX).contains(&sd_px)
}

fn impossible(what: &str, view: View) -> Damage {
    Damage::Contradiction {
        what: format!(
            "{what} cannot lie there on the {} film",
            view.name_in_sentence()
        ),
    }
}
