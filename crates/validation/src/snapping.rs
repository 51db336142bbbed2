//! From a rough reader's hints to a tracing, by the searches of the tracing crate.
//!
//! The order and the rules are those of the program's window: the head and the sesamoids lean on the
//! traced first metatarsal, the ends of the joint surface on the head, and what is not found is left
//! out or stays as it was drawn.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, FilmPoint, FilmTracing, Landmark, LongBone, PlacedPoint,
    Sesamoid, View,
};
use plumbray_film::GreyView;
use plumbray_proposal::Hints;
use plumbray_trace::{
    Hand, Stroke, fit_head_circle, fit_round_object, fit_sesamoid, snap_articular_end,
    trace_long_bone,
};

use crate::reader::PAIRS;

/// What became of a reader's hints.
#[derive(Clone, Debug, Default)]
pub struct Snapped {
    /// What was found.
    pub tracing: FilmTracing,
    /// What was not found, or not followed, by name.
    pub misses: Vec<String>,
}

/// Traces everything that the hints point at.
#[must_use]
pub fn snapped(film: &GreyView<'_>, view: View, hints: &Hints) -> Snapped {
    let mut search = Search {
        film,
        view,
        hand: Hand::on(film, None),
        found: Snapped::default(),
    };
    for bone in LongBone::ALL {
        if let Some(stroke) = hints.stroke(bone) {
            search.long_bone(bone, &stroke);
        }
    }
    let near = |landmark| hints.points.get(&landmark).copied();
    if let Some(near) = near(Landmark::HeadCentre) {
        search.head(near);
    }
    for sesamoid in Sesamoid::ALL {
        if let Some(near) = near(Landmark::SesamoidCentre(sesamoid)) {
            search.sesamoid(sesamoid, near);
        }
    }
    for end in [Landmark::ArticularMedial, Landmark::ArticularLateral] {
        if let Some(near) = near(end) {
            search.articular_end(end, near);
        }
    }
    for landmark in PAIRS.into_iter().flatten() {
        if let Some(near) = near(landmark) {
            search.hindfoot_or_floor(landmark, near);
        }
    }
    search.found
}

/// The calibration by a ball or coin of known diameter that a reader swept from its middle to its
/// edge; nothing when no round edge is found.
#[must_use]
pub fn calibrated(
    film: &GreyView<'_>,
    [centre, edge]: [FilmPoint; 2],
    diameter_mm: f64,
) -> Option<Calibration> {
    let fit = fit_round_object(film, centre, centre.distance_px(edge)).ok()?;
    Calibration::by_known_size(
        CalibrationBasis::RoundObject { diameter_mm },
        diameter_mm,
        2.0 * fit.radius_px,
        2.0 * fit.radius_sd_px,
        film.proportions,
    )
    .ok()
}

struct Search<'a> {
    film: &'a GreyView<'a>,
    view: View,
    hand: Hand,
    found: Snapped,
}

impl Search<'_> {
    fn put(&mut self, landmark: Landmark, placed: PlacedPoint) {
        self.found.tracing.points.insert(landmark, placed);
    }

    fn miss(&mut self, what: &str) {
        self.found.misses.push(what.to_owned());
    }

    fn long_bone(&mut self, bone: LongBone, stroke: &Stroke) {
        match trace_long_bone(self.film, bone, stroke) {
            Ok(trace) if self.view == View::Lateral && trace.ends_far_from(stroke) => {
                self.miss(&format!("{}: hidden, left as drawn", bone.name()));
                for (landmark, at) in [
                    (Landmark::ShaftStart(bone), stroke.from),
                    (Landmark::ShaftEnd(bone), stroke.to),
                    (Landmark::BaseCentre(bone), stroke.from),
                    (Landmark::Tip(bone), stroke.to),
                ] {
                    self.put(landmark, self.hand.placed(at));
                }
            }
            Ok(trace) => {
                self.found.tracing.cortices.insert(bone, trace.cortices);
                for (landmark, part, end) in [
                    (Landmark::BaseCentre(bone), "base", trace.base_centre),
                    (Landmark::Tip(bone), "tip", trace.tip),
                ] {
                    match end {
                        Some(placed) => self.put(landmark, placed),
                        None => self.miss(&format!("{}: no {part}", bone.name())),
                    }
                }
            }
            Err(_) => self.miss(&format!("{}: no shaft", bone.name())),
        }
    }

    fn first_metatarsal(&self) -> Option<Stroke> {
        let base = self
            .found
            .tracing
            .point(Landmark::BaseCentre(LongBone::M1))?;
        let tip = self.found.tracing.point(Landmark::Tip(LongBone::M1))?;
        Some(Stroke::new(base, tip))
    }

    fn head(&mut self, near: FilmPoint) {
        match fit_head_circle(self.film, near, None, self.first_metatarsal()) {
            Ok(circle) => {
                self.put(Landmark::HeadCentre, circle.centre);
                self.put(Landmark::HeadEdge, circle.edge);
            }
            Err(_) => self.miss("head: no round edge"),
        }
    }

    fn sesamoid(&mut self, sesamoid: Sesamoid, near: FilmPoint) {
        match fit_sesamoid(self.film, near, None, self.first_metatarsal()) {
            Ok(ellipse) => {
                let [centre, long, short] = Landmark::of_sesamoid(sesamoid);
                self.put(centre, ellipse.centre);
                self.put(long, ellipse.long_end);
                self.put(short, ellipse.short_end);
            }
            Err(_) => self.miss(&format!("{}: no outline", sesamoid.name())),
        }
    }

    fn articular_end(&mut self, end: Landmark, near: FilmPoint) {
        let tracing = &self.found.tracing;
        let head = tracing
            .point(Landmark::HeadCentre)
            .zip(tracing.point(Landmark::HeadEdge));
        let found = head
            .zip(self.first_metatarsal())
            .and_then(|(head, axis)| snap_articular_end(self.film, near, head, axis).ok());
        if let Some(placed) = found {
            self.put(end, placed);
        } else {
            self.miss("joint surface: an end went to the nearest edge");
            self.put(end, self.hand.snapped(self.film, near));
        }
    }

    fn hindfoot_or_floor(&mut self, landmark: Landmark, near: FilmPoint) {
        let placed = match landmark {
            Landmark::CalcaneusPosterior | Landmark::CalcaneusAnterior => {
                self.hand.snapped(self.film, near)
            }
            _ => self.hand.placed(near),
        };
        self.put(landmark, placed);
    }
}
