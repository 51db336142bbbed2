//! A foot drawn with ruler and compass, whose every length is known.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin,
    PixelSpacing, PlacedPoint, Proportions, Sesamoid,
};
use plumbray_measure::{Foot, TracedFilm};

/// Pixels in a millimetre.
const SCALE: f64 = 10.0;

/// A right foot, lengths in mm and angles in degrees: the second metatarsal points straight up the film.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Schematic {
    /// From the centre of the first metatarsal's base to that of its head.
    pub(crate) shaft_mm: f64,
    /// Width of its shaft.
    pub(crate) width_mm: f64,
    /// By how much it diverges from the second.
    pub(crate) intermetatarsal: f64,
    /// By how much the great toe's proximal phalanx is turned laterally against it.
    pub(crate) hallux_valgus: f64,
    /// By how much its joint surface faces laterally.
    pub(crate) articular: f64,
}

impl Default for Schematic {
    fn default() -> Self {
        Self {
            shaft_mm: 60.0,
            width_mm: 14.0,
            intermetatarsal: 13.0,
            hallux_valgus: 30.0,
            articular: 8.0,
        }
    }
}

/// Radius of the head in mm.
pub(crate) const HEAD_MM: f64 = 10.0;

/// From the metatarsal's tip to the phalanx's base in mm.
pub(crate) const JOINT_GAP_MM: f64 = 1.0;

/// The traced films of a schematic foot.
#[derive(Clone, Debug)]
pub(crate) struct Drawn {
    pub(crate) ap: FilmTracing,
    pub(crate) lateral: FilmTracing,
    pub(crate) calibration: Calibration,
}

impl Drawn {
    pub(crate) fn foot(&self) -> Foot<'_> {
        let film = |tracing| TracedFilm {
            tracing,
            proportions: Proportions::SQUARE,
            calibration: Some(&self.calibration),
        };
        Foot {
            ap: Some(film(&self.ap)),
            lateral: Some(film(&self.lateral)),
            operated: false,
        }
    }

    pub(crate) fn uncalibrated(&self) -> Foot<'_> {
        let film = |tracing| TracedFilm {
            tracing,
            proportions: Proportions::SQUARE,
            calibration: None,
        };
        Foot {
            ap: Some(film(&self.ap)),
            lateral: Some(film(&self.lateral)),
            operated: false,
        }
    }
}

/// A pencil that works in mm: x lateral (to the right), y distal (up the film).
struct Pencil {
    tracing: FilmTracing,
    /// Origin on the film in mm.
    origin: [f64; 2],
}

/// A line of a drawing: where it begins and which way it points, turned laterally from straight up.
#[derive(Clone, Copy)]
struct Ray {
    from: [f64; 2],
    turned: f64,
}

impl Ray {
    /// A place so far along and so far lateral of it.
    fn at(self, along: f64, across: f64) -> [f64; 2] {
        let (sin, cos) = self.turned.to_radians().sin_cos();
        [
            self.from[0] + along * sin + across * cos,
            self.from[1] + along * cos - across * sin,
        ]
    }
}

impl Pencil {
    fn film(&self, [x, y]: [f64; 2]) -> FilmPoint {
        FilmPoint::new(SCALE * (self.origin[0] + x), SCALE * (self.origin[1] - y))
    }

    fn point(&mut self, landmark: Landmark, place: [f64; 2]) {
        let placed = PlacedPoint {
            at: self.film(place),
            sd_px: 1.0,
            origin: Origin::Hand,
        };
        self.tracing.points.insert(landmark, placed);
    }

    fn bone(&mut self, bone: LongBone, ray: Ray, length: f64, width: f64) {
        self.point(Landmark::BaseCentre(bone), ray.at(0.0, 0.0));
        self.point(Landmark::Tip(bone), ray.at(length, 0.0));
        let line = |side: f64| {
            (1..20)
                .map(|step| f64::from(step) / 20.0 * length)
                .map(|along| self.film(ray.at(along, side * width / 2.0)))
                .collect::<Vec<_>>()
        };
        let cortices = Cortices {
            one: line(-1.0),
            two: line(1.0),
            sd_px: 1.0,
            together_sd_px: 0.0,
            proximal_sd_px: None,
            origin: Origin::Snapped,
        };
        self.tracing.cortices.insert(bone, cortices);
    }
}

