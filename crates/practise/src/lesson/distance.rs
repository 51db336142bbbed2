//! In what unit distances on a film are told.

use plumbray_anatomy::{Landmark, LongBone, Tracing, View};
use plumbray_trace::HAND_SPREAD_MM;

use crate::set::PracticeFoot;

/// The length of a first metatarsal that stands for one on a film without calibration, in mm: 65.4 ± 5.3 mm
/// (J Foot Ankle Surg 2005;44:184–189).
const USUAL_FIRST_METATARSAL_MM: f64 = 65.4;

/// The spread of a hand in per cent of a film's longer side, where nothing else is known: half a millimetre on the
/// picture of one foot cut close to 160 mm. Ours, as in tracing.
const SPREAD_PER_CENT_OF_FILM: f64 = 0.3;

/// In what unit distances on a film are told.
#[derive(Clone, Debug, PartialEq)]
pub enum LengthUnit {
    /// Millimetres by the calibration of this name.
    Millimetres {
        /// Where the millimetres come from.
        calibration: String,
    },
    /// Per cent of the first metatarsal's length on the film, base to tip, as the reference has it.
    PerCentOfFirstMetatarsal,
    /// Per cent of the film's longer side, where the reference has no first metatarsal either.
    PerCentOfFilm,
}

impl LengthUnit {
    /// The spread that is expected of a point put down by hand, as a standard deviation in this unit.
    #[must_use]
    pub fn hand_spread(&self) -> f64 {
        match self {
            Self::Millimetres { .. } => HAND_SPREAD_MM,
            Self::PerCentOfFirstMetatarsal => 100.0 * HAND_SPREAD_MM / USUAL_FIRST_METATARSAL_MM,
            Self::PerCentOfFilm => SPREAD_PER_CENT_OF_FILM,
        }
    }

    /// A distance in words: "1.2 mm", "1.8 % of the first metatarsal".
    #[must_use]
    pub fn in_words(&self, distance: f64) -> String {
        match self {
            Self::Millimetres { .. } => format!("{distance:.1} mm"),
            Self::PerCentOfFirstMetatarsal => {
                format!("{distance:.1} % of the first metatarsal’s length")
            }
            Self::PerCentOfFilm => format!("{distance:.1} % of the film’s longer side"),
        }
    }
}

/// The unit of a film, and how much of it one pixel width is.
pub(super) fn unit_of(
    foot: &PracticeFoot,
    reference: &Tracing,
    view: View,
) -> Option<(LengthUnit, f64)> {
    let film = foot.film(view)?;
    if let Some(calibration) = &film.calibration {
        let unit = LengthUnit::Millimetres {
            calibration: calibration.basis.name(),
        };
        return Some((unit, calibration.mm_per_pixel_width()));
    }
    let end = |landmark| {
        let at = reference.on(view).point(landmark)?;
        Some(film.proportions.physical(at))
    };
    let ends = end(Landmark::BaseCentre(LongBone::M1)).zip(end(Landmark::Tip(LongBone::M1)));
    let length = ends.map_or(0.0, |(base, tip)| (tip - base).length());
    if length > 0.0 {
        return Some((LengthUnit::PerCentOfFirstMetatarsal, 100.0 / length));
    }
    let height = f64::from(film.height_px) * film.proportions.height_over_width();
    let longer = f64::from(film.width_px).max(height);
    Some((LengthUnit::PerCentOfFilm, 100.0 / longer))
}
