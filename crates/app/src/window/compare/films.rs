//! Two films of one foot, beside or upon each other.

use std::{sync::Arc, time::Duration};

use egui::{Align2, FontId, Painter, PointerButton, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use plumbray_anatomy::{FilmPoint, Landmark, Proportions, View};
use plumbray_compare::foot_of;
use plumbray_film::Pyramid;
use plumbray_study::Study;

use super::{
    super::{
        WindowState, film_hand,
        pen::{Manner, OUTLINE, Pen, colour_of_bone, colour_of_landmark},
        theme::{self, film, size},
    },
    plan, wires,
};
use crate::{
    canvas::{FilmLook, Orientation, Placement, ScreenFromFilm},
    workbench::{Command, CompareCommand, CompareView, Comparing, WireMarking},
};

/// How long each film is seen while they blink, in seconds.
const BLINK_SECONDS: f64 = 0.8;

/// A film that is drawn: which of the two, its pixels, and what is traced on it.
struct Shown<'a> {
    /// The earlier (0) or the later one (1).
    place: usize,
    pyramid: &'a Arc<Pyramid>,
    study: &'a Study,
    look: FilmLook,
    caption: String,
}

/// Draws the films.
pub(super) fn films_ui(
    ui: &mut Ui,
    comparing: &Comparing,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let whole = ui.available_rect_before_wrap();
    let films = comparing
        .foot
        .both(comparing.pair())
        .zip(comparing.both_films());
    let Some(([earlier, later], [first, second])) = films else {
        no_film_ui(ui, whole, comparing.view);
        return;
    };
    let shown = |place: usize, visit: usize, pyramid, study| {
        let column = comparing.comparison.visits.get(visit);
        Shown {
            place,
            pyramid,
            study,
            look: comparing.looking.looks[place]
                .clone()
                .unwrap_or_else(|| FilmLook::of_film(pyramid.film())),
            caption: column.map_or_else(String::new, |column| column.name.long.clone()),
        }
    };
    let pair = comparing.pair();
    let one = shown(0, pair.earlier, first, &earlier.study);
    let later_film = comparing.laid.as_ref().unwrap_or(second);
    let other = shown(1, pair.later, later_film, &later.study);
    let mut zone = Zone {
        ui,
        comparing,
        state,
        commands,
        is_laid: comparing.laid.is_some(),
    };
    let films = [&one, &other];
    match (comparing.looking.shown, &comparing.difference) {
        _ if !zone.is_laid => zone.beside(whole, films),
        (CompareView::SideBySide, _) | (CompareView::Difference, None) => zone.beside(whole, films),
        (CompareView::Blend, _) => zone.blend(whole, films),
        (CompareView::Difference, Some(difference)) => zone.difference(whole, difference, films),
        (CompareView::Curtain, _) => zone.curtain(whole, films),
        (CompareView::Blink, _) => zone.blink(whole, films),
        (CompareView::Outlines, _) => zone.outlines(whole, films),
    }
}

fn no_film_ui(ui: &mut Ui, rect: Rect, view: View) {
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect.shrink(16.0)));
    child.vertical_centered(|ui| {
        ui.add_space(rect.height() * 0.4);
        let text = format!(
            "One of the two visits has no {} film that can be opened. The numbers stay.",
            view.name_in_sentence()
        );
        ui.label(egui::RichText::new(text).color(film::SOFT));
    });
}

/// The room for films with everything that is needed to draw them.
struct Zone<'a> {
    ui: &'a mut Ui,
    comparing: &'a Comparing,
    state: &'a mut WindowState,
    commands: &'a mut Vec<Command>,
    is_laid: bool,
}

