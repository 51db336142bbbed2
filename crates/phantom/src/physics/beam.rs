//! The beam of an X-ray tube, and what passes through matter.

use super::attenuation::Material;

/// Lengths of matter along one ray, in mm.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Thickness {
    /// Soft tissue, marrow included.
    pub soft_tissue_mm: f64,
    /// Solid bone.
    pub bone_mm: f64,
    /// Titanium.
    pub titanium_mm: f64,
    /// Iron.
    pub iron_mm: f64,
    /// Lead.
    pub lead_mm: f64,
}

/// A spectrum as a few photon energies with their shares of the detected signal.
#[derive(Clone, Debug, PartialEq)]
pub struct Beam {
    lines: Vec<BeamLine>,
}

/// One energy of a beam.
#[derive(Clone, Copy, Debug, PartialEq)]
struct BeamLine {
    energy_kev: f64,
    share: f64,
    /// Attenuation in 1/mm, in the order of [`MATERIALS`].
    per_mm: [f64; 5],
}

/// The materials of a [`Thickness`], in its order.
const MATERIALS: [Material; 5] = [
    Material::SoftTissue,
    Material::CorticalBone,
    Material::Titanium,
    Material::Iron,
    Material::Lead,
];

/// In how many energies a tube's spectrum is summed up.
const LINES: u32 = 12;

/// Photons of less energy do not leave the filter.
const LOWEST_ENERGY_KEV: f64 = 15.0;

/// Within one of the beam's energies the spectrum is computed at so many places.
const PLACES_IN_A_LINE: u32 = 16;

/// Thickness of the detector's layer of caesium iodide, if it were massive, in mm: 0.5 mm of needles
/// that fill four fifths of the room (common practice, no source).
const SCINTILLATOR_MM: f64 = 0.4;

impl Beam {
    /// A beam of one energy in keV.
    #[must_use]
    pub fn of_one_energy(energy_kev: f64) -> Self {
        Self::from_shares(&[(energy_kev, 1.0)])
    }

    /// The beam of a tube of some voltage in kV behind a filter given as mm of aluminium and a way
    /// through air in mm, as a detector of caesium iodide sees it.
    ///
    /// The photons of each energy E follow Kramers' law, (E₀ − E) / E with the voltage E₀ (Kramers,
    /// Philosophical Magazine 1923;46:836–871); no characteristic line of tungsten leaves the filter
    /// below 60 kV. They are weakened by filter and air, and each gives light in proportion to its
    /// energy and to the chance of being absorbed in the scintillator.
    pub(crate) fn of_a_tube(voltage_kv: f64, filter_mm: f64, air_mm: f64) -> Self {
        let light = |energy: f64| {
            let absorbed =
                -(-Material::CaesiumIodide.attenuation_per_mm(energy) * SCINTILLATOR_MM).exp_m1();
            photons(voltage_kv, filter_mm, air_mm, energy) * energy * absorbed
        };
        let width = (voltage_kv - LOWEST_ENERGY_KEV) / f64::from(LINES);
        let lines: Vec<(f64, f64)> = (0..LINES)
            .map(|line| {
                let places = (0..PLACES_IN_A_LINE).map(|place| {
                    let share = (f64::from(place) + 0.5) / f64::from(PLACES_IN_A_LINE);
                    let energy = LOWEST_ENERGY_KEV + (f64::from(line) + share) * width;
                    (energy, light(energy))
                });
                let (moment, sum) = places.fold((0.0, 0.0), |(moment, sum), (energy, light)| {
                    (moment + energy * light, sum + light)
                });
                (moment / sum, sum)
            })
            .collect();
        let sum: f64 = lines.iter().map(|(_, share)| share).sum();
        let shares: Vec<(f64, f64)> = lines
            .into_iter()
            .map(|(energy, share)| (energy, share / sum))
            .collect();
        Self::from_shares(&shares)
    }

