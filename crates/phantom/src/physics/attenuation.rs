//! How much matter weakens X-rays of one energy.

use super::attenuation_tables as tables;

/// The materials of the simulated scene, of the tube's filter and of the detector.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    /// Cortical bone (ICRU-44), 1.92 g/cm³.
    CorticalBone,
    /// Soft tissue (ICRU-44), 1.06 g/cm³.
    SoftTissue,
    /// Dry air near sea level, 1.205 mg/cm³.
    Air,
    /// Titanium, 4.54 g/cm³, for screws, staples and plates.
    Titanium,
    /// Iron, 7.874 g/cm³, for the calibration object and for wires of steel.
    Iron,
    /// Lead, 11.35 g/cm³, for the side letter.
    Lead,
    /// Aluminium, 2.699 g/cm³, for the filter of the tube.
    Aluminium,
    /// Caesium iodide, 4.51 g/cm³, for the scintillator of the detector.
    CaesiumIodide,
}

impl Material {
    /// Every material.
    pub const ALL: [Self; 8] = [
        Self::CorticalBone,
        Self::SoftTissue,
        Self::Air,
        Self::Titanium,
        Self::Iron,
        Self::Lead,
        Self::Aluminium,
        Self::CaesiumIodide,
    ];

    /// Density in g/cm³.
    ///
    /// Bone: ICRU Report 46. The others: table 1 and table 2 of the NIST tables (see
    /// [`Self::mass_attenuation`]), from memory.
    #[must_use]
    pub const fn density_g_per_cm3(self) -> f64 {
        match self {
            Self::CorticalBone => 1.92,
            Self::SoftTissue => 1.06,
            Self::Air => 1.205e-3,
            Self::Titanium => 4.54,
            Self::Iron => 7.874,
            Self::Lead => 11.35,
            Self::Aluminium => 2.699,
            Self::CaesiumIodide => 4.51,
        }
    }

    const fn table(self) -> tables::Table {
        match self {
            Self::CorticalBone => tables::CORTICAL_BONE,
            Self::SoftTissue => tables::SOFT_TISSUE,
            Self::Air => tables::AIR,
            Self::Titanium => tables::TITANIUM,
            Self::Iron => tables::IRON,
            Self::Lead => tables::LEAD,
            Self::Aluminium => tables::ALUMINIUM,
            Self::CaesiumIodide => tables::CAESIUM_IODIDE,
        }
    }

    /// Mass attenuation coefficient µ/ρ in cm²/g, coherent scattering included, at a photon energy in
    /// keV; outside 15 to 100 keV as at the nearer end, as is lead beyond its K edge at 88 keV and below
    /// its L edge at 15.86 keV.
    ///
    /// J. H. Hubbell and S. M. Seltzer, Tables of X-Ray Mass Attenuation Coefficients and Mass
    /// Energy-Absorption Coefficients, version 1.4, National Institute of Standards and Technology 2004
    /// (physics.nist.gov/xaamdi). Between two energies of a table a cubic through its four nearest values
    /// is taken in the logarithms of both, never across an absorption edge: straight lines between
    /// values so far apart would be off by 4 %.
    #[must_use]
    pub fn mass_attenuation(self, energy_kev: f64) -> f64 {
        let pieces = self.table();
        let piece = pieces
            .iter()
            .find(|piece| {
                piece
                    .last()
                    .is_some_and(|(highest, _)| energy_kev < *highest)
            })
            .or(pieces.last())
            .copied()
            .unwrap_or_default();
        interpolated(piece, energy_kev)
    }

    /// Linear attenuation coefficient µ in 1/mm at a photon energy in keV.
    #[must_use]
    pub fn attenuation_per_mm(self, energy_kev: f64) -> f64 {
        self.mass_attenuation(energy_kev) * self.density_g_per_cm3() / 10.0
    }
}

/// The cubic through the four values nearest to an energy (fewer where there are no four), in the
/// logarithms of both, after Lagrange.
fn interpolated(piece: &[(f64, f64)], energy_kev: f64) -> f64 {
    let [Some((lowest, _)), Some((highest, _))] = [piece.first(), piece.last()] else {
        return 0.0;
    };
    let energy = energy_kev.clamp(*lowest, *highest);
    let after = piece.partition_point(|(known, _)| *known <= energy);
    let count = piece.len().min(4);
    let start = after.saturating_sub(2).min(piece.len() - count);
    let near = &piece[start..start + count];
    let logarithm: f64 = near
        .iter()
        .enumerate()
        .map(|(index, (known, value))| {
            let weight: f64 = near
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != index)
                .map(|(_, (other, _))| (energy / other).ln() / (known / other).ln())
                .product();
            weight * value.ln()
        })
        .sum();
    logarithm.exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_own_energies_give_the_tables_own_values() {
        for material in Material::ALL {
            for piece in material.table() {
                // An edge belongs to the piece above it.
                for (energy, value) in &piece[..piece.len() - 1] {
                    let given = material.mass_attenuation(*energy);
                    assert!(
                        (given / value - 1.0).abs() < 1e-12,
                        "{material:?} at {energy} keV: {given} instead of {value}"
                    );
                }
            }
        }
    }

    #[test]
    fn attenuation_falls_with_energy_but_for_the_edges() {
        for material in Material::ALL {
            let mut last = f64::INFINITY;
            for step in 160..=870 {
                let energy = f64::from(step) / 10.0;
                let value = material.attenuation_per_mm(energy);
                let is_edge = material == Material::CaesiumIodide && [332, 360].contains(&step);
                assert!(value < last || is_edge, "{material:?} at {energy} keV");
                last = value;
            }
        }
    }

    #[test]
    fn outside_the_tables_the_nearer_end_holds() {
        for material in Material::ALL {
            let within = material.mass_attenuation(100.0);
            let beyond = material.mass_attenuation(400.0);
            assert!(
                (within - beyond).abs() < 1e-12 && within > 0.0,
                "{material:?} above"
            );
            let below = material.mass_attenuation(1.0);
            assert!(below.is_finite() && below > within, "{material:?} below");
        }
    }
}
