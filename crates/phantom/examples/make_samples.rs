//! Makes the films of `sample-images/` again, the same bytes each time on one machine:
//! `cargo run --release -p plumbray-phantom --example make_samples [FOLDER]`.

#[path = "make_samples/feet.rs"]
mod feet;

use std::{
    env,
    error::Error,
    path::{Path, PathBuf},
};

use feet::{SAMPLE_FOOT, Sample, mild_mate, named_feet};
use plumbray_phantom::{
    Exposure, Foot, SimulatedFilm, render_ap, render_ap_of_both, render_lateral,
};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = env::args_os().nth(1).map_or_else(
        || Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-images"),
        PathBuf::from,
    );
    std::fs::create_dir_all(&folder)?;
    let left = Foot::new(feet::sample_foot())?;
    let [ap, lateral] = films(&left, &Exposure::default(), 1)?;
    for (film, view) in [(&ap, "ap"), (&lateral, "lateral")] {
        // The first foot comes in both kinds of file.
        let path = folder.join(format!("{SAMPLE_FOOT}-{view}.png"));
        film.write_png(&path)?;
        film.write_dicom(&path.with_extension("dcm"))?;
        film.write_truth(&path.with_extension("truth.ron"))?;
    }
    let wide = Exposure {
        pixel_mm: 0.23,
        seed: 3,
        ..Exposure::default()
    };
    let both = render_ap_of_both(&left, &Foot::new(mild_mate())?, &wide)?;
    let path = folder.join("both-feet-ap.dcm");
    both.write_dicom(&path)?;
    both.write_truth(&path.with_extension("truth.ron"))?;

    for (index, sample) in (0..).zip(named_feet()?) {
        save(&sample, 10 + 2 * index, &folder)?;
    }
    Ok(())
}

/// The AP and the lateral film of a foot, each with its own noise.
fn films(
    foot: &Foot,
    exposure: &Exposure,
    seed: u64,
) -> Result<[SimulatedFilm; 2], Box<dyn Error>> {
    let with_seed = |seed| Exposure { seed, ..*exposure };
    Ok([
        render_ap(foot, &with_seed(seed))?,
        render_lateral(foot, &with_seed(seed + 1))?,
    ])
}

fn save(sample: &Sample, seed: u64, folder: &Path) -> Result<(), Box<dyn Error>> {
    let foot = Foot::new(sample.parameters)?;
    let [ap, lateral] = films(&foot, &sample.exposure, seed)?;
    for (film, view) in [(ap, "ap"), (lateral, "lateral")] {
        let name = format!("{}-{view}", sample.name);
        if sample.exposure.calibration_object {
            film.write_dicom(&folder.join(format!("{name}.dcm")))?;
        } else {
            // A picture without any word of its size.
            film.write_png(&folder.join(format!("{name}.png")))?;
        }
        film.write_truth(&folder.join(format!("{name}.truth.ron")))?;
    }
    Ok(())
}
