//! Where the head of the first metatarsal lies against the proximal half of its shaft, which an osteotomy
//! through the neck does not move.

use plumbray_anatomy::{Landmark, LongBone, PhysicalPoint, PhysicalVector, View};

use crate::{
    axis::{self, Axis, Shaft},
    derivative::Tape,
    evaluation::Finding,
    foot::Foot,
    joints::{METATARSAL_HEAD, normal_of},
    lateral_side::lateral_turn,
    lateral_view::{dorsal, toward_dorsal},
    outcome::Outcome,
    placed::{Gap, PlacedFilm, both},
    plane::Point,
    two_point_line::TwoPointLine,
};

/// The levels, as shares of the bone's length from its base, through whose middles the line of the proximal
/// shaft is fitted.
///
/// Farther distally the cortices of an operated bone may already be those of the moved fragment, or of metal.
pub const PROXIMAL_LEVELS: [f64; 7] = [0.25, 0.28, 0.31, 0.34, 0.37, 0.4, 0.43];

/// How far the first metatarsal's head lies lateral of the line through the middle of the proximal shaft, on
/// the AP film, in pixel widths.
///
/// The head's place is the middle of its joint surface, which is found more surely than the centre of its
/// circle.
///
/// ```text
/// e = σ · (a × (h − q)) / |a|
/// ```
///
/// with the line (q, a) of least squared distances from the middles at seven levels from 25 to 43 % of the
/// bone's length, h the middle of the joint surface and σ = 1 on a right foot, −1 on a left one. Ours: the difference between two
/// visits is how far an osteotomy through the neck shifted the head. Refused on an operated foot whose
/// osteotomy is marked proximal to those levels.
#[must_use]
pub fn head_offset_px(foot: &Foot<'_>) -> Outcome {
    told(foot, View::Ap, |film| {
        let parts = both(
            line(film, foot.operated),
            TwoPointLine::of(film, METATARSAL_HEAD),
        );
        let ((shaft, surface), side) = both(parts, lateral_turn(film))?;
        Ok(offset_of(film, &shaft, surface.middle(), side.sign()))
    })
}

/// How far the first metatarsal's head lies dorsal of the line through the middle of the proximal shaft, on the
/// lateral film, in pixel widths; negative where it lies plantar.
///
/// The line is that of [`head_offset_px`], on the lateral film; the head's place is the centre of its circle, since
/// no joint surface is placed on that film, and dorsal follows from the floor, or without one from the plantar line of
/// the calcaneus. Ours: the difference between two visits is how far an osteotomy through the neck shifted the head.
#[must_use]
pub fn head_offset_on_lateral_px(foot: &Foot<'_>) -> Outcome {
    told(foot, View::Lateral, |film| {
        let parts = both(line(film, foot.operated), film.point(Landmark::HeadCentre));
        let ((shaft, head), dorsal) = both(parts, dorsal(film))?;
        let clockwise = toward_dorsal(shaft.direction.value(), dorsal);
        let clockwise = clockwise.ok_or_else(|| Gap::Degenerate {
            landmarks: vec![format!("Cortices of the {}", LongBone::M1.name())],
            reason: "the shaft stands upright on the floor, so that dorsal and plantar cannot be told; sweep it again"
                .to_owned(),
        })?;
        Ok(offset_of(film, &shaft, head, clockwise))
    })
}

/// How far the centre of the first metatarsal's head lies distal of the centre of its base along the line through the
/// middle of the proximal shaft, on the film of a view, in pixel widths.
///
/// The line is that of [`head_offset_px`]. Ours: the difference between two visits is how far an osteotomy through the
/// neck shortened or lengthened the bone as that film shows it.
#[must_use]
pub fn head_reach_px(foot: &Foot<'_>, view: View) -> Outcome {
    told(foot, view, |film| {
        let ends = both(
            film.point(Landmark::BaseCentre(LongBone::M1)),
            film.point(Landmark::HeadCentre),
        );
        let (shaft, (base, head)) = both(line(film, foot.operated), ends)?;
        let reach = (head - base).dot(shaft.direction) / shaft.direction.length();
        let mut finding = Finding::plain(reach);
        finding.construction.lines = shaft.lines(film);
        let ends = [base, head].map(|end| dropped(&shaft, end.value()));
        finding.construction.mark_distance(film, ends[0], ends[1]);
        Ok(finding)
    })
}

