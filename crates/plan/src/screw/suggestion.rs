//! A pair of screws that meets the checks with the most bone held, found by trying.

use plumbray_anatomy::{PhysicalPoint, View};
use plumbray_measure::Foot;

use super::course::{ScrewCourse, course_of, relate};
use crate::{
    check::{Verdict, of_screws},
    error::PlanError,
    extent::Extent,
    foot_before::BonePlace,
    outline::Edge,
    plan::{Plan, Screw, ScrewKind},
    undertaking::{Undertaking, carry_out},
};

/// Entries along the medial cortex that are tried.
const ENTRIES: u32 = 14;

/// Aims that are tried for each entry.
const AIMS: u32 = 16;

/// The best first screws for each of which a second one is looked for.
const FIRST_KEPT: usize = 12;

/// Where the entries of the first screw begin and end, as shares of the way from the base's to the head's centre.
const FIRST_ENTRIES: [f64; 2] = [0.1, 0.5];

/// The largest angle between the two, in degrees: about parallel.
const LARGEST_ANGLE_DEGREES: f64 = 12.0;

/// What a failed check costs, in shares of the shaft's width of bone held: more than any screw can hold.
const COST_OF_OPEN_CHECK: f64 = 20.0;

/// The plan with the pair of screws that meets the most checks, and of these the one with the most bone held; wires
/// stay. On the lateral film both run from the midline to the height of the head's centre.
///
/// Every screw from a grid of entries on the medial cortex and of aims in the moved head is tried, in the lengths at
/// hand where lengths can be told. Ours.
///
/// # Errors
/// What stands in the way of the plan itself. A plan into whose head no screw leads comes back without screws.
pub fn suggest_pair(foot: &Foot<'_>, plan: &Plan, diameter: Extent) -> Result<Plan, PlanError> {
    let wires: Vec<Screw> = plan
        .screws
        .iter()
        .copied()
        .filter(|screw| screw.kind == ScrewKind::Wire)
        .collect();
    let mut bare = plan.clone();
    bare.screws.clear();
    let undertaking = carry_out(foot, &bare)?;
    let search = Search {
        undertaking: &undertaking,
        plan: &bare,
        diameter,
    };
    let mut found = bare.clone();
    found.screws = search.best_pair()?;
    found.screws_suggested = !found.screws.is_empty();
    found.screws.extend(wires);
    Ok(found)
}

/// A screw that is tried, with its way.
struct Candidate {
    screw: Screw,
    course: ScrewCourse,
}

struct Search<'a> {
    undertaking: &'a Undertaking,
    plan: &'a Plan,
    diameter: Extent,
}

