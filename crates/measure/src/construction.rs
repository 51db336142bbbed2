//! The geometry behind a number, ready to be drawn on the film.

use plumbray_anatomy::{FilmPoint, LongBone, PhysicalPoint};

use crate::placed::PlacedFilm;

/// An angle whose lines meet further off than so many times the longer line is drawn without arc.
const FURTHEST_VERTEX: f64 = 1.5;

/// The arc's radius as a share of the shorter line.
const ARC_RADIUS: f64 = 0.5;

/// Stretches of the polyline that draws an arc.
const ARC_STRETCHES: u32 = 24;

/// What a row's number is made from, in film pixels.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Construction {
    /// Straight lines.
    pub lines: Vec<Line>,
    /// The arc of an angle, where its two lines meet near the bones.
    pub arc: Option<Arc>,
    /// Points worth a mark: where levels meet the middle of a shaft, centres, tips.
    pub points: Vec<FilmPoint>,
    /// A sesamoid's outline.
    pub ellipse: Option<Ellipse>,
}

/// A straight line of a construction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// What the line is.
    pub role: LineRole,
    /// Its proximal, posterior or first end.
    pub from: FilmPoint,
    /// Its distal, anterior or other end.
    pub to: FilmPoint,
}

/// What a line of a construction is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LineRole {
    /// The axis of a long bone.
    Axis(LongBone),
    /// An axis drawn on to where it meets the other line of the angle.
    Extension,
    /// A level across a shaft, from cortex to cortex.
    Level,
    /// The length of a long bone, base to tip.
    Length(LongBone),
    /// The line through the two ends of an articular surface.
    JointSurface,
    /// The perpendicular of an articular surface.
    JointNormal,
    /// A perpendicular dropped on an axis.
    Perpendicular,
    /// The axis of the talus.
    Talus,
    /// The plantar line of the calcaneus.
    Calcaneus,
    /// The floor.
    Floor,
    /// A line through the lesser tarsus, or the axis of one of its bones.
    LesserTarsus,
    /// A distance from one place to another.
    Distance,
    /// A line along one cortex of a shaft.
    Cortex(LongBone),
    /// A face of an osteotomy.
    CutFace,
}

/// The arc that marks an angle.
#[derive(Clone, Debug, PartialEq)]
pub struct Arc {
    /// Where the two lines meet.
    pub vertex: FilmPoint,
    /// Points along the arc, from the first line to the second. A polyline, because an arc of equal
    /// radius is no circle on a film whose pixels are not square.
    pub along: Vec<FilmPoint>,
}

/// An ellipse by its centre and two conjugate half-diameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ellipse {
    /// The centre.
    pub centre: FilmPoint,
    /// The end of one half-diameter.
    pub long_end: FilmPoint,
    /// The end of the conjugate half-diameter.
    pub short_end: FilmPoint,
}

impl Ellipse {
    /// The point of the outline at `turn` radians: centre + cos·(long end − centre)
    /// + sin·(short end − centre).
    #[must_use]
    pub fn at(&self, turn: f64) -> FilmPoint {
        let (sine, cosine) = turn.sin_cos();
        FilmPoint::new(
            self.centre.x_px
                + cosine * (self.long_end.x_px - self.centre.x_px)
                + sine * (self.short_end.x_px - self.centre.x_px),
            self.centre.y_px
                + cosine * (self.long_end.y_px - self.centre.y_px)
                + sine * (self.short_end.y_px - self.centre.y_px),
        )
    }
}

impl Construction {
    /// Adds the line of a distance from one place to another.
    pub(crate) fn mark_distance(
        &mut self,
        film: &PlacedFilm<'_, '_>,
        from: PhysicalPoint,
        to: PhysicalPoint,
    ) {
        self.lines.push(Line {
            role: LineRole::Distance,
            from: film.on_film(from),
            to: film.on_film(to),
        });
    }

    /// Adds the arc between two lines, and the lines drawn on to where they meet, if they meet near
    /// the bones.
    pub(crate) fn mark_angle(
        &mut self,
        film: &PlacedFilm<'_, '_>,
        first: [PhysicalPoint; 2],
        second: [PhysicalPoint; 2],
    ) {
        let directions = [first[1] - first[0], second[1] - second[0]];
        let lengths = directions.map(plumbray_anatomy::PhysicalVector::length);
        let across = directions[0].cross(directions[1]);
        let along_first = (second[0] - first[0]).cross(directions[1]) / across;
        let vertex = first[0] + directions[0] * along_first;
        let distance = [first, second]
            .into_iter()
            .flatten()
            .map(|end| (end - vertex).length())
            .fold(f64::INFINITY, f64::min);
        if !(distance.is_finite() && distance <= FURTHEST_VERTEX * lengths[0].max(lengths[1])) {
            return;
        }
        let vertex_on_film = film.on_film(vertex);
        for line in [first, second] {
            let nearest = if (line[0] - vertex).length() < (line[1] - vertex).length() {
                line[0]
            } else {
                line[1]
            };
            self.lines.push(Line {
                role: LineRole::Extension,
                from: vertex_on_film,
                to: film.on_film(nearest),
            });
        }
        let radius = ARC_RADIUS * lengths[0].min(lengths[1]);
        let start = directions[0].y.atan2(directions[0].x);
        let turn = across.atan2(directions[0].dot(directions[1]));
        let along = (0..=ARC_STRETCHES)
            .map(|stretch| {
                let angle = start + turn * f64::from(stretch) / f64::from(ARC_STRETCHES);
                let (sine, cosine) = angle.sin_cos();
                film.on_film(PhysicalPoint::new(
                    vertex.x + radius * cosine,
                    vertex.y + radius * sine,
                ))
            })
            .collect();
        self.arc = Some(Arc {
            vertex: vertex_on_film,
            along,
        });
    }
}
