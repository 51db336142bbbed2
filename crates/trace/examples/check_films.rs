//! Traces every bone of a folder of films with known truth and prints how far off the results are.
//!
//! `PLUMBRAY_FILMS=FOLDER cargo run --release -p plumbray-trace --example check_films [-- --json]`
//!
//! The folder holds, per film, `NAME.png` or `.jpg`, `NAME.truth.json` and `NAME.hints*.csv` with rough
//! strokes. Without the folder there is nothing to do and the example says so. It is a yardstick for
//! people who work on this crate: no test of the repository depends on it.
#![expect(clippy::print_stdout, reason = "an example prints its findings")]

use std::{
    collections::BTreeMap,
    error::Error,
    fs,
    path::{Path, PathBuf},
};

use plumbray_anatomy::{FilmPoint, LongBone, Proportions, Sesamoid};
use plumbray_film::GreyView;
use plumbray_trace::{
    BoneTrace, CircleFit, EllipseFit, Stroke, fit_head_circle, fit_sesamoid, trace_long_bone,
};
use serde_json::{Value, json};

type Outcome<T> = Result<T, Box<dyn Error>>;
type Hints = BTreeMap<String, FilmPoint>;

const BONES: [LongBone; 6] = [
    LongBone::M1,
    LongBone::M2,
    LongBone::M3,
    LongBone::M4,
    LongBone::ProximalPhalanx,
    LongBone::DistalPhalanx,
];

fn main() -> Outcome<()> {
    let Some(folder) = std::env::var_os("PLUMBRAY_FILMS").map(PathBuf::from) else {
        println!("Set PLUMBRAY_FILMS to a folder of films with known truth.");
        return Ok(());
    };
    let as_json = std::env::args().any(|argument| argument == "--json");
    let mut names: Vec<String> = fs::read_dir(&folder)?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter_map(|name| name.strip_suffix(".truth.json").map(str::to_owned))
        .collect();
    names.sort();
    let mut report = Report::default();
    let mut traces = Vec::new();
    for name in &names {
        let film = Film::open(&folder, name)?;
        for reader in 1..=5 {
            let hints = read_hints(&folder.join(format!("{name}.hints{reader}.csv")))?;
            let found = film.trace_all(&hints);
            if as_json {
                traces.push(found.to_json(name, reader));
            }
            report.add(name, reader, &film.truth, &found);
        }
    }
    if as_json {
        println!("{}", serde_json::to_string(&traces)?);
    } else {
        report.print();
    }
    Ok(())
}

struct Film {
    width: usize,
    height: usize,
    samples: Vec<u16>,
    bone_is_bright: bool,
    truth: Value,
}

impl Film {
    fn open(folder: &Path, name: &str) -> Outcome<Self> {
        let png = folder.join(format!("{name}.png"));
        let path = if png.exists() {
            png
        } else {
            folder.join(format!("{name}.jpg"))
        };
        let picture = image::open(path)?.into_luma16();
        let truth: Value = serde_json::from_str(&fs::read_to_string(
            folder.join(format!("{name}.truth.json")),
        )?)?;
        Ok(Self {
            width: picture.width() as usize,
            height: picture.height() as usize,
            samples: picture.into_raw(),
            bone_is_bright: !name.contains("inverted"),
            truth,
        })
    }

    fn view(&self) -> GreyView<'_> {
        GreyView {
            width: self.width,
            height: self.height,
            samples: &self.samples,
            bone_is_bright: self.bone_is_bright,
            proportions: Proportions::SQUARE,
        }
    }

    fn trace_all(&self, hints: &Hints) -> Found {
        let view = self.view();
        let mut found = Found::default();
        for bone in BONES {
            let ends = ["start", "end"].map(|end| {
                hints
                    .get(&format!("{}_shaft_{end}", bone.identifier()))
                    .copied()
            });
            let [Some(from), Some(to)] = ends else {
                continue;
            };
            match trace_long_bone(&view, bone, &Stroke::new(from, to)) {
                Ok(trace) => {
                    found.bones.insert(bone, trace);
                }
                Err(error) => eprintln!("{}: {error}", bone.identifier()),
            }
        }
        found.trace_head(&view, hints);
        found
    }
}

