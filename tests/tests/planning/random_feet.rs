//! Random feet before an operation, as a reader would trace them: bent bones, turned and mirrored films, pixels
//! that are not square, calibrated at the patient, at the detector and not at all.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin,
    PhysicalPoint, PixelSpacing, PlacedPoint, Proportions, Sesamoid,
};
use plumbray_measure::{Foot, TracedFilm};
use rand::Rng as _;
use rand_chacha::ChaCha8Rng;

/// A film as it was traced.
pub(crate) struct RandomFilm {
    pub(crate) tracing: FilmTracing,
    pub(crate) proportions: Proportions,
    pub(crate) calibration: Option<Calibration>,
}

impl RandomFilm {
    fn traced(&self) -> TracedFilm<'_> {
        TracedFilm {
            tracing: &self.tracing,
            proportions: self.proportions,
            calibration: self.calibration.as_ref(),
        }
    }
}

/// The films of a foot; some have no lateral one.
pub(crate) struct RandomFoot {
    pub(crate) ap: RandomFilm,
    pub(crate) lateral: Option<RandomFilm>,
}

impl RandomFoot {
    pub(crate) fn foot(&self) -> Foot<'_> {
        Foot {
            ap: Some(self.ap.traced()),
            lateral: self.lateral.as_ref().map(RandomFilm::traced),
            operated: false,
        }
    }
}

/// A foot that follows from the generator's state.
pub(crate) fn random_foot(generator: &mut ChaCha8Rng) -> RandomFoot {
    let ap = ap_film(generator);
    let lateral = generator.random_bool(0.85).then(|| lateral_film(generator));
    RandomFoot { ap, lateral }
}

/// A line in the foot in mm: where it begins, how many degrees it is turned from distal toward lateral, and how much
/// of a bow the bone along it has.
#[derive(Clone, Copy)]
struct Ray {
    from: [f64; 2],
    turned: f64,
    length: f64,
    width: f64,
    bow: f64,
}

impl Ray {
    /// A place so many mm along and lateral of its beginning.
    fn at(&self, along: f64, lateral: f64) -> [f64; 2] {
        let (sine, cosine) = self.turned.to_radians().sin_cos();
        [
            self.from[0] + along * sine + lateral * cosine,
            self.from[1] + along * cosine - lateral * sine,
        ]
    }

    /// A place at a share of the length and so many widths lateral, on the bowed shaft.
    fn on_shaft(&self, share: f64, widths: f64) -> [f64; 2] {
        let flare = 1.0 + 0.5 * (2.0 * share - 1.0).powi(2);
        let lateral = self.width * widths * flare + self.bow * 4.0 * share * (1.0 - share);
        self.at(share * self.length, lateral)
    }
}

/// Puts a foot in mm, lateral to the right and distal up, on a film that lies anyhow.
struct Tracer<'g> {
    generator: &'g mut ChaCha8Rng,
    tracing: FilmTracing,
    pixels_per_mm: f64,
    proportions: Proportions,
    turn_radians: f64,
    is_mirrored: bool,
    corner: FilmPoint,
}

impl<'g> Tracer<'g> {
    fn new(generator: &'g mut ChaCha8Rng) -> Self {
        Self {
            tracing: FilmTracing::default(),
            pixels_per_mm: generator.random_range(4.0..10.0),
            proportions: Proportions::new(generator.random_range(0.6..1.7))
                .expect("a possible shape of pixel"),
            turn_radians: generator.random_range(-3.2..3.2),
            is_mirrored: generator.random_bool(0.5),
            corner: FilmPoint::new(
                generator.random_range(0.0..2000.0),
                generator.random_range(0.0..2000.0),
            ),
            generator,
        }
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.generator.random_range(low..high)
    }