    fn from_shares(shares: &[(f64, f64)]) -> Self {
        let lines = shares
            .iter()
            .map(|&(energy_kev, share)| BeamLine {
                energy_kev,
                share,
                per_mm: MATERIALS.map(|material| material.attenuation_per_mm(energy_kev)),
            })
            .collect();
        Self { lines }
    }

    /// The mean photon energy in keV, each energy counted by its share of the detected signal.
    #[must_use]
    pub fn mean_energy_kev(&self) -> f64 {
        self.lines
            .iter()
            .map(|line| line.share * line.energy_kev)
            .sum()
    }

    /// The share of the detected signal that is left behind so much matter (Beer–Lambert), from 0 to 1.
    #[must_use]
    pub fn transmission(&self, thickness: Thickness) -> f64 {
        let lengths = [
            thickness.soft_tissue_mm,
            thickness.bone_mm,
            thickness.titanium_mm,
            thickness.iron_mm,
            thickness.lead_mm,
        ];
        self.lines
            .iter()
            .map(|line| {
                let weakening: f64 = line.per_mm.iter().zip(lengths).map(|(a, b)| a * b).sum();
                line.share * (-weakening).exp()
            })
            .sum()
    }
}

/// The relative number of photons of an energy in keV that reach the detector through filter and air.
fn photons(voltage_kv: f64, filter_mm: f64, air_mm: f64, energy: f64) -> f64 {
    let weakening = Material::Aluminium.attenuation_per_mm(energy) * filter_mm
        + Material::Air.attenuation_per_mm(energy) * air_mm;
    (voltage_kv - energy).max(0.0) / energy * (-weakening).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tissue(mm: f64) -> Thickness {
        Thickness {
            soft_tissue_mm: mm,
            ..Thickness::default()
        }
    }

    fn foot_beam() -> Beam {
        Beam::of_a_tube(55.0, 3.0, 1000.0)
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
    fn materials_in_a_row_weaken_one_energy_one_after_the_other() {
        let beam = Beam::of_one_energy(40.0);
        let together = Thickness {
            soft_tissue_mm: 30.0,
            bone_mm: 5.0,
            titanium_mm: 1.0,
            iron_mm: 0.2,
            lead_mm: 0.05,
        };
        let single = [
            Thickness {
                soft_tissue_mm: 30.0,
                ..Thickness::default()
            },
            Thickness {
                bone_mm: 5.0,
                ..Thickness::default()
            },
            Thickness {
                titanium_mm: 1.0,
                ..Thickness::default()
            },
            Thickness {
                iron_mm: 0.2,
                ..Thickness::default()
            },
            Thickness {
                lead_mm: 0.05,
                ..Thickness::default()
            },
        ];
        let product: f64 = single.map(|one| beam.transmission(one)).iter().product();
        let passed = beam.transmission(together);
        assert!(
            (passed / product - 1.0).abs() < 1e-12,
            "{passed} and {product}"
        );
    }

    #[test]
    fn an_empty_room_lets_everything_pass() {
        let passed = foot_beam().transmission(Thickness::default());
        assert!((passed - 1.0).abs() < 1e-12, "{passed}");
    }

    #[test]
    fn the_mean_energy_lies_between_half_and_three_quarters_of_the_voltage_and_rises_with_it() {
        let mut last = 0.0;
        for voltage in [45.0, 50.0, 55.0, 60.0, 70.0] {
            let mean = Beam::of_a_tube(voltage, 3.0, 1000.0).mean_energy_kev();
            assert!(
                (0.5..0.75).contains(&(mean / voltage)) && mean > last,
                "{mean} keV at {voltage} kV"
            );
            last = mean;
        }
    }

    #[test]
    fn more_filter_makes_a_harder_beam() {
        let soft = Beam::of_a_tube(55.0, 2.0, 1000.0).mean_energy_kev();
        let hard = Beam::of_a_tube(55.0, 5.0, 1000.0).mean_energy_kev();
        assert!(hard > soft + 1.0, "{soft} and {hard} keV");
    }

    #[test]
    fn matter_hardens_the_beam_so_that_its_effective_attenuation_falls() {
        let beam = foot_beam();
        let mut last = f64::INFINITY;
        for mm in [1.0, 10.0, 30.0, 60.0, 90.0] {
            let effective = -beam.transmission(tissue(mm)).ln() / mm;
            assert!(effective < last, "{effective} per mm at {mm} mm");
            last = effective;
        }
        assert!(
            last > Material::SoftTissue.attenuation_per_mm(55.0),
            "never below that of the highest energy: {last}"
        );
    }

    /// Twelve energies stand for the whole spectrum.
    #[test]
    fn the_few_energies_weaken_like_the_whole_spectrum() {
        let fine: Vec<(f64, f64)> = (0..800)
            .map(|step| {
                let energy = 15.0 + 0.05 * (f64::from(step) + 0.5);
                let absorbed =
                    1.0 - (-Material::CaesiumIodide.attenuation_per_mm(energy) * 0.4).exp();
                (
                    energy,
                    photons(55.0, 3.0, 1000.0, energy) * energy * absorbed,
                )
            })
            .collect();
        let sum: f64 = fine.iter().map(|(_, light)| light).sum();
        let beam = foot_beam();
        for (soft_tissue_mm, bone_mm) in [(20.0, 0.0), (50.0, 6.0), (60.0, 20.0)] {
            let expected: f64 = fine
                .iter()
                .map(|(energy, light)| {
                    let weakening = Material::SoftTissue.attenuation_per_mm(*energy)
                        * soft_tissue_mm
                        + Material::CorticalBone.attenuation_per_mm(*energy) * bone_mm;
                    light / sum * (-weakening).exp()
                })
                .sum();
            let passed = beam.transmission(Thickness {
                soft_tissue_mm,
                bone_mm,
                ..Thickness::default()
            });
            assert!(
                (passed / expected - 1.0).abs() < 0.01,
                "{passed} instead of {expected} behind {soft_tissue_mm} and {bone_mm} mm"
            );
        }
    }

    /// The layer of aluminium that halves the air kerma, in mm, with the mass energy-absorption
    /// coefficients of air of the same NIST tables.
    fn half_value_layer_mm(voltage_kv: f64, filter_mm: f64) -> f64 {
        const ENERGIES: [f64; 7] = [15.0, 20.0, 30.0, 40.0, 50.0, 60.0, 80.0];
        const ABSORBED: [f64; 7] = [1.334, 0.5389, 0.1537, 0.06833, 0.04098, 0.03041, 0.02407];
        let absorption = |energy: f64| {
            let after = ENERGIES
                .partition_point(|known| *known <= energy)
                .clamp(1, 6);
            let share =
                (energy / ENERGIES[after - 1]).ln() / (ENERGIES[after] / ENERGIES[after - 1]).ln();
            (ABSORBED[after - 1].ln() * (1.0 - share) + ABSORBED[after].ln() * share).exp()
        };
        let kerma = |layer_mm: f64| -> f64 {
            (0..400)
                .map(|step| 15.0 + (voltage_kv - 15.0) * (f64::from(step) + 0.5) / 400.0)
                .map(|energy| {
                    photons(voltage_kv, filter_mm + layer_mm, 1000.0, energy)
                        * energy
                        * absorption(energy)
                })
                .sum()
        };
        let (mut low, mut high) = (0.0, 10.0);
        for _ in 0..50 {
            let middle = f64::midpoint(low, high);
            if kerma(middle) > kerma(0.0) / 2.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    /// The half-value layers of the standard radiation qualities RQR 3 to 5 of IEC 61267 as University
    /// Hospitals Birmingham lists them (X-ray radiation qualities, 2021).
    #[test]
    fn the_half_value_layer_is_near_that_of_the_standard_radiation_qualities() {
        for (voltage, expected) in [(50.0, 1.8), (60.0, 2.2), (70.0, 2.6)] {
            let layer = half_value_layer_mm(voltage, 3.0);
            assert!(
                (layer / expected - 1.0).abs() < 0.12,
                "{layer} mm of aluminium instead of {expected} at {voltage} kV"
            );
        }
    }
}
