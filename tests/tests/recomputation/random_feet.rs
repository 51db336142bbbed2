//! Random feet as a reader would trace them: crooked, mirrored, turned, enlarged, in tall and in wide
//! pixels, drawn by hand here and there, with things missing now and then.

use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin,
    PhysicalPoint, PhysicalVector, PixelSpacing, PlacedPoint, Proportions, Sesamoid,
};
use plumbray_measure::AxisLevels;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// A film as it was traced.
pub(crate) struct RandomFilm {
    pub(crate) tracing: FilmTracing,
    pub(crate) proportions: Proportions,
    pub(crate) calibration: Option<Calibration>,
}

/// The two films of a foot, and what the reader set.
pub(crate) struct RandomFoot {
    pub(crate) ap: RandomFilm,
    pub(crate) lateral: RandomFilm,
    pub(crate) operated: bool,
    pub(crate) levels_mm: AxisLevels,
}

/// How a foot is traced.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hand {
    /// Every point off its place, cortices that fold back, swapped pairs, missing points.
    Careless,
    /// Everything in its place, so that the spread is small against the length of every line.
    Careful,
    /// In its place, and stated to be exact.
    Exact,
}

/// A foot that follows from the generator's state.
pub(crate) fn random_foot(generator: &mut ChaCha8Rng, hand: Hand) -> RandomFoot {
    let operated = hand == Hand::Careless && generator.random_bool(0.25);
    let levels_mm = if hand == Hand::Careful || generator.random_bool(0.5) {
        AxisLevels::default()
    } else {
        AxisLevels {
            metatarsal_mm: generator.random_range(9.0..35.0),
            proximal_phalanx_mm: generator.random_range(5.0..10.0),
            distal_phalanx_mm: generator.random_range(4.0..8.0),
        }
    };
    RandomFoot {
        ap: ap_film(generator, hand, operated),
        lateral: lateral_film(generator, hand, operated),
        operated,
        levels_mm,
    }
}

/// A straight long bone, in millimetres.
#[derive(Clone, Copy)]
struct Shape {
    base: PhysicalPoint,
    /// From the base to the tip.
    reach: PhysicalVector,
    width: f64,
}

impl Shape {
    /// A bone whose direction is so many degrees clockwise of up.
    fn new(base: PhysicalPoint, clockwise_degrees: f64, length: f64, width: f64) -> Self {
        let (sine, cosine) = clockwise_degrees.to_radians().sin_cos();
        Self {
            base,
            reach: PhysicalVector::new(sine, -cosine) * length,
            width,
        }
    }

    /// A point a share of the way along the bone and so many widths clockwise of its axis.
    fn point(&self, share: f64, widths: f64) -> PhysicalPoint {
        let across = self.reach.perpendicular() * (self.width * widths / self.reach.length());
        self.base + self.reach * share + across
    }
}

/// Puts a foot in millimetres on a film in pixels.
struct Tracer<'g> {
    generator: &'g mut ChaCha8Rng,
    hand: Hand,
    tracing: FilmTracing,
    pixels_per_mm: f64,
    proportions: Proportions,
    turn_radians: f64,
    is_mirrored: bool,
    corner: FilmPoint,
}

impl<'g> Tracer<'g> {
    fn new(generator: &'g mut ChaCha8Rng, hand: Hand) -> Self {
        let height_over_width = generator.random_range(0.6..1.7);
        Self {
            hand,
            tracing: FilmTracing::default(),
            pixels_per_mm: generator.random_range(4.0..10.0),
            proportions: Proportions::new(height_over_width).expect("a possible shape of pixel"),
            turn_radians: generator.random_range(-3.2..3.2),
            is_mirrored: generator.random_bool(0.5),
            corner: FilmPoint::new(
                generator.random_range(0.0..2000.0),
                generator.random_range(0.0..2000.0),
            ),
            generator,
        }
    }

    fn chance(&mut self, probability: f64) -> bool {
        self.hand == Hand::Careless && self.generator.random_bool(probability)
    }

    fn sd_px(&mut self) -> f64 {
        match self.hand {
            Hand::Exact => 0.0,
            Hand::Careful => self.generator.random_range(0.1..0.8),
            Hand::Careless => self.generator.random_range(0.1..3.0),
        }
    }

