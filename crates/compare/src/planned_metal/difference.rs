//! By how much a wire lies otherwise than planned.

use plumbray_anatomy::{FilmPoint, PhysicalPoint};
use plumbray_plan::{Length, PlannedCut, Screw};

use super::LaidByShaft;

/// By how much a screw or wire on a later film lies otherwise than planned, as that film shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct MetalDifference {
    /// Of its proximal end.
    pub entry: EndDifference,
    /// Of its distal end.
    pub tip: EndDifference,
    /// The angle from the planned direction to the actual one in degrees, positive where the actual one points
    /// farther lateral.
    pub angle_degrees: f64,
    /// Whose millimetres they are: the calibration of the film before. Nothing where that has none, and so no
    /// millimetres.
    pub calibration: Option<String>,
}

/// By how much an end lies otherwise than planned. Shares are of the shaft's width at the planned cut, millimetres
/// those of the film before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EndDifference {
    /// Farther lateral, square to the shaft; negative farther medial.
    pub lateral: Length,
    /// Farther distal, along the shaft; negative farther proximal.
    pub distal: Length,
    /// How far apart both are.
    pub apart: Length,
}

impl LaidByShaft {
    /// The planned screw or wire that lies nearest to a marked one, by the sum of how far entry and tip lie apart: its
    /// place among `screws`, and by how much the marked one lies otherwise ([`Self::difference`]). Nothing without a
    /// planned one, or where the two marks are one place.
    #[must_use]
    pub fn nearest(
        &self,
        screws: &[Screw],
        cut: &PlannedCut,
        marked: [FilmPoint; 2],
    ) -> Option<(usize, MetalDifference)> {
        let apart =
            |told: &MetalDifference| told.entry.apart.pixel_widths + told.tip.apart.pixel_widths;
        screws
            .iter()
            .enumerate()
            .filter_map(|(place, screw)| Some((place, self.difference(screw, cut, marked)?)))
            .min_by(|(_, one), (_, other)| apart(one).total_cmp(&apart(other)))
    }

    /// By how much a screw or wire, of which a reader marked both ends on the later film in either order, lies
    /// otherwise than planned; nothing where the two marks are one place.
    ///
    /// Both are told in the directions of the film before, so that the later film needs no calibration. It is what an
    /// AP film shows: how far a screw lies more dorsal, no AP film tells.
    #[must_use]
    pub fn difference(
        &self,
        screw: &Screw,
        cut: &PlannedCut,
        marked: [FilmPoint; 2],
    ) -> Option<MetalDifference> {
        let ap = &self.before.ap;
        let mut actual = marked.map(|at| self.on_bone(at));
        if actual[0].y > actual[1].y {
            actual.swap(0, 1);
        }
        let planned = [screw.entry, screw.tip]
            .map(|place| PhysicalPoint::new(place.lateral * ap.length, place.along * ap.length));
        let length = |pixel_widths: f64| Length {
            pixel_widths,
            of_width: pixel_widths / cut.width,
            mm: ap.mm_per_pixel_width.map(|size| size * pixel_widths),
        };
        let end = |place: usize| {
            let away = actual[place] - planned[place];
            EndDifference {
                lateral: length(away.x),
                distal: length(away.y),
                apart: length(away.length()),
            }
        };
        let [planned_way, way] = [planned, actual].map(|[entry, tip]| tip - entry);
        // Across is x and along is y: a turn from y toward x is one toward lateral.
        let angle = way.cross(planned_way).atan2(planned_way.dot(way));
        (way.length() > 0.0).then(|| MetalDifference {
            entry: end(0),
            tip: end(1),
            angle_degrees: angle.to_degrees(),
            calibration: ap.calibration_name.clone(),
        })
    }
}
