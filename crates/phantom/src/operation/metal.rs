//! Screws and wires, and where a ray lies in them.

use nalgebra::Vector3;

use super::{Screw, Thread, Wire};
use crate::{bones::bone::Stretch, geometry::frame::Frame, geometry::projection::Ray};

/// What a piece of metal is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Alloy {
    /// Titanium, as screws are.
    Titanium,
    /// Steel, as wires are.
    Steel,
}

/// A screw or a wire in its place in the foot.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Metal {
    /// What it is made of.
    pub(crate) alloy: Alloy,
    thread: Thread,
    start: Vector3<f64>,
    along: Vector3<f64>,
    /// Two unit vectors square to its length and to each other.
    across: [Vector3<f64>; 2],
    length_mm: f64,
}

/// How finely a ray is followed through a thread, in mm.
const STEP_MM: f64 = 0.06;

/// Which share of its pitch a crest takes up at its foot.
const CREST_SHARE: f64 = 0.7;

/// Length of the tapered end of a screw, in diameters of its core.
const TAPER_DIAMETERS: f64 = 0.8;

impl Metal {
    /// A screw whose places are given in a frame.
    pub(crate) fn screw(screw: &Screw, frame: &Frame) -> Self {
        let [start, end] =
            [screw.entry_mm, screw.tip_mm].map(|place| frame.foot_from_bone(place.into()));
        Self::between(Alloy::Titanium, screw.thread, start, end)
    }

    /// A wire whose places are given in a frame.
    pub(crate) fn wire(wire: &Wire, frame: &Frame) -> Self {
        let [start, end] =
            [wire.entry_mm, wire.tip_mm].map(|place| frame.foot_from_bone(place.into()));
        let smooth = Thread {
            outer_diameter_mm: wire.diameter_mm,
            core_diameter_mm: wire.diameter_mm,
            pitch_mm: 1.0,
            hole_diameter_mm: 0.0,
        };
        Self::between(Alloy::Steel, smooth, start, end)
    }

    fn between(alloy: Alloy, thread: Thread, start: Vector3<f64>, end: Vector3<f64>) -> Self {
        let along = (end - start).normalize();
        // Any direction that is not nearly its own.
        let other = if along.z.abs() < 0.8 {
            Vector3::z()
        } else {
            Vector3::x()
        };
        let first = along.cross(&other).normalize();
        Self {
            alloy,
            thread,
            start,
            along,
            across: [first, along.cross(&first)],
            length_mm: (end - start).norm(),
        }
    }

    /// The eight corners of a box that holds it, in the foot's coordinates.
    pub(crate) fn corners(&self) -> [Vector3<f64>; 8] {
        let reach = self.thread.outer_diameter_mm / 2.0;
        std::array::from_fn(|corner| {
            let sign = |bit: usize| if corner & bit == 0 { -1.0 } else { 1.0 };
            let along = if corner & 4 == 0 { 0.0 } else { self.length_mm };
            self.start
                + self.along * along
                + self.across[0] * (reach * sign(1))
                + self.across[1] * (reach * sign(2))
        })
    }

    /// The stretches of a ray in the foot's coordinates that lie in the metal, in order.
    pub(crate) fn stretches(&self, ray: &Ray) -> Vec<Stretch> {
        let own = self.local(ray);
        let Some((enter, leave)) = self.reach(&own) else {
            return Vec::new();
        };
        let mut stretches: Vec<Stretch> = Vec::new();
        let mut open: Option<f64> = None;
        let mut at = enter;
        let mut here = self.depth(own.at(at));
        if here > 0.0 {
            open = Some(at);
        }
        while at < leave {
            let next = (at + STEP_MM).min(leave);
            let there = self.depth(own.at(next));
            if (here > 0.0) != (there > 0.0) {
                let crossing = at + (next - at) * here / (here - there);
                match open.take() {
                    Some(start) => stretches.push((start, crossing)),
                    None => open = Some(crossing),
                }
            }
            (at, here) = (next, there);
        }
        if let Some(start) = open {
            stretches.push((start, leave));
        }
        stretches
    }

    /// A ray in the metal's own coordinates: its axis runs along z from the origin.
    fn local(&self, ray: &Ray) -> Ray {
        let turned = |vector: Vector3<f64>| {
            Vector3::new(
                vector.dot(&self.across[0]),
                vector.dot(&self.across[1]),
                vector.dot(&self.along),
            )
        };
        Ray {
            origin: turned(ray.origin - self.start),
            direction: turned(ray.direction),
        }
    }

    /// The stretch of a ray in own coordinates within the cylinder around the crests.
    fn reach(&self, ray: &Ray) -> Option<Stretch> {
        let radius = self.thread.outer_diameter_mm / 2.0;
        let (origin, direction) = (ray.origin.xy(), ray.direction.xy());
        let squared = direction.norm_squared();
        let (mut enter, mut leave) = (0.0_f64, f64::INFINITY);
        if squared > 1e-12 {
            let middle = -origin.dot(&direction) / squared;
            let nearest = (origin + direction * middle).norm_squared();
            let half = ((radius * radius - nearest) / squared).max(0.0).sqrt();
            (enter, leave) = (enter.max(middle - half), leave.min(middle + half));
        } else if origin.norm() > radius {
            return None;
        }
        if ray.direction.z.abs() > 1e-12 {
            let ends = [0.0, self.length_mm].map(|end| (end - ray.origin.z) / ray.direction.z);
            enter = enter.max(ends[0].min(ends[1]));
            leave = leave.min(ends[0].max(ends[1]));
        } else if !(0.0..=self.length_mm).contains(&ray.origin.z) {
            return None;
        }
        (enter < leave).then_some((enter, leave))
    }

