//! Two films of one foot, beside or upon each other.

use std::{sync::Arc, time::Duration};

use egui::{Align2, FontId, Painter, PointerButton, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};
use plumbray_anatomy::{Calibration, FilmPoint, FilmTracing, Proportions, View};
use plumbray_film::Pyramid;
use plumbray_study::Study;

use super::super::{
    WindowState,
    pen::{Manner, OUTLINE, Pen, colour_of_bone},
    theme::{self, film, size},
};
use crate::{
    canvas::{FilmExtent, FilmLook, Orientation, Placement, ScreenFromFilm},
    workbench::{Command, CompareCommand, CompareView, Comparing},
};

/// How much one point of the wheel zooms.
const ZOOM_PER_POINT: f64 = 0.004;
/// How long each film is seen while they blink, in seconds.
const BLINK_SECONDS: f64 = 0.8;

/// A film that is drawn: its pixels, what is traced on it, and in whose frame.
struct Shown<'a> {
    pyramid: &'a Arc<Pyramid>,
    study: &'a Study,
    caption: String,
    name: &'static str,
}

/// Draws the films.
pub(super) fn films_ui(
    ui: &mut Ui,
    comparing: &Comparing,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let whole = ui.available_rect_before_wrap();
    let pair = comparing.pair();
    let visit = |place: usize| comparing.foot.visits.get(place);
    let (Some(earlier), Some(later)) = (visit(pair.earlier), visit(pair.later)) else {
        return;
    };
    let name_of = |place: usize| {
        let column = comparing.comparison.visits.get(place);
        column.map_or_else(String::new, |column| column.name.long.clone())
    };
    let (Some(first), Some(second)) = (&earlier.film, &later.film) else {
        no_film_ui(ui, whole);
        return;
    };
    let one = Shown {
        pyramid: first,
        study: &earlier.study,
        caption: name_of(pair.earlier),
        name: "Earlier AP film",
    };
    let other = Shown {
        pyramid: comparing.laid.as_ref().unwrap_or(second),
        study: &later.study,
        caption: name_of(pair.later),
        name: "Later AP film",
    };
    let mut zone = Zone {
        ui,
        comparing,
        state,
        commands,
        is_laid: comparing.laid.is_some(),
    };
    match (comparing.shown, &comparing.mixed) {
        (CompareView::Blend, Some([blend, _])) => zone.mixed(
            whole,
            blend,
            &format!("{} and {}", one.caption, other.caption),
        ),
        (CompareView::Difference, Some([_, difference])) => {
            let what = format!("bright: {}; dark: {}", other.caption, one.caption);
            zone.mixed(whole, difference, &what);
        }
        (CompareView::Curtain, Some(_)) => zone.curtain(whole, [&one, &other]),
        (CompareView::Blink, Some(_)) => zone.blink(whole, [&one, &other]),
        (CompareView::Outlines, Some(_)) => zone.outlines(whole, [&one, &other]),
        _ => zone.beside(whole, [&one, &other]),
    }
}

