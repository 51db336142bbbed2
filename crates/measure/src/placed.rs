//! What was placed on one film, checked once and put on the tape.

use plumbray_anatomy::{
    Cortices, FilmPoint, Landmark, LongBone, PhysicalPoint, PhysicalVector, PlacedPoint, View,
};

use crate::{
    derivative::{Coordinate, Scalar, Tape},
    foot::{Foot, TracedFilm},
    influence::Source,
    outcome::{Need, Outcome},
    plane::Point,
};

/// No film is a million pixels wide: a coordinate beyond it is an error of whoever wrote the tracing.
const LARGEST_COORDINATE_PX: f64 = 1e6;

/// Two points closer than this give no direction that a person could have meant, in pixel widths.
pub(crate) const SHORTEST_LINE: f64 = 5.0;

/// Why there is no number.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Gap {
    Needs(Vec<Need>),
    Refused(String),
    Degenerate {
        landmarks: Vec<String>,
        reason: String,
    },
}

impl From<Gap> for Outcome {
    fn from(gap: Gap) -> Self {
        match gap {
            Gap::Needs(needs) => Self::Needs(needs),
            Gap::Refused(reason) => Self::Refused { reason },
            Gap::Degenerate { landmarks, reason } => Self::Degenerate { landmarks, reason },
        }
    }
}

impl Gap {
    /// The gap left by points that were placed so that they have no answer.
    pub(crate) fn degenerate(
        landmarks: impl IntoIterator<Item = Landmark>,
        reason: impl Into<String>,
    ) -> Self {
        Self::Degenerate {
            landmarks: landmarks.into_iter().map(Landmark::name).collect(),
            reason: reason.into(),
        }
    }

    /// One gap for two: what is missing adds up; otherwise a refusal stands before a broken tracing
    /// and that before something missing, because nothing that the reader adds would mend it.
    fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::Needs(mut needs), Self::Needs(more)) => {
                for need in more {
                    if !needs.contains(&need) {
                        needs.push(need);
                    }
                }
                Self::Needs(needs)
            }
            (refused @ Self::Refused(_), _) | (_, refused @ Self::Refused(_)) => refused,
            (broken @ Self::Degenerate { .. }, _) | (_, broken @ Self::Degenerate { .. }) => broken,
        }
    }
}

/// Both results, or all that stands in the way of both.
pub(crate) fn both<A, B>(first: Result<A, Gap>, second: Result<B, Gap>) -> Result<(A, B), Gap> {
    match (first, second) {
        (Ok(first), Ok(second)) => Ok((first, second)),
        (Err(gap), Ok(_)) | (Ok(_), Err(gap)) => Err(gap),
        (Err(one), Err(other)) => Err(one.and(other)),
    }
}

/// The film of one view, with a tape that its points are put on as they are used.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PlacedFilm<'a, 't> {
    pub(crate) film: TracedFilm<'a>,
    pub(crate) view: View,
    tape: &'t Tape,
}

impl<'a, 't> PlacedFilm<'a, 't> {
    /// The film of this view, where there is one.
    pub(crate) fn of(foot: &Foot<'a>, view: View, tape: &'t Tape) -> Result<Self, Gap> {
        foot.film(view)
            .map(|film| Self { film, view, tape })
            .ok_or_else(|| Gap::Needs(vec![Need::Film(view)]))
    }