/// How far a place lies from a line, positive on the side that lies clockwise (1) or counter-clockwise (−1) of its
/// direction on the film.
fn offset_of<'t>(
    film: &PlacedFilm<'_, 't>,
    shaft: &Axis<'t>,
    head: Point<'t>,
    clockwise: f64,
) -> Finding<'t> {
    let away = head - shaft.through;
    let offset = shaft.direction.cross(away) / shaft.direction.length() * clockwise;
    let mut finding = Finding::plain(offset);
    finding.construction.lines = shaft.lines(film);
    let foot = dropped(shaft, head.value());
    finding.construction.mark_distance(film, foot, head.value());
    finding
}

/// The angle from the line through the middle of the proximal shaft to the perpendicular of the first
/// metatarsal's distal joint surface, on the AP film, in degrees; positive when the surface faces laterally.
///
/// The line is that of [`head_offset_px`]. Ours: the difference between two visits is how far an osteotomy
/// through the neck turned the head on the film.
#[must_use]
pub fn head_tilt(foot: &Foot<'_>) -> Outcome {
    told(foot, View::Ap, |film| {
        let parts = both(
            line(film, foot.operated),
            TwoPointLine::of(film, METATARSAL_HEAD),
        );
        let ((shaft, surface), side) = both(parts, lateral_turn(film))?;
        let normal = normal_of(&surface, shaft.direction.value(), METATARSAL_HEAD)?;
        let turn = shaft.direction.turn_to(normal) * side.sign();
        let mut finding = Finding::degrees(turn);
        finding.construction.lines = shaft.lines(film);
        Ok(finding)
    })
}

/// The proximal half of the first metatarsal's shaft on one film, in physical proportions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProximalShaft {
    /// A point of the line through its middle.
    pub through: PhysicalPoint,
    /// Along that line from the base toward the tip, of length one.
    pub along: PhysicalVector,
    /// Its width at each of [`PROXIMAL_LEVELS`], in pixel widths.
    pub widths: [f64; PROXIMAL_LEVELS.len()],
}

/// The proximal half of the first metatarsal's shaft on the film of a view, without its spread.
///
/// The line is that of [`head_offset_px`]; its levels are square to the line from the base to the tip.
///
/// # Errors
/// The outcome that a measurement with this line would have: what is missing, refused or broken.
pub fn proximal_shaft(foot: &Foot<'_>, view: View) -> Result<ProximalShaft, Outcome> {
    let tape = Tape::default();
    let found = PlacedFilm::of(foot, view, &tape).and_then(|film| {
        let shaft = line(&film, foot.operated)?;
        let along = shaft.direction.value().unit();
        let along = along.ok_or_else(|| Gap::Degenerate {
            landmarks: vec![format!("Cortices of the {}", LongBone::M1.name())],
            reason: "the line through the shaft has no direction; sweep it again".to_owned(),
        })?;
        let mut widths = [0.0; PROXIMAL_LEVELS.len()];
        for (width, [one, other]) in widths.iter_mut().zip(&shaft.levels) {
            *width = (*other - *one).length();
        }
        Ok(ProximalShaft {
            through: shaft.through.value(),
            along,
            widths,
        })
    });
    found.map_err(Outcome::from)
}

fn told(
    foot: &Foot<'_>,
    view: View,
    find: impl for<'a, 't> Fn(&PlacedFilm<'a, 't>) -> Result<Finding<'t>, Gap>,
) -> Outcome {
    let tape = Tape::default();
    match PlacedFilm::of(foot, view, &tape).and_then(|film| find(&film)) {
        Ok(finding) => finding.outcome(&tape),
        Err(gap) => gap.into(),
    }
}

/// The line of the proximal shaft.
fn line<'t>(film: &PlacedFilm<'_, 't>, operated: bool) -> Result<Axis<'t>, Gap> {
    let shaft = Shaft::of(film, LongBone::M1)?;
    if operated && film.has(Landmark::OsteotomyLevel) {
        axis::before_the_cut(
            film,
            shaft.ends(),
            PROXIMAL_LEVELS[PROXIMAL_LEVELS.len() - 1],
        )?;
    }
    let shares = PROXIMAL_LEVELS.map(|share| film.constant(share)).to_vec();
    axis::through_levels(film, &shaft, shares)
}

/// Where the perpendicular of a point meets a line.
fn dropped(shaft: &Axis<'_>, point: PhysicalPoint) -> PhysicalPoint {
    let (through, direction) = (shaft.through.value(), shaft.direction.value());
    let along = (point - through).dot(direction) / direction.dot(direction);
    through + direction * along
}