#[derive(Default)]
struct Found {
    bones: BTreeMap<LongBone, BoneTrace>,
    head: Option<CircleFit>,
    sesamoids: BTreeMap<Sesamoid, EllipseFit>,
}

impl Found {
    fn trace_head(&mut self, view: &GreyView<'_>, hints: &Hints) {
        let axis = self
            .bones
            .get(&LongBone::M1)
            .and_then(|trace| Some(Stroke::new(trace.base_centre?.at, trace.tip?.at)));
        let centre = |name: &str| hints.get(&format!("{name}_centre")).copied();
        if let Some(near) = centre("m1_head") {
            match fit_head_circle(view, near, None, axis) {
                Ok(circle) => self.head = Some(circle),
                Err(error) => eprintln!("head: {error}"),
            }
        }
        for bone in Sesamoid::ALL {
            let Some(near) = centre(bone.identifier()) else {
                continue;
            };
            match fit_sesamoid(view, near, None, axis) {
                Ok(ellipse) => {
                    self.sesamoids.insert(bone, ellipse);
                }
                Err(error) => eprintln!("{}: {error}", bone.identifier()),
            }
        }
    }

    /// The two midpoints at a quarter of the length from each end.
    fn quarters(&self, bone: LongBone) -> Option<[FilmPoint; 2]> {
        let trace = self.bones.get(&bone)?;
        let (base, tip) = (trace.base_centre?.at, trace.tip?.at);
        let middle = |share: f64| {
            let level = base.toward(tip, share);
            let one = crossing(&trace.cortices.one, base, tip, level)?;
            let two = crossing(&trace.cortices.two, base, tip, level)?;
            Some(one.toward(two, 0.5))
        };
        Some([middle(0.25)?, middle(0.75)?])
    }

    fn angle_between(&self, first: LongBone, second: LongBone) -> Option<f64> {
        let direction = |bone| self.quarters(bone).map(|[a, b]| direction(a, b));
        Some(degrees_between(direction(first)?, direction(second)?))
    }

    fn to_json(&self, name: &str, reader: u32) -> Value {
        let pair = |point: &FilmPoint| json!([point.x_px, point.y_px]);
        let bones: serde_json::Map<String, Value> = self
            .bones
            .iter()
            .map(|(bone, trace)| {
                let entry = json!({
                    "one": trace.cortices.one.iter().map(pair).collect::<Vec<_>>(),
                    "two": trace.cortices.two.iter().map(pair).collect::<Vec<_>>(),
                    "sd": trace.cortices.sd_px,
                    "base_sd": trace.base_centre.map(|placed| placed.sd_px),
                    "tip_sd": trace.tip.map(|placed| placed.sd_px),
                    "base": trace.base_centre.map(|placed| pair(&placed.at)),
                    "tip": trace.tip.map(|placed| pair(&placed.at)),
                    "quarters": self.quarters(*bone).map(|ends| ends.iter().map(pair).collect::<Vec<_>>()),
                    "confidence": trace.confidence,
                    "doubts": format!("{:?}", trace.doubts),
                });
                (bone.identifier().to_owned(), entry)
            })
            .collect();
        json!({
            "film": name,
            "reader": reader,
            "bones": bones,
            "circles": self.head.iter().map(circle_outline).collect::<Vec<_>>(),
            "ellipses": self.sesamoids.values().map(ellipse_outline).collect::<Vec<_>>(),
        })
    }
}

/// Points of an outline, for a drawing.
fn circle_outline(circle: &CircleFit) -> Vec<[f64; 2]> {
    let centre = circle.centre.at;
    (0..60)
        .map(|index| (f64::from(index) * 6.0).to_radians())
        .map(|angle| {
            [
                centre.x_px + circle.radius_px * angle.cos(),
                centre.y_px + circle.radius_px * angle.sin(),
            ]
        })
        .collect()
}

