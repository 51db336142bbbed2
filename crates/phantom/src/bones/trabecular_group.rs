//! Groups of trabeculae that run together where a bone is loaded, and the gaps between them.

use nalgebra::Vector3;

/// A band of spongy bone that is denser, or emptier, than what is around it, and whose trabeculae run
/// along it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct TrabecularGroup {
    from: Vector3<f64>,
    along: Vector3<f64>,
    length_mm: f64,
    reach_mm: f64,
    change: f64,
}

impl TrabecularGroup {
    /// A group along the line between two points in a bone's coordinates, over `reach_mm` to all
    /// sides, in which the share of bone is changed by `change` of itself at the line.
    pub(crate) fn new(from: [f64; 3], to: [f64; 3], reach_mm: f64, change: f64) -> Self {
        let (from, to) = (Vector3::from(from), Vector3::from(to));
        let length_mm = (to - from).norm();
        Self {
            from,
            along: (to - from) / length_mm.max(f64::MIN_POSITIVE),
            length_mm,
            reach_mm,
            change,
        }
    }

    /// How far a point belongs to the group: 1 on its line, 0 beyond its reach.
    fn weight(&self, point: Vector3<f64>) -> f64 {
        let offset = point - self.from;
        let nearest = self.along * offset.dot(&self.along).clamp(0.0, self.length_mm);
        let squared = (offset - nearest).norm_squared() / (self.reach_mm * self.reach_mm);
        (1.0 - squared).max(0.0).powi(2)
    }
}

/// The density of trabeculae at a point against the mean of the bone, when `texture` gives it for a
/// direction of the grain.
pub(crate) fn grouped_density(
    groups: &[TrabecularGroup],
    grain: Vector3<f64>,
    point: Vector3<f64>,
    texture: impl Fn(Vector3<f64>) -> f64,
) -> f64 {
    let mut density = texture(grain);
    let mut factor = 1.0;
    for group in groups {
        let weight = group.weight(point);
        if weight > 0.0 {
            density += weight * (texture(group.along) - density);
            factor += weight * group.change;
        }
    }
    density * f64::max(factor, 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_group_changes_the_density_at_its_line_and_nothing_beyond_its_reach() {
        let groups = [TrabecularGroup::new(
            [0.0, 0.0, 0.0],
            [0.0, 0.0, 20.0],
            5.0,
            0.5,
        )];
        let density = |point| grouped_density(&groups, Vector3::x(), point, |_| 1.0);
        assert!(
            (density(Vector3::new(0.0, 0.0, 8.0)) - 1.5).abs() < 1e-12,
            "at the line"
        );
        for beyond in [Vector3::new(5.1, 0.0, 8.0), Vector3::new(0.0, 0.0, 25.1)] {
            assert!((density(beyond) - 1.0).abs() < 1e-12, "beyond at {beyond}");
        }
    }

    #[test]
    fn trabeculae_at_a_groups_line_run_along_it() {
        let groups = [TrabecularGroup::new(
            [0.0, 0.0, 0.0],
            [0.0, 30.0, 0.0],
            5.0,
            0.0,
        )];
        let along_y = grouped_density(
            &groups,
            Vector3::z(),
            Vector3::new(0.0, 10.0, 0.0),
            |grain| grain.y,
        );
        assert!((along_y - 1.0).abs() < 1e-12, "{along_y}");
    }
}
