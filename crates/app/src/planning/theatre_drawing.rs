//! A plan drawn over a film: what stays, where the head was and comes to lie, the cut, the screws.

use plumbray_anatomy::{FilmPoint, FilmTracing, PhysicalPoint, PhysicalVector, View};
use plumbray_plan::{Outline, ScrewCourse, Undertaking, ViewBefore, sesamoid_outlines};
use plumbray_report::{Drawing, Label, Manner, Stroke};

use super::words;

/// The first metatarsal of one film in its parts, as points of that film.
struct Parts {
    shaft: Vec<FilmPoint>,
    former: Vec<FilmPoint>,
    fragment: Vec<FilmPoint>,
}

/// The plan over the film of a view; nothing on a lateral film that does not serve.
pub(super) fn drawing(undertaking: &Undertaking, view: View, before: &FilmTracing) -> Drawing {
    let mut drawing = Drawing::default();
    let Some(film) = undertaking.before.view(view) else {
        return drawing;
    };
    if let Some(parts) = parts(undertaking, view) {
        drawing.strokes.push(closed(parts.former, Manner::Former));
        drawing.strokes.push(closed(parts.shaft, Manner::Planned));
        drawing
            .strokes
            .push(closed(parts.fragment, Manner::Planned));
    }
    if view == View::Ap {
        let sesamoids = sesamoid_outlines(before).into_iter();
        drawing
            .strokes
            .extend(sesamoids.map(|outline| closed(outline, Manner::Outline)));
    }
    let cut = match view {
        View::Ap => &undertaking.cut_lines[0],
        View::Lateral => &undertaking.cut_lines[1],
    };
    drawing.strokes.push(Stroke {
        along: cut.clone(),
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
    for piece in undertaking.moved_pieces(view, before) {
        let proportions = undertaking
            .before
            .view(view)
            .map_or(plumbray_anatomy::Proportions::SQUARE, |film| {
                film.proportions
            });
        points.extend(piece.outline_after(proportions));
        points.extend(piece.outline);
    }
    let Some(film) = undertaking.before.view(view) else {
        return points;
    };
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

/// How much of what lies around is shown, as a share of the first metatarsal's length.
const AROUND: f64 = 0.12;

fn closed(mut along: Vec<FilmPoint>, manner: Manner) -> Stroke {
    along.extend(along.first().copied());
    Stroke { along, manner }
}

/// The parts of the bone; nothing where its outline was not traced on this film.
fn parts(undertaking: &Undertaking, view: View) -> Option<Parts> {
    let film = undertaking.before.view(view)?;
    let on_film = |outline: &Outline| -> Vec<FilmPoint> {
        let vertices = outline.vertices.iter();
        vertices
            .map(|(vertex, _)| film.film_point(*vertex))
            .collect()
    };
    if view == View::Ap {
        return Some(Parts {
            shaft: on_film(&undertaking.shaft),
            former: on_film(&undertaking.former_fragment),
            fragment: on_film(&undertaking.fragment),
        });
    }
    let whole = film.outline.as_ref()?;
    let motion = undertaking.movement.fragment_on_lateral?;
    // The cut where the AP film has it, as a share of the bone.
    let level = undertaking.cut.along_share * film.length;
    let half_kerf = undertaking.cut.kerf / undertaking.before.ap.length * film.length / 2.0;
    let beyond = |along: f64, way: f64| {
        whole.beyond(
            PhysicalPoint::new(0.0, along),
            PhysicalVector::new(0.0, way),
        )
    };
    let former = beyond(level + half_kerf, 1.0);
    let fragment = former.moved(|place| film.on_bone(motion.of(film.physical(place))));
    Some(Parts {
        shaft: on_film(&beyond(level - half_kerf, -1.0)),
        former: on_film(&former),
        fragment: on_film(&fragment),
    })
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
    let ends = match view {
        View::Ap => course.on_film[0],
        View::Lateral => course.on_film[1],
    };
    let Some([entry, tip]) = ends else {
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
        text: words::letter(place).to_string(),
    });
}
