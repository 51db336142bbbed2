//! `plumbray phantom`: simulated films of feet whose truth is known.

use std::{fs, io::Write, path::Path};

use anyhow::{Context as _, bail};
use plumbray_anatomy::View;
use plumbray_phantom::{Exposure, Foot, FootParameters, SimulatedFilm, render_ap, render_lateral};
use serde::{Serialize, de::DeserializeOwned};
use serde_json::Value;

use super::{PhantomArguments, PhantomFormat, PhantomViews};

/// Quality of a JPEG copy, of 100: about what a sent picture has.
const JPEG_QUALITY: u8 = 75;

pub(super) fn phantom(arguments: &PhantomArguments, output: &mut dyn Write) -> anyhow::Result<()> {
    let good = with_settings(
        &Exposure::default(),
        &arguments.exposure,
        "a setting of the exposure",
    )?;
    let exposure = arguments.poor.map_or(good, |poor| poor.exposure(good));
    if arguments.list {
        let usual = FootParameters::default();
        write_settings(&usual, "--set", output)?;
        write_settings(&exposure, "--exposure", output)?;
        return Ok(());
    }
    let Some(folder) = &arguments.folder else {
        bail!("name the folder into which the films shall go");
    };
    fs::create_dir_all(folder)
        .with_context(|| format!("the folder cannot be made: {}", folder.display()))?;
    for seed in arguments.seeds() {
        let drawn = match arguments.seed {
            Some(_) => FootParameters::random(seed),
            None => FootParameters::default(),
        };
        let parameters = with_settings(&drawn, &arguments.set, "a parameter of a simulated foot")?;
        let foot = Foot::new(parameters)?;
        for view in arguments.views.views() {
            // Films of one foot have each their own noise.
            let own = Exposure {
                seed: 2 * seed + u64::from(*view == View::Lateral),
                ..exposure
            };
            let film = match view {
                View::Ap => render_ap(&foot, &own)?,
                View::Lateral => render_lateral(&foot, &own)?,
            };
            let name = format!("simulated-foot-{seed}-{}", view.identifier());
            for written in save(&film, folder, &name, arguments.format)? {
                writeln!(output, "{written}")?;
            }
        }
    }
    Ok(())
}

/// Writes a film and its truth and returns the files' names. An older file is never replaced.
fn save(
    film: &SimulatedFilm,
    folder: &Path,
    name: &str,
    format: PhantomFormat,
) -> anyhow::Result<[String; 2]> {
    let ending = match format {
        PhantomFormat::Png => "png",
        PhantomFormat::Dicom => "dcm",
        PhantomFormat::Jpeg => "jpg",
    };
    let picture = folder.join(format!("{name}.{ending}"));
    let truth = folder.join(format!("{name}.truth.ron"));
    if let Some(there) = [&picture, &truth].into_iter().find(|path| path.exists()) {
        bail!(
            "there is a file of this name already; name another folder or another seed: {}",
            there.display()
        );
    }
    match format {
        PhantomFormat::Png => film.write_png(&picture)?,
        PhantomFormat::Dicom => film.write_dicom(&picture)?,
        PhantomFormat::Jpeg => film.write_jpeg(&picture, JPEG_QUALITY)?,
    }
    film.write_truth(&truth)?;
    Ok([picture, truth].map(|path| path.display().to_string()))
}

/// A structure with some of its fields replaced, each given as `NAME=VALUE`, or as `NAME.PART=VALUE` for
/// a field within a field.
///
/// A value is read as JSON (a number, a list, an object, `null`), and where that fails as a word.
fn with_settings<T: Serialize + DeserializeOwned>(
    structure: &T,
    settings: &[String],
    what: &str,
) -> anyhow::Result<T> {
    let mut fields = serde_json::to_value(structure)?;
    for setting in settings {
        let (name, text) = setting.split_once('=').with_context(|| {
            format!("“{setting}” sets nothing; write NAME=VALUE, as in hallux_valgus_angle=30")
        })?;
        let known = flattened(&fields, "");
        let pointer = format!("/{}", name.replace('.', "/"));
        let Some(field) = fields.pointer_mut(&pointer) else {
            let names: Vec<String> = known.into_iter().map(|(name, _)| name).collect();
            bail!("“{name}” is not {what}; one of {}", names.join(", "));
        };
        *field = serde_json::from_str(text).unwrap_or_else(|_| Value::String(text.to_owned()));
    }
    serde_json::from_value(fields)
        .with_context(|| format!("{} cannot be understood", settings.join(" ")))
}

fn write_settings<T: Serialize>(
    structure: &T,
    option: &str,
    output: &mut dyn Write,
) -> anyhow::Result<()> {
    for (name, value) in flattened(&serde_json::to_value(structure)?, "") {
        let value = match value {
            Value::String(word) => word,
            other => other.to_string(),
        };
        writeln!(output, "{option} {name}={value}")?;
    }
    Ok(())
}

/// Every field by its name, those within a field as `NAME.PART`.
fn flattened(fields: &Value, prefix: &str) -> Vec<(String, Value)> {
    let Value::Object(fields) = fields else {
        return Vec::new();
    };
    fields
        .iter()
        .flat_map(|(name, value)| {
            let name = format!("{prefix}{name}");
            match value {
                Value::Object(_) => flattened(value, &format!("{name}.")),
                plain => vec![(name, plain.clone())],
            }
        })
        .collect()
}

impl PhantomArguments {
    fn seeds(&self) -> impl Iterator<Item = u64> {
        let first = self.seed.unwrap_or(1);
        (0..self.count).map(move |index| first.saturating_add(index))
    }
}

impl PhantomViews {
    const fn views(self) -> &'static [View] {
        match self {
            Self::Ap => &[View::Ap],
            Self::Lateral => &[View::Lateral],
            Self::Both => &View::ALL,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(settings: &[&str]) -> anyhow::Result<FootParameters> {
        let settings: Vec<String> = settings.iter().map(|text| (*text).to_owned()).collect();
        with_settings(&FootParameters::default(), &settings, "a parameter")
    }

    #[test]
    fn a_setting_replaces_one_field_and_leaves_the_others() {
        let set = set(&["hallux_valgus_angle=31.5", "side=left"]).expect("two settings");
        let expected = FootParameters {
            hallux_valgus_angle: 31.5,
            side: plumbray_anatomy::Side::Left,
            ..FootParameters::default()
        };
        assert_eq!(set, expected, "the two fields");
    }

    #[test]
    fn a_field_within_a_field_is_set_by_both_names() {
        let settings = ["collimation.top_mm=20".to_owned()];
        let set = with_settings(&Exposure::default(), &settings, "a setting").expect("a setting");
        assert!((set.collimation.top_mm - 20.0).abs() < 1e-12, "{set:?}");
        let listed = flattened(&serde_json::to_value(set).expect("fields"), "");
        assert!(
            listed.iter().any(|(name, _)| name == "collimation.top_mm"),
            "{listed:?}"
        );
    }

    #[test]
    fn an_unknown_name_is_told_with_the_known_ones() {
        let error = set(&["bunion=3"]).expect_err("no such parameter");
        let message = format!("{error:#}");
        assert!(
            message.contains("bunion") && message.contains("hallux_valgus_angle"),
            "{message}"
        );
    }

    #[test]
    fn a_value_of_the_wrong_kind_is_told() {
        for wrong in ["hallux_valgus_angle=much", "side=upper", "side"] {
            let error = set(&[wrong]).expect_err("not possible");
            assert!(format!("{error:#}").contains(wrong), "{error:#}");
        }
    }
}