    /// How deep a point in own coordinates, between the two ends, lies in the metal in mm; negative
    /// outside.
    fn depth(&self, point: Vector3<f64>) -> f64 {
        let thread = &self.thread;
        let core = thread.core_diameter_mm / 2.0;
        let outer = thread.outer_diameter_mm / 2.0;
        let from_axis = point.x.hypot(point.y);
        let from_hole = if thread.hole_diameter_mm > 0.0 {
            from_axis - thread.hole_diameter_mm / 2.0
        } else {
            f64::INFINITY
        };
        if outer - core < 1e-9 {
            return (outer - from_axis).min(from_hole);
        }
        let turn = point.y.atan2(point.x) / std::f64::consts::TAU;
        let phase = (point.z / thread.pitch_mm - turn).rem_euclid(1.0);
        let crest = (1.0 - 2.0 * (phase - 0.5).abs() / CREST_SHARE).max(0.0);
        let taper_mm = TAPER_DIAMETERS * thread.core_diameter_mm;
        let to_tip = ((self.length_mm - point.z) / taper_mm).clamp(0.0, 1.0);
        let blunt = 0.55 + 0.45 * to_tip;
        let surface = (core + (outer - core) * crest) * blunt;
        (surface - from_axis).min(from_hole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::frame::Attitude;

    fn level() -> Frame {
        Frame::new(
            Vector3::new(3.0, 2.0, 20.0),
            Attitude::degrees(-12.0, 20.0, 0.0),
        )
    }

    fn length(stretches: &[Stretch]) -> f64 {
        stretches.iter().map(|(enter, leave)| leave - enter).sum()
    }

    const fn screw(core_diameter_mm: f64, hole_diameter_mm: f64) -> Screw {
        Screw {
            entry_mm: [-9.0, 0.0, 10.0],
            tip_mm: [12.0, 1.0, 55.0],
            thread: Thread {
                outer_diameter_mm: 4.0,
                core_diameter_mm,
                pitch_mm: 1.5,
                hole_diameter_mm,
            },
        }
    }

    /// A ray that passes the middle of a piece of metal at a distance from its axis, leaning along it.
    fn ray_past(metal: &Metal, offset: f64, lean: f64) -> Ray {
        let middle = metal.start + metal.along * (0.4 * metal.length_mm);
        let direction = (metal.across[1] + metal.along * lean).normalize();
        Ray {
            origin: middle + metal.across[0] * offset - direction * 900.0,
            direction,
        }
    }

    #[test]
    fn a_ray_through_a_smooth_wire_has_the_length_of_its_chord() {
        let wire = Wire {
            entry_mm: [-9.0, 0.0, 10.0],
            tip_mm: [12.0, 1.0, 55.0],
            diameter_mm: 2.0,
        };
        let metal = Metal::wire(&wire, &level());
        for (offset, lean) in [(0.0, 0.0), (0.5, 0.0), (0.9, 0.0), (0.3, 0.8)] {
            let chord = 2.0 * (1.0_f64 - offset * offset).sqrt() * 1.0_f64.hypot(lean);
            let found = length(&metal.stretches(&ray_past(&metal, offset, lean)));
            assert!((found / chord - 1.0).abs() < 0.005, "{found} of {chord}");
        }
        let beside = metal.stretches(&ray_past(&metal, 1.1, 0.0));
        assert!(beside.is_empty(), "{beside:?}");
    }

    #[test]
    fn a_ray_through_a_hollow_smooth_screw_lacks_the_hole() {
        let metal = Metal::screw(&screw(4.0, 1.4), &level());
        let found = metal.stretches(&ray_past(&metal, 0.0, 0.0));
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(
            (length(&found) / (4.0 - 1.4) - 1.0).abs() < 0.005,
            "{found:?}"
        );
    }

    #[test]
    fn a_ray_along_the_axis_of_a_wire_has_its_length() {
        let wire = Wire {
            entry_mm: [0.0, 0.0, 10.0],
            tip_mm: [0.0, 0.0, 40.0],
            diameter_mm: 1.6,
        };
        let metal = Metal::wire(&wire, &level());
        let ray = Ray {
            origin: metal.start - metal.along * 100.0,
            direction: metal.along,
        };
        let found = length(&metal.stretches(&ray));
        assert!((found - 30.0).abs() < 1e-9, "{found}");
    }

    #[test]
    fn a_thread_lies_between_its_core_and_its_crests_and_winds_with_its_pitch() {
        let metal = Metal::screw(&screw(2.8, 0.0), &level());
        let across = |along: f64| {
            let middle = metal.start + metal.along * along;
            let ray = Ray {
                origin: middle - metal.across[1] * 900.0,
                direction: metal.across[1],
            };
            length(&metal.stretches(&ray))
        };
        let mut chords = Vec::new();
        for step in 0..60 {
            chords.push(across(15.0 + 0.05 * f64::from(step)));
        }
        let low = chords.iter().copied().fold(f64::INFINITY, f64::min);
        let high = chords.iter().copied().fold(0.0, f64::max);
        assert!(
            low > 2.79 && high < 4.01 && high - low > 0.15,
            "{low} to {high}"
        );
        assert!((across(15.3) - across(16.8)).abs() < 0.02, "one pitch on");
    }

    #[test]
    fn its_box_holds_every_stretch() {
        let metal = Metal::screw(&screw(2.8, 1.2), &level());
        let ray = ray_past(&metal, 0.8, 2.0);
        let found = metal.stretches(&ray);
        assert!(!found.is_empty(), "the ray meets the screw");
        for (enter, leave) in found {
            for at in [enter, leave] {
                let own = metal.local(&ray).at(at);
                assert!(own.x.hypot(own.y) < 2.001, "{own}");
                assert!((-1e-9..=metal.length_mm + 1e-9).contains(&own.z), "{own}");
            }
        }
    }
}
