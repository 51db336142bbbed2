//! Section: our films beside films of real bones.

use std::collections::BTreeMap;

use anyhow::{Context, Result};
use plumbray_anatomy::{FilmPoint, Landmark, LongBone};
use plumbray_phantom::{Exposure, Foot, FootParameters, render_ap};

use super::{
    Section,
    table::{Table, number, per_cent},
};
use crate::{
    likeness::{
        Appearance, AppearanceNumbers, HEAD_REACH_MM, PLACES, Picture, SHAFT_REACH, appearance,
        frequencies, mean_appearance,
    },
    plot::{Axis, Chart, Mark, Series},
    real_bones::{HALLUX, INTERMETATARSAL, RealBones, RealReading},
    requested::true_tracing,
    statistics::{Summary, TWO_SIDED_95, share_within, within_groups_sd},
};

/// Size of a pixel of our films in the comparison: that of the films of real bones, in mm.
const PIXEL_MM: f64 = 0.15;

pub(super) fn section(kept: Option<&RealBones>) -> Result<Section> {
    let mut section = Section::headed("Beside films of real bones");
    let Some(real) = kept else {
        section.text(
            "Not run: there was no folder of films of real bones at hand, and nothing was kept of an earlier \
run. `--films FOLDER` names one.",
        );
        return Ok(section);
    };
    section.text(
        "Our phantom cannot flatter a search on films of bones that were scanned and not drawn. A folder of \
simulated films of real bones with known truth, five rough readers each, was at hand when `--films FOLDER` \
was last given. Neither the films nor any pixel of them are in this repository, only what was measured on \
them (`validation/real-bones.ron`); without the folder the command takes that again. Our own films are made \
anew each time.",
    );
    let ours = our_appearance(&real.good_films)?;
    section.text("### Do ours look like them?");
    section.text(&format!(
        "{} good films of theirs; as many of ours, feet of the same hallux valgus and intermetatarsal angle, \
pixels of {PIXEL_MM} mm in both. Grey is set to 0 in the soft tissue between the first two metatarsals and \
to 1 on the lateral cortex of the first, so that the processing of the films does not count.",
        real.good_films.len()
    ));
    section.chart("shaft-profile", &shaft_chart(&ours, &real.appearance));
    section.chart("head-profile", &head_chart(&ours, &real.appearance));
    section.chart("noise-spectrum", &noise_chart(&ours, &real.appearance));
    section.text(&numbers_table(&ours.numbers, &real.appearance.numbers));
    section.text("### How well rough strokes read them");
    section.text(&readings_text(&real.readings));
    Ok(section)
}

/// The mean look of our own films of feet with these hallux valgus and intermetatarsal angles.
fn our_appearance(angles: &[[f64; 2]]) -> Result<Appearance> {
    let looks = (1_u64..)
        .zip(angles)
        .map(|(seed, [hallux, ray])| {
            let foot = Foot::new(FootParameters {
                hallux_valgus_angle: hallux.clamp(-10.0, 48.0),
                intermetatarsal_angle_1_2: ray.clamp(3.0, 21.0),
                ..FootParameters::default()
            })?;
            let exposure = Exposure {
                pixel_mm: PIXEL_MM,
                seed,
                ..Exposure::default()
            };
            let film = render_ap(&foot, &exposure)?;
            let truth = true_tracing(&film.truth)?;
            let point = |landmark: Landmark| -> Result<FilmPoint> {
                truth
                    .point(landmark)
                    .with_context(|| format!("the truth has no {landmark}"))
            };
            let bone = |bone| -> Result<[FilmPoint; 2]> {
                Ok([
                    point(Landmark::BaseCentre(bone))?,
                    point(Landmark::Tip(bone))?,
                ])
            };
            appearance(&Picture {
                width: film.width,
                height: film.height,
                grey: film
                    .samples
                    .iter()
                    .map(|sample| f64::from(*sample))
                    .collect(),
                pixel_mm: PIXEL_MM,
                first_metatarsal: bone(LongBone::M1)?,
                head_centre: point(Landmark::HeadCentre)?,
                second_metatarsal: bone(LongBone::M2)?,
            })
        })
        .collect::<Result<Vec<_>>>()?;
    mean_appearance(&looks).context("no film to compare")
}

