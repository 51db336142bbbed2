//! The window: views that draw the state and return commands. They hold no state but scroll, hover
//! and the text being written.

mod application;
mod archive;
mod caution;
mod compare;
mod detail;
mod dialogs;
mod disc;
mod export_page;
mod film_caption;
mod film_hand;
mod film_letters;
mod film_marks;
mod film_menu;
mod film_zone;
mod foot_map;
mod judgement;
mod landmark_handle;
mod letter_boxes;
mod number;
mod offer_line;
mod pages;
mod pen;
mod picture_picker;
mod plan;
mod practise;
mod prompt_line;
mod proposal_detail;
mod range_strip;
mod reader_detail;
mod row_text;
mod rows_page;
mod series;
mod sheet_page;
pub mod shortcuts;
mod small_pictures;
mod still_plot;
pub mod theme;
mod top_line;
mod typeface;
mod verdict;
mod visit_page;
mod visits_page;
mod welcome;
mod widgets;
mod worksheet;

use egui::{CentralPanel, Frame, Margin, Panel, Rect, ScrollArea, Ui, pos2};
use plumbray_anatomy::{FilmPoint, View};

pub use application::{Application, run};
pub use caution::CAUTION;
pub use dialogs::{AskFiles, DesktopDialogs};

use crate::{
    canvas::{FilmPainter, GraphicsPainter},
    workbench::{Command, Selection, SeriesIndex, Workbench},
};

/// Height of the top line in points.
const TOP_LINE: f32 = 44.0;
/// Height of the prompt line in points.
const PROMPT_LINE: f32 = 84.0;
/// Width of the worksheet in points.
const WORKSHEET: f32 = 396.0;
/// A window narrower than this folds the detail under the worksheet.
const NARROW: f32 = 1180.0;

/// Less room than this for the films shows the active one only; keys 1 and 2 change it.
const LEAST_WIDTH_FOR_TWO: f32 = 420.0;

/// What the window keeps between frames beside the workbench.
#[derive(Debug)]
pub struct WindowState {
    painters: [FilmPainter; 2],
    graphics: [GraphicsPainter; 2],
    compare_painters: [FilmPainter; 2],
    stroke_from: Option<(View, FilmPoint)>,
    cursor: Option<(View, FilmPoint)>,
    letters: film_letters::LettersState,
    search: String,
    wanted_rows: String,
    visit_fields: Option<visit_page::VisitFields>,
    visit_names: Vec<visits_page::NameField>,
    practise: practise::PractiseState,
    disc: small_pictures::SmallPictures<usize>,
    archive: archive::ArchiveState,
    series_filter: Option<String>,
    series_index: Option<SeriesIndex>,
}

impl Default for WindowState {
    fn default() -> Self {
        Self {
            painters: View::ALL.map(|_| FilmPainter::new(theme::film::SURROUND)),
            graphics: Default::default(),
            compare_painters: View::ALL.map(|_| FilmPainter::new(theme::film::SURROUND)),
            stroke_from: None,
            cursor: None,
            letters: film_letters::LettersState::default(),
            search: String::new(),
            wanted_rows: String::new(),
            visit_fields: None,
            visit_names: Vec::new(),
            practise: practise::PractiseState::default(),
            disc: small_pictures::SmallPictures::default(),
            archive: archive::ArchiveState::default(),
            series_filter: None,
            series_index: None,
        }
    }
}

impl WindowState {
    const fn painter_of(&mut self, view: View) -> &mut FilmPainter {
        &mut self.painters[view as usize]
    }

    const fn graphics_of(&mut self, view: View) -> &mut GraphicsPainter {
        &mut self.graphics[view as usize]
    }

    /// Gives back what the graphics processor holds.
    fn destroy(&self, gl: &glow::Context) {
        let films = self.painters.iter().chain(&self.compare_painters);
        for painter in films.chain(self.letters.painters()) {
            painter.destroy(gl);
        }
    }

