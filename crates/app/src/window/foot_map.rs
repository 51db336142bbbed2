//! The foot map: a line drawing of both views that shows what is traced and what comes next.

use egui::{Color32, Id, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, pos2, vec2};
use plumbray_anatomy::{LongBone, Sesamoid, Side, View};

use super::theme;
use crate::workbench::{Progress, TraceStep};

/// Size of the AP drawing in points.
const AP_SIZE: Vec2 = vec2(46.0, 62.0);
/// Size of the lateral drawing in points.
const LATERAL_SIZE: Vec2 = vec2(92.0, 62.0);

/// Width of the key in points.
const KEY_WIDTH: f32 = 84.0;
/// Height of a line of the key in points.
const KEY_LINE: f32 = 18.0;

/// One bone of the drawing: a waisted shape from its proximal to its distal end, in shares of the
/// drawing's width and height, for a right foot with the toes up or to the right.
struct MapBone {
    step: TraceStep,
    from: Pos2,
    to: Pos2,
    base_width: f32,
    waist_width: f32,
    head_width: f32,
}

fn bone(step: TraceStep, from: (f32, f32), to: (f32, f32), widths: (f32, f32, f32)) -> MapBone {
    MapBone {
        step,
        from: pos2(from.0, from.1),
        to: pos2(to.0, to.1),
        base_width: widths.0,
        waist_width: widths.1,
        head_width: widths.2,
    }
}

fn ap_bones() -> Vec<MapBone> {
    let shaft = |bone| TraceStep::Shaft(View::Ap, bone);
    vec![
        bone(
            shaft(LongBone::M1),
            (0.30, 0.86),
            (0.22, 0.44),
            (0.18, 0.12, 0.17),
        ),
        bone(
            TraceStep::Head(View::Ap),
            (0.225, 0.46),
            (0.217, 0.40),
            (0.19, 0.19, 0.19),
        ),
        bone(
            TraceStep::JointSurface,
            (0.14, 0.372),
            (0.29, 0.372),
            (0.02, 0.02, 0.02),
        ),
        bone(
            shaft(LongBone::ProximalPhalanx),
            (0.22, 0.34),
            (0.29, 0.18),
            (0.16, 0.11, 0.14),
        ),
        bone(
            shaft(LongBone::DistalPhalanx),
            (0.30, 0.14),
            (0.35, 0.02),
            (0.13, 0.08, 0.09),
        ),
        bone(
            TraceStep::Sesamoid(Sesamoid::Tibial),
            (0.16, 0.50),
            (0.16, 0.45),
            (0.07, 0.07, 0.07),
        ),
        bone(
            TraceStep::Sesamoid(Sesamoid::Fibular),
            (0.31, 0.49),
            (0.31, 0.44),
            (0.07, 0.07, 0.07),
        ),
        bone(
            shaft(LongBone::M2),
            (0.45, 0.88),
            (0.47, 0.38),
            (0.13, 0.07, 0.10),
        ),
        bone(
            shaft(LongBone::M3),
            (0.57, 0.88),
            (0.63, 0.41),
            (0.12, 0.06, 0.10),
        ),
        bone(
            shaft(LongBone::M4),
            (0.68, 0.90),
            (0.78, 0.46),
            (0.12, 0.06, 0.10),
        ),
        bone(
            shaft(LongBone::M5),
            (0.80, 0.95),
            (0.93, 0.54),
            (0.14, 0.06, 0.10),
        ),
    ]
}

fn lateral_bones() -> Vec<MapBone> {
    vec![
        bone(
            TraceStep::Talus,
            (0.24, 0.38),
            (0.45, 0.47),
            (0.22, 0.16, 0.16),
        ),
        bone(
            TraceStep::Calcaneus,
            (0.08, 0.76),
            (0.38, 0.64),
            (0.17, 0.15, 0.18),
        ),
        bone(
            TraceStep::Shaft(View::Lateral, LongBone::M1),
            (0.57, 0.54),
            (0.84, 0.80),
            (0.13, 0.08, 0.13),
        ),
        bone(
            TraceStep::Head(View::Lateral),
            (0.82, 0.79),
            (0.86, 0.82),
            (0.13, 0.13, 0.13),
        ),
        bone(
            TraceStep::Floor,
            (0.02, 0.93),
            (0.98, 0.93),
            (0.02, 0.02, 0.02),
        ),
    ]
}

impl MapBone {
    /// The outline in points within a drawing's rectangle.
    fn outline(&self, rect: Rect, mirrored: bool) -> Vec<Pos2> {
        let place = |at: Pos2| {
            let x = if mirrored { 1.0 - at.x } else { at.x };
            rect.min + vec2(x * rect.width(), at.y * rect.height())
        };
        let (from, to) = (place(self.from), place(self.to));
        let along = (to - from).normalized();
        let across = vec2(-along.y, along.x) * rect.width().min(rect.height() * 0.75);
        let stations = [
            (0.0, self.base_width * 0.8),
            (0.12, self.base_width),
            (0.45, self.waist_width),
            (0.65, self.waist_width),
            (0.9, self.head_width),
            (1.0, self.head_width * 0.7),
        ];
        let side = |sign: f32| {
            stations
                .map(|(share, width)| from + (to - from) * share + across * (sign * width / 2.0))
        };
        let mut outline = side(1.0).to_vec();
        outline.extend(side(-1.0).into_iter().rev());
        outline
    }
}