    /// Where a point comes to lie on the film, off its place by about so many millimetres.
    fn film_point(&mut self, at: PhysicalPoint, jitter_mm: f64) -> FilmPoint {
        let mut off = || match self.hand {
            Hand::Careless => jitter_mm * self.generator.random_range(-1.0..1.0),
            Hand::Careful | Hand::Exact => 0.0,
        };
        let (x, y) = (at.x + off(), at.y + off());
        let x = if self.is_mirrored { -x } else { x };
        let (sine, cosine) = self.turn_radians.sin_cos();
        let turned = PhysicalPoint::new(
            (cosine * x - sine * y) * self.pixels_per_mm,
            (sine * x + cosine * y) * self.pixels_per_mm,
        );
        let film = self.proportions.film(turned);
        FilmPoint::new(film.x_px + self.corner.x_px, film.y_px + self.corner.y_px)
    }

    fn place(&mut self, landmark: Landmark, at: PhysicalPoint, jitter_mm: f64) {
        let placed = PlacedPoint {
            at: self.film_point(at, jitter_mm),
            sd_px: self.sd_px(),
            origin: Origin::Hand,
        };
        self.tracing.points.insert(landmark, placed);
    }

    /// Two points of a line, now and then named in the wrong order.
    fn place_pair(&mut self, names: [Landmark; 2], ends: [PhysicalPoint; 2], jitter_mm: f64) {
        let is_swapped = self.chance(0.2);
        for (index, end) in ends.into_iter().enumerate() {
            let name = names[if is_swapped { 1 - index } else { index }];
            self.place(name, end, jitter_mm);
        }
    }

    fn long_bone(&mut self, bone: LongBone, shape: &Shape) {
        let is_drawn = self.chance(0.12);
        if !is_drawn || self.chance(0.8) {
            self.place(Landmark::BaseCentre(bone), shape.point(0.0, 0.0), 1.5);
            self.place(Landmark::Tip(bone), shape.point(1.0, 0.0), 1.5);
        }
        if is_drawn || self.chance(0.5) {
            let ends = [shape.point(0.2, 0.0), shape.point(0.8, 0.0)];
            self.place_pair(
                [Landmark::ShaftStart(bone), Landmark::ShaftEnd(bone)],
                ends,
                1.5,
            );
        }
        if !is_drawn {
            let reach = if self.hand == Hand::Careless {
                0.2
            } else {
                0.06
            };
            let first = self.generator.random_range(0.02..reach);
            let (one, two) = (
                self.cortex(shape, first, -0.5),
                self.cortex(shape, first, 0.5),
            );
            let (one, two) = if self.chance(0.5) {
                (two, one)
            } else {
                (one, two)
            };
            let sd_px = self.sd_px();
            // From none to most of the spread, taken from the spread itself. Of all of it too little is left for a
            // bone's direction to be known by first order: what the bends of a cortex do becomes as large.
            let together_sd_px = sd_px * (2.0 * (1e3 * sd_px).fract() - 0.5).clamp(0.0, 0.9);
            let cortices = Cortices {
                one,
                two,
                sd_px,
                together_sd_px,
                proximal_sd_px: None,
                origin: Origin::Snapped,
            };
            self.tracing.cortices.insert(bone, cortices);
        }
    }

    /// A cortex that flares towards both ends; a careless one folds back somewhere, so that levels
    /// cross it three times.
    fn cortex(&mut self, shape: &Shape, first: f64, widths: f64) -> Vec<FilmPoint> {
        let steps = self.generator.random_range(7..15_u32);
        let last = 1.0 - first * self.generator.random_range(0.9..1.0);
        let fold = self
            .chance(0.25)
            .then(|| self.generator.random_range(1..steps));
        let mut vertices = Vec::new();
        for step in 0..=steps {
            let share = first + (last - first) * f64::from(step) / f64::from(steps);
            let flare = 1.0 + 0.6 * (2.0 * share - 1.0).powi(2);
            vertices.push(self.film_point(shape.point(share, widths * flare), 0.5));
            if fold == Some(step) {
                let farther = 1.5 * widths * flare;
                vertices.push(self.film_point(shape.point(share + 0.1, farther), 0.5));
                vertices.push(self.film_point(shape.point(share - 0.1, farther), 0.5));
            }
        }
        vertices
    }

    /// The head of the first metatarsal; after an operation it has moved laterally.
    fn head(&mut self, shape: &Shape, operated: bool) -> PhysicalPoint {
        let shift = if operated {
            self.generator.random_range(0.0..0.8)
        } else {
            0.0
        };
        let centre = shape.point(0.87, shift);
        self.place(Landmark::HeadCentre, centre, 1.0);
        self.place(Landmark::HeadEdge, shape.point(0.87, shift + 0.7), 0.5);
        if operated && self.chance(0.8) {
            let share = self.generator.random_range(0.55..0.95);
            self.place(Landmark::OsteotomyLevel, shape.point(share, 0.0), 1.0);
        }
        centre
    }