/// Points of an outline, for a drawing.
fn ellipse_outline(ellipse: &EllipseFit) -> Vec<[f64; 2]> {
    let (centre, long, short) = (ellipse.centre.at, ellipse.long_end.at, ellipse.short_end.at);
    (0..60)
        .map(|index| (f64::from(index) * 6.0).to_radians())
        .map(|angle| {
            let (sine, cosine) = angle.sin_cos();
            [
                centre.x_px
                    + cosine * (long.x_px - centre.x_px)
                    + sine * (short.x_px - centre.x_px),
                centre.y_px
                    + cosine * (long.y_px - centre.y_px)
                    + sine * (short.y_px - centre.y_px),
            ]
        })
        .collect()
}

/// Where a line of points crosses the line through `level` square to base–tip.
fn crossing(
    line: &[FilmPoint],
    base: FilmPoint,
    tip: FilmPoint,
    level: FilmPoint,
) -> Option<FilmPoint> {
    let axis = direction(base, tip);
    let height =
        |point: FilmPoint| (point.x_px - level.x_px) * axis.0 + (point.y_px - level.y_px) * axis.1;
    line.windows(2).find_map(|piece| {
        let (before, after) = (height(piece[0]), height(piece[1]));
        (before.min(after) <= 0.0 && before.max(after) >= 0.0)
            .then(|| piece[0].toward(piece[1], before / (before - after)))
    })
}

fn direction(from: FilmPoint, to: FilmPoint) -> (f64, f64) {
    let length = from.distance_px(to);
    (
        (to.x_px - from.x_px) / length,
        (to.y_px - from.y_px) / length,
    )
}

/// The turn from one direction to another, −180° to 180°.
fn degrees_between(first: (f64, f64), second: (f64, f64)) -> f64 {
    let cross = first.0 * second.1 - first.1 * second.0;
    let dot = first.0 * second.0 + first.1 * second.1;
    cross.atan2(dot).to_degrees()
}

fn read_hints(path: &Path) -> Outcome<Hints> {
    let mut hints = Hints::new();
    for row in csv::Reader::from_path(path)?.records() {
        let row = row?;
        let number = |column: usize| -> Outcome<f64> {
            Ok(row.get(column).ok_or("a column is missing")?.parse()?)
        };
        let name = row.get(0).ok_or("a name is missing")?.to_owned();
        hints.insert(name, FilmPoint::new(number(1)?, number(2)?));
    }
    Ok(hints)
}

fn truth_point(value: &Value) -> Option<FilmPoint> {
    Some(FilmPoint::new(
        value.get(0)?.as_f64()?,
        value.get(1)?.as_f64()?,
    ))
}

type NamedErrors = Vec<(String, f64)>;

/// An offset split along and across an axis.
fn along_and_across(from: FilmPoint, to: FilmPoint, axis: (f64, f64)) -> (f64, f64) {
    let (x, y) = (to.x_px - from.x_px, to.y_px - from.y_px);
    (x * axis.0 + y * axis.1, x * axis.1 - y * axis.0)
}

fn angle_errors(truth: &Value, found: &Found) -> NamedErrors {
    let error = |kind: &str, first, second| {
        let angle = found.angle_between(first, second)?;
        let true_angle = truth["angles_deg"][kind].as_f64()?;
        // The film may show a left foot: the sign that fits better is the foot's own.
        [angle - true_angle, -angle - true_angle]
            .into_iter()
            .min_by(|one, other| one.abs().total_cmp(&other.abs()))
    };
    [
        ("hva_quarters", LongBone::M1, LongBone::ProximalPhalanx),
        ("ima_quarters", LongBone::M2, LongBone::M1),
    ]
    .into_iter()
    .map(|(kind, first, second)| {
        let error = error(kind, first, second).unwrap_or(f64::INFINITY);
        (format!("{kind}, degrees"), error)
    })
    .collect()
}

