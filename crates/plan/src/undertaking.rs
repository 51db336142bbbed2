//! A plan carried out on a tracing.

use plumbray_anatomy::{
    FilmPoint, FilmTracing, Landmark, PhysicalPoint, PhysicalVector, Tracing, View,
};
use plumbray_measure::{AxisConvention, Choices, Foot, Measurement, TracedFilm};

use crate::{
    check::{Check, checks},
    cut::{PlannedCut, drawn_on},
    error::PlanError,
    extent::Length,
    foot_before::FootBefore,
    ground::Ground,
    length_change::{LengthChange, length_change},
    motions::{movement_of, phalanx_width},
    movement::{Movement, moved_ap, moved_lateral},
    outline::Outline,
    parts::Parts,
    plan::Plan,
    prediction::{PredictedRow, predicted},
    screw::{ScrewCourse, courses},
};

/// A plan carried out on the tracing of a foot: where everything comes to lie, and what it measures there.
#[derive(Clone, Debug, PartialEq)]
pub struct Undertaking {
    /// The foot as it stands.
    pub before: FootBefore,
    /// The cut.
    pub cut: PlannedCut,
    /// What moves, and how.
    pub movement: Movement,
    /// The tracing as it would be, with the level of the cut marked.
    pub tracing: Tracing,
    /// How far the head comes to lie lateral, square to the shaft.
    pub shift: Length,
    /// How far the fragment travels along the cut.
    pub travel: Length,
    /// How much of the two faces still lies on each other.
    pub contact: Contact,
    /// How far the shaft's medial corner stands out beyond the fragment's, square to the shaft; what trimming
    /// takes off. Not negative.
    pub medial_step: Length,
    /// What becomes of the length.
    pub length: LengthChange,
    /// The width of the proximal phalanx where a wedge is taken; nothing where its cortices were not traced.
    pub phalanx_width: Option<Length>,
    /// The shaft as it remains, on the AP film.
    pub shaft: Outline,
    /// The head's fragment where it was, on the AP film.
    pub former_fragment: Outline,
    /// The head's fragment where it comes to lie, on the AP film.
    pub fragment: Outline,
    /// The line of the cut on each film for drawing, from medial or plantar.
    pub cut_lines: [Vec<FilmPoint>; 2],
    /// All measurements, before and planned.
    pub rows: Vec<PredictedRow>,
    /// The screws and wires, in the plan's order.
    pub screws: Vec<ScrewCourse>,
    /// What the plan meets and what it leaves open.
    pub checks: Vec<Check>,
}

/// How much of the faces of shaft and fragment still lies on each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contact {
    /// The overlap along the cut; not negative.
    pub overlap: Length,
    /// The same as a share of the cut's length.
    pub share: f64,
}

/// Carries a plan out on a foot that was not operated on.
///
/// # Errors
/// [`PlanError`]: what the plan or the tracing lacks.
pub fn carry_out(foot: &Foot<'_>, plan: &Plan) -> Result<Undertaking, PlanError> {
    plan.validate()?;
    let ground = Ground::of(foot)?;
    let cut = ground.cut(&plan.cut)?;
    let Ground {
        before,
        tracing: ap,
        ..
    } = ground;
    let shift = cut.of_width(plan.head.shift, "The shift")?;
    let dorsal = cut.of_width(plan.head.dorsal_shift, "The dorsal shift")?;
    let travel = cut.travel(shift);
    let movement = movement_of(foot, &before, &cut, plan, travel, dorsal);
    let tracing = Tracing {
        ap: moved_ap(&before, ap, &cut, &movement),
        lateral: foot.lateral.map_or_else(FilmTracing::default, |film| {
            moved_lateral(&before, film.tracing, &cut, &movement)
        }),
    };
    let parts = Parts::of(&before, &cut, &movement, plan.step_trimmed)?;
    let chord = cut.chord();
    let overlap = parts.faces.overlap(&before, &cut, &movement).max(0.0);
    let planned = planned_foot(foot, &tracing);
    let mut undertaking = Undertaking {
        shift: cut.length(shift),
        travel: cut.length(travel),
        contact: Contact {
            overlap: cut.length(overlap),
            share: overlap / chord,
        },
        medial_step: cut.length(parts.step),
        length: length_change(&before, &cut, travel),
        phalanx_width: phalanx_width(foot).map(|width| cut.length(width)),
        shaft: parts.shaft,
        former_fragment: parts.former_fragment,
        fragment: parts.fragment,
        cut_lines: View::ALL.map(|view| drawn_on(&before, &cut, plan.cut.form, view)),
        rows: predicted(foot, &planned, plan),
        screws: Vec::new(),
        checks: Vec::new(),
        before,
        cut,
        movement,
        tracing,
    };
    undertaking.screws = courses(&undertaking, plan)?;
    undertaking.checks = checks(&undertaking, plan);
    Ok(undertaking)
}

impl Undertaking {
    /// The head's centre where it comes to lie on the film of a view, across and along in that film's pixel
    /// widths; nothing on a lateral film that does not serve.
    #[must_use]
    pub fn head_centre(&self, view: View) -> Option<PhysicalPoint> {
        let before = self.before.view(view)?;
        let at = self.tracing.on(view).point(Landmark::HeadCentre)?;
        Some(before.on_bone(before.proportions.physical(at)))
    }

    /// The radius of the head's circle on the film of a view, in its pixel widths.
    #[must_use]
    pub fn head_radius(&self, view: View) -> Option<f64> {
        let before = self.before.view(view)?;
        let place = |landmark| {
            let at = self.tracing.on(view).point(landmark)?;
            Some(before.proportions.physical(at))
        };
        Some((place(Landmark::HeadEdge)? - place(Landmark::HeadCentre)?).length())
    }

    /// The direction of the head's joint surface on the AP film where it comes to lie, across and along; nothing
    /// where its ends were not traced.
    #[must_use]
    pub fn joint_line(&self) -> Option<PhysicalVector> {
        let place = |landmark| {
            let at = self.tracing.ap.point(landmark)?;
            let ap = &self.before.ap;
            Some(ap.on_bone(ap.proportions.physical(at)))
        };
        Some(place(Landmark::ArticularLateral)? - place(Landmark::ArticularMedial)?)
    }

    /// The row of a measurement.
    #[must_use]
    pub fn row(&self, measurement: Measurement) -> Option<&PredictedRow> {
        self.rows.iter().find(|row| row.measurement == measurement)
    }
}

/// The foot as it would be.
pub(crate) fn planned_foot<'a>(foot: &Foot<'a>, tracing: &'a Tracing) -> Foot<'a> {
    let with = |film: Option<TracedFilm<'a>>, tracing: &'a FilmTracing| {
        film.map(|film| TracedFilm { tracing, ..film })
    };
    Foot {
        ap: with(foot.ap, &tracing.ap),
        lateral: with(foot.lateral, &tracing.lateral),
        operated: true,
    }
}

/// The choices by which before and planned are measured: head centre to base centre for both.
pub(crate) fn choices() -> Choices {
    Choices {
        convention: Some(AxisConvention::HeadBase),
        ..Choices::default()
    }
}