    /// How the films are drawn, to stand after "Films are drawn".
    fn how_films_are_drawn(&self, workbench: &Workbench) -> String {
        use crate::canvas::DrawnBy;
        let reason = View::ALL.into_iter().find_map(|view| {
            let open = workbench.film(view)?;
            match self.painters[view as usize].drawn_by(&open.pyramid) {
                DrawnBy::Graphics => None,
                DrawnBy::Processor { reason } => Some(reason),
            }
        });
        reason.map_or_else(
            || "by the graphics processor".to_owned(),
            |reason| format!("by the processor: {reason}"),
        )
    }
}

/// Draws the whole window and gives what the person asked for.
pub fn window_ui(ui: &mut Ui, workbench: &Workbench, state: &mut WindowState) -> Vec<Command> {
    let mut commands = shortcuts::pressed(ui.ctx(), workbench);
    if !workbench.settings().caution_read {
        // Before it is read nothing is shown and no key does anything but close the window.
        commands.retain(|command| *command == Command::Quit);
        caution::before_you_start_ui(ui, workbench, &mut commands);
        return commands;
    }
    let tokens = theme::tokens(ui);
    let plain = Frame::new().fill(tokens.panel);
    Panel::top("top line")
        .exact_size(TOP_LINE)
        .frame(plain.inner_margin(Margin::symmetric(16, 0)))
        .show(ui, |ui| top_line::top_line_ui(ui, workbench, &mut commands));
    Panel::bottom("prompt line")
        .exact_size(PROMPT_LINE)
        .frame(plain)
        .show(ui, |ui| {
            if let Some(practising) = workbench.practising() {
                practise::prompt_ui(ui, workbench, practising, &mut commands);
            } else if let Some(comparing) = workbench.comparing() {
                compare::prompt_ui(ui, workbench, comparing, &mut commands);
            } else if let Some(planning) = workbench.planning() {
                plan::prompt_ui(ui, workbench, planning, &mut commands);
            } else {
                prompt_line::prompt_line_ui(ui, workbench, &mut commands);
            }
        });
    if let Some(comparing) = workbench.comparing() {
        compare::compare_ui(ui, workbench, comparing, state, &mut commands);
    } else if let Some(planning) = workbench.planning() {
        plan::plan_ui(ui, workbench, planning, state, &mut commands);
    } else if let Some(practising) = workbench
        .practising()
        .filter(|practising| practising.is_overview())
    {
        practise::overview_ui(ui, workbench, practising, state, &mut commands);
    } else if let Some(making) = workbench
        .practising()
        .and_then(|practising| practising.making())
    {
        practise::making_ui(ui, workbench, making, state, &mut commands);
    } else if workbench.has_foot() {
        foot_ui(ui, workbench, state, &mut commands);
    } else if let Some(disc) = workbench.disc() {
        disc::disc_ui(ui, workbench, disc, state, &mut commands);
    } else if let Some(page) = workbench.archive_page() {
        archive::archive_ui(ui, workbench, page, &mut state.archive, &mut commands);
    } else if let Some(series) = workbench.series() {
        series::series_ui(ui, workbench, series, state, &mut commands);
    } else {
        CentralPanel::default()
            .frame(Frame::new().fill(tokens.desk))
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .show(ui, |ui| welcome::welcome_ui(ui, workbench, &mut commands));
            });
    }
    if workbench.archive_page().is_none() {
        // What was typed may name a patient.
        state.archive = archive::ArchiveState::default();
    }
    pages::page_ui(ui, workbench, state, &mut commands);
    commands
}

/// Films, detail and worksheet.
fn foot_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    let films: Vec<View> = View::ALL
        .into_iter()
        .filter(|view| workbench.film(*view).is_some())
        .collect();
    let folded = films.len() < 2 || ui.available_width() < NARROW;
    let width = WORKSHEET.min(ui.available_width() * 0.5);
    Panel::right("worksheet")
        .exact_size(width)
        .resizable(false)
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| match workbench.practising() {
            Some(practising) => practise::panel_ui(ui, workbench, practising, commands),
            None => worksheet_panel_ui(ui, workbench, &mut state.wanted_rows, folded, commands),
        });
    CentralPanel::no_frame()
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            let whole = ui.available_rect_before_wrap();
            match films.as_slice() {
                [_, _] if whole.width() < LEAST_WIDTH_FOR_TWO => {
                    let active = workbench.view().active.unwrap_or(View::Ap);
                    zone_ui(ui, whole, |ui| {
                        film_zone::film_zone_ui(ui, workbench, state, active, commands);
                    });
                }
                [_, _] => two_films_ui(ui, workbench, state, whole, folded, commands),
                [only] => zone_ui(ui, whole, |ui| {
                    film_zone::film_zone_ui(ui, workbench, state, *only, commands);
                }),
                _ => zone_ui(ui, whole, |ui| {
                    film_zone::film_zone_ui(ui, workbench, state, View::Ap, commands);
                }),
            }
        });
}