    fn sesamoid(&mut self, sesamoid: Sesamoid, centre: PhysicalPoint) {
        let angle = self.generator.random_range(0.0..6.3_f64);
        let between = self.generator.random_range(0.9..2.2_f64);
        let end = |angle: f64, half: f64| {
            centre + PhysicalVector::new(half * angle.cos(), half * angle.sin())
        };
        let [centre_name, long_name, short_name] = Landmark::of_sesamoid(sesamoid);
        self.place(centre_name, centre, 0.3);
        self.place(long_name, end(angle, 6.0), 0.3);
        self.place(short_name, end(angle + between, 4.5), 0.3);
    }

    /// The finished film: now and then some points are missing, or the calibration.
    fn finish(mut self) -> RandomFilm {
        if self.chance(0.2) {
            for _ in 0..3 {
                let count = self.tracing.points.len();
                let index = self.generator.random_range(0..count);
                let landmark = self.tracing.points.keys().nth(index).copied();
                self.tracing
                    .points
                    .remove(&landmark.expect("one of the points"));
            }
        }
        let calibration = (!self.chance(0.15)).then(|| self.calibration());
        RandomFilm {
            proportions: calibration.map_or(self.proportions, |known| known.proportions()),
            tracing: self.tracing,
            calibration,
        }
    }

    fn calibration(&mut self) -> Calibration {
        let width_mm = 1.0 / self.pixels_per_mm;
        let height_mm = width_mm * self.proportions.height_over_width();
        let relative_sd = match self.hand {
            Hand::Exact => 0.0,
            Hand::Careless | Hand::Careful => self.generator.random_range(0.001..0.02),
        };
        Calibration {
            spacing: PixelSpacing::new(height_mm, width_mm).expect("a possible spacing"),
            basis: CalibrationBasis::AtDetector,
            relative_sd,
        }
    }
}

/// The points for numbers that are seldom asked for.
impl Tracer<'_> {
    fn further_points_ap(&mut self, first: &Shape, proximal: &Shape, lesser: &[Shape; 4]) {
        let [second, _, fourth, fifth] = lesser;
        let corners = |bone| [Landmark::BaseMedial(bone), Landmark::BaseLateral(bone)];
        let base = [first.point(0.02, -0.7), first.point(-0.02, 0.65)];
        self.place_pair(corners(LongBone::M1), base, 2.0);
        let base = [proximal.point(0.0, -0.7), proximal.point(0.02, 0.7)];
        self.place_pair(corners(LongBone::ProximalPhalanx), base, 2.0);
        let toe = LongBone::ProximalPhalanx;
        let head = [Landmark::DistalMedial(toe), Landmark::DistalLateral(toe)];
        let corners_of_head = [proximal.point(0.97, -0.6), proximal.point(1.0, 0.6)];
        self.place_pair(head, corners_of_head, 2.0);
        for (bone, shape) in [(LongBone::M4, fourth), (LongBone::M5, fifth)] {
            self.place(Landmark::BaseLateral(bone), shape.point(0.0, 0.7), 2.0);
        }
        self.place(Landmark::HeadMedialEdge, first.point(0.85, -0.9), 2.0);
        self.place(Landmark::FourthHeadCentre, fourth.point(0.92, 0.0), 1.0);
        self.place(Landmark::FifthHeadLateralEdge, fifth.point(0.93, 0.8), 2.0);
        let joints = [
            Landmark::TalonavicularMedial,
            Landmark::CalcaneocuboidLateral,
        ];
        let places = [(2.0, 34.0), (46.0, 44.0)].map(|(x, y)| PhysicalPoint::new(x, y));
        self.place_pair(joints, places, 3.0);
        self.place_pair(
            [
                Landmark::IntermediateCuneiformProximal,
                Landmark::IntermediateCuneiformDistal,
            ],
            [second.point(-0.25, 0.1), second.point(-0.03, 0.0)],
            1.5,
        );
    }

    fn further_points_lateral(&mut self, first: &Shape, operated: bool) {
        let second = Shape::new(first.point(-0.05, -0.6), 100.0, 72.0, 9.0);
        for (bone, shape) in [(LongBone::M1, first), (LongBone::M2, &second)] {
            self.place_pair(
                [Landmark::DorsalProximal(bone), Landmark::DorsalDistal(bone)],
                [shape.point(0.2, -0.5), shape.point(0.75, -0.5)],
                2.0,
            );
        }
        let cuneiform = PhysicalPoint::new(92.0, 84.0);
        self.place(Landmark::MedialCuneiformPlantar, cuneiform, 4.0);
        if operated {
            let level = self.generator.random_range(0.6..0.8);
            let shift = self.generator.random_range(-0.5..0.5);
            self.place_pair(
                [Landmark::ShaftCutDorsal, Landmark::ShaftCutPlantar],
                [first.point(level, -0.5), first.point(level, 0.5)],
                1.0,
            );
            self.place_pair(
                [Landmark::FragmentCutDorsal, Landmark::FragmentCutPlantar],
                [
                    first.point(level + 0.02, shift - 0.5),
                    first.point(level + 0.06, shift + 0.5),
                ],
                1.0,
            );
        }
    }
}