/// A curve over even places between two ends.
fn curve(name: &str, style: usize, values: &[f64], reach: f64) -> Series {
    let place = |index: usize| reach * (2.0 * index as f64 / (PLACES - 1) as f64 - 1.0);
    Series {
        name: Some(name.to_owned()),
        mark: Mark::Line,
        style,
        points: values
            .iter()
            .enumerate()
            .map(|(index, value)| (place(index), *value))
            .collect(),
    }
}

const OURS: &str = "ours";
const THEIRS: &str = "films of real bones";

fn shaft_chart(ours: &Appearance, theirs: &Appearance) -> Chart {
    Chart {
        title: "Grey across the middle of the first metatarsal’s shaft, medial to the left"
            .to_owned(),
        across: Axis::new(
            "place across the bone, half-widths (±1: outer edges)",
            -SHAFT_REACH,
            SHAFT_REACH,
        ),
        up: Axis::around(
            "grey (0 soft tissue, 1 lateral cortex)",
            ours.shaft.iter().chain(&theirs.shaft).copied(),
            false,
        ),
        places: Vec::new(),
        levels: vec![0.0, 1.0],
        series: vec![
            curve(OURS, 0, &ours.shaft, SHAFT_REACH),
            curve(THEIRS, 1, &theirs.shaft, SHAFT_REACH),
        ],
    }
}

fn head_chart(ours: &Appearance, theirs: &Appearance) -> Chart {
    Chart {
        title: "Grey across the centre of the first metatarsal’s head, medial to the left"
            .to_owned(),
        across: Axis::new(
            "place across the bone, mm at the detector",
            -HEAD_REACH_MM,
            HEAD_REACH_MM,
        ),
        up: Axis::around(
            "grey (0 soft tissue, 1 lateral cortex)",
            ours.head.iter().chain(&theirs.head).copied(),
            false,
        ),
        places: Vec::new(),
        levels: vec![0.0, 1.0],
        series: vec![
            curve(OURS, 0, &ours.head, HEAD_REACH_MM),
            curve(THEIRS, 1, &theirs.head, HEAD_REACH_MM),
        ],
    }
}

fn noise_chart(ours: &Appearance, theirs: &Appearance) -> Chart {
    let series = |name: &str, style, power: &[f64]| Series {
        name: Some(name.to_owned()),
        mark: Mark::LineAndShapes,
        style,
        points: frequencies()
            .into_iter()
            .zip(power)
            .map(|(frequency, power)| (frequency, power.max(1e-9).log10()))
            .collect(),
    };
    Chart {
        title: "Power of the noise in soft tissue".to_owned(),
        across: Axis::new("frequency, cycles in a millimetre", 0.0, 2.6),
        up: Axis::around(
            "power over its mean, powers of ten",
            ours.noise_power
                .iter()
                .chain(&theirs.noise_power)
                .map(|power| power.max(1e-9).log10()),
            false,
        ),
        places: Vec::new(),
        levels: Vec::new(),
        series: vec![
            series(OURS, 0, &ours.noise_power),
            series(THEIRS, 1, &theirs.noise_power),
        ],
    }
}

