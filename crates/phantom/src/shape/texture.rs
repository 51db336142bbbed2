//! The uneven density of trabecular bone.

use nalgebra::Vector3;

/// How far trabeculae stand apart across the bone and along it, in mm.
const SPACING_MM: [f64; 3] = [1.1, 1.3, 2.6];

/// How strongly the density varies about its mean.
const DEPTH: f64 = 0.75;

/// A factor about 1 by which trabecular density varies from place to place, in the bone's own
/// coordinates: longer along the bone than across it, as trabeculae run.
pub(crate) fn trabecular_texture(point: Vector3<f64>) -> f64 {
    let coarse = lattice_noise(point, 1.0);
    let fine = lattice_noise(point, 0.52);
    1.0 + DEPTH * (0.6 * coarse + 0.4 * fine)
}

/// Smooth noise between −1 and 1: values at the corners of a lattice, blended between.
fn lattice_noise(point: Vector3<f64>, scale: f64) -> f64 {
    let mut cell = [0_i64; 3];
    let mut blend = [0.0; 3];
    for axis in 0..3 {
        let place = point[axis] / (SPACING_MM[axis] * scale);
        let floor = place.floor();
        #[expect(
            clippy::cast_possible_truncation,
            reason = "a foot is less than a metre long"
        )]
        {
            cell[axis] = floor as i64;
        }
        let share = place - floor;
        blend[axis] = share * share * (3.0 - 2.0 * share);
    }
    let mut sum = 0.0;
    for corner in 0..8_i64 {
        let bits = [corner & 1, corner >> 1 & 1, corner >> 2 & 1];
        let mut weight = 1.0;
        for axis in 0..3 {
            weight *= if bits[axis] == 1 {
                blend[axis]
            } else {
                1.0 - blend[axis]
            };
        }
        sum += weight * corner_value([cell[0] + bits[0], cell[1] + bits[1], cell[2] + bits[2]]);
    }
    sum
}

/// A value between −1 and 1 that depends on nothing but the lattice corner.
fn corner_value(corner: [i64; 3]) -> f64 {
    let mut mixed = corner[0]
        .wrapping_mul(0x1f1f_1f1f_1f1f_1f35)
        .wrapping_add(corner[1].wrapping_mul(0x5851_f42d_4c95_7f2d))
        .wrapping_add(corner[2].wrapping_mul(0x2545_f491_4f6c_dd1d));
    mixed ^= mixed >> 29;
    mixed = mixed.wrapping_mul(0x2127_599b_f432_5c37);
    mixed ^= mixed >> 32;
    let low = u16::try_from(mixed & 0xffff).unwrap_or(0);
    f64::from(low) / 32_767.5 - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_texture_has_a_mean_near_one_and_is_never_negative() {
        let mut sum = 0.0;
        let mut count = 0.0;
        for step in 0..20_000 {
            let step = f64::from(step);
            let value = trabecular_texture(Vector3::new(
                (step * 0.37) % 19.0,
                (step * 0.61) % 17.0,
                (step * 0.83) % 53.0,
            ));
            assert!(value >= 0.0, "{value}");
            sum += value;
            count += 1.0;
        }
        assert!((sum / count - 1.0).abs() < 0.05, "{}", sum / count);
    }
}
