//! The first metatarsal's cortices drawn on to its head, and how wide the forefoot is.

use plumbray_anatomy::{Landmark, LongBone, Sesamoid, View};

use crate::{
    axis::{Shaft, before_the_cut, cut_level},
    construction::{Line, LineRole},
    evaluation::{Evaluation, Finding},
    lateral_side::lateral_turn,
    placed::{Gap, PlacedFilm, SHORTEST_LINE, both},
    plane::{Point, Vector},
    sesamoids::{Outline, Scale, reader_sd},
    two_point_line::TwoPointLine,
};

/// The levels of the line along a cortex, as shares of the first metatarsal's length from its base; ours.
const LEVELS: [f64; 2] = [1.0 / 3.0, 2.0 / 3.0];

/// Which border of the first metatarsal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Border {
    Medial,
    Lateral,
}

/// A line along one cortex of the first metatarsal, and across it the way in which its border faces.
struct CortexLine<'t> {
    line: TwoPointLine<'t>,
    outward: Vector<'t>,
}

impl<'t> CortexLine<'t> {
    /// The line through where the levels at a third and two thirds meet the cortex of that border. On an
    /// operated foot both have to lie proximal to the cut.
    fn of(
        evaluation: &Evaluation<'_, 't>,
        film: &PlacedFilm<'_, 't>,
        border: Border,
    ) -> Result<Self, Gap> {
        let crossed = Crossed::of(film, evaluation.axes.operated);
        let (crossed, side) = both(crossed, lateral_turn(film))?;
        let toward_lateral = crossed.distal.perpendicular() * film.constant(side.sign());
        let outward = match border {
            Border::Lateral => toward_lateral,
            Border::Medial => -toward_lateral,
        };
        let [from, to] = crossed.levels.map(|[one, two]| {
            let is_two = (two.value() - one.value()).dot(outward.value()) > 0.0;
            if is_two { two } else { one }
        });
        let line = TwoPointLine { from, to };
        if line.vector().value().length() < SHORTEST_LINE {
            return Err(Gap::Degenerate {
                landmarks: vec!["Cortices of the first metatarsal".to_owned()],
                reason: "a cortex is only a few pixels long; sweep the shaft again".to_owned(),
            });
        }
        let outward = line.normal_along(outward.value());
        Ok(Self { line, outward })
    }
}

/// Where both levels meet both cortices of the first metatarsal.
struct Crossed<'t> {
    levels: [[Point<'t>; 2]; 2],
    /// From base to tip.
    distal: Vector<'t>,
}

impl<'t> Crossed<'t> {
    fn of(film: &PlacedFilm<'_, 't>, operated: bool) -> Result<Self, Gap> {
        if operated {
            cut_level(film)?;
        }
        let shaft = Shaft::of(film, LongBone::M1)?;
        if operated {
            before_the_cut(film, shaft.ends(), LEVELS[1])?;
        }
        let at = |share: f64| shaft.crossings(film.constant(share));
        Ok(Self {
            levels: [at(LEVELS[0])?, at(LEVELS[1])?],
            distal: shaft.ends().vector(),
        })
    }
}

/// How far the medial edge of the first metatarsal's head stands out beyond the line along the medial
/// cortex of its shaft, in millimetres.
pub(crate) fn medial_eminence<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let cortex = CortexLine::of(evaluation, &film, Border::Medial);
    let parts = both(cortex, film.point(Landmark::HeadMedialEdge));
    let ((cortex, edge), scale) = both(parts, film.mm_per_pixel_width())?;
    let (beyond, foot) = cortex.line.offset_of(edge, cortex.outward);
    let mut finding = Finding::plain(beyond * scale);
    finding.calibration_name = film.calibration_name();
    finding.construction.lines.push(Line {
        role: LineRole::Cortex(LongBone::M1),
        from: film.on_film(cortex.line.from.value()),
        to: film.on_film(foot),
    });
    finding
        .construction
        .mark_distance(&film, foot, edge.value());
    Ok(finding)
}

/// The share of the fibular sesamoid's width that lies lateral to the line along the lateral cortex of the
/// first metatarsal's shaft, in per cent.
pub(crate) fn fibular_share<'t>(
    evaluation: &Evaluation<'_, 't>,
    scale: Scale,
) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let cortex = CortexLine::of(evaluation, &film, Border::Lateral);
    let (cortex, outline) = both(cortex, Outline::of(&film, Sesamoid::Fibular))?;
    let (beyond, _) = cortex.line.offset_of(outline.centre, cortex.outward);
    let half_width = outline.half_width(cortex.outward, cortex.outward.length())?;
    let mut finding = Finding::plain((beyond / half_width * 0.5 + 0.5) * 100.0);
    finding.scale = scale;
    let about = cortex.line.middle().value();
    finding.reader_sd = reader_sd(evaluation, &outline, about, half_width);
    finding.construction.ellipse = Some(outline.on_film(&film));
    finding
        .construction
        .lines
        .push(cortex.line.line(&film, LineRole::Cortex(LongBone::M1)));
    Ok(finding)
}

/// From the medial edge of the first metatarsal's head to the lateral edge of the fifth's, in millimetres.
pub(crate) fn forefoot_width<'t>(evaluation: &Evaluation<'_, 't>) -> Result<Finding<'t>, Gap> {
    let film = evaluation.film(View::Ap)?;
    let edges = [Landmark::HeadMedialEdge, Landmark::FifthHeadLateralEdge];
    let (line, scale) = both(TwoPointLine::of(&film, edges), film.mm_per_pixel_width())?;
    let mut finding = Finding::plain(line.vector().length() * scale);
    finding.calibration_name = film.calibration_name();
    finding
        .construction
        .lines
        .push(line.line(&film, LineRole::Distance));
    Ok(finding)
}
