//! Calibration by hand: a ball or coin of known diameter, or two points a known distance apart.

use plumbray_anatomy::{Calibration, CalibrationBasis, FilmPoint, Proportions, View};
use plumbray_trace::CircleFit;

/// How a film is calibrated by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CalibrationMethod {
    /// A circle is fitted to the edge of a ball or coin.
    RoundObject,
    /// Two points are placed.
    KnownDistance,
}

impl CalibrationMethod {
    /// The method within a sentence.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::RoundObject => "by a ball or coin",
            Self::KnownDistance => "by a known distance",
        }
    }

    /// One sentence that asks for its gesture.
    #[must_use]
    pub const fn prompt(self) -> &'static str {
        match self {
            Self::RoundObject => "Sweep from the middle of the ball or coin to its edge.",
            Self::KnownDistance => "Sweep between two points whose distance you know.",
        }
    }

    /// The size that is proposed, in millimetres: the balls and rulers that departments use.
    #[must_use]
    pub const fn usual_size_mm(self) -> f64 {
        match self {
            Self::RoundObject => 25.0,
            Self::KnownDistance => 50.0,
        }
    }
}

/// What was fitted on the film.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FittedScale {
    /// The circle around a ball or coin.
    Circle(CircleFit),
    /// Two points, with the spread of each in pixels.
    Distance {
        /// The first point.
        from: FilmPoint,
        /// The second point.
        to: FilmPoint,
        /// Standard deviation of each in each direction, in pixels.
        sd_px: f64,
    },
}

/// A calibration by hand that is under way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Calibrating {
    /// The film.
    pub view: View,
    /// The method.
    pub method: CalibrationMethod,
    /// The true size of the object, in millimetres.
    pub known_size_mm: f64,
    /// What was fitted; nothing before the gesture.
    pub fitted: Option<FittedScale>,
}

impl Calibrating {
    /// A calibration that waits for its gesture.
    #[must_use]
    pub const fn begin(view: View, method: CalibrationMethod) -> Self {
        Self {
            view,
            method,
            known_size_mm: method.usual_size_mm(),
            fitted: None,
        }
    }

    /// The calibration that follows from what was fitted and the known size.
    ///
    /// Nothing before the gesture, or where the sizes give no possible spacing.
    #[must_use]
    pub fn calibration(&self, proportions: Proportions) -> Option<Calibration> {
        let (size_px, sd_px, basis) = match self.fitted? {
            FittedScale::Circle(circle) => (
                2.0 * circle.radius_px,
                2.0 * circle.radius_sd_px,
                CalibrationBasis::RoundObject {
                    diameter_mm: self.known_size_mm,
                },
            ),
            FittedScale::Distance { from, to, sd_px } => (
                (proportions.physical(to) - proportions.physical(from)).length(),
                std::f64::consts::SQRT_2 * sd_px,
                CalibrationBasis::KnownDistance {
                    distance_mm: self.known_size_mm,
                },
            ),
        };
        Calibration::by_known_size(basis, self.known_size_mm, size_px, sd_px, proportions).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_points_give_the_spacing_of_both_directions() {
        let calibrating = Calibrating {
            view: View::Ap,
            method: CalibrationMethod::KnownDistance,
            known_size_mm: 50.0,
            fitted: Some(FittedScale::Distance {
                from: FilmPoint::new(10.0, 10.0),
                to: FilmPoint::new(310.0, 210.0),
                sd_px: 1.0,
            }),
        };
        // With pixels twice as tall as wide the distance is √(300² + 400²) = 500 pixel widths.
        let tall = Proportions::new(2.0).expect("possible");
        let calibration = calibrating.calibration(tall).expect("fitted");
        let spacing = calibration.spacing;
        assert!(
            (spacing.between_columns_mm() - 0.1).abs() < 1e-12,
            "{spacing:?}"
        );
        assert!(
            (spacing.between_rows_mm() - 0.2).abs() < 1e-12,
            "{spacing:?}"
        );
        assert!(
            (calibration.relative_sd - 2.0_f64.sqrt() / 500.0).abs() < 1e-12,
            "spread"
        );
    }

    #[test]
    fn coincident_points_give_no_calibration() {
        let at = FilmPoint::new(10.0, 10.0);
        let fitted = Some(FittedScale::Distance {
            from: at,
            to: at,
            sd_px: 1.0,
        });
        let calibrating = Calibrating {
            fitted,
            ..Calibrating::begin(View::Ap, CalibrationMethod::KnownDistance)
        };
        assert_eq!(
            calibrating.calibration(Proportions::SQUARE),
            None,
            "no distance"
        );
    }
}