/// The AP film tall at the left, the lateral at the upper right, the detail below it.
fn two_films_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    state: &mut WindowState,
    whole: Rect,
    folded: bool,
    commands: &mut Vec<Command>,
) {
    let middle = whole.left() + whole.width() * 0.5;
    let left = Rect::from_min_max(whole.min, pos2(middle - 1.0, whole.bottom()));
    let right = Rect::from_min_max(pos2(middle + 1.0, whole.top()), whole.max);
    let floor = if folded {
        right.bottom()
    } else {
        right.top() + right.height() * 0.58
    };
    let upper = Rect::from_min_max(right.min, pos2(right.right(), floor));
    for (view, rect) in [(View::Ap, left), (View::Lateral, upper)] {
        zone_ui(ui, rect, |ui| {
            film_zone::film_zone_ui(ui, workbench, state, view, commands);
        });
    }
    if !folded {
        let lower = Rect::from_min_max(pos2(right.left(), floor), right.max);
        zone_ui(ui, lower.shrink2(egui::vec2(16.0, 12.0)), |ui| {
            if let Some(practising) = workbench.practising() {
                practise::beside_ui(ui, practising);
                return;
            }
            ScrollArea::vertical()
                .id_salt("detail")
                .auto_shrink(false)
                .show(ui, |ui| detail::detail_ui(ui, workbench, commands));
        });
    }
}

fn worksheet_panel_ui(
    ui: &mut Ui,
    workbench: &Workbench,
    wanted: &mut String,
    folded: bool,
    commands: &mut Vec<Command>,
) {
    let tokens = theme::tokens(ui);
    Panel::bottom("verdict")
        .frame(
            Frame::new()
                .fill(tokens.raised)
                .inner_margin(Margin::symmetric(16, 10)),
        )
        .resizable(false)
        .show(ui, |ui| verdict::verdict_ui(ui, workbench, commands));
    let shows_detail =
        workbench.view().selection != Selection::Nothing || workbench.view().calibrating.is_some();
    if folded && shows_detail {
        Panel::bottom("folded detail")
            .frame(
                Frame::new()
                    .fill(tokens.panel)
                    .inner_margin(Margin::symmetric(16, 10)),
            )
            .exact_size(ui.available_height() * 0.45)
            .show(ui, |ui| {
                ScrollArea::vertical()
                    .id_salt("detail")
                    .auto_shrink(false)
                    .show(ui, |ui| detail::detail_ui(ui, workbench, commands));
            });
    }
    Panel::top("rows line")
        .frame(
            Frame::new()
                .fill(tokens.panel)
                .inner_margin(Margin::symmetric(0, 6)),
        )
        .resizable(false)
        .show(ui, |ui| {
            worksheet::rows_line_ui(ui, workbench, wanted, commands);
        });
    CentralPanel::no_frame()
        .frame(Frame::new().fill(tokens.panel))
        .show(ui, |ui| {
            ScrollArea::vertical()
                .id_salt("rows")
                .auto_shrink(false)
                .show(ui, |ui| {
                    worksheet::worksheet_ui(ui, workbench, wanted, commands);
                    if folded && !shows_detail {
                        Frame::new()
                            .inner_margin(Margin::symmetric(16, 16))
                            .show(ui, |ui| {
                                detail::detail_ui(ui, workbench, commands);
                            });
                    }
                });
        });
}

fn zone_ui(ui: &mut Ui, rect: Rect, contents: impl FnOnce(&mut Ui)) {
    let mut child = ui.new_child(egui::UiBuilder::new().max_rect(rect));
    child.set_clip_rect(rect.intersect(ui.clip_rect()));
    contents(&mut child);
}
