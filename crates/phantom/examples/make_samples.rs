//! Makes the films of `sample-images/` again, the same bytes each time:
//! `cargo run --release -p plumbray-phantom --example make_samples [FOLDER]`.

use std::{
    env,
    error::Error,
    path::{Path, PathBuf},
};

use plumbray_anatomy::Side;
use plumbray_phantom::{
    Exposure, Foot, FootParameters, SimulatedFilm, render_ap, render_ap_of_both, render_lateral,
};

/// The sample foot: a left foot with a moderate deformity.
fn sample_foot() -> FootParameters {
    FootParameters {
        side: Side::Left,
        hallux_valgus_angle: 33.5,
        intermetatarsal_angle_1_2: 15.5,
        distal_metatarsal_articular_angle: 9.0,
        hallux_interphalangeal_angle: 6.0,
        sesamoid_displacement: 0.62,
        first_metatarsal_inclination: 20.0,
        talo_first_metatarsal_angle: -5.0,
        ..FootParameters::default()
    }
}

/// The same person's right foot, with a mild deformity.
fn mild_foot() -> FootParameters {
    FootParameters {
        side: Side::Right,
        hallux_valgus_angle: 18.0,
        intermetatarsal_angle_1_2: 10.0,
        distal_metatarsal_articular_angle: 6.0,
        hallux_interphalangeal_angle: 9.0,
        sesamoid_displacement: 0.4,
        first_metatarsal_inclination: 20.0,
        talo_first_metatarsal_angle: -4.0,
        ..FootParameters::default()
    }
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = env::args_os().nth(1).map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images"),
        PathBuf::from,
    );
    std::fs::create_dir_all(&folder)?;
    let left = Foot::new(sample_foot())?;
    let right = Foot::new(mild_foot())?;
    let exposure = |seed| Exposure {
        seed,
        ..Exposure::default()
    };
    save(&render_ap(&left, &exposure(1))?, &folder, "sample-foot-ap")?;
    save(
        &render_lateral(&left, &exposure(2))?,
        &folder,
        "sample-foot-lateral",
    )?;
    let wide = Exposure {
        pixel_mm: 0.23,
        ..exposure(3)
    };
    save(
        &render_ap_of_both(&left, &right, &wide)?,
        &folder,
        "both-feet-ap",
    )?;
    Ok(())
}

fn save(film: &SimulatedFilm, folder: &Path, name: &str) -> Result<(), Box<dyn Error>> {
    film.write_png(&folder.join(format!("{name}.png")))?;
    film.write_dicom(&folder.join(format!("{name}.dcm")))?;
    film.write_truth(&folder.join(format!("{name}.truth.ron")))?;
    Ok(())
}
