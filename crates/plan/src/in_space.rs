//! How the first metatarsal lies in space, and what that makes of its shadows.

use plumbray_anatomy::PhysicalVector;

use crate::foot_before::FootBefore;

/// The tilt of the AP tube from the vertical: 10 to 20° are usual (common practice, no source).
const TUBE_TILT_DEGREES: f64 = 15.0;

/// The inclination of a first metatarsal: 21.1° in healthy feet (Lee et al., Arch Orthop Trauma Surg 2023).
const USUAL_INCLINATION_DEGREES: f64 = 21.0;

/// How the first metatarsal lies in space, as far as both films and common practice tell. Its angles are in radians.
#[derive(Clone, Copy, Debug)]
pub(crate) struct InSpace {
    /// From the second metatarsal's direction, along which the lateral film is taken to lie (ours).
    divergence: f64,
    /// To the floor.
    inclination: f64,
    /// Of the AP tube from the vertical.
    tube_tilt: f64,
}

impl InSpace {
    pub(crate) fn of(before: &FootBefore) -> Self {
        let usual = USUAL_INCLINATION_DEGREES.to_radians();
        Self {
            divergence: before.divergence.unwrap_or_default(),
            inclination: before.inclination.unwrap_or(usual),
            tube_tilt: TUBE_TILT_DEGREES.to_radians(),
        }
    }

    /// By how much the lateral film shortens the shaft: l of [`crate::ScrewLength`].
    fn shortened(&self) -> f64 {
        (1.0 - (self.inclination.cos() * self.divergence.sin()).powi(2)).sqrt()
    }

    /// By how much the AP film draws the shaft out: a of [`crate::ScrewLength`].
    fn drawn_out(&self) -> f64 {
        let (skew, apart) = self.divergence.sin_cos();
        let (sin, cos) = self.inclination.sin_cos();
        (cos * skew).hypot(cos * apart + sin * self.tube_tilt.tan())
    }

    /// How much farther dorsal (x) and distal (y) something looks on the lateral film for each share of the bone's
    /// length L that it lies lateral on the AP film; in shares of L of the lateral film.
    ///
    /// ```text
    /// dorsal = sin φ·sin i·a / l²        distal = sin φ·cos φ·cos i·a / l²
    /// ```
    ///
    /// What lies square to a shaft that diverges from the film by φ lies along the film as well. Plain geometry.
    pub(crate) fn lateral_looks(&self) -> PhysicalVector {
        let (skew, apart) = self.divergence.sin_cos();
        let (sin, cos) = self.inclination.sin_cos();
        let larger = skew * self.drawn_out() / self.shortened().powi(2);
        PhysicalVector::new(larger * sin, larger * apart * cos)
    }

    /// The length of what differs by so much across, up as the lateral film shows it, and along as the AP and as the
    /// lateral film show it.
    pub(crate) fn length(&self, across: f64, up: f64, [on_ap, on_lateral]: [f64; 2]) -> f64 {
        let skew = self.divergence.sin();
        let (sin, cos) = self.inclination.sin_cos();
        let tilt = self.tube_tilt.tan();
        let (shortened, drawn_out) = (self.shortened(), self.drawn_out());
        let dorsal = up - across * skew * sin;
        let looks_distal = across * skew * sin * tilt / drawn_out + dorsal * (sin - cos * tilt);
        let along =
            f64::midpoint(on_lateral / shortened, on_ap / drawn_out) - looks_distal / drawn_out;
        across.hypot(dorsal).hypot(along)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_lies_lateral_of_a_diverging_shaft_looks_as_far_distal_as_three_dimensions_say() {
        let space = InSpace {
            divergence: 13_f64.to_radians(),
            inclination: 20_f64.to_radians(),
            tube_tilt: 15_f64.to_radians(),
        };
        // The shaft and what is square to it toward lateral, with x along the lateral film, y lateral and z up.
        let (skew, apart) = space.divergence.sin_cos();
        let (sin, cos) = space.inclination.sin_cos();
        let shaft = [cos * apart, -cos * skew, -sin];
        let aside = [skew, apart, 0.0];
        // The lateral film shows x and z. The AP film shows the floor, on which the tilted tube casts what is high
        // backward.
        let shadow = |place: [f64; 3]| PhysicalVector::new(place[0], place[2]);
        let on_floor = |place: [f64; 3]| {
            PhysicalVector::new(place[0] - place[2] * space.tube_tilt.tan(), place[1])
        };
        let along = shadow(shaft).unit().expect("a direction");
        let dorsal = PhysicalVector::new(-along.y, along.x);
        let drawn_out = on_floor(shaft).length();
        let per_share = drawn_out / shadow(shaft).length();
        let looks = space.lateral_looks();
        let expected = [
            shadow(aside).dot(dorsal) * per_share,
            shadow(aside).dot(along) * per_share,
        ];
        assert!(
            (looks.x - expected[0]).abs() < 1e-12,
            "{looks:?}, {expected:?}"
        );
        assert!(
            (looks.y - expected[1]).abs() < 1e-12,
            "{looks:?}, {expected:?}"
        );
        assert!(looks.y > 0.2, "some two tenths: {looks:?}");
    }
}