    /// A number that nothing was placed for.
    pub(crate) fn constant(&self, value: f64) -> Scalar<'t> {
        self.tape.constant(value)
    }

    /// Whether a landmark was placed.
    pub(crate) fn has(&self, landmark: Landmark) -> bool {
        self.film.tracing.points.contains_key(&landmark)
    }

    /// A landmark on the tape.
    pub(crate) fn point(&self, landmark: Landmark) -> Result<Point<'t>, Gap> {
        let placed = self.checked(landmark)?;
        Ok(self.on_tape(
            Source::Landmark(self.view, landmark),
            placed.at,
            placed.sd_px,
        ))
    }

    /// Where a landmark is, beside the tape: for decisions that change no number smoothly.
    pub(crate) fn place(&self, landmark: Landmark) -> Result<PhysicalPoint, Gap> {
        self.checked(landmark)
            .map(|placed| self.film.proportions.physical(placed.at))
    }

    fn checked(&self, landmark: Landmark) -> Result<PlacedPoint, Gap> {
        let placed = self
            .film
            .tracing
            .points
            .get(&landmark)
            .copied()
            .ok_or_else(|| Gap::Needs(vec![Need::Landmark(self.view, landmark)]))?;
        match fault(placed.at, placed.sd_px) {
            None => Ok(placed),
            Some(reason) => Err(Gap::degenerate([landmark], reason)),
        }
    }

    /// A bone's cortices, each vertex of them checked.
    pub(crate) fn cortices(&self, bone: LongBone) -> Result<&'a Cortices, Gap> {
        let cortices = self
            .film
            .tracing
            .cortices
            .get(&bone)
            .ok_or_else(|| Gap::Needs(vec![Need::Shaft(self.view, bone)]))?;
        let fault = cortices
            .one
            .iter()
            .chain(&cortices.two)
            .find_map(|vertex| fault(*vertex, cortices.sd_px));
        let own = spread_fault(cortices);
        match fault.or(own) {
            None => Ok(cortices),
            Some(reason) => Err(Gap::Degenerate {
                landmarks: vec![format!("Cortices of the {}", bone.name())],
                reason,
            }),
        }
    }

    /// A vertex of a bone's checked cortices on the tape, at this share of the bone's length; `cortex` is 0 or
    /// 1. It lies off by itself and, with all others of its cortex, together.
    pub(crate) fn vertex(
        &self,
        bone: LongBone,
        cortices: &Cortices,
        cortex: usize,
        vertex: usize,
        share: f64,
    ) -> Point<'t> {
        let (view, together_px) = (self.view, cortices.together_sd_px);
        let points = [&cortices.one, &cortices.two][cortex];
        let own = Source::CortexVertex {
            view,
            bone,
            cortex,
            vertex,
        };
        let own_px = (cortices.sd_px_at(share).powi(2) - together_px.powi(2)).sqrt();
        let at = self.on_tape(own, points[vertex], own_px);
        if together_px == 0.0 {
            return at;
        }
        let shift = Source::Cortex { view, bone, cortex };
        let shift = self.tape.input(shift, Coordinate::X, 0.0, together_px);
        let across = self.across(points);
        Point {
            x: at.x + shift * across.x,
            y: at.y + shift * across.y,
        }
    }

    /// The unit vector square to the line from the first to the last vertex of a cortex; nothing where both
    /// coincide.
    fn across(&self, points: &[FilmPoint]) -> PhysicalVector {
        let ends = points.first().zip(points.last());
        let chord = ends.map(|(first, last)| {
            let [first, last] = [first, last].map(|at| self.film.proportions.physical(*at));
            last - first
        });
        match chord {
            Some(chord) if chord.length() > 0.0 => {
                PhysicalVector::new(-chord.y, chord.x) * (1.0 / chord.length())
            }
            _ => PhysicalVector::new(0.0, 0.0),
        }
    }

    fn on_tape(&self, source: Source, at: FilmPoint, sd_px: f64) -> Point<'t> {
        let x = self.tape.input(source, Coordinate::X, at.x_px, sd_px);
        let y = self.tape.input(source, Coordinate::Y, at.y_px, sd_px);
        Point {
            x,
            y: y * self.film.proportions.height_over_width(),
        }
    }

    /// Millimetres in one pixel width, on the tape with the spread of the calibration.
    pub(crate) fn mm_per_pixel_width(&self) -> Result<Scalar<'t>, Gap> {
        let calibration = self
            .film
            .calibration
            .ok_or_else(|| Gap::Needs(vec![Need::Calibration(self.view)]))?;
        let possible = calibration.relative_sd.is_finite() && calibration.relative_sd >= 0.0;
        if !possible {
            return Err(Gap::Degenerate {
                landmarks: vec!["Calibration".to_owned()],
                reason: "its spread is not a number from 0 upward; calibrate the film again"
                    .to_owned(),
            });
        }
        let scale = self.tape.input(
            Source::Calibration(self.view),
            Coordinate::X,
            1.0,
            calibration.relative_sd,
        );
        Ok(scale * calibration.mm_per_pixel_width())
    }

    /// The name of the film's calibration, where it has one.
    pub(crate) fn calibration_name(&self) -> Option<String> {
        self.film
            .calibration
            .map(|calibration| calibration.basis.name())
    }

    /// Where a physical point lies on the film.
    pub(crate) fn on_film(&self, point: PhysicalPoint) -> FilmPoint {
        self.film.proportions.film(point)
    }

    /// An error that names both points where they lie closer than [`SHORTEST_LINE`].
    pub(crate) fn far_enough_apart(
        &self,
        first: (Landmark, PhysicalPoint),
        second: (Landmark, PhysicalPoint),
    ) -> Result<(), Gap> {
        let distance = (second.1 - first.1).length();
        if distance >= SHORTEST_LINE {
            return Ok(());
        }
        Err(Gap::degenerate(
            [first.0, second.0],
            if distance > 0.0 {
                format!(
                    "only {distance:.1} pixels apart, too close to give a direction; move them apart"
                )
            } else {
                "both lie on the same spot; move them apart".to_owned()
            },
        ))
    }
}

fn spread_fault(cortices: &Cortices) -> Option<String> {
    let (whole, together) = (cortices.sd_px, cortices.together_sd_px);
    if !(0.0..=whole).contains(&together) {
        return Some(format!(
            "a spread of {together} pixels together is not possible where the whole is {whole}; sweep the shaft again"
        ));
    }
    let proximal = cortices.proximal_sd_px?;
    (!(together..=LARGEST_COORDINATE_PX).contains(&proximal)).then(|| {
        format!(
            "a spread of {proximal} pixels of the proximal points is not possible where that of all together is {together}; sweep the shaft again"
        )
    })
}

fn fault(at: FilmPoint, sd_px: f64) -> Option<String> {
    let on_a_film = |coordinate: f64| coordinate.abs() <= LARGEST_COORDINATE_PX;
    if !at.is_finite() {
        Some("a coordinate is not a number; place it again".to_owned())
    } else if !on_a_film(at.x_px) || !on_a_film(at.y_px) {
        Some(format!(
            "({}, {}) lies far outside any film; place it again",
            at.x_px, at.y_px
        ))
    } else if !(0.0..=LARGEST_COORDINATE_PX).contains(&sd_px) {
        Some(format!(
            "a spread of {sd_px} pixels is not possible; place it again"
        ))
    } else {
        None
    }
}