/// The AP film of a right foot; mirrored it is a left one.
fn ap_film(generator: &mut ChaCha8Rng, hand: Hand, operated: bool) -> RandomFilm {
    let mut tracer = Tracer::new(generator, hand);
    let mut between = |low: f64, high: f64| tracer.generator.random_range(low..high);
    let first_turn = between(-25.0, 8.0);
    let first = Shape::new(
        PhysicalPoint::new(0.0, 0.0),
        first_turn,
        between(54.0, 68.0),
        14.0,
    );
    let toe_turn = first_turn + between(-20.0, 55.0);
    let proximal = Shape::new(first.point(1.04, 0.2), toe_turn, between(26.0, 34.0), 12.0);
    let distal = Shape::new(
        proximal.point(1.05, 0.0),
        toe_turn + between(-12.0, 25.0),
        between(21.0, 26.0),
        10.0,
    );
    let sesamoid_widths = between(-1.1, 1.4);
    let mut lesser_turn = between(-4.0, 5.0);
    let lesser = [
        (LongBone::M2, 16.0, -6.0, 72.0),
        (LongBone::M3, 26.0, -3.0, 68.0),
        (LongBone::M4, 36.0, 2.0, 66.0),
        (LongBone::M5, 46.0, 8.0, 64.0),
    ]
    .map(|(bone, x, y, length)| {
        lesser_turn += between(1.0, 7.0);
        let base = PhysicalPoint::new(x, y);
        let length = length + between(-6.0, 6.0);
        (bone, Shape::new(base, lesser_turn, length, 9.0))
    });

    tracer.long_bone(LongBone::M1, &first);
    tracer.long_bone(LongBone::ProximalPhalanx, &proximal);
    tracer.long_bone(LongBone::DistalPhalanx, &distal);
    for (bone, shape) in &lesser {
        tracer.long_bone(*bone, shape);
    }
    tracer.head(&first, operated);
    let surface = [first.point(0.95, -0.65), first.point(0.93, 0.6)];
    let names = [Landmark::ArticularMedial, Landmark::ArticularLateral];
    tracer.place_pair(names, surface, 3.0);
    tracer.sesamoid(Sesamoid::Tibial, first.point(0.8, sesamoid_widths));
    tracer.sesamoid(Sesamoid::Fibular, first.point(0.8, sesamoid_widths + 0.9));
    tracer.further_points_ap(&first, &proximal, &lesser.map(|(_, shape)| shape));
    tracer.finish()
}

/// The lateral film, toes to the right unless it is mirrored or turned.
fn lateral_film(generator: &mut ChaCha8Rng, hand: Hand, operated: bool) -> RandomFilm {
    let mut tracer = Tracer::new(generator, hand);
    let mut between = |low: f64, high: f64| tracer.generator.random_range(low..high);
    let first = Shape::new(
        PhysicalPoint::new(100.0, between(60.0, 72.0)),
        between(95.0, 125.0),
        between(54.0, 68.0),
        14.0,
    );
    let heel = PhysicalPoint::new(12.0, 95.0);
    let calcaneus = heel + PhysicalVector::new(45.0, -between(2.0, 26.0));
    let talus = PhysicalPoint::new(45.0, 50.0);
    let talus_anterior = talus + PhysicalVector::new(32.0, between(2.0, 24.0));
    let floor = [
        PhysicalPoint::new(5.0, 101.0),
        PhysicalPoint::new(165.0, 101.0 + between(-4.0, 4.0)),
    ];

    tracer.long_bone(LongBone::M1, &first);
    tracer.head(&first, operated);
    let names = [Landmark::TalusPosterior, Landmark::TalusAnterior];
    tracer.place_pair(names, [talus, talus_anterior], 2.0);
    let names = [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior];
    tracer.place_pair(names, [heel, calcaneus], 2.0);
    if !tracer.chance(0.15) {
        let names = [Landmark::FloorPosterior, Landmark::FloorAnterior];
        tracer.place_pair(names, floor, 2.0);
    }
    tracer.further_points_lateral(&first, operated);
    tracer.finish()
}
