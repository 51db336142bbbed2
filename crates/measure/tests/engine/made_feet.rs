//! Feet made of straight bones, whose angles are known exactly before anything is measured.
use plumbray_anatomy::{
    Calibration, CalibrationBasis, Cortices, FilmPoint, FilmTracing, Landmark, LongBone, Origin,
    PixelSpacing, PlacedPoint, Proportions, Sesamoid,
};
use plumbray_measure::{
    AxisConvention, Choices, Foot, Measurement, Outcome, Reading, TracedFilm, measure,
};

/// Spread of every point of a made foot, in pixels.
pub(crate) const SD_PX: f64 = 0.8;

/// A point in physical proportions, x right and y down, that becomes a film point at the end.
pub(crate) type Place = [f64; 2];

/// The angles of a made right foot, in degrees, and where its tibial sesamoid lies.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MadeAngles {
    pub(crate) hallux_valgus: f64,
    pub(crate) intermetatarsal: f64,
    pub(crate) articular: f64,
    pub(crate) interphalangeal: f64,
    /// Share of the sesamoid's width lateral to the axis, in per cent.
    pub(crate) sesamoid_share: f64,
}

impl Default for MadeAngles {
    fn default() -> Self {
        Self {
            hallux_valgus: 28.0,
            intermetatarsal: 13.0,
            articular: 9.0,
            interphalangeal: 6.0,
            sesamoid_share: 62.0,
        }
    }
}

/// The unit direction so many degrees lateral of straight up on the film of a right foot.
pub(crate) fn direction(degrees_lateral_of_up: f64) -> Place {
    let (sine, cosine) = degrees_lateral_of_up.to_radians().sin_cos();
    [sine, -cosine]
}

/// The place so far along a direction.
pub(crate) fn step(from: Place, along: Place, distance: f64) -> Place {
    [from[0] + distance * along[0], from[1] + distance * along[1]]
}

/// A quarter turn clockwise on the screen: lateral of distal in a right foot.
pub(crate) fn clockwise(direction: Place) -> Place {
    [-direction[1], direction[0]]
}

pub(crate) fn film_point(place: Place) -> FilmPoint {
    FilmPoint::new(place[0], place[1])
}

pub(crate) fn put(tracing: &mut FilmTracing, landmark: Landmark, place: Place) {
    tracing.points.insert(
        landmark,
        PlacedPoint {
            at: film_point(place),
            sd_px: SD_PX,
            origin: Origin::Hand,
        },
    );
}

/// Places a straight bone: base, tip and two parallel cortices of 19 vertices each.
pub(crate) fn put_bone(
    tracing: &mut FilmTracing,
    bone: LongBone,
    base: Place,
    degrees: f64,
    length: f64,
    width: f64,
) {
    let along = direction(degrees);
    put(tracing, Landmark::BaseCentre(bone), base);
    put(tracing, Landmark::Tip(bone), step(base, along, length));
    let cortex = |side: f64| {
        (0..19)
            .map(|vertex| {
                // No vertex lies at a level: there a derivative would depend on the side.
                let share = (f64::from(vertex) + 0.37) / 19.5;
                let middle = step(base, along, length * share);
                film_point(step(middle, clockwise(along), side * width / 2.0))
            })
            .collect()
    };
    let cortices = Cortices {
        one: cortex(-1.0),
        two: cortex(1.0),
        sd_px: SD_PX,
        together_sd_px: 0.0,
        proximal_sd_px: None,
        origin: Origin::Snapped,
    };
    tracing.cortices.insert(bone, cortices);
}

pub(crate) const M1_BASE: Place = [300.0, 900.0];
pub(crate) const M1_LENGTH: f64 = 420.0;
pub(crate) const M1_TO_HEAD_CENTRE: f64 = 370.0;