impl Search<'_> {
    fn best_pair(&self) -> Result<Vec<Screw>, PlanError> {
        let candidates = self.candidates()?;
        let mut firsts: Vec<(f64, &Candidate)> = candidates
            .iter()
            .map(|first| (self.worth(&[first]), first))
            .collect();
        firsts.sort_by(|one, other| other.0.total_cmp(&one.0));
        let mut best: Option<(f64, [Screw; 2])> = None;
        for (_, first) in firsts.into_iter().take(FIRST_KEPT) {
            for second in &candidates {
                let is_distal = second.screw.entry.along > first.screw.entry.along;
                if !is_distal || !nearly_parallel(&first.screw, &second.screw) {
                    continue;
                }
                let worth = self.worth(&[first, second]);
                if best.as_ref().is_none_or(|(most, _)| worth > *most) {
                    best = Some((worth, [first.screw, second.screw]));
                }
            }
        }
        Ok(best.map(|(_, pair)| pair.to_vec()).unwrap_or_default())
    }

    /// Every screw of the grid whose tip lies in the head.
    fn candidates(&self) -> Result<Vec<Candidate>, PlanError> {
        let bone = self.undertaking.before.ap.length;
        let corner = self.undertaking.cut.ends[0].y / bone;
        let ends = [FIRST_ENTRIES[0], FIRST_ENTRIES[1].min(corner)];
        let mut candidates = Vec::new();
        for step in 0..=ENTRIES {
            let along = ends[0] + (ends[1] - ends[0]) * f64::from(step) / f64::from(ENTRIES);
            let Some(lateral) = self.medial_cortex(along) else {
                continue;
            };
            for (aim_lateral, aim_along) in self.aims() {
                let screw = Screw {
                    kind: ScrewKind::Screw,
                    diameter: self.diameter,
                    entry: self.on_midline(along, lateral),
                    tip: self.in_head(aim_along, aim_lateral),
                };
                if let Some(screw) = self.in_length_at_hand(screw) {
                    let course = course_of(self.undertaking, &screw)?;
                    candidates.push(Candidate { screw, course });
                }
            }
        }
        Ok(candidates)
    }

    /// Places of the moved head that lie its own radius within its outline: lateral and along, as shares.
    fn aims(&self) -> Vec<(f64, f64)> {
        let bone = self.undertaking.before.ap.length;
        let fragment = &self.undertaking.fragment;
        let diameter = self.diameter_in_pixel_widths();
        let reach = |take: fn(&PhysicalPoint) -> f64| {
            let values = fragment.vertices.iter().map(|(vertex, _)| take(vertex));
            values.fold((f64::MAX, f64::MIN), |(low, high), value| {
                (low.min(value), high.max(value))
            })
        };
        let (left, right) = reach(|vertex| vertex.x);
        let (low, high) = reach(|vertex| vertex.y);
        let mut aims = Vec::new();
        for column in 0..=AIMS {
            for row in 0..=AIMS {
                let share = |step: u32| f64::from(step) / f64::from(AIMS);
                let place = PhysicalPoint::new(
                    left + (right - left) * share(column),
                    f64::midpoint(low, high) + (high - low) / 2.0 * share(row),
                );
                let clear = fragment
                    .distance(place, &[Edge::HeadSurface])
                    .unwrap_or_default();
                let to_cortex = fragment
                    .distance(place, &[Edge::Near, Edge::Far])
                    .unwrap_or_default();
                // The axis itself stays in the bone, and the body short of the joint.
                if fragment.contains(place) && clear >= diameter && to_cortex >= diameter / 4.0 {
                    aims.push((place.x / bone, place.y / bone));
                }
            }
        }
        aims
    }

    /// Where the medial cortex lies at a level, as shares.
    fn medial_cortex(&self, along: f64) -> Option<f64> {
        let bone = self.undertaking.before.ap.length;
        let [from, to] = [-1.0, 1.0].map(|side| PhysicalPoint::new(side * bone, along * bone));
        let crossings = self.undertaking.shaft.crossings(from, to);
        let medial = crossings
            .iter()
            .find(|crossing| crossing.edge == Edge::Near)?;
        Some((from.x + (to.x - from.x) * medial.share) / bone)
    }

    fn on_midline(&self, along: f64, lateral: f64) -> BonePlace {
        let dorsal = self
            .undertaking
            .before
            .lateral
            .as_ref()
            .map_or(0.0, |view| view.midline / view.length);
        BonePlace {
            along,
            lateral,
            dorsal,
        }
    }

    fn in_head(&self, along: f64, lateral: f64) -> BonePlace {
        let head = self.undertaking.head_centre(View::Lateral);
        let view = self.undertaking.before.lateral.as_ref();
        BonePlace {
            along,
            lateral,
            dorsal: head
                .zip(view)
                .map_or(0.0, |(head, view)| head.x / view.length),
        }
    }

    /// The same screw, its tip drawn back to the longest length at hand that reaches no further; nothing where all are
    /// longer. Where no length can be told it stays.
    fn in_length_at_hand(&self, screw: Screw) -> Option<Screw> {
        let Some(mm) = super::ScrewLength::of(&self.undertaking.before, &screw).best_mm() else {
            return Some(screw);
        };
        let share = self.plan.lengths.at_most(mm)? / mm;
        let between = |from: f64, to: f64| from + (to - from) * share;
        Some(Screw {
            tip: BonePlace {
                along: between(screw.entry.along, screw.tip.along),
                lateral: between(screw.entry.lateral, screw.tip.lateral),
                dorsal: between(screw.entry.dorsal, screw.tip.dorsal),
            },
            ..screw
        })
    }

    /// How good screws are: bone held, less what is open.
    fn worth(&self, candidates: &[&Candidate]) -> f64 {
        let screws: Vec<Screw> = candidates.iter().map(|candidate| candidate.screw).collect();
        let mut courses: Vec<ScrewCourse> = candidates
            .iter()
            .map(|candidate| candidate.course.clone())
            .collect();
        relate(self.undertaking, &screws, &mut courses);
        let held: f64 = courses
            .iter()
            .map(|course| course.in_shaft.of_width + course.in_fragment.of_width)
            .sum();
        let open = of_screws(self.undertaking, self.plan, &screws, &courses)
            .iter()
            .filter(|check| check.verdict == Verdict::Open)
            .count();
        held - COST_OF_OPEN_CHECK * f64::from(u32::try_from(open).unwrap_or(u32::MAX))
    }

    fn diameter_in_pixel_widths(&self) -> f64 {
        self.undertaking
            .cut
            .of_width(self.diameter, "The diameter of a screw")
            .unwrap_or_default()
    }
}

fn nearly_parallel(first: &Screw, second: &Screw) -> bool {
    let direction = |screw: &Screw| {
        [
            screw.tip.lateral - screw.entry.lateral,
            screw.tip.along - screw.entry.along,
        ]
    };
    let ([a, b], [c, d]) = (direction(first), direction(second));
    let angle = (a * d - b * c).abs().atan2(a * c + b * d);
    angle <= LARGEST_ANGLE_DEGREES.to_radians()
}