/// Draws the map; gives the step of the bone that was clicked.
///
/// `progress` tells how far each step has come; `next` is lit. A left foot is drawn mirrored.
pub(crate) fn foot_map_ui(
    ui: &mut Ui,
    side: Option<Side>,
    next: Option<TraceStep>,
    progress: impl Fn(TraceStep) -> Progress,
) -> Option<TraceStep> {
    let mut clicked = None;
    let mirrored = side == Some(Side::Left);
    for (bones, size, mirrored) in [
        (ap_bones(), AP_SIZE, mirrored),
        (lateral_bones(), LATERAL_SIZE, false),
    ] {
        let (rect, _) = ui.allocate_exact_size(size, Sense::hover());
        for bone in &bones {
            if map_bone_ui(
                ui,
                rect,
                bone,
                mirrored,
                next == Some(bone.step),
                progress(bone.step),
            ) {
                clicked = Some(bone.step);
            }
        }
    }
    clicked
}

fn map_bone_ui(
    ui: &Ui,
    rect: Rect,
    bone: &MapBone,
    mirrored: bool,
    is_next: bool,
    progress: Progress,
) -> bool {
    let tokens = theme::tokens(ui);
    let outline = bone.outline(rect, mirrored);
    let area = Rect::from_points(&outline).expand(1.0);
    let response = ui.interact(area, Id::unique(("foot map", bone.step)), Sense::click());
    let state = match progress {
        Progress::Missing => "not traced",
        Progress::Proposed => "proposed, not accepted",
        Progress::Doubtful => "traced, look again",
        Progress::Done => "traced",
    };
    let view = bone.step.view().name();
    let name = format!("{}, {view}: {state}", bone.step.name());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, &name));
    let line = if is_next || response.hovered() || response.has_focus() {
        tokens.look_again
    } else {
        tokens.soft
    };
    let painter = ui.painter();
    if is_next {
        let lit = Shape::convex_polygon(outline.clone(), tokens.look_again, Stroke::NONE);
        painter.add(lit);
    } else if progress == Progress::Done {
        fill_ui(painter, tokens, &outline, progress);
    }
    if progress == Progress::Proposed && !is_next {
        let closed: Vec<Pos2> = outline.iter().chain(outline.first()).copied().collect();
        let stroke = Stroke::new(1.2, tokens.accent);
        painter.extend(Shape::dashed_line(&closed, stroke, 2.5, 2.0));
    } else {
        painter.add(Shape::closed_line(outline.clone(), Stroke::new(1.0, line)));
    }
    if progress == Progress::Doubtful {
        fill_ui(painter, tokens, &outline, progress);
    }
    response.on_hover_text(name).clicked()
}

/// What the map's colours mean, one below the other.
pub(crate) fn foot_map_key_ui(ui: &mut Ui) {
    let tokens = theme::tokens(ui);
    ui.allocate_ui_with_layout(
        vec2(KEY_WIDTH, AP_SIZE.y),
        egui::Layout::top_down(egui::Align::Min),
        |ui| {
            ui.spacing_mut().item_spacing.y = 2.0;
            ui.spacing_mut().interact_size.y = KEY_LINE;
            for (words, progress) in [
                ("traced", Progress::Done),
                ("look again", Progress::Doubtful),
                ("not traced", Progress::Missing),
            ] {
                ui.horizontal(|ui| {
                    let (rect, _) = ui.allocate_exact_size(vec2(12.0, KEY_LINE), Sense::hover());
                    let sample = Rect::from_center_size(rect.center(), vec2(9.0, 12.0));
                    let outline = [
                        sample.left_top(),
                        sample.left_center(),
                        sample.left_bottom(),
                        sample.right_bottom(),
                        sample.right_center(),
                        sample.right_top(),
                    ];
                    fill_ui(ui.painter(), tokens, &outline, progress);
                    let line = Stroke::new(1.0, tokens.soft);
                    ui.painter().add(Shape::closed_line(outline.to_vec(), line));
                    ui.label(super::widgets::soft(ui, words).size(theme::size::SMALLEST));
                });
            }
        },
    );
}

/// Fills a bone as far as it has come: plain where it is traced, hatched where it needs a second look.
fn fill_ui(painter: &egui::Painter, tokens: theme::Tokens, outline: &[Pos2], progress: Progress) {
    match progress {
        Progress::Done => {
            let fill = tokens.accent.gamma_multiply(0.55);
            painter.add(Shape::convex_polygon(outline.to_vec(), fill, Stroke::NONE));
        }
        Progress::Doubtful => hatch(painter, outline, tokens.look_again),
        Progress::Missing | Progress::Proposed => {}
    }
}

/// Short strokes across a bone from one side of its outline to the other.
fn hatch(painter: &egui::Painter, outline: &[Pos2], colour: Color32) {
    let last = outline.len() - 1;
    for index in 1..outline.len() / 2 {
        let ends = [outline[index - 1], outline[last - index]];
        painter.line_segment(ends, Stroke::new(1.0, colour));
    }
}