fn head_errors(truth: &Value, found: &Found) -> NamedErrors {
    let mut errors = NamedErrors::new();
    let point = |name: &str| truth_point(&truth[name]);
    let known = (
        point("m1_head_centre_3d_sphere"),
        point("m1_base_centre"),
        point("m1_tip"),
    );
    if let (Some(head), (Some(centre), Some(base), Some(tip))) = (found.head, known) {
        let offset = along_and_across(centre, head.centre.at, direction(base, tip));
        errors.push(("m1 head centre along, px".to_owned(), offset.0));
        errors.push(("m1 head centre across, px".to_owned(), offset.1));
        if let Some(radius) = truth["m1_head_radius_px"].as_f64() {
            errors.push(("m1 head radius, px".to_owned(), head.radius_px - radius));
        }
    }
    for (bone, ellipse) in &found.sesamoids {
        let name = format!("{}_centre", bone.identifier());
        if let Some(centre) = point(&name) {
            errors.push((format!("{name}, px"), ellipse.centre.at.distance_px(centre)));
        }
    }
    errors
}

fn bone_errors(truth: &Value, found: &Found) -> NamedErrors {
    let mut errors = NamedErrors::new();
    for (bone, trace) in &found.bones {
        let name = bone.identifier();
        let true_quarters = &truth[format!("{name}_axis_quarters")];
        let ends = (
            truth_point(&true_quarters[0]),
            truth_point(&true_quarters[1]),
        );
        let ((Some(near), Some(far)), Some([a, b])) = (ends, found.quarters(*bone)) else {
            continue;
        };
        let axis = direction(near, far);
        let turn = degrees_between(axis, direction(a, b));
        errors.push((format!("{name} quarters direction, degrees"), turn));
        for (part, placed) in [("tip", trace.tip), ("base_centre", trace.base_centre)] {
            let end = truth_point(&truth[format!("{name}_{part}")]);
            if let (Some(placed), Some(end)) = (placed, end) {
                let offset = along_and_across(end, placed.at, axis);
                errors.push((format!("{name} {part} along, px"), offset.0));
                errors.push((format!("{name} {part} across, px"), offset.1));
            }
        }
    }
    errors
}

/// Errors by kind, each with the film and reader it came from.
#[derive(Default)]
struct Report {
    errors: BTreeMap<String, Vec<(f64, String)>>,
}

impl Report {
    fn add(&mut self, name: &str, reader: u32, truth: &Value, found: &Found) {
        let from = format!("{name} reader {reader}");
        let errors = angle_errors(truth, found)
            .into_iter()
            .chain(head_errors(truth, found))
            .chain(bone_errors(truth, found));
        for (kind, error) in errors {
            self.errors
                .entry(kind)
                .or_default()
                .push((error, from.clone()));
        }
    }

    fn print(&self) {
        for (kind, errors) in &self.errors {
            let mut sizes: Vec<(f64, &str)> = errors
                .iter()
                .map(|(error, from)| (error.abs(), from.as_str()))
                .collect();
            sizes.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mean = errors.iter().map(|(error, _)| error).sum::<f64>() / errors.len() as f64;
            let (worst, worst_from) = sizes[sizes.len() - 1];
            println!(
                "{kind:44} n {:3}  mean {mean:7.2}  median {:6.2}  95th {:6.2}  worst {worst:6.2} ({worst_from})",
                sizes.len(),
                sizes[sizes.len() / 2].0,
                sizes[sizes.len() * 95 / 100].0,
            );
        }
        for kind in ["hva_quarters, degrees", "ima_quarters, degrees"] {
            println!("\n{kind}, every film: error by reader");
            let mut by_film: BTreeMap<&str, Vec<String>> = BTreeMap::new();
            for (error, from) in self.errors.get(kind).into_iter().flatten() {
                let film = from.split(' ').next().unwrap_or(from);
                by_film
                    .entry(film)
                    .or_default()
                    .push(format!("{error:6.2}"));
            }
            for (film, errors) in by_film {
                println!("  {film:28} {}", errors.join(" "));
            }
        }
    }
}