fn no_film_ui(ui: &mut Ui, rect: Rect) {
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect.shrink(16.0)));
    child.vertical_centered(|ui| {
        ui.add_space(rect.height() * 0.4);
        let text = "One of the two visits has no AP film that can be opened. The numbers stay.";
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
        for (place, (shown, rect)) in films.into_iter().zip(rects).enumerate() {
            let map = self.map(rect, shown);
            let painter = self.ui.painter().with_clip_rect(rect);
            self.draw(place, &painter, &map, shown.pyramid);
            // A film that was laid into another's frame has its tracing there.
            self.tracing(
                &painter,
                &map,
                shown,
                place == 1 && self.is_laid,
                Manner::Accepted,
            );
            self.caption(rect, &shown.caption);
            self.hand(rect, &map, shown.name);
        }
    }

    fn mixed(&mut self, rect: Rect, pyramid: &Arc<Pyramid>, what: &str) {
        let map = self.map_of_extent(rect, pyramid, Proportions::SQUARE);
        let painter = self.ui.painter().with_clip_rect(rect);
        self.draw(0, &painter, &map, pyramid);
        self.caption(rect, what);
        self.hand(rect, &map, "Both AP films");
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
        for (place, (shown, half)) in films.into_iter().zip(halves).enumerate() {
            let painter = self.ui.painter().with_clip_rect(half);
            self.draw(place, &painter, &map, shown.pyramid);
        }
        let stroke = egui::Stroke::new(1.0, film::ACCENT);
        self.ui.painter().vline(at, rect.y_range(), stroke);
        self.caption(
            rect,
            &format!("{} | {}", films[0].caption, films[1].caption),
        );
        self.hand(rect, &map, "Both AP films");
    }

    fn blink(&mut self, rect: Rect, films: [&Shown<'_>; 2]) {
        let map = self.map(rect, films[0]);
        let time = self.ui.input(|input| input.time);
        let place = usize::from((time / BLINK_SECONDS).rem_euclid(2.0) >= 1.0);
        let painter = self.ui.painter().with_clip_rect(rect);
        self.draw(place, &painter, &map, films[place].pyramid);
        self.caption(rect, &films[place].caption);
        self.hand(rect, &map, "Both AP films");
        self.ui
            .ctx()
            .request_repaint_after(Duration::from_secs_f64(BLINK_SECONDS / 4.0));
    }

    fn outlines(&mut self, rect: Rect, films: [&Shown<'_>; 2]) {
        let map = self.map(rect, films[0]);
        let painter = self.ui.painter().with_clip_rect(rect);
        self.draw(1, &painter, &map, films[1].pyramid);
        self.tracing(&painter, &map, films[1], true, Manner::Accepted);
        self.tracing(&painter, &map, films[0], false, Manner::Proposed);
        self.caption(rect, &films[1].caption);
        self.hand(rect, &map, "Both AP films");
    }

    fn map(&self, rect: Rect, shown: &Shown<'_>) -> ScreenFromFilm {
        self.map_of_extent(rect, shown.pyramid, proportions_of(shown.study))
    }

    fn map_of_extent(
        &self,
        rect: Rect,
        pyramid: &Pyramid,
        proportions: Proportions,
    ) -> ScreenFromFilm {
        let extent = FilmExtent::of_film(pyramid.film(), proportions);
        let inner = rect.shrink2(vec2(8.0, 28.0));
        ScreenFromFilm::new(
            extent,
            if inner.is_positive() { inner } else { rect },
            Orientation::default(),
            self.comparing.placement,
        )
    }

    fn draw(
        &mut self,
        place: usize,
        painter: &Painter,
        map: &ScreenFromFilm,
        pyramid: &Arc<Pyramid>,
    ) {
        let look = FilmLook::of_film(pyramid.film());
        self.state.compare_painters[place].film_ui(painter, map, pyramid, &look);
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
        let tracing: &FilmTracing = shown.study.tracing.on(View::Ap);
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
        for (landmark, placed) in &tracing.points {
            let is_end = matches!(
                landmark,
                plumbray_anatomy::Landmark::HeadCentre
                    | plumbray_anatomy::Landmark::SesamoidCentre(_)
                    | plumbray_anatomy::Landmark::BaseCentre(_)
                    | plumbray_anatomy::Landmark::Tip(_)
            );
            if is_end {
                let colour = super::super::pen::colour_of_landmark(*landmark);
                pen.dot(carried(placed.at), colour);
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
            View::Ap.name(),
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

    /// Wheel: zoom. Drag: move. Both films go together.
    fn hand(&mut self, rect: Rect, map: &ScreenFromFilm, name: &str) {
        let id = self.ui.scope_id().with(("compared film", name));
        let response = self.ui.interact(rect, id, Sense::click_and_drag());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, name));
        let mut placement = self.comparing.placement;
        if let Some(pointer) = response.hover_pos() {
            let (wheel, pinch) = self.ui.input(|input| {
                (
                    f64::from(input.smooth_scroll_delta.y),
                    f64::from(input.zoom_delta()),
                )
            });
            let factor = (wheel * ZOOM_PER_POINT).exp() * pinch;
            if (factor - 1.0).abs() > 1e-6 {
                placement = map.placement_zoomed(factor, pointer);
            }
        }
        if response.dragged_by(PointerButton::Primary)
            && let Some(pointer) = response.interact_pointer_pos()
        {
            let grabbed = map.film_point(pointer - response.drag_delta());
            placement = map.placement_with(grabbed, pointer);
        }
        if response.double_clicked() {
            placement = Placement::Fit;
        }
        if placement != self.comparing.placement {
            let command = CompareCommand::Place(placement);
            self.commands.push(Command::Compare(command));
        }
    }
}

fn proportions_of(study: &Study) -> Proportions {
    study.ap.as_ref().map_or(Proportions::SQUARE, |record| {
        record
            .calibration
            .as_ref()
            .map_or(record.proportions, Calibration::proportions)
    })
}
