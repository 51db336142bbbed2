//! The drawing over a film, as marks on paper or on a picture.

use crate::{
    clip::clipped,
    drawing::{Drawing, Label, Manner},
    film_picture::FilmPicture,
    mark::{Area, Ink, LineMark, Mark, Spot, TextMark},
    typeface::Weight,
};

/// How far the dark rim reaches beyond its line on each side, in units.
const RIM: f64 = 0.55;

/// Size of a value beside its lines, in units.
const LABEL_SIZE: f64 = 8.0;

/// How far its middle lies from what it stands beside, in units.
const LABEL_DISTANCE: f64 = 14.0;

/// The marks of a drawing over a picture that fills an area. A `unit` is one point on paper.
pub(crate) fn overlay(
    drawing: &Drawing,
    picture: &FilmPicture,
    area: Area,
    unit: f64,
) -> Vec<Mark> {
    let mut rims = Vec::new();
    let mut lines = Vec::new();
    for stroke in &drawing.strokes {
        let (width, dash) = width_and_dash(stroke.manner);
        let spots: Vec<Spot> = stroke
            .along
            .iter()
            .map(|point| picture.spot(*point, area))
            .collect();
        for part in clipped(&spots, area) {
            let line = |width: f64, ink| {
                Mark::Line(LineMark {
                    along: part.clone(),
                    width: width * unit,
                    ink,
                    dash: dash.map(|lengths| lengths.map(|length| length * unit)),
                })
            };
            rims.push(line(width + 2.0 * RIM, Ink::Black));
            lines.push(line(width, Ink::White));
        }
    }
    rims.extend(lines);
    rims.extend(labels(drawing, picture, area, unit));
    rims
}

const fn width_and_dash(manner: Manner) -> (f64, Option<[f64; 2]>) {
    match manner {
        Manner::Outline => (0.4, None),
        Manner::Axis => (0.9, None),
        Manner::LesserAxis => (0.9, Some([6.0, 3.0])),
        Manner::Helper => (0.5, Some([2.0, 2.0])),
        Manner::Planned => (0.8, None),
        Manner::Former => (0.7, Some([1.2, 2.0])),
        Manner::Cut => (1.6, None),
        Manner::Screw => (0.6, None),
    }
}

/// The values, white on dark, inside the picture and none over another.
fn labels(drawing: &Drawing, picture: &FilmPicture, area: Area, unit: f64) -> Vec<Mark> {
    let mut taken: Vec<Area> = Vec::new();
    let mut marks = Vec::new();
    for label in &drawing.labels {
        let mut text = placed(label, picture, area, unit);
        for _ in 0..=taken.len() {
            let Some(other) = taken
                .iter()
                .find(|other| other.overlaps(panel(&text, unit)))
            else {
                break;
            };
            text.at.y += other.bottom() - panel(&text, unit).top + unit;
        }
        if panel(&text, unit).bottom() > area.bottom() {
            text = beside(placed(label, picture, area, unit), &taken, area, unit);
        }
        let panel = panel(&text, unit);
        taken.push(panel);
        marks.push(Mark::Fill(panel, Ink::Black));
        marks.push(Mark::Text(text));
    }
    marks
}

/// A value moved to the nearest free place of the picture above or beside it; as it was where none is near.
fn beside(text: TextMark, taken: &[Area], area: Area, unit: f64) -> TextMark {
    let own = panel(&text, unit);
    let steps = (1..=NEAR).flat_map(|step| {
        let (across, up) = (own.width * f64::from(step), own.height * f64::from(step));
        [
            (0.0, -up),
            (across, 0.0),
            (-across, 0.0),
            (across, -up),
            (-across, -up),
        ]
    });
    let moved = |(right, down): (f64, f64)| TextMark {
        at: Spot {
            x: text.at.x + right * APART,
            y: text.at.y + down * APART,
        },
        ..text.clone()
    };
    let is_free = |moved: &TextMark| {
        let place = panel(moved, unit);
        let is_inside = place.left >= area.left
            && place.right() <= area.right()
            && place.top >= area.top
            && place.bottom() <= area.bottom();
        is_inside && !taken.iter().any(|other| other.overlaps(place))
    };
    let found = steps.map(moved).find(is_free);
    found.unwrap_or(text)
}

/// How many steps away a free place is looked for, and how long a step is, in sizes of the label.
const NEAR: u32 = 6;
const APART: f64 = 1.08;

/// The dark ground of a label.
fn panel(text: &TextMark, unit: f64) -> Area {
    text.area().grown(2.0 * unit, 0.5 * unit)
}

fn placed(label: &Label, picture: &FilmPicture, area: Area, unit: f64) -> TextMark {
    let at = picture.spot(label.at, area);
    let from = picture.spot(label.away_from, area);
    let (right, down) = (at.x - from.x, at.y - from.y);
    let length = right.hypot(down);
    let away = if length > 0.0 {
        LABEL_DISTANCE * unit / length
    } else {
        0.0
    };
    let mut text = TextMark {
        at: Spot { x: 0.0, y: 0.0 },
        size: LABEL_SIZE * unit,
        weight: Weight::SemiBold,
        ink: Ink::White,
        text: label.text.clone(),
    };
    let own = text.area();
    let room = area.grown(-3.0 * unit, -2.0 * unit);
    let most_right = (room.right() - own.width).max(room.left);
    let lowest = (room.bottom() - own.height).max(room.top);
    let left = (at.x + right * away - own.width / 2.0).clamp(room.left, most_right);
    let top = (at.y + down * away - own.height / 2.0).clamp(room.top, lowest);
    text.at = Spot {
        x: left,
        y: top - own.top,
    };
    text
}
