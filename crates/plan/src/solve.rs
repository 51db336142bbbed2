//! Which shift reaches a goal.

use plumbray_anatomy::{FilmTracing, Landmark, PhysicalPoint, Sesamoid, Tracing};
use plumbray_measure::{Foot, Measurement, measure};

use crate::{
    error::PlanError,
    extent::Extent,
    foot_before::FootBefore,
    goal::Goal,
    ground::Ground,
    motions::movement_of,
    movement::moved_ap,
    parts::Faces,
    plan::Plan,
    undertaking::{choices, planned_foot},
};

/// Why no shift reaches a goal.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoSolution {
    /// The plan itself cannot be carried out.
    #[error(transparent)]
    Plan(#[from] PlanError),
    /// Something that the goal needs was not traced.
    #[error("this goal {reason}; trace it in Measure")]
    Needs {
        /// What is missing: "needs both sesamoids".
        reason: String,
    },
    /// The foot is there already.
    #[error("no shift is needed for this: the foot is there without one")]
    AlreadyThere,
    /// Not even the most that the bone allows gets there.
    #[error(
        "this bone does not allow so much: at edge against edge the angle is still {reached_degrees:.1}°"
    )]
    OutOfReach {
        /// The intermetatarsal angle at the most that the bone allows, in degrees.
        reached_degrees: f64,
    },
    /// Not even the most that the bone allows gets there.
    #[error(
        "this bone does not allow so much: at edge against edge the sesamoids still lie lateral of the head"
    )]
    SesamoidsOutOfReach,
}

/// Halvings of the search: finer than a thousandth of a pixel on any film.
const HALVINGS: u32 = 40;

/// No faces overlap at a shift of so many widths of the shaft.
const BEYOND_ANY: f64 = 3.0;

/// The shift that reaches a goal, the rest of the plan unchanged, in the unit of the plan's own shift.
///
/// Angle and sesamoids are found by halving, since both fall steadily as the head goes lateral.
///
/// # Errors
/// [`NoSolution`].
pub fn solve_shift(foot: &Foot<'_>, plan: &Plan, goal: Goal) -> Result<Extent, NoSolution> {
    plan.validate()?;
    let ground = Ground::of(foot)?;
    let cut = ground.cut(&plan.cut)?;
    let before = &ground.before;
    let dorsal = cut.of_width(plan.head.dorsal_shift, "The dorsal shift")?;
    let faces = Faces::of(before, &cut)?;
    let movement = |shift: f64| movement_of(foot, before, &cut, plan, cut.travel(shift), dorsal);
    let overlap = |shift: f64| Ok(faces.overlap(before, &cut, &movement(shift)));
    let most = falling_to_zero(overlap, BEYOND_ANY * cut.width, NoSolution::AlreadyThere)?;
    let shifted = |shift: f64| moved_ap(before, ground.tracing, &cut, &movement(shift));
    let found = match goal {
        Goal::MostThisBoneAllows => most,
        Goal::IntermetatarsalAngle(degrees) => {
            let beyond = |shift: f64| Ok(intermetatarsal(foot, shifted(shift))? - degrees);
            let reached_degrees = beyond(most)? + degrees;
            let out_of_reach = NoSolution::OutOfReach { reached_degrees };
            falling_to_zero(beyond, most, out_of_reach)?
        }
        Goal::SesamoidsUnderHead => {
            let beyond = |shift: f64| sesamoids_beside_axis(before, &shifted(shift));
            falling_to_zero(beyond, most, NoSolution::SesamoidsOutOfReach)?
        }
    };
    Ok(match plan.head.shift {
        Extent::Share(_) => Extent::Share(found / cut.width),
        Extent::Millimetres(_) => before
            .ap
            .mm_per_pixel_width
            .map_or(Extent::Share(found / cut.width), |size| {
                Extent::Millimetres(found * size)
            }),
    })
}

/// Where a falling quantity is zero between no shift and the most.
fn falling_to_zero(
    beyond: impl Fn(f64) -> Result<f64, NoSolution>,
    most: f64,
    out_of_reach: NoSolution,
) -> Result<f64, NoSolution> {
    if beyond(0.0)? <= 0.0 {
        return Err(NoSolution::AlreadyThere);
    }
    if beyond(most)? > 0.0 {
        return Err(out_of_reach);
    }
    let (mut short, mut enough) = (0.0, most);
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(short, enough);
        if beyond(middle)? > 0.0 {
            short = middle;
        } else {
            enough = middle;
        }
    }
    Ok(enough)
}

/// The intermetatarsal angle in degrees on a moved AP tracing.
fn intermetatarsal(foot: &Foot<'_>, ap: FilmTracing) -> Result<f64, NoSolution> {
    let tracing = Tracing {
        ap,
        lateral: FilmTracing::default(),
    };
    let planned = planned_foot(foot, &tracing);
    let outcome = measure(&planned, &choices(), Measurement::IntermetatarsalAngle12);
    outcome
        .reading()
        .map(|reading| reading.value)
        .ok_or_else(|| NoSolution::Plan(PlanError::of_outcome(&outcome)))
}

/// How far the middle between the sesamoids lies lateral of the line from the base's to the head's centre, in pixel
/// widths.
pub(crate) fn sesamoids_beside_axis(
    before: &FootBefore,
    ap: &FilmTracing,
) -> Result<f64, NoSolution> {
    let place = |landmark| {
        ap.point(landmark)
            .map(|at| before.ap.on_bone(before.ap.proportions.physical(at)))
    };
    let [tibial, fibular] = Sesamoid::ALL.map(|sesamoid| place(Landmark::SesamoidCentre(sesamoid)));
    let middle = tibial
        .zip(fibular)
        .map(|(tibial, fibular)| tibial.midpoint(fibular));
    let (Some(middle), Some(head)) = (middle, place(Landmark::HeadCentre)) else {
        return Err(NoSolution::Needs {
            reason: "needs both sesamoids".to_owned(),
        });
    };
    let axis = head - PhysicalPoint::new(0.0, 0.0);
    let away = middle - PhysicalPoint::new(0.0, 0.0);
    Ok((away.x * axis.y - away.y * axis.x) / axis.length())
}
