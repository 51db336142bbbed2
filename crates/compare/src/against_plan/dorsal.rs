//! The dorsal shift of the head's fragment that was planned, held against the lateral film after.

use plumbray_anatomy::{LongBone, View};
use plumbray_measure::{
    Foot, Measurement, Outcome, head_offset_on_lateral_px, head_reach_px, shaft_width_px,
};

use super::{
    FilmsLaidOver, PlanRow, PlannedNumber,
    rows::{PLAN_CONVENTION, UNMOVED, judged},
};
use crate::{
    change::{Change, NoChange},
    comparison::measured,
    estimate::Estimate,
    head_shift::{LEVEL_OF_WIDTH, over, read},
    registration::{NotLaidOver, Registration},
};

/// Standard deviation, on one lateral film of a foot that has not changed, of how far the head lies dorsal of the
/// proximal shaft, as a share of the shaft's height, before an operation.
///
/// Seen on 60 simulated feet (seed 9001) that stood again six times as for [`crate::film_to_film_sd`].
const OFFSET_FILM_SD: f64 = 0.0056;

/// The same where the foot was operated on, seen on the same feet after an osteotomy that shifts the head by 10 mm
/// toward lateral. It is larger since a foot that stands rolled or turned shows a part of that shift as a dorsal one.
const OFFSET_FILM_SD_OPERATED: f64 = 0.032;

/// What a dorsal shift is told of.
pub(super) struct Lateral<'a> {
    /// The foot before.
    pub(super) before: &'a Foot<'a>,
    /// The same with the moved tracing.
    pub(super) intended: &'a Foot<'a>,
    /// The foot after.
    pub(super) after: &'a Foot<'a>,
    /// The films after laid over those before.
    pub(super) laid_over: FilmsLaidOver<'a>,
    /// How large a length along the bone of the AP film before is on the lateral film before; nothing where the plan
    /// finds no place for the bone on that film.
    pub(super) lateral_by_ap: Option<f64>,
    /// Whether a dorsal or plantar shift was planned.
    pub(super) is_planned: bool,
}

/// The shift in shares of the shaft's height before.
struct Shift {
    intended: Estimate,
    achieved: Estimate,
    /// Achieved less intended, with what two films differ by.
    difference: Estimate,
    /// The height of the shaft before, in pixel widths.
    height: f64,
}

