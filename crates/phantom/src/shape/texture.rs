//! The unevenness of bone: smooth noise for surfaces, and trabeculae for what lies within.

use nalgebra::Vector3;

/// Edge of the tile of trabecular texture, in points.
const TILE_POINTS: usize = 64;

/// Distance between the tile's points, in mm.
const TILE_STEP_MM: f64 = 0.3;

/// By how much trabeculae are longer along their grain than they lie apart.
const STRETCH: f64 = 1.9;

/// Spacings of the layers of noise that make up the texture, in points of the tile, and their shares:
/// the finest is about the distance between trabeculae, the coarser ones are their patches.
const LAYERS: [(usize, f64); 4] = [(2, 0.46), (4, 0.46), (8, 0.2), (16, 0.06)];

/// How strongly the density varies about its mean.
const DEPTH: f64 = 2.7;

/// Trabecular density about a mean of 1 as a tile that repeats in space.
#[derive(Clone, Debug)]
pub(crate) struct TrabecularTile {
    densities: Vec<f32>,
}

impl TrabecularTile {
    /// The tile of a seed.
    pub(crate) fn new(seed: u64) -> Self {
        let mut densities: Vec<f32> = (0..TILE_POINTS.pow(3))
            .map(|index| {
                let place = [
                    index % TILE_POINTS,
                    index / TILE_POINTS % TILE_POINTS,
                    index / (TILE_POINTS * TILE_POINTS),
                ];
                let sum: f64 = LAYERS
                    .into_iter()
                    .map(|(spacing, share)| share * periodic_noise(place, spacing, seed))
                    .sum();
                #[expect(clippy::cast_possible_truncation, reason = "a few digits suffice")]
                let density = (1.0 + DEPTH * sum).max(0.0) as f32;
                density
            })
            .collect();
        // What would be less than nothing was cut off, which raised the mean.
        #[expect(clippy::cast_precision_loss, reason = "the tile has 2¹⁸ points")]
        let mean = densities.iter().sum::<f32>() / densities.len() as f32;
        for density in &mut densities {
            *density /= mean;
        }
        Self { densities }
    }

    /// The density at a point of a bone whose trabeculae run along `grain`.
    pub(crate) fn density(&self, point: Vector3<f64>, grain: Vector3<f64>) -> f64 {
        // Shrinking the coordinate along the grain draws the texture out along it.
        let place = point - grain * (point.dot(&grain) * (1.0 - 1.0 / STRETCH));
        let mut low = [0_usize; 3];
        let mut high = [0_usize; 3];
        let mut share = [0.0; 3];
        for axis in 0..3 {
            let at = place[axis] / TILE_STEP_MM;
            let floor = at.floor();
            share[axis] = at - floor;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_possible_wrap,
                reason = "a foot is some thousand points long, and the remainder is positive"
            )]
            let index = (floor as i64).rem_euclid(TILE_POINTS as i64) as usize;
            low[axis] = index;
            high[axis] = (index + 1) % TILE_POINTS;
        }
        let value = |i: usize, j: usize, k: usize| {
            f64::from(self.densities[i + TILE_POINTS * (j + TILE_POINTS * k)])
        };
        let along = |j: usize, k: usize| {
            let (from, to) = (value(low[0], j, k), value(high[0], j, k));
            from + share[0] * (to - from)
        };
        let across = |k: usize| {
            let (from, to) = (along(low[1], k), along(high[1], k));
            from + share[1] * (to - from)
        };
        let (from, to) = (across(low[2]), across(high[2]));
        from + share[2] * (to - from)
    }
}

/// Smooth noise between −1 and 1 with one rise per unit of length.
pub(crate) fn smooth_noise(point: Vector3<f64>, seed: u64) -> f64 {
    let floor = point.map(f64::floor);
    let share = point - floor;
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a foot is less than a metre long"
    )]
    let cell = floor.map(|place| place as i64);
    blend(share.into(), |corner| {
        corner_value(std::array::from_fn(|axis| cell[axis] + corner[axis]), seed)
    })
}