    /// Where a place comes to lie on the film, off by up to so many mm.
    fn film_point(&mut self, [x, y]: [f64; 2], jitter_mm: f64) -> FilmPoint {
        let x = x + jitter_mm * self.between(-1.0, 1.0);
        let y = y + jitter_mm * self.between(-1.0, 1.0);
        let x = if self.is_mirrored { -x } else { x };
        let (sine, cosine) = self.turn_radians.sin_cos();
        let physical = PhysicalPoint::new(
            (cosine * x + sine * y) * self.pixels_per_mm,
            (sine * x - cosine * y) * self.pixels_per_mm,
        );
        let film = self.proportions.film(physical);
        FilmPoint::new(film.x_px + self.corner.x_px, film.y_px + self.corner.y_px)
    }

    fn place(&mut self, landmark: Landmark, at: [f64; 2], jitter_mm: f64) {
        let placed = PlacedPoint {
            at: self.film_point(at, jitter_mm),
            sd_px: 1.0,
            origin: Origin::Hand,
        };
        self.tracing.points.insert(landmark, placed);
    }

    fn ends(&mut self, bone: LongBone, ray: &Ray) {
        self.place(Landmark::BaseCentre(bone), ray.at(0.0, 0.0), 1.0);
        self.place(Landmark::Tip(bone), ray.at(ray.length, 0.0), 1.0);
    }

    fn cortices(&mut self, bone: LongBone, ray: &Ray) {
        // A first metatarsal's cortices end where its head begins.
        let reach = if bone == LongBone::M1 { 0.79 } else { 0.85 };
        let (first, last) = (self.between(0.04, 0.1), reach + self.between(0.0, 0.03));
        let mut line = |side: f64| -> Vec<FilmPoint> {
            (0..=16)
                .map(|step| first + (last - first) * f64::from(step) / 16.0)
                .map(|share| self.film_point(ray.on_shaft(share, side / 2.0), 0.25))
                .collect()
        };
        let (one, two) = (line(-1.0), line(1.0));
        let (one, two) = if self.generator.random_bool(0.5) {
            (one, two)
        } else {
            (two, one)
        };
        let cortices = Cortices {
            one,
            two,
            sd_px: 1.0,
            together_sd_px: 0.5,
            proximal_sd_px: None,
            origin: Origin::Snapped,
        };
        self.tracing.cortices.insert(bone, cortices);
    }

    fn bone(&mut self, bone: LongBone, ray: &Ray) {
        self.ends(bone, ray);
        self.cortices(bone, ray);
    }

    /// The centre of the first metatarsal's head, which is handed back in mm along and lateral, and a point of its edge.
    fn head(&mut self, first: &Ray) -> [f64; 2] {
        let radius = self.between(7.5, 9.5);
        let centre = [first.length - radius, self.between(-2.0, 2.0)];
        self.place(Landmark::HeadCentre, first.at(centre[0], centre[1]), 0.3);
        self.place(Landmark::HeadEdge, first.at(first.length, centre[1]), 0.3);
        centre
    }

    /// The finished film, by one of three calibrations or none.
    fn finish(self) -> RandomFilm {
        let width_mm = 1.0 / self.pixels_per_mm;
        let height_mm = width_mm * self.proportions.height_over_width();
        let basis = match self.generator.random_range(0..8_u32) {
            0 | 1 => None,
            2 => Some(CalibrationBasis::AtDetector),
            3 => Some(CalibrationBasis::FileByFiducial),
            _ => Some(CalibrationBasis::RoundObject { diameter_mm: 25.0 }),
        };
        let calibration = basis.map(|basis| Calibration {
            spacing: PixelSpacing::new(height_mm, width_mm).expect("a possible spacing"),
            basis,
            relative_sd: 0.01,
        });
        RandomFilm {
            proportions: calibration.map_or(self.proportions, |known| known.proportions()),
            tracing: self.tracing,
            calibration,
        }
    }
}

/// The first metatarsal from its base, pointing so many degrees lateral.
fn first_metatarsal(tracer: &mut Tracer<'_>, turned: f64) -> Ray {
    Ray {
        from: [0.0, 0.0],
        turned,
        length: tracer.between(55.0, 67.0),
        width: tracer.between(11.5, 14.5),
        bow: tracer.between(-1.0, 1.0),
    }
}

