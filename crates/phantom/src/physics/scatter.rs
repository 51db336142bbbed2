//! Radiation that was scattered in the foot.

use super::raster::Raster;

/// The scattered photons spread over the film by two Gaussians: standard deviations in mm at the
/// detector and shares. Photons from near the detector fall close by, those from its far side wide
/// apart; a foot is 3 to 12 cm thick.
const SPREADS: [(f64, f32); 2] = [(9.0, 0.6), (32.0, 0.4)];

/// The scattered radiation that reaches each pixel, in the same unit as the primary.
///
/// `transmitted` is the share that passes the object, `primary` the same within the beam's blades. A
/// slab of depth τ (the logarithm of its attenuation) sends τ · exp(−τ) of singly scattered photons
/// forward to the detector; `share_of_primary` is how many of them there are for each primary photon
/// behind a wide slab of τ = 1. Bone, which absorbs more and scatters less for the same depth, is taken
/// for soft tissue.
pub(super) fn scattered(
    transmitted: &Raster,
    primary: &Raster,
    share_of_primary: f64,
    pixel_mm: f64,
) -> Raster {
    #[expect(clippy::cast_possible_truncation, reason = "a share of at most 2")]
    let share = share_of_primary as f32;
    let born = transmitted.combined(primary, |transmitted, primary| {
        share * primary * -transmitted.clamp(1e-9, 1.0).ln()
    });
    let [near, far] = SPREADS.map(|(sigma_mm, weight)| {
        born.blurred(sigma_mm / pixel_mm)
            .mapped(move |value| weight * value)
    });
    near.combined(&far, |near, far| near + far)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A slab of depth 1.5 under the left half of a film of 160 mm.
    fn half_a_slab() -> Raster {
        let passed = (-1.5_f32).exp();
        Raster {
            width: 160,
            height: 160,
            values: (0..160 * 160)
                .map(|index| if index % 160 < 80 { passed } else { 1.0 })
                .collect(),
        }
    }

    #[test]
    fn behind_a_wide_slab_the_share_is_as_asked_for_each_unit_of_depth() {
        let slab = Raster {
            values: vec![(-1.5_f32).exp(); 160 * 160],
            ..half_a_slab()
        };
        let scatter = scattered(&slab, &slab, 0.3, 1.0);
        let ratio = scatter.values[80 * 160 + 80] / slab.values[0];
        assert!((ratio - 0.45).abs() < 0.01, "{ratio}");
    }

    #[test]
    fn scatter_reaches_beyond_the_object_and_falls_off_with_distance() {
        let slab = half_a_slab();
        let scatter = scattered(&slab, &slab, 0.3, 1.0);
        let at = |column: usize| scatter.values[80 * 160 + column];
        assert!(
            at(20) > at(79) && at(79) > at(90) && at(90) > at(120),
            "falls off"
        );
        assert!(at(85) > 0.2 * at(20), "{} beside {}", at(85), at(20));
    }

    #[test]
    fn what_the_beam_does_not_reach_scatters_nothing() {
        let slab = half_a_slab();
        let dark = slab.mapped(|_| 0.0);
        let scatter = scattered(&slab, &dark, 0.3, 1.0);
        assert!(scatter.values.iter().all(|value| *value <= 0.0), "dark");
    }
}
