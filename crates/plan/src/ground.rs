//! What every plan on a foot stands on, worked out once.

use plumbray_anatomy::{FilmTracing, Landmark, Sesamoid};
use plumbray_measure::Foot;

use crate::{
    aim::LesserRays,
    cut::{PlannedCut, planned_cut},
    error::PlanError,
    foot_before::FootBefore,
    plan::Cut,
};

/// A foot as plans are carried out on it.
pub(crate) struct Ground<'a> {
    pub(crate) before: FootBefore,
    /// The tracing of the AP film.
    pub(crate) tracing: &'a FilmTracing,
    lesser: LesserRays,
    /// How far the proximal edge of the sesamoids lies distal of the base's centre, along the shaft.
    sesamoids: Option<f64>,
}

impl<'a> Ground<'a> {
    pub(crate) fn of(foot: &Foot<'a>) -> Result<Self, PlanError> {
        let before = FootBefore::of(foot)?;
        let tracing = foot
            .ap
            .map(|film| film.tracing)
            .ok_or_else(|| PlanError::needs("an AP film"))?;
        Ok(Self {
            lesser: LesserRays::of(&before, tracing),
            sesamoids: sesamoid_edge(&before, tracing),
            before,
            tracing,
        })
    }

    /// A cut worked out on this foot.
    pub(crate) fn cut(&self, cut: &Cut) -> Result<PlannedCut, PlanError> {
        planned_cut(&self.before, &self.lesser, self.sesamoids, cut)
    }
}

fn sesamoid_edge(before: &FootBefore, tracing: &FilmTracing) -> Option<f64> {
    let edge = |sesamoid: Sesamoid| {
        let [centre, long, short] = Landmark::of_sesamoid(sesamoid).map(|landmark| {
            let at = tracing.point(landmark)?;
            Some(before.ap.on_bone(before.ap.proportions.physical(at)))
        });
        let centre = centre?;
        let reach = (long? - centre).y.hypot((short? - centre).y);
        Some(centre.y - reach)
    };
    Sesamoid::ALL
        .into_iter()
        .filter_map(edge)
        .min_by(f64::total_cmp)
}
