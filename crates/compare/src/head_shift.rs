//! How far an osteotomy moved the head of the first metatarsal on the AP film.

use plumbray_anatomy::{LongBone, View};
use plumbray_measure::{
    Foot, Measurement, Outcome, Reading, head_offset_px, head_tilt, shaft_width_px,
};

use crate::{
    estimate::Estimate,
    registration::{NotLaidOver, Registration},
};

/// Where along the first metatarsal the width of its shaft is taken, as a share of its length from the base:
/// about where a percutaneous osteotomy crosses it, 22 mm behind the tip of a bone of 66 mm.
pub(crate) const LEVEL_OF_WIDTH: f64 = 2.0 / 3.0;
/// The same where the earlier film shows an operated foot: proximal of the cut.
const LEVEL_OF_WIDTH_OPERATED: f64 = 0.4;

/// How far an osteotomy moved the head of the first metatarsal on the AP film, against the proximal half of
/// its own shaft.
#[derive(Clone, Debug, PartialEq)]
pub struct HeadShift {
    /// Toward lateral, as a share of the width of the shaft on the earlier film: at two thirds of its length, or
    /// where that foot was operated on already at two fifths.
    pub share_of_width: Estimate,
    /// The same in millimetres, with the name of the earlier film's calibration; nothing where it has none.
    pub millimetres: Option<(Estimate, String)>,
    /// By how many degrees its joint surface turned against the shaft, positive toward lateral; nothing where
    /// the surface is not traced on both films.
    pub turn_degrees: Option<Estimate>,
    /// How much shorter or longer the first metatarsal became against the second, as a share of the second's
    /// length, negative where it became shorter; nothing where either is not traced on both films.
    pub lengthening_share: Option<Estimate>,
    /// The same in millimetres, with the name of the earlier film's calibration.
    pub lengthening_millimetres: Option<(Estimate, String)>,
}

/// Why it is not told.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoHeadShift {
    /// A film lacks something.
    #[error("the shift of the head is not told: {why}")]
    Missing {
        /// What.
        why: String,
    },
    /// The scale of one film on the other is not known.
    #[error("the shift of the head is not told, since {0}")]
    NoScale(#[from] NotLaidOver),
}

/// How far the head moved between a visit before and one after an osteotomy through the neck.
///
/// ```text
/// shift = k · e₂ − e₁,     share = shift / w₁
/// ```
///
/// with e the offset of the head's centre from the line of the proximal shaft
/// ([`head_offset_px`]), k how much larger a pixel of the later film is on the earlier one, and w₁ the width
/// of the shaft on the earlier film. The shaft is the bone's own, so that a first ray that leans otherwise
/// changes nothing. Shortening is the difference of the first metatarsal's reach beyond the second, as a share
/// of the second's length, which needs no scale.
///
/// # Errors
/// Where a film lacks what it needs.
pub fn head_shift(
    earlier: &Foot<'_>,
    later: &Foot<'_>,
    laid_over: Result<&Registration, NotLaidOver>,
) -> Result<HeadShift, NoHeadShift> {
    let scale = laid_over?.scale();
    let before = read(&head_offset_px(earlier))?;
    let after = read(&head_offset_px(later))?;
    let width = width_of_shaft(earlier)?;
    let shift = after.times(scale).minus(&before);
    let mm = mm_of(earlier);
    let lengthening_share = lengthening(earlier, later);
    let second = read(&plumbray_measure::measure(
        earlier,
        &plumbray_measure::Choices::default(),
        Measurement::M2Length,
    ));
    let lengthening_millimetres = lengthening_share
        .zip(second.ok())
        .zip(mm.as_ref())
        .map(|((share, second), (_, name))| (share.times(second.value), name.clone()));
    Ok(HeadShift {
        share_of_width: over(&shift, &width),
        millimetres: mm.map(|(factor, name)| (shift.times(factor), name)),
        turn_degrees: difference(&head_tilt(earlier), &head_tilt(later)),
        lengthening_share,
        lengthening_millimetres,
    })
}

/// The width of the first metatarsal's shaft by which a shift is told, in pixel widths of the AP film.
pub(crate) fn width_of_shaft(earlier: &Foot<'_>) -> Result<Estimate, NoHeadShift> {
    read(&shaft_width_px(
        earlier,
        View::Ap,
        LongBone::M1,
        if earlier.operated {
            LEVEL_OF_WIDTH_OPERATED
        } else {
            LEVEL_OF_WIDTH
        },
    ))
}

pub(crate) fn read(outcome: &Outcome) -> Result<Estimate, NoHeadShift> {
    outcome
        .reading()
        .map(of_reading)
        .ok_or_else(|| NoHeadShift::Missing {
            why: outcome.why_not().unwrap_or_default(),
        })
}

pub(crate) const fn of_reading(reading: &Reading) -> Estimate {
    Estimate {
        value: reading.value,
        sd: reading.sd,
    }
}

fn difference(earlier: &Outcome, later: &Outcome) -> Option<Estimate> {
    let (one, other) = (earlier.reading()?, later.reading()?);
    Some(of_reading(other).minus(&of_reading(one)))
}

/// A quotient of independent numbers, its spread to the first order.
pub(crate) fn over(part: &Estimate, whole: &Estimate) -> Estimate {
    let value = part.value / whole.value;
    let sd = (part.sd / whole.value).hypot(value * whole.sd / whole.value);
    Estimate { value, sd }
}

pub(crate) fn mm_of(foot: &Foot<'_>) -> Option<(f64, String)> {
    let calibration = foot.ap?.calibration?;
    Some((calibration.mm_per_pixel_width(), calibration.basis.name()))
}

fn lengthening(earlier: &Foot<'_>, later: &Foot<'_>) -> Option<Estimate> {
    let [one, other] = [earlier, later].map(|foot| {
        plumbray_measure::measure(
            foot,
            &plumbray_measure::Choices::default(),
            Measurement::RelativeFirstMetatarsalLengthRatio,
        )
    });
    difference(&one, &other)
}
