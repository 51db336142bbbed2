//! Which parts of a film's picture a plan moves, and where to.

use plumbray_anatomy::{
    FilmPoint, FilmTracing, Landmark, LongBone, MovedPiece, PhysicalPoint, PhysicalVector,
    Sesamoid, Similarity, View,
};

use crate::{
    foot_before::ViewBefore,
    movement::{ToeAxis, WEDGE_SHARE, toe_axis},
    outline::{Edge, Outline},
    undertaking::Undertaking,
};

/// By how much a piece of bone is taken larger than its outline, so that its edge comes along.
const GROWN: f64 = 1.05;

/// By how much the piece of the toe is wider than its bones on either side, so that its skin comes along.
const SKIN: f64 = 1.3;

/// How far the piece of the toe reaches beyond the last bone that was traced, as a share of the toe's length: the
/// distal phalanx is about four fifths as long as the proximal one.
const BEYOND_DISTAL: f64 = 0.12;
const BEYOND_PROXIMAL: f64 = 0.9;

/// Points of the round end of the toe.
const ROUND_END: u32 = 8;

/// Levels at which the width of the toe is read.
const TOE_LEVELS: u32 = 12;

/// How far the base of the toe's piece bows toward the head, in its half widths.
const BASE_ARC: f64 = 0.25;

/// By which share a width counts less for each length of the toe that it was seen away from a level.
const WIDTH_FALLS: f64 = 0.7;

/// The toe is nowhere narrower than this share of its widest level: its skin does not follow a thin shaft.
const LEAST_WIDTH: f64 = 0.7;

/// Points of a sesamoid's outline.
const ELLIPSE_POINTS: u32 = 40;

/// The first metatarsal of one film in its parts, each a closed line whose first point is also its last.
#[derive(Clone, Debug, PartialEq)]
pub struct BoneParts {
    /// The shaft as it remains.
    pub shaft: Vec<FilmPoint>,
    /// The head's fragment where it was.
    pub former_fragment: Vec<FilmPoint>,
    /// The head's fragment where it comes to lie.
    pub fragment: Vec<FilmPoint>,
}

impl Undertaking {
    /// The parts of the bone on the film of a view; nothing on a lateral film that does not serve, or where its cortices
    /// were not traced.
    #[must_use]
    pub fn parts_on(&self, view: View) -> Option<BoneParts> {
        let (film, motion) = self.of_fragment(view)?;
        let closed = |outline: &Outline| {
            let mut line = on_film(film, outline);
            line.extend(line.first().copied());
            line
        };
        if view == View::Ap {
            return Some(BoneParts {
                shaft: closed(&self.shaft),
                former_fragment: closed(&self.former_fragment),
                fragment: closed(&self.fragment),
            });
        }
        let whole = film.outline.as_ref()?;
        let former = self.beyond_cut(film, view, 1.0, whole);
        let moved = former.moved(|place| film.on_bone(motion.of(film.physical(place))));
        Some(BoneParts {
            shaft: closed(&self.beyond_cut(film, view, -1.0, whole)),
            former_fragment: closed(&former),
            fragment: closed(&moved),
        })
    }

    /// The pieces of a film's picture that the plan moves: the toe first, so that the head's fragment lies over it.
    /// The tracing is the one before the plan, of the same film.
    ///
    /// On the lateral film the toe is not traced, and only the fragment moves.
    #[must_use]
    pub fn moved_pieces(&self, view: View, before: &FilmTracing) -> Vec<MovedPiece> {
        let mut pieces = Vec::new();
        if view == View::Ap {
            pieces.extend(self.toe_pieces(before));
        }
        pieces.extend(self.fragment_piece(view));
        pieces
    }

    fn fragment_piece(&self, view: View) -> Option<MovedPiece> {
        let (film, motion) = self.of_fragment(view)?;
        let bone = match view {
            View::Ap => &self.former_fragment,
            View::Lateral => film.outline.as_ref()?,
        };
        let fragment = self.beyond_cut(film, view, 1.0, &grown(bone));
        Some(MovedPiece {
            outline: on_film(film, &fragment),
            motion,
        })
    }

    /// The first metatarsal on the film of a view and the motion of its fragment there.
    fn of_fragment(&self, view: View) -> Option<(&ViewBefore, Similarity)> {
        let film = self.before.view(view)?;
        let motion = match view {
            View::Ap => self.movement.fragment,
            View::Lateral => self.movement.fragment_on_lateral?,
        };
        Some((film, motion))
    }

    /// What of an outline lies proximal (−1) or distal (1) of the cut on the film of a view.
    fn beyond_cut(&self, film: &ViewBefore, view: View, side: f64, outline: &Outline) -> Outline {
        let (through, normal) = match view {
            View::Ap => (self.cut.face(side), self.cut.normal()),
            View::Lateral => {
                let level = self.cut.level_on_lateral(&self.before, film, side);
                (
                    PhysicalPoint::new(0.0, level),
                    PhysicalVector::new(0.0, 1.0),
                )
            }
        };
        outline.beyond(through, normal * side)
    }

    fn toe_pieces(&self, before: &FilmTracing) -> Vec<MovedPiece> {
        let ap = &self.before.ap;
        let Some(axis) = toe_axis(ap.proportions, before) else {
            return Vec::new();
        };
        let Some(outline) = toe_outline(ap, before, axis) else {
            return Vec::new();
        };
        let movement = &self.movement;
        let piece = |outline: &Outline, motion| MovedPiece {
            outline: on_film(ap, outline),
            motion,
        };
        if movement.toe == movement.toe_beyond_wedge {
            return vec![piece(&outline, movement.toe)];
        }
        let through = ap.on_bone(axis.base + axis.vector * WEDGE_SHARE);
        let normal = PhysicalVector::new(
            axis.vector.dot(ap.frame.across),
            axis.vector.dot(ap.frame.along),
        );
        vec![
            piece(&outline.beyond(through, normal * -1.0), movement.toe),
            piece(&outline.beyond(through, normal), movement.toe_beyond_wedge),
        ]
    }
}