/// The AP tracing of a right foot with these angles.
pub(crate) fn ap_tracing(angles: MadeAngles) -> FilmTracing {
    let mut tracing = FilmTracing::default();
    let first_ray = -angles.intermetatarsal;
    put_bone(
        &mut tracing,
        LongBone::M1,
        M1_BASE,
        first_ray,
        M1_LENGTH,
        90.0,
    );
    let along = direction(first_ray);
    put(
        &mut tracing,
        Landmark::HeadCentre,
        step(M1_BASE, along, M1_TO_HEAD_CENTRE),
    );
    let toe = first_ray + angles.hallux_valgus;
    let toe_base = step(M1_BASE, along, M1_LENGTH + 15.0);
    put_bone(
        &mut tracing,
        LongBone::ProximalPhalanx,
        toe_base,
        toe,
        190.0,
        75.0,
    );
    let tip_base = step(toe_base, direction(toe), 205.0);
    put_bone(
        &mut tracing,
        LongBone::DistalPhalanx,
        tip_base,
        toe + angles.interphalangeal,
        140.0,
        60.0,
    );
    for (bone, base_x, degrees, length) in [
        (LongBone::M2, 420.0, 0.0, 480.0),
        (LongBone::M3, 500.0, 3.0, 450.0),
        (LongBone::M4, 580.0, 7.0, 430.0),
        (LongBone::M5, 660.0, 12.0, 400.0),
    ] {
        put_bone(&mut tracing, bone, [base_x, 880.0], degrees, length, 55.0);
    }
    put_articular_surface(&mut tracing, first_ray, angles.articular);
    put_tibial_sesamoid(&mut tracing, first_ray, angles.sesamoid_share);
    tracing
}

fn put_articular_surface(tracing: &mut FilmTracing, first_ray: f64, articular: f64) {
    let middle = step(M1_BASE, direction(first_ray), 410.0);
    let across = clockwise(direction(first_ray + articular));
    put(
        tracing,
        Landmark::ArticularMedial,
        step(middle, across, -65.0),
    );
    put(
        tracing,
        Landmark::ArticularLateral,
        step(middle, across, 65.0),
    );
}

/// An ellipse by two conjugate half-diameters that are not square to each other, placed so that the
/// given share of its width lies lateral to the axis of the first metatarsal.
fn put_tibial_sesamoid(tracing: &mut FilmTracing, first_ray: f64, share: f64) {
    let (along, across) = (direction(first_ray), clockwise(direction(first_ray)));
    let long = step(step([0.0, 0.0], along, 45.0), across, 12.0);
    let short = step(step([0.0, 0.0], along, -8.0), across, 28.0);
    let half_width = 12f64.hypot(28.0);
    let off_axis = half_width * (2.0 * share / 100.0 - 1.0);
    let centre = step(step(M1_BASE, along, 350.0), across, off_axis);
    let [at, long_end, short_end] = Landmark::of_sesamoid(Sesamoid::Tibial);
    put(tracing, at, centre);
    put(tracing, long_end, step(centre, long, 1.0));
    put(tracing, short_end, step(centre, short, 1.0));
}

/// The lateral tracing of a foot whose toes point right, with these angles in degrees: of the talus
/// and the first metatarsal below the horizontal, of the calcaneus above it.
pub(crate) fn lateral_tracing(
    talus_falls: f64,
    metatarsal_falls: f64,
    calcaneus_rises: f64,
) -> FilmTracing {
    let mut tracing = FilmTracing::default();
    let falling = |degrees: f64| direction(90.0 + degrees);
    put(&mut tracing, Landmark::FloorPosterior, [100.0, 1000.0]);
    put(&mut tracing, Landmark::FloorAnterior, [1400.0, 1000.0]);
    let heel = [180.0, 960.0];
    put(&mut tracing, Landmark::CalcaneusPosterior, heel);
    put(
        &mut tracing,
        Landmark::CalcaneusAnterior,
        step(heel, falling(-calcaneus_rises), 300.0),
    );
    let talus = [380.0, 640.0];
    put(&mut tracing, Landmark::TalusPosterior, talus);
    put(
        &mut tracing,
        Landmark::TalusAnterior,
        step(talus, falling(talus_falls), 200.0),
    );
    let base = [800.0, 760.0];
    put_bone(
        &mut tracing,
        LongBone::M1,
        base,
        90.0 + metatarsal_falls,
        420.0,
        80.0,
    );
    put(
        &mut tracing,
        Landmark::HeadCentre,
        step(base, falling(metatarsal_falls), 380.0),
    );
    tracing
}

