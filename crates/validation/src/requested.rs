//! The angles that a foot was built with, beside what its true outlines show on films.

use anyhow::{Context, Result};
use plumbray_anatomy::{FilmPoint, FilmTracing, Landmark, LongBone, Origin, PlacedPoint, View};
use plumbray_measure::{Choices, Measurement, measure};
use plumbray_phantom::{Exposure, FilmTruth, Foot, truth_of_ap, truth_of_lateral};

use crate::accuracy::measured;

/// The angles of the AP film that a foot is built with.
pub const BUILT_WITH: [Measurement; 4] = [
    Measurement::HalluxValgusAngle,
    Measurement::IntermetatarsalAngle12,
    Measurement::HalluxInterphalangealAngle,
    Measurement::DistalMetatarsalArticularAngle,
];

/// The angles of the lateral film that a foot is built with.
pub const BUILT_WITH_LATERAL: [Measurement; 3] = [
    Measurement::TaloFirstMetatarsalAngle,
    Measurement::CalcanealInclinationAngle,
    Measurement::FirstMetatarsalInclinationAngle,
];

/// One angle of one foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RequestedAngle {
    /// Which angle.
    pub measurement: Measurement,
    /// What the foot was built with, in degrees.
    pub requested: f64,
    /// What the engine reads from the bones' own axes seen from straight above in parallel light;
    /// nothing for an angle that is not one between axes on the floor.
    pub from_above: Option<f64>,
    /// What the engine reads from the true outlines with the tube upright.
    pub upright: f64,
    /// The same with the tube tilted by the usual 15°.
    pub usual: f64,
}

/// Every angle of a foot.
///
/// # Errors
/// When a film has no truth, or its truth gives no number.
pub fn requested_angles(foot: &Foot) -> Result<Vec<RequestedAngle>> {
    let usual = Exposure::default();
    let straight_down = Exposure {
        tube_tilt_degrees: 0.0,
        ..usual
    };
    let above = seen_from_above(foot);
    let upright = true_tracing(&truth_of_ap(foot, &straight_down)?)?;
    let tilted = true_tracing(&truth_of_ap(foot, &usual)?)?;
    let lateral = true_tracing(&truth_of_lateral(foot, &usual)?)?;
    let of_view = |view, measurement, ap: &FilmTracing| match view {
        View::Ap => reading(view, ap, measurement),
        View::Lateral => reading(view, &lateral, measurement),
    };
    BUILT_WITH
        .into_iter()
        .chain(BUILT_WITH_LATERAL)
        .map(|measurement| {
            let view = measurement.view();
            Ok(RequestedAngle {
                measurement,
                requested: requested(foot, measurement).context("a foot is built with it")?,
                from_above: reading(view, &above, measurement)
                    .ok()
                    .filter(|_| view == View::Ap),
                upright: of_view(view, measurement, &upright)?,
                usual: of_view(view, measurement, &tilted)?,
            })
        })
        .collect()
}

/// The true outlines of the only foot on a film.
///
/// # Errors
/// When there is no foot on it.
pub(crate) fn true_tracing(truth: &FilmTruth) -> Result<FilmTracing> {
    let foot = truth.feet.first().context("a film without a foot")?;
    Ok(foot.tracing.clone())
}

/// What a foot was built with, in degrees; nothing for what follows from the rest.
#[must_use]
pub fn requested(foot: &Foot, measurement: Measurement) -> Option<f64> {
    let asked = foot.parameters();
    Some(match measurement {
        Measurement::HalluxValgusAngle => asked.hallux_valgus_angle,
        Measurement::IntermetatarsalAngle12 => asked.intermetatarsal_angle_1_2,
        Measurement::DistalMetatarsalArticularAngle => asked.distal_metatarsal_articular_angle,
        Measurement::HalluxInterphalangealAngle => asked.hallux_interphalangeal_angle,
        Measurement::TaloFirstMetatarsalAngle => asked.talo_first_metatarsal_angle,
        Measurement::CalcanealInclinationAngle => asked.calcaneal_inclination,
        Measurement::FirstMetatarsalInclinationAngle => asked.first_metatarsal_inclination,
        _ => return None,
    })
}

/// What the engine reads from a tracing by its default convention.
///
/// # Errors
/// When it reads no number.
pub fn reading(view: View, tracing: &FilmTracing, measurement: Measurement) -> Result<f64> {
    let outcome = measure(
        &measured(view, tracing, None),
        &Choices::default(),
        measurement,
    );
    outcome
        .reading()
        .map(|reading| reading.value)
        .with_context(|| format!("{}: {:?}", measurement.identifier(), outcome.why_not()))
}

/// The bones' own axes as straight lines, seen from above in parallel light, a tenth of a millimetre to
/// the pixel.
fn seen_from_above(foot: &Foot) -> FilmTracing {
    let mut tracing = FilmTracing::default();
    for bone in LongBone::ALL {
        let ends = foot.axis(bone).map(|[x, y, _]| PlacedPoint {
            at: FilmPoint::new(1000.0 + 10.0 * x, 2000.0 - 10.0 * y),
            sd_px: 0.0,
            origin: Origin::Derived,
        });
        let [base, tip] = ends;
        tracing.points.extend([
            (Landmark::ShaftStart(bone), base),
            (Landmark::ShaftEnd(bone), tip),
            (Landmark::BaseCentre(bone), base),
            (Landmark::Tip(bone), tip),
        ]);
    }
    tracing
}

#[cfg(test)]
mod tests {
    use plumbray_anatomy::testing::assert_close;

    use super::*;
    use crate::cohort::random_foot;

    #[test]
    fn axes_seen_from_above_read_exactly_what_the_foot_was_built_with() {
        for number in 0..3 {
            let foot = random_foot(5, number).expect("possible");
            let above = seen_from_above(&foot);
            for measurement in [
                Measurement::HalluxValgusAngle,
                Measurement::IntermetatarsalAngle12,
                Measurement::HalluxInterphalangealAngle,
            ] {
                let read = reading(View::Ap, &above, measurement).expect("a number");
                let asked = requested(&foot, measurement).expect("built with it");
                assert_close(read, asked, 1e-9, measurement.identifier());
            }
        }
    }
}