impl Zone<'_> {
    fn beside(&mut self, whole: Rect, films: [&Shown<'_>; 2]) {
        let middle = whole.center().x;
        let rects = [
            Rect::from_min_max(whole.min, pos2(middle - 1.0, whole.bottom())),
            Rect::from_min_max(pos2(middle + 1.0, whole.top()), whole.max),
        ];
        for (shown, rect) in films.into_iter().zip(rects) {
            let map = self.map(rect, shown);
            let painter = self.ui.painter().with_clip_rect(rect);
            self.draw(&painter, &map, shown);
            // A film that was laid into another's frame has its tracing there.
            let is_carried = shown.place == 1 && self.is_laid;
            self.tracing(&painter, &map, shown, is_carried, Manner::Accepted);
            let planned = if shown.place == 1 {
                self.planned_by_shaft(&painter, &map)
            } else {
                None
            };
            if shown.place == 1 {
                self.wires(rect, &painter, &map);
            }
            let caption = planned.unwrap_or_default();
            self.caption(rect, &format!("{}{caption}", shown.caption));
            let name = if shown.place == 0 { "Earlier" } else { "Later" };
            self.hand(rect, &map, &[shown], name);
        }
    }

    fn blend(&mut self, rect: Rect, films: [&Shown<'_>; 2]) {
        let map = self.map(rect, films[0]);
        let painter = self.ui.painter().with_clip_rect(rect);
        self.draw(&painter, &map, films[0]);
        let cover = self.comparing.looking.cover;
        let later = films[1];
        self.state.compare_painters[1].film_over_ui(
            &painter,
            &map,
            later.pyramid,
            &later.look,
            cover,
        );
        let per_cent = super::super::number::per_cent(f64::from(cover));
        let caption = format!("{per_cent} {} over {}", later.caption, films[0].caption);
        self.caption(rect, &caption);
        self.hand(rect, &map, &films, "Both");
    }

    fn difference(&mut self, rect: Rect, difference: &Arc<Pyramid>, films: [&Shown<'_>; 2]) {
        let map = self.map(rect, films[0]);
        let painter = self.ui.painter().with_clip_rect(rect);
        let look = FilmLook::of_film(difference.film());
        self.state.compare_painters[0].film_ui(&painter, &map, difference, &look);
        let what = format!("bright: {}; dark: {}", films[1].caption, films[0].caption);
        self.caption(rect, &what);
        self.hand(rect, &map, &[], "Both");
    }

    fn curtain(&mut self, rect: Rect, films: [&Shown<'_>; 2]) {
        let map = self.map(rect, films[0]);
        let pointer = self.ui.input(|input| input.pointer.hover_pos());
        let at = pointer
            .filter(|pointer| rect.contains(*pointer))
            .map_or(rect.center().x, |pointer| pointer.x);
        let halves = [
            Rect::from_min_max(rect.min, pos2(at, rect.bottom())),
            Rect::from_min_max(pos2(at, rect.top()), rect.max),
        ];
        for (shown, half) in films.into_iter().zip(halves) {
            let painter = self.ui.painter().with_clip_rect(half);
            self.draw(&painter, &map, shown);
        }
        let stroke = egui::Stroke::new(1.0, film::ACCENT);
        self.ui.painter().vline(at, rect.y_range(), stroke);
        let caption = format!("{} | {}", films[0].caption, films[1].caption);
        self.caption(rect, &caption);
        self.hand(rect, &map, &films, "Both");
    }

    fn blink(&mut self, rect: Rect, films: [&Shown<'_>; 2]) {
        let map = self.map(rect, films[0]);
        let time = self.ui.input(|input| input.time);
        let place = usize::from((time / BLINK_SECONDS).rem_euclid(2.0) >= 1.0);
        let painter = self.ui.painter().with_clip_rect(rect);
        self.draw(&painter, &map, films[place]);
        self.caption(rect, &films[place].caption);
        self.hand(rect, &map, &films, "Both");
        self.ui
            .ctx()
            .request_repaint_after(Duration::from_secs_f64(BLINK_SECONDS / 4.0));
    }

    fn outlines(&mut self, rect: Rect, films: [&Shown<'_>; 2]) {
        let map = self.map(rect, films[0]);
        let painter = self.ui.painter().with_clip_rect(rect);
        self.draw(&painter, &map, films[1]);
        self.tracing(&painter, &map, films[1], true, Manner::Accepted);
        self.tracing(&painter, &map, films[0], false, Manner::Proposed);
        let planned = self.planned(&painter, &map);
        self.wires(rect, &painter, &map);
        let caption = format!(
            "{}; broken: {}{planned}",
            films[1].caption, films[0].caption
        );
        self.caption(rect, &caption);
        self.hand(rect, &map, &films[1..], "Both");
    }

    /// The wires that were marked on the later film.
    fn wires(&self, rect: Rect, painter: &Painter, map: &ScreenFromFilm) {
        let pen = Pen {
            painter,
            map,
            manner: Manner::Accepted,
        };
        let pointer = self.ui.input(|input| input.pointer.hover_pos());
        let pointer = pointer.filter(|pointer| rect.contains(*pointer));
        wires::draw_wires(&pen, self.comparing, pointer.map(|at| map.film_point(at)));
    }

    /// What was planned on the earlier film, over both; what the caption says of it.
    fn planned(&self, painter: &Painter, map: &ScreenFromFilm) -> String {
        let Some((result, held)) = self.comparing.drawn_plan().zip(self.comparing.held_plan())
        else {
            return String::new();
        };
        let pen = Pen {
            painter,
            map,
            manner: Manner::Proposed,
        };
        plan::draw_plan(&pen, &result.undertaking, self.comparing.view);
        format!("; planned: {}", held.name)
    }

    /// What was planned, on a later film that is not laid over the earlier one; what the caption says of it.
    fn planned_by_shaft(&self, painter: &Painter, map: &ScreenFromFilm) -> Option<String> {
        let (result, laid) = self.comparing.plan_on_later()?;
        let held = self.comparing.held_plan()?;
        let pen = Pen {
            painter,
            map,
            manner: Manner::Proposed,
        };
        plan::draw_by_shaft(&pen, &result.undertaking, &held.plan, &laid);
        Some(format!("; planned: {}, laid by the shaft", held.name))
    }

    fn map(&self, rect: Rect, shown: &Shown<'_>) -> ScreenFromFilm {
        let traced = foot_of(shown.study).film(self.comparing.view);
        let proportions = traced.map_or(Proportions::SQUARE, |traced| traced.proportions);
        film_hand::map_in(
            rect,
            shown.pyramid.film(),
            proportions,
            Orientation::default(),
            self.comparing.looking.placement,
        )
    }

    fn draw(&mut self, painter: &Painter, map: &ScreenFromFilm, shown: &Shown<'_>) {
        self.state.compare_painters[shown.place].film_ui(painter, map, shown.pyramid, &shown.look);
    }

    /// The outlines of the bones; carried into the earlier film's frame where the film was.
    fn tracing(
        &self,
        painter: &Painter,
        map: &ScreenFromFilm,
        shown: &Shown<'_>,
        is_carried: bool,
        manner: Manner,
    ) {
        let tracing = shown.study.tracing.on(self.comparing.view);
        let carried = |at: FilmPoint| match &self.comparing.registration {
            Ok(laid) if is_carried => laid.on_earlier(at),
            _ => at,
        };
        let pen = Pen {
            painter,
            map,
            manner,
        };
        for (bone, cortices) in &tracing.cortices {
            for cortex in [&cortices.one, &cortices.two] {
                let line: Vec<FilmPoint> = cortex.iter().map(|at| carried(*at)).collect();
                pen.path(&line, OUTLINE, colour_of_bone(*bone));
            }
        }
        for [from, to] in LINES {
            if let Some((one, other)) = tracing.point(from).zip(tracing.point(to)) {
                let line = [one, other].map(carried);
                pen.path(&line, OUTLINE, colour_of_landmark(from));
            }
        }
        for (landmark, placed) in &tracing.points {
            if is_shown(*landmark) {
                pen.dot(carried(placed.at), colour_of_landmark(*landmark));
            }
        }
    }

    fn caption(&self, rect: Rect, text: &str) {
        let inner = rect.shrink2(vec2(12.0, 8.0));
        let strong = FontId::new(size::SMALLEST, theme::semibold());
        let painter = self.ui.painter().with_clip_rect(rect);
        let name = painter.text(
            inner.left_top(),
            Align2::LEFT_TOP,
            self.comparing.view.name(),
            strong,
            film::INK,
        );
        painter.text(
            name.right_top() + vec2(6.0, 0.0),
            Align2::LEFT_TOP,
            text,
            FontId::proportional(size::SMALLEST),
            film::SOFT,
        );
    }

    /// A click while a wire is being marked.
    fn mark(&mut self, response: &egui::Response, map: &ScreenFromFilm) {
        let at = response
            .interact_pointer_pos()
            .filter(|_| response.clicked());
        let at = at.map(|at| self.comparing.on_later_film(map.film_point(at)));
        let mark = at.map(|at| Command::Compare(CompareCommand::WireAt(at)));
        self.commands.extend(mark);
    }

    /// Wheel: zoom. Drag: move. Right button: window and level of the films it lies upon. Both go together.
    fn hand(&mut self, rect: Rect, map: &ScreenFromFilm, films: &[&Shown<'_>], which: &str) {
        let films_word = if which == "Both" { "films" } else { "film" };
        let name = format!("{which} {} {films_word}", self.comparing.view.name());
        let id = self.ui.scope_id().with(("compared film", which));
        let response = self.ui.interact(rect, id, Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &name));
        let now = self.comparing.looking.placement;
        let mut placement = film_hand::zoomed(self.ui, &response, map).unwrap_or(now);
        if response.dragged_by(PointerButton::Primary)
            && let Some(panned) = film_hand::panned(&response, map)
        {
            placement = panned;
        }
        let shows_later = films.iter().any(|shown| shown.place == 1);
        let marks = self.comparing.looking.wires.marking != WireMarking::Nothing && shows_later;
        if marks {
            self.mark(&response, map);
        } else if response.double_clicked() {
            placement = Placement::Fit;
        }
        if placement != now {
            let command = CompareCommand::Place(placement);
            self.commands.push(Command::Compare(command));
        }
        for shown in films {
            if let Some(look) = film_hand::windowed(&response, map.viewport(), &shown.look) {
                let command = CompareCommand::Look(shown.place, Box::new(look));
                self.commands.push(Command::Compare(command));
            }
        }
    }
}

/// Lines between two points that stand for a surface.
const LINES: [[Landmark; 2]; 3] = [
    [Landmark::ArticularMedial, Landmark::ArticularLateral],
    [Landmark::CalcaneusPosterior, Landmark::CalcaneusAnterior],
    [Landmark::TalusPosterior, Landmark::TalusAnterior],
];

/// Whether a point is drawn as a dot: ends of bones, the head, the sesamoids.
const fn is_shown(landmark: Landmark) -> bool {
    matches!(
        landmark,
        Landmark::HeadCentre
            | Landmark::SesamoidCentre(_)
            | Landmark::BaseCentre(_)
            | Landmark::Tip(_)
    )
}