/// Adds the points of a right foot's AP film that are seldom asked for, about where they lie.
pub(crate) fn put_further_ap(tracing: &mut FilmTracing) {
    let corners = |bone| [Landmark::BaseMedial(bone), Landmark::BaseLateral(bone)];
    let [m1_medial, m1_lateral] = corners(LongBone::M1);
    let [toe_medial, toe_lateral] = corners(LongBone::ProximalPhalanx);
    put_fibular_sesamoid(tracing);
    for (landmark, place) in [
        (m1_medial, [250.0, 895.0]),
        (m1_lateral, [352.0, 905.0]),
        (toe_medial, [150.0, 480.0]),
        (toe_lateral, [240.0, 470.0]),
        (
            Landmark::DistalMedial(LongBone::ProximalPhalanx),
            [172.0, 292.0],
        ),
        (
            Landmark::DistalLateral(LongBone::ProximalPhalanx),
            [246.0, 300.0],
        ),
        (Landmark::BaseLateral(LongBone::M4), [612.0, 890.0]),
        (Landmark::BaseLateral(LongBone::M5), [694.0, 895.0]),
        (Landmark::HeadMedialEdge, [150.0, 560.0]),
        (Landmark::FourthHeadCentre, [630.0, 480.0]),
        (Landmark::FifthHeadLateralEdge, [775.0, 520.0]),
        (Landmark::TalonavicularMedial, [290.0, 1150.0]),
        (Landmark::CalcaneocuboidLateral, [650.0, 1200.0]),
        (Landmark::IntermediateCuneiformProximal, [415.0, 1010.0]),
        (Landmark::IntermediateCuneiformDistal, [420.0, 900.0]),
    ] {
        put(tracing, landmark, place);
    }
}

/// A fibular sesamoid that lies astride the lateral cortex of the first metatarsal, drawn on.
fn put_fibular_sesamoid(tracing: &mut FilmTracing) {
    let tip = tracing.points[&Landmark::Tip(LongBone::M1)].at;
    let way = [tip.x_px - M1_BASE[0], tip.y_px - M1_BASE[1]];
    let along = way.map(|part| part / way[0].hypot(way[1]));
    let across = clockwise(along);
    let centre = step(step(M1_BASE, along, 345.0), across, 52.0);
    let [at, long_end, short_end] = Landmark::of_sesamoid(Sesamoid::Fibular);
    put(tracing, at, centre);
    put(tracing, long_end, step(centre, along, 36.0));
    put(tracing, short_end, step(centre, across, 28.0));
}

/// Adds the points of a lateral film that are seldom asked for.
pub(crate) fn put_further_lateral(tracing: &mut FilmTracing) {
    let [first, second] = [LongBone::M1, LongBone::M2];
    for (landmark, place) in [
        (Landmark::DorsalProximal(first), [850.0, 730.0]),
        (Landmark::DorsalDistal(first), [1100.0, 840.0]),
        (Landmark::DorsalProximal(second), [830.0, 700.0]),
        (Landmark::DorsalDistal(second), [1090.0, 800.0]),
        (Landmark::MedialCuneiformPlantar, [720.0, 880.0]),
    ] {
        put(tracing, landmark, place);
    }
}

/// A calibration of so many millimetres to the pixel width, certain to one per cent.
pub(crate) fn calibration(mm_per_pixel_width: f64, proportions: Proportions) -> Calibration {
    Calibration {
        spacing: PixelSpacing::new(
            mm_per_pixel_width * proportions.height_over_width(),
            mm_per_pixel_width,
        )
        .expect("a possible spacing"),
        basis: CalibrationBasis::RoundObject { diameter_mm: 25.0 },
        relative_sd: 0.01,
    }
}

/// A film of square pixels without calibration.
pub(crate) fn film(tracing: &FilmTracing) -> TracedFilm<'_> {
    TracedFilm {
        tracing,
        proportions: Proportions::SQUARE,
        calibration: None,
    }
}

/// A foot of which only the AP film exists.
pub(crate) fn ap_only(tracing: &FilmTracing) -> Foot<'_> {
    Foot {
        ap: Some(film(tracing)),
        ..Foot::default()
    }
}

/// A foot of which only the lateral film exists.
pub(crate) fn lateral_only(tracing: &FilmTracing) -> Foot<'_> {
    Foot {
        lateral: Some(film(tracing)),
        ..Foot::default()
    }
}

/// Choices that differ from the default by their convention only.
pub(crate) fn by(convention: AxisConvention) -> Choices {
    Choices {
        convention: Some(convention),
        ..Choices::default()
    }
}

/// The reading of a measurement that must have one.
#[track_caller]
pub(crate) fn reading(foot: &Foot<'_>, choices: &Choices, measurement: Measurement) -> Reading {
    match measure(foot, choices, measurement) {
        Outcome::Value(reading) => *reading,
        other => panic!("{}: {other:?}", measurement.identifier()),
    }
}

/// The value of a measurement by the default choices.
#[track_caller]
pub(crate) fn value(foot: &Foot<'_>, measurement: Measurement) -> f64 {
    reading(foot, &Choices::default(), measurement).value
}