/// The trait of a number among the traits of an individual: between −1 and 1, and always the same.
pub(crate) fn trait_of(individual: u64, number: u32) -> f64 {
    corner_value([i64::from(number), 0, 0], individual)
}

/// Noise at a point of the tile from a lattice of this spacing, which repeats with the tile.
fn periodic_noise(place: [usize; 3], spacing: usize, seed: u64) -> f64 {
    let period = TILE_POINTS / spacing;
    #[expect(clippy::cast_precision_loss, reason = "less than the tile's edge")]
    let share = place.map(|at| (at % spacing) as f64 / spacing as f64);
    let layer = seed.wrapping_mul(31).wrapping_add(spacing as u64);
    blend(share, |corner| {
        corner_value(
            std::array::from_fn(|axis| {
                let index = place[axis] / spacing + usize::from(corner[axis] == 1);
                i64::try_from(index % period).unwrap_or(0)
            }),
            layer,
        )
    })
}

/// Blends the values at the eight corners of a cell.
fn blend(share: [f64; 3], value: impl Fn([i64; 3]) -> f64) -> f64 {
    let weight = share.map(|at| at * at * (3.0 - 2.0 * at));
    let mut sum = 0.0;
    for corner in 0..8_i64 {
        let bits = [corner & 1, corner >> 1 & 1, corner >> 2 & 1];
        let product: f64 = bits
            .iter()
            .zip(weight)
            .map(|(bit, weight)| if *bit == 1 { weight } else { 1.0 - weight })
            .product();
        sum += product * value(bits);
    }
    sum
}

/// A value between −1 and 1 that depends on nothing but the lattice corner and the seed.
fn corner_value(corner: [i64; 3], seed: u64) -> f64 {
    let mut mixed = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    for place in corner {
        mixed ^= place.cast_unsigned().wrapping_add(0x2545_f491_4f6c_dd1d);
        mixed = mixed.wrapping_mul(0x5851_f42d_4c95_7f2d);
        mixed ^= mixed >> 29;
    }
    mixed = mixed.wrapping_mul(0x2127_599b_f432_5c37);
    mixed ^= mixed >> 32;
    let low = u16::try_from(mixed & 0xffff).unwrap_or(0);
    f64::from(low) / 32_767.5 - 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trabecular_density_has_a_mean_near_one_and_is_never_negative() {
        let tile = TrabecularTile::new(1);
        let count = 20_000;
        let mut sum = 0.0;
        for step in 0..count {
            let step = f64::from(step);
            let point = Vector3::new(
                (step * 0.37) % 19.0,
                (step * 0.61) % 17.0,
                (step * 0.83) % 53.0,
            );
            let density = tile.density(point, Vector3::z());
            assert!(density >= 0.0, "{density}");
            sum += density;
        }
        let mean = sum / f64::from(count);
        assert!((mean - 1.0).abs() < 0.06, "{mean}");
    }

    #[test]
    fn trabeculae_are_longer_along_their_grain_than_across() {
        let tile = TrabecularTile::new(1);
        let change = |step: Vector3<f64>| -> f64 {
            (0..4000)
                .map(|n| {
                    let n = f64::from(n);
                    let point = Vector3::new(n * 0.37 % 19.0, n * 0.61 % 17.0, n * 0.83 % 53.0);
                    let of = |at| tile.density(at, Vector3::z());
                    (of(point + step) - of(point)).abs()
                })
                .sum()
        };
        let (along, across) = (change(Vector3::z() * 0.3), change(Vector3::x() * 0.3));
        assert!(along < 0.6 * across, "{along} along, {across} across");
    }

    #[test]
    fn surface_noise_stays_within_its_range_and_depends_on_the_seed() {
        let mut differs = false;
        for step in 0..1000 {
            let point = Vector3::repeat(f64::from(step) * 0.13 - 40.0);
            let value = smooth_noise(point, 3);
            assert!((-1.0..=1.0).contains(&value), "{value}");
            differs |= (value - smooth_noise(point, 4)).abs() > 1e-3;
        }
        assert!(differs, "two seeds, one noise");
    }
}