fn ap_film(generator: &mut ChaCha8Rng) -> RandomFilm {
    let mut tracer = Tracer::new(generator);
    let turned = -tracer.between(6.0, 20.0);
    let first = first_metatarsal(&mut tracer, turned);
    tracer.bone(LongBone::M1, &first);
    let [along, lateral] = tracer.head(&first);
    let articular = tracer.between(-4.0, 25.0).to_radians();
    for (side, landmark) in [
        (-1.0, Landmark::ArticularMedial),
        (1.0, Landmark::ArticularLateral),
    ] {
        // The ends of the surface lie about the head's centre, the surface facing laterally by the articular angle.
        let (sine, cosine) = articular.sin_cos();
        let (forward, across) = (4.0, side * 7.5);
        let at = first.at(
            along + forward * cosine - across * sine,
            lateral + forward * sine + across * cosine,
        );
        tracer.place(landmark, at, 0.5);
    }
    if tracer.between(0.0, 1.0) < 0.95 {
        great_toe(&mut tracer, &first, lateral);
    }
    for (index, bone) in [LongBone::M2, LongBone::M3, LongBone::M4]
        .into_iter()
        .enumerate()
    {
        let number = [0.0, 1.0, 2.0][index];
        let ray = Ray {
            from: [17.0 + 9.0 * number, 4.0 - 3.0 * number],
            turned: 2.5 * number + tracer.between(-3.0, 3.0),
            length: 70.0 - 3.0 * number + tracer.between(-4.0, 4.0),
            width: 8.0,
            bow: tracer.between(-0.8, 0.8),
        };
        tracer.bone(bone, &ray);
    }
    let displaced = tracer.between(-4.0, 9.0);
    for (sesamoid, beside) in [(Sesamoid::Tibial, -4.0), (Sesamoid::Fibular, 6.0)] {
        let [centre, long, short] = Landmark::of_sesamoid(sesamoid);
        let lateral = displaced + beside;
        tracer.place(centre, first.at(along - 2.0, lateral), 0.3);
        tracer.place(long, first.at(along + 4.0, lateral + 1.0), 0.3);
        tracer.place(short, first.at(along - 2.5, lateral + 4.0), 0.3);
    }
    tracer.finish()
}

fn great_toe(tracer: &mut Tracer<'_>, first: &Ray, lateral: f64) {
    let turned = first.turned + tracer.between(-5.0, 45.0);
    let proximal = Ray {
        from: first.at(first.length + 1.5, lateral),
        turned,
        length: tracer.between(26.0, 34.0),
        width: tracer.between(10.0, 13.0),
        bow: tracer.between(-0.8, 0.8),
    };
    tracer.bone(LongBone::ProximalPhalanx, &proximal);
    let distal = Ray {
        from: proximal.at(proximal.length + 1.5, 0.0),
        turned: turned + tracer.between(-8.0, 20.0),
        length: tracer.between(20.0, 25.0),
        width: 9.0,
        bow: 0.0,
    };
    tracer.bone(LongBone::DistalPhalanx, &distal);
}

/// Distal to the right and dorsal up; here a step “lateral” of the ray is one toward plantar.
fn lateral_film(generator: &mut ChaCha8Rng) -> RandomFilm {
    let mut tracer = Tracer::new(generator);
    let turned = tracer.between(98.0, 125.0);
    let first = first_metatarsal(&mut tracer, turned);
    tracer.ends(LongBone::M1, &first);
    if tracer.between(0.0, 1.0) < 0.8 {
        tracer.cortices(LongBone::M1, &first);
    }
    tracer.head(&first);
    let floor = tracer.between(-50.0, -45.0);
    let mut ends = [
        (Landmark::FloorPosterior, [-60.0, floor]),
        (Landmark::FloorAnterior, [90.0, floor]),
    ];
    if tracer.generator.random_bool(0.2) {
        let [(_, posterior), (_, anterior)] = &mut ends;
        std::mem::swap(posterior, anterior);
    }
    for (landmark, at) in ends {
        tracer.place(landmark, at, 1.0);
    }
    tracer.finish()
}
