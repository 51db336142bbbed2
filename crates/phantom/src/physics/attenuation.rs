//! How much matter weakens X-rays.

/// The materials of the simulated scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    /// Cortical bone (ICRU-44), 1.92 g/cm³.
    CorticalBone,
    /// Soft tissue (ICRU-44), 1.06 g/cm³.
    SoftTissue,
    /// Iron, 7.874 g/cm³, for the calibration object and the side letter.
    Iron,
}

/// The photon energies of the tables, in keV.
const ENERGIES_KEV: [f64; 6] = [20.0, 30.0, 40.0, 50.0, 60.0, 80.0];

impl Material {
    const fn density_g_per_cm3(self) -> f64 {
        match self {
            Self::CorticalBone => 1.92,
            Self::SoftTissue => 1.06,
            Self::Iron => 7.874,
        }
    }

    /// Mass attenuation coefficients µ/ρ in cm²/g at [`ENERGIES_KEV`].
    ///
    /// Bone and soft tissue: Hubbell & Seltzer, NIST tables of X-ray mass attenuation coefficients
    /// (physics.nist.gov/PhysRefData/XrayMassCoef). Iron: computed from the tables of Elam, Ravel &
    /// Sieber, Radiat Phys Chem 2002;63:121–128.
    const fn mass_coefficients(self) -> [f64; 6] {
        match self {
            Self::CorticalBone => [4.001, 1.331, 0.6655, 0.4242, 0.3148, 0.2229],
            Self::SoftTissue => [0.8230, 0.3790, 0.2688, 0.2264, 0.2048, 0.1823],
            Self::Iron => [25.68, 8.178, 3.629, 1.957, 1.205, 0.595],
        }
    }

    /// Linear attenuation coefficient in 1/mm at a photon energy, interpolated in the logarithms of
    /// both as such tables are; outside 20 to 80 keV as at the nearer end.
    #[must_use]
    pub fn attenuation_per_mm(self, energy_kev: f64) -> f64 {
        let energy = energy_kev.clamp(ENERGIES_KEV[0], ENERGIES_KEV[5]);
        let coefficients = self.mass_coefficients();
        let after = ENERGIES_KEV
            .partition_point(|known| *known <= energy)
            .clamp(1, ENERGIES_KEV.len() - 1);
        let share = (energy / ENERGIES_KEV[after - 1]).ln()
            / (ENERGIES_KEV[after] / ENERGIES_KEV[after - 1]).ln();
        let (low, high) = (coefficients[after - 1].ln(), coefficients[after].ln());
        (low + share * (high - low)).exp() * self.density_g_per_cm3() / 10.0
    }
}

/// Lengths of matter along one ray, in mm.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Thickness {
    /// Soft tissue, marrow included.
    pub soft_tissue_mm: f64,
    /// Solid bone.
    pub bone_mm: f64,
    /// Iron.
    pub iron_mm: f64,
}

/// A spectrum as a few photon energies with their shares of the detected signal.
#[derive(Clone, Debug, PartialEq)]
pub struct Beam {
    lines: Vec<BeamLine>,
}

/// One energy of a beam.
#[derive(Clone, Copy, Debug, PartialEq)]
struct BeamLine {
    share: f64,
    /// Attenuation in 1/mm of soft tissue, bone and iron.
    per_mm: [f64; 3],
}

impl Beam {
    /// A beam of one energy in keV.
    #[must_use]
    pub fn of_one_energy(energy_kev: f64) -> Self {
        Self::from_shares(&[(energy_kev, 1.0)])
    }

    /// What is left of a filtered beam of about 57 kVp: three energies that stand in for it.
    ///
    /// The shares are ours, chosen for an effective energy of about 38 keV (common practice for a
    /// foot is 50 to 60 kVp).
    #[must_use]
    pub fn of_a_foot_exposure() -> Self {
        Self::from_shares(&[(30.0, 0.25), (40.0, 0.5), (50.0, 0.25)])
    }

    fn from_shares(shares: &[(f64, f64)]) -> Self {
        let lines = shares
            .iter()
            .map(|&(energy, share)| BeamLine {
                share,
                per_mm: [Material::SoftTissue, Material::CorticalBone, Material::Iron]
                    .map(|material| material.attenuation_per_mm(energy)),
            })
            .collect();
        Self { lines }
    }

    /// The share of the beam that passes through so much matter (Beer–Lambert), from 0 to 1.
    #[must_use]
    pub fn transmission(&self, thickness: Thickness) -> f64 {
        self.lines
            .iter()
            .map(|line| {
                let weakening = line.per_mm[0] * thickness.soft_tissue_mm
                    + line.per_mm[1] * thickness.bone_mm
                    + line.per_mm[2] * thickness.iron_mm;
                line.share * (-weakening).exp()
            })
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_own_energies_give_the_tables_own_values() {
        for (material, per_mm) in [
            (Material::CorticalBone, 0.6655 * 1.92 / 10.0),
            (Material::SoftTissue, 0.2688 * 1.06 / 10.0),
            (Material::Iron, 3.629 * 7.874 / 10.0),
        ] {
            let value = material.attenuation_per_mm(40.0);
            assert!(
                (value - per_mm).abs() < 1e-12,
                "{material:?} at 40 keV: {value}"
            );
        }
    }

    #[test]
    fn attenuation_falls_with_energy() {
        for material in [Material::CorticalBone, Material::SoftTissue] {
            let mut last = f64::INFINITY;
            for energy in 20..=80 {
                let value = material.attenuation_per_mm(f64::from(energy));
                assert!(value < last, "{material:?} at {energy} keV");
                last = value;
            }
        }
    }

    #[test]
    fn a_slab_weakens_one_energy_by_the_exponential_law() {
        let beam = Beam::of_one_energy(50.0);
        let slab = Thickness {
            bone_mm: 12.0,
            ..Thickness::default()
        };
        let expected = (-0.4242_f64 * 1.92 * 1.2).exp();
        let passed = beam.transmission(slab);
        assert!((passed / expected - 1.0).abs() < 1e-12, "{passed}");
    }

    #[test]
    fn an_empty_room_lets_everything_pass() {
        let passed = Beam::of_a_foot_exposure().transmission(Thickness::default());
        assert!((passed - 1.0).abs() < 1e-12, "{passed}");
    }
}
