//! A plan drawn over a film: what stays, where the head was and comes to lie, the cut, the screws.

use plumbray_anatomy::{FilmPoint, FilmTracing, PhysicalPoint, View};
use plumbray_plan::{ScrewCourse, Undertaking, ViewBefore, sesamoid_outlines};
use plumbray_report::{Drawing, Label, Manner, Stroke};

use super::screw_words;

/// The plan over the film of a view; nothing on a lateral film that does not serve.
pub(super) fn drawing(undertaking: &Undertaking, view: View, before: &FilmTracing) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(film) = undertaking.before.view(view) else {
        return drawing;
    };
    if let Some(parts) = undertaking.parts_on(view) {
        let strokes = [
            (parts.former_fragment, Manner::Former),
            (parts.shaft, Manner::Planned),
            (parts.fragment, Manner::Planned),
        ];
        let strokes = strokes.map(|(along, manner)| Stroke { along, manner });
        drawing.strokes.extend(strokes);
    }
    if view == View::Ap {
        let sesamoids = sesamoid_outlines(before).into_iter();
        drawing
            .strokes
            .extend(sesamoids.map(|outline| closed(outline, Manner::Outline)));
    }
    drawing.strokes.push(Stroke {
        along: undertaking.cut_lines[view as usize].clone(),
        manner: Manner::Cut,
    });
    for (place, course) in undertaking.screws.iter().enumerate() {
        add_screw(&mut drawing, undertaking, film, view, place, course);
    }
    drawing
        .strokes
        .retain(|stroke| stroke.along.len() > 1 && stroke.along.iter().all(|at| at.is_finite()));
    drawing
}

/// Everything that the picture of a plan has to hold: the first ray from its base to the end of the toe, before and
/// planned, with the screws and some of what lies around.
pub(super) fn shown(undertaking: &Undertaking, view: View, before: &FilmTracing) -> Vec<FilmPoint> {
    let mut points: Vec<FilmPoint> = drawing(undertaking, view, before)
        .strokes
        .into_iter()
        .flat_map(|stroke| stroke.along)
        .collect();
    let Some(film) = undertaking.before.view(view) else {
        return points;
    };
    for piece in undertaking.moved_pieces(view, before) {
        points.extend(piece.outline_after(film.proportions));
        points.extend(piece.outline);
    }
    // Also where neither its cortices nor a screw are drawn, the bone is.
    let ends = [0.0, BEYOND_HEAD * film.length];
    points.extend(ends.map(|along| film.film_point(PhysicalPoint::new(film.midline, along))));
    let around = AROUND * film.length;
    let tall = around / film.proportions.height_over_width();
    points
        .into_iter()
        .flat_map(|at| {
            [
                FilmPoint::new(at.x_px - around, at.y_px - tall),
                FilmPoint::new(at.x_px + around, at.y_px + tall),
            ]
        })
        .collect()
}

/// Two opposite corners of the part of a film that a plan is about; nothing on a lateral film that does not serve.
pub(crate) fn first_ray(
    undertaking: &Undertaking,
    view: View,
    before: &FilmTracing,
) -> Option<[FilmPoint; 2]> {
    undertaking.before.view(view)?;
    let points = shown(undertaking, view, before);
    let first = *points.first()?;
    let corners = points.iter().fold([first, first], |[low, high], at| {
        [
            FilmPoint::new(low.x_px.min(at.x_px), low.y_px.min(at.y_px)),
            FilmPoint::new(high.x_px.max(at.x_px), high.y_px.max(at.y_px)),
        ]
    });
    Some(corners)
}

/// How far along the bone is shown, from its base: beyond the head lies what is shifted or drilled there.
const BEYOND_HEAD: f64 = 1.2;

/// How much of what lies around is shown, as a share of the first metatarsal's length.
const AROUND: f64 = 0.16;

fn closed(mut along: Vec<FilmPoint>, manner: Manner) -> Stroke {
    along.extend(along.first().copied());
    Stroke { along, manner }
}

/// A screw as the outline of its body, with its letter behind its entry.
fn add_screw(
    drawing: &mut Drawing,
    undertaking: &Undertaking,
    film: &ViewBefore,
    view: View,
    place: usize,
    course: &ScrewCourse,
) {
    let Some([entry, tip]) = course.on_film[view as usize] else {
        return;
    };
    let [from, to] = [entry, tip].map(|at| film.proportions.physical(at));
    let scale = film.length / undertaking.before.ap.length;
    let half = course.diameter.pixel_widths * scale / 2.0;
    let Some(along) = (to - from).unit() else {
        return;
    };
    let across = along.perpendicular() * half;
    let corners = [
        from + across,
        to + across,
        to + across * -1.0,
        from + across * -1.0,
    ];
    let outline = corners.map(|corner| film.proportions.film(corner)).to_vec();
    drawing.strokes.push(closed(outline, Manner::Screw));
    drawing.labels.push(Label {
        at: entry,
        away_from: tip,
        text: screw_words::letter(place).to_string(),
    });
}
