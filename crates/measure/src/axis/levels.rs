//! Levels across a shaft and where they meet its cortices.

use plumbray_anatomy::{Cortices, FilmPoint, LongBone};

use crate::{
    derivative::Scalar,
    ends::Ends,
    placed::{Gap, PlacedFilm},
    plane::Point,
};

/// Cortices that meet a level closer together than this are one and the same line, in pixel widths.
const NARROWEST_SHAFT: f64 = 1.0;

/// A shaft whose cortices were traced, with the ends between which its levels are counted.
#[derive(Debug)]
pub(crate) struct Shaft<'f, 'a, 't> {
    film: &'f PlacedFilm<'a, 't>,
    bone: LongBone,
    cortices: &'a Cortices,
    ends: Ends<'t>,
    /// How far along the bone each vertex of each cortex lies.
    shares: [Vec<f64>; 2],
}

impl<'f, 'a, 't> Shaft<'f, 'a, 't> {
    /// The shaft of a bone: needs its cortices, and then base and tip, which a sweep proposes.
    pub(crate) fn of(film: &'f PlacedFilm<'a, 't>, bone: LongBone) -> Result<Self, Gap> {
        let cortices = film.cortices(bone)?;
        let ends = Ends::of(film, bone)?;
        let shares = [&cortices.one, &cortices.two].map(|cortex| {
            cortex
                .iter()
                .map(|vertex| ends.share_of(film.film.proportions.physical(*vertex)))
                .collect()
        });
        Ok(Self {
            film,
            bone,
            cortices,
            ends,
            shares,
        })
    }

    /// Which bone it is.
    pub(super) const fn bone(&self) -> LongBone {
        self.bone
    }

    /// Base and tip.
    pub(crate) const fn ends(&self) -> &Ends<'t> {
        &self.ends
    }

    /// The shares of the two levels that lie so many millimetres from base and tip.
    pub(super) fn shares_at_mm(
        &self,
        distance_mm: f64,
        mm_per_pixel_width: Scalar<'t>,
    ) -> Result<[Scalar<'t>; 2], Gap> {
        let length_mm = self.ends.length() * mm_per_pixel_width;
        let share = self.film.constant(distance_mm) / length_mm;
        if !(share.value() > 0.0 && share.value() < 0.5) {
            return Err(Gap::Refused(format!(
                "levels {distance_mm} mm from each end do not fit the {}, which is {:.1} mm long; \
                 choose a distance above 0 and below half of that",
                self.bone.name(),
                length_mm.value()
            )));
        }
        Ok([share, -share + 1.0])
    }

    /// Where the level at this share of the length meets the two cortices.
    pub(crate) fn crossings(&self, share: Scalar<'t>) -> Result<[Point<'t>; 2], Gap> {
        let crossings = [self.crossing(0, share)?, self.crossing(1, share)?];
        let width = (crossings[1].value() - crossings[0].value()).length();
        if width < NARROWEST_SHAFT {
            return Err(self.fault(format!(
                "the two cortices coincide at {:.0} % of the length; sweep the shaft again",
                100.0 * share.value()
            )));
        }
        Ok(crossings)
    }

    fn crossing(&self, cortex: usize, share: Scalar<'t>) -> Result<Point<'t>, Gap> {
        let shares = &self.shares[cortex];
        let nearest = shares
            .windows(2)
            .enumerate()
            .filter_map(|(start, stretch)| {
                let along = crossing_within(stretch[0], stretch[1], share.value())?;
                let vertices = self.vertices(cortex);
                let at = vertices[start].toward(vertices[start + 1], along);
                let at = self.film.film.proportions.physical(at);
                Some((start, self.ends.distance_from(at)))
            })
            .min_by(|one, other| one.1.total_cmp(&other.1));
        let Some((start, _)) = nearest else {
            return Err(self.fault(format!(
                "the {} cortex does not reach {:.0} % of the length; sweep the shaft again from end \
                 to end, and check its base and tip",
                ["first", "second"][cortex],
                100.0 * share.value()
            )));
        };
        let (from, to) = (self.vertex(cortex, start), self.vertex(cortex, start + 1));
        let (share_from, share_to) = (self.ends.share_on_tape(from), self.ends.share_on_tape(to));
        Ok(from.toward(to, (share - share_from) / (share_to - share_from)))
    }

    fn vertices(&self, cortex: usize) -> &'a [FilmPoint] {
        if cortex == 0 {
            &self.cortices.one
        } else {
            &self.cortices.two
        }
    }

    fn vertex(&self, cortex: usize, vertex: usize) -> Point<'t> {
        let share = self.shares[cortex][vertex];
        self.film
            .vertex(self.bone, self.cortices, cortex, vertex, share)
    }

    fn fault(&self, reason: String) -> Gap {
        Gap::Degenerate {
            landmarks: vec![format!("Cortices of the {}", self.bone.name())],
            reason,
        }
    }
}

/// How far along a segment from share `from` to share `to` the level lies, if it crosses it. A
/// segment that runs along the level does not cross it: its neighbours do.
fn crossing_within(from: f64, to: f64, level: f64) -> Option<f64> {
    let crosses = (from <= level && level <= to) || (to <= level && level <= from);
    let slanted = (to - from).abs() > 0.0;
    (crosses && slanted).then(|| (level - from) / (to - from))
}
