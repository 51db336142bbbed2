//! Mass attenuation coefficients by photon energy.
//!
//! Values at the energies of the NIST tables of Hubbell and Seltzer (see `attenuation`), from
//! 15 to 100 keV. Where a material has an absorption edge within that range, its table has one piece on
//! either side of the edge.

/// A material's table: one piece between two absorption edges, each of pairs of a photon energy in keV
/// and a mass attenuation coefficient in cm²/g, in rising order of the energies.
pub(super) type Table = &'static [&'static [(f64, f64)]];

pub(super) const CORTICAL_BONE: Table = &[&[
    (15.0, 9.032),
    (20.0, 4.001),
    (30.0, 1.331),
    (40.0, 0.6655),
    (50.0, 0.4242),
    (60.0, 0.3148),
    (80.0, 0.2229),
    (100.0, 0.1855),
]];

pub(super) const SOFT_TISSUE: Table = &[&[
    (15.0, 1.699),
    (20.0, 0.8230),
    (30.0, 0.3790),
    (40.0, 0.2688),
    (50.0, 0.2264),
    (60.0, 0.2048),
    (80.0, 0.1823),
    (100.0, 0.1693),
]];

pub(super) const AIR: Table = &[&[
    (15.0, 1.614),
    (20.0, 0.7779),
    (30.0, 0.3538),
    (40.0, 0.2485),
    (50.0, 0.2080),
    (60.0, 0.1875),
    (80.0, 0.1662),
    (100.0, 0.1541),
]];

pub(super) const TITANIUM: Table = &[&[
    (15.0, 35.87),
    (20.0, 15.85),
    (30.0, 4.972),
    (40.0, 2.214),
    (50.0, 1.213),
    (60.0, 0.7661),
    (80.0, 0.4052),
    (100.0, 0.2721),
]];

pub(super) const IRON: Table = &[&[
    (15.0, 57.08),
    (20.0, 25.68),
    (30.0, 8.176),
    (40.0, 3.629),
    (50.0, 1.958),
    (60.0, 1.205),
    (80.0, 0.5952),
    (100.0, 0.3717),
]];

/// Between its L and its K edge.
pub(super) const LEAD: Table = &[&[
    (15.86, 154.8),
    (20.0, 86.36),
    (30.0, 30.32),
    (40.0, 14.36),
    (50.0, 8.041),
    (60.0, 5.021),
    (80.0, 2.419),
    (88.0, 1.910),
]];

pub(super) const ALUMINIUM: Table = &[&[
    (15.0, 7.955),
    (20.0, 3.441),
    (30.0, 1.128),
    (40.0, 0.5685),
    (50.0, 0.3681),
    (60.0, 0.2778),
    (80.0, 0.2018),
    (100.0, 0.1704),
]];

/// With the K edges of iodine and of caesium.
pub(super) const CAESIUM_IODIDE: Table = &[
    &[(15.0, 58.15), (20.0, 26.86), (30.0, 9.045), (33.17, 6.923)],
    &[(33.17, 21.22), (35.98, 17.19)],
    &[
        (35.98, 30.27),
        (40.0, 22.97),
        (50.0, 12.87),
        (60.0, 7.921),
        (80.0, 3.677),
        (100.0, 2.035),
    ],
];