impl Schematic {
    /// The films of this foot.
    pub(crate) fn drawn(&self) -> Drawn {
        Drawn {
            ap: self.ap(),
            lateral: self.lateral(),
            calibration: Calibration {
                spacing: PixelSpacing::new(1.0 / SCALE, 1.0 / SCALE).expect("possible"),
                basis: CalibrationBasis::RoundObject { diameter_mm: 25.0 },
                relative_sd: 0.0,
            },
        }
    }

    fn ap(&self) -> FilmTracing {
        let mut pencil = Pencil {
            tracing: FilmTracing::default(),
            origin: [60.0, 130.0],
        };
        let first = Ray {
            from: [0.0, 0.0],
            turned: -self.intermetatarsal,
        };
        let tip = self.shaft_mm + HEAD_MM;
        pencil.bone(LongBone::M1, first, tip, self.width_mm);
        pencil.point(Landmark::HeadCentre, first.at(self.shaft_mm, 0.0));
        pencil.point(Landmark::HeadEdge, first.at(tip, 0.0));
        let surface = Ray {
            from: first.at(self.shaft_mm, 0.0),
            turned: first.turned + self.articular,
        };
        pencil.point(Landmark::ArticularMedial, surface.at(4.0, -9.0));
        pencil.point(Landmark::ArticularLateral, surface.at(4.0, 9.0));
        let toe = Ray {
            from: first.at(tip + JOINT_GAP_MM, 0.0),
            turned: first.turned + self.hallux_valgus,
        };
        pencil.bone(LongBone::ProximalPhalanx, toe, 28.0, 14.0);
        let end = Ray {
            from: toe.at(29.0, 0.0),
            turned: toe.turned,
        };
        pencil.bone(LongBone::DistalPhalanx, end, 22.0, 10.0);
        for (number, bone) in [LongBone::M2, LongBone::M3, LongBone::M4]
            .into_iter()
            .enumerate()
        {
            let number = f64::from(u32::try_from(number).expect("few"));
            let ray = Ray {
                from: [20.0 + 10.0 * number, -2.0 * number],
                turned: 0.0,
            };
            pencil.bone(bone, ray, 72.0 - 4.0 * number, 8.0);
        }
        for (sesamoid, lateral) in [(Sesamoid::Tibial, -1.0), (Sesamoid::Fibular, 11.0)] {
            let [centre, long, short] = Landmark::of_sesamoid(sesamoid);
            let along = self.shaft_mm - 2.0;
            pencil.point(centre, first.at(along, lateral));
            pencil.point(long, first.at(along + 6.0, lateral));
            pencil.point(short, first.at(along, lateral + 4.0));
        }
        pencil.tracing
    }

    fn lateral(&self) -> FilmTracing {
        let mut pencil = Pencil {
            tracing: FilmTracing::default(),
            origin: [30.0, 80.0],
        };
        // Distal to the right, dorsal up; the bone points 20° downward, and a "lateral" step is plantar.
        let first = Ray {
            from: [40.0, 40.0],
            turned: 110.0,
        };
        let tip = self.shaft_mm + HEAD_MM;
        pencil.bone(LongBone::M1, first, tip, self.width_mm);
        pencil.point(Landmark::HeadCentre, first.at(self.shaft_mm, 0.0));
        pencil.point(Landmark::HeadEdge, first.at(tip, 0.0));
        pencil.point(Landmark::FloorPosterior, [-20.0, 0.0]);
        pencil.point(Landmark::FloorAnterior, [100.0, 0.0]);
        pencil.tracing
    }
}