fn numbers_table(ours: &AppearanceNumbers, theirs: &AppearanceNumbers) -> String {
    let mut table = Table::new(&["mean of the good films", OURS, THEIRS]);
    for (name, of, decimals) in [
        (
            "grey in the middle of the canal",
            (|one| one.canal) as fn(&AppearanceNumbers) -> f64,
            2,
        ),
        ("grey of the medial cortex", |one| one.medial_cortex, 2),
        (
            "width of the shaft, mm at the detector",
            |one| one.shaft_width_mm,
            1,
        ),
        (
            "lateral edge from 10 to 90 %, mm at the detector",
            |one| one.edge_width_mm,
            2,
        ),
        (
            "noise in soft tissue, SD over the cortex’ contrast",
            |one| one.noise_sd,
            3,
        ),
        (
            "slope of log noise power over log frequency, 0.5 to 2 cycles/mm",
            |one| one.noise_slope,
            2,
        ),
    ] {
        table.row([
            name.to_owned(),
            number(of(ours), decimals),
            number(of(theirs), decimals),
        ]);
    }
    table.markdown()
}

fn readings_text(readings: &[RealReading]) -> String {
    let films = by_film(readings, HALLUX).len();
    let mut table = Table::new(&[
        "read less true",
        "n",
        "none",
        "bias",
        "SD",
        "size of the error: median",
        "95th centile",
        "worst",
        "same film",
        "within 1.96 stated SD, %",
    ]);
    let mut kinds: Vec<&str> = Vec::new();
    for reading in readings {
        if !kinds.contains(&reading.what.as_str()) {
            kinds.push(&reading.what);
        }
    }
    for kind in kinds {
        let of_kind: Vec<&RealReading> = readings
            .iter()
            .filter(|reading| reading.what == kind)
            .collect();
        let errors: Vec<f64> = of_kind.iter().filter_map(|reading| reading.error).collect();
        let Some(summary) = Summary::of(&errors) else {
            continue;
        };
        let in_sds: Vec<f64> = of_kind
            .iter()
            .filter_map(|reading| Some(reading.error? / reading.stated_sd?))
            .collect();
        let groups = by_film(readings, kind);
        let same_film = within_groups_sd(groups.values().map(Vec::as_slice));
        table.row([
            kind.to_owned(),
            summary.count.to_string(),
            (of_kind.len() - summary.count).to_string(),
            number(summary.bias, 2),
            number(summary.sd, 2),
            number(summary.median_size, 2),
            number(summary.centile_95_size, 2),
            number(summary.worst, 2),
            same_film.map_or_else(|| "–".to_owned(), |sd| number(sd, 2)),
            per_cent(share_within(&in_sds, TWO_SIDED_95)),
        ]);
    }
    let mut angles = Table::new(&[
        "film",
        "HVA bias °",
        "readers’ SD °",
        "IMA bias °",
        "readers’ SD °",
    ]);
    let (hallux, ray) = (
        by_film(readings, HALLUX),
        by_film(readings, INTERMETATARSAL),
    );
    for (film, errors) in &hallux {
        let cells = |errors: &[f64]| {
            Summary::of(errors).map_or_else(
                || ["–".to_owned(), "–".to_owned()],
                |one| [number(one.bias, 2), number(one.sd, 2)],
            )
        };
        let of_ray = ray.get(film).map_or(&[][..], Vec::as_slice);
        table_row(&mut angles, film, cells(errors), cells(of_ray));
    }
    format!(
        "{films} films, read by the readers that come with them, by the quarters. Their truth is defined in \
three dimensions – ends of bones, a sphere for the head – and ours on the film; part of the differences \
along a bone is that. Nothing was fitted to these films. Millimetres are **at the detector**.\n\n{}\n{}",
        table.markdown(),
        angles.markdown()
    )
}

fn table_row(table: &mut Table, name: &str, one: [String; 2], other: [String; 2]) {
    table.row(std::iter::once(name.to_owned()).chain(one).chain(other));
}

/// The errors of one kind by film.
fn by_film<'a>(readings: &'a [RealReading], kind: &str) -> BTreeMap<&'a str, Vec<f64>> {
    let mut films: BTreeMap<&str, Vec<f64>> = BTreeMap::new();
    for reading in readings.iter().filter(|reading| reading.what == kind) {
        films
            .entry(&reading.film)
            .or_default()
            .extend(reading.error);
    }
    films
}