impl Lateral<'_> {
    /// The row of the dorsal shift: in millimetres where the lateral film before is calibrated, else as a share of the
    /// shaft's height. Nothing where none was planned and the films tell none.
    ///
    /// `subtracted` takes a difference back where the foot bore weight on one film only.
    pub(super) fn row(
        &self,
        subtracted: impl Fn(Result<Change, NoChange>) -> Result<Change, NoChange>,
    ) -> Option<PlanRow> {
        let shift = self.shift();
        if shift.is_err() && !self.is_planned {
            return None;
        }
        let calibration = self.before.lateral.and_then(|film| film.calibration);
        let (what, factor, name) = match (&shift, calibration) {
            (Ok(shift), Some(calibration)) => (
                PlannedNumber::HeadDorsalShiftMillimetres,
                shift.height * calibration.mm_per_pixel_width(),
                Some(calibration.basis.name()),
            ),
            _ => (PlannedNumber::HeadDorsalShift, 100.0, None),
        };
        let told = |take: fn(&Shift) -> Estimate| {
            let told = shift.as_ref().map(|shift| take(shift).times(factor));
            told.map_err(Clone::clone)
        };
        let mut intended = told(|shift| shift.intended);
        if name.is_some() {
            // A plan in millimetres is as exact as its calibration, which has no part in the spread of a tracing.
            intended = intended.map(|intended| Estimate {
                sd: 0.0,
                ..intended
            });
        }
        Some(PlanRow {
            what,
            before: Err(UNMOVED.to_owned()),
            intended,
            achieved: told(|shift| shift.achieved),
            difference: subtracted(judged(told(|shift| shift.difference))),
            calibration: name,
        })
    }

    /// ```text
    /// intended = (e₂ − a₂ − e₁) / h     achieved = (k · e₃ − a₃ − e₁) / h     difference = (k · e₃ − a₃ − e₂ + a₂) / h
    /// ```
    ///
    /// with e how far the centre of the head lies dorsal of the proximal shaft ([`head_offset_on_lateral_px`]) before,
    /// on the moved tracing and after, k how much larger a pixel of the lateral film after is on that before, a the
    /// [`Self::apparent`] shift of each and h the height of the shaft before, at two thirds of its length. Before and
    /// intended rest on the same points, so that of the intended shift only the height spreads.
    fn shift(&self) -> Result<Shift, String> {
        let offset = |foot: &Foot<'_>| found(&head_offset_on_lateral_px(foot), View::Lateral);
        let before = offset(self.before)?;
        let intended = offset(self.intended)?.minus(&self.apparent(self.intended, |_| Ok(1.0))?);
        let scale = |view: View| match view {
            View::Ap => scale(&self.laid_over.ap, view),
            View::Lateral => scale(&self.laid_over.lateral, view),
        };
        let after = offset(self.after)?
            .times(scale(View::Lateral)?)
            .minus(&self.apparent(self.after, scale)?);
        let height = shaft_width_px(self.before, View::Lateral, LongBone::M1, LEVEL_OF_WIDTH);
        let height = found(&height, View::Lateral)?;
        let planned = Estimate {
            value: intended.value - before.value,
            sd: 0.0,
        };
        let difference = over(&after.minus(&intended), &height);
        Ok(Shift {
            intended: over(&planned, &height),
            achieved: over(&after.minus(&before), &height),
            difference: Estimate {
                sd: difference
                    .sd
                    .hypot(OFFSET_FILM_SD)
                    .hypot(OFFSET_FILM_SD_OPERATED),
                ..difference
            },
            height: height.value,
        })
    }

    /// How much of the dorsal shift is one toward lateral, seen from the side, in pixel widths of the lateral film before.
    ///
    /// The first metatarsal stands askew to the lateral film, by φ say, and falls to the floor by ι. A shift T toward
    /// lateral, level with the floor and square to the bone, is seen as one of T · sin φ along the floor: of
    /// T · sin φ · cos ι along the bone, and of T · sin φ · sin ι dorsal of it. So
    ///
    /// ```text
    /// a = tan ι · ((k · r₃ − r₁) on the lateral film − s · (k · r₃ − r₁) on the AP film)
    /// ```
    ///
    /// with r how far the head lies distal of the base along the shaft ([`head_reach_px`]) and s the size of a length
    /// along the bone of the AP film on the lateral one: what the lateral film shows as lengthened and the AP film does
    /// not, is the shift toward lateral. Ours; on simulated feet a shift of 10 mm looks 1.4 mm dorsal without it. The
    /// moved tracing shows it as well: on it k is 1.
    fn apparent(
        &self,
        later: &Foot<'_>,
        scale: impl Fn(View) -> Result<f64, String>,
    ) -> Result<Estimate, String> {
        let lengthened = |view: View| {
            let after = found(&head_reach_px(later, view), view)?;
            let before = found(&head_reach_px(self.before, view), view)?;
            Ok::<_, String>(after.times(scale(view)?).minus(&before))
        };
        let on_lateral = lengthened(View::Lateral)?;
        let on_ap = lengthened(View::Ap)?;
        let size = self
            .lateral_by_ap
            .ok_or("on the lateral film before the bone is not traced well enough")?;
        let falls = measured(
            self.before,
            PLAN_CONVENTION,
            Measurement::FirstMetatarsalInclinationAngle,
        );
        let falls = found(&falls, View::Lateral)?.value.to_radians();
        Ok(on_lateral.minus(&on_ap.times(size)).times(falls.tan()))
    }
}

/// A number of a film, or why it is not told.
fn found(outcome: &Outcome, view: View) -> Result<Estimate, String> {
    read(outcome).map_err(|why| on_the_films(&why, view))
}

/// How much larger a pixel of the later film is on the earlier one.
fn scale(laid: &Result<&Registration, NotLaidOver>, view: View) -> Result<f64, String> {
    match laid {
        Ok(laid) => Ok(laid.scale()),
        Err(why) => Err(on_the_films(why, view)),
    }
}

fn on_the_films(why: &impl std::fmt::Display, view: View) -> String {
    format!("{} films: {why}", view.name_in_sentence())
}