/// The outlines of the sesamoids on an AP film, which stay where they are while the head moves over them.
#[must_use]
pub fn sesamoid_outlines(tracing: &FilmTracing) -> Vec<Vec<FilmPoint>> {
    let outline = |sesamoid: Sesamoid| {
        let [centre, long_end, short_end] =
            Landmark::of_sesamoid(sesamoid).map(|landmark| tracing.point(landmark));
        let ellipse = plumbray_measure::Ellipse {
            centre: centre?,
            long_end: long_end?,
            short_end: short_end?,
        };
        let turn = |step: u32| std::f64::consts::TAU * f64::from(step) / f64::from(ELLIPSE_POINTS);
        Some(
            (0..ELLIPSE_POINTS)
                .map(|step| ellipse.at(turn(step)))
                .collect(),
        )
    };
    Sesamoid::ALL.into_iter().filter_map(outline).collect()
}

fn on_film(film: &ViewBefore, outline: &Outline) -> Vec<FilmPoint> {
    let vertices = outline.vertices.iter();
    vertices
        .map(|(vertex, _)| film.film_point(*vertex))
        .collect()
}

/// An outline a little larger, about its middle.
fn grown(outline: &Outline) -> Outline {
    let count = f64::from(u32::try_from(outline.vertices.len()).unwrap_or(u32::MAX)).max(1.0);
    let sum = |take: fn(&PhysicalPoint) -> f64| {
        outline
            .vertices
            .iter()
            .map(|(vertex, _)| take(vertex))
            .sum::<f64>()
            / count
    };
    let middle = PhysicalPoint::new(sum(|vertex| vertex.x), sum(|vertex| vertex.y));
    outline.moved(|vertex| middle + (vertex - middle) * GROWN)
}

/// The great toe with its skin, in the first metatarsal's own directions: a band about the line from the base of the
/// proximal phalanx to the end of the toe, as wide at each level as its bones are there, and round at both ends.
fn toe_outline(ap: &ViewBefore, before: &FilmTracing, axis: ToeAxis) -> Option<Outline> {
    let distal = before.point(Landmark::Tip(LongBone::DistalPhalanx));
    let beyond = if distal.is_some() {
        BEYOND_DISTAL
    } else {
        BEYOND_PROXIMAL
    };
    let end = distal.map_or(axis.base + axis.vector, |at| ap.proportions.physical(at));
    let along = end - axis.base;
    let (forward, across) = (along.unit()?, along.perpendicular().unit()?);
    let seen: Vec<(f64, f64)> = [LongBone::ProximalPhalanx, LongBone::DistalPhalanx]
        .into_iter()
        .filter_map(|bone| before.cortices.get(&bone))
        .flat_map(|cortices| cortices.one.iter().chain(&cortices.two))
        .map(|at| {
            let away = ap.proportions.physical(*at) - axis.base;
            (
                away.dot(forward) / along.length(),
                away.dot(across).abs() * SKIN,
            )
        })
        .collect();
    let last = 1.0 + beyond;
    let widest = |centre: f64| widest_about(&seen, centre);
    let [first_half, last_half] = [widest(0.0)?, widest(last)?];
    let at = |share: f64, aside: f64| axis.base + along * share + across * aside;
    let round = |share: f64, half: f64, turn: f64| {
        at(share, half * turn.cos()) + forward * (half * turn.sin())
    };
    let half_turn = |step: u32| std::f64::consts::PI * f64::from(step) / f64::from(ROUND_END);
    // The round end lies within the toe, not beyond it.
    let last_centre = last - last_half / along.length();
    let levels: Vec<(f64, f64)> = (0..=TOE_LEVELS)
        .map(|level| last_centre * f64::from(level) / f64::from(TOE_LEVELS))
        .filter_map(|share| Some((share, widest(share)?)))
        .collect();
    let mut vertices: Vec<PhysicalPoint> = levels
        .iter()
        .map(|(share, half)| at(*share, *half))
        .collect();
    vertices.extend((0..=ROUND_END).map(|step| round(last_centre, last_half, half_turn(step))));
    vertices.extend(levels.iter().rev().map(|(share, half)| at(*share, -half)));
    // The base of the phalanx is a shallow cup: a flat arc toward the head stands for it and its capsule.
    vertices.extend((1..ROUND_END).map(|step| {
        let turn = half_turn(step);
        at(0.0, -first_half * turn.cos()) + forward * (-BASE_ARC * first_half * turn.sin())
    }));
    Some(Outline {
        vertices: vertices
            .into_iter()
            .map(|vertex| (ap.on_bone(vertex), Edge::Near))
            .collect(),
    })
}

/// The half width of the toe about a level along it: the widest of what was seen there, each less the farther away it
/// was, so that the width changes without steps. Nothing where no cortex was traced.
fn widest_about(seen: &[(f64, f64)], level: f64) -> Option<f64> {
    let near = |(share, half): &(f64, f64)| half * (1.0 - WIDTH_FALLS * (share - level).abs());
    let width = seen.iter().map(near).max_by(f64::total_cmp)?;
    let least = seen.iter().map(|(_, half)| *half).max_by(f64::total_cmp)? * LEAST_WIDTH;
    Some(width.max(least))
}
