//! What a plan is checked for: a line for each, and below an open one what is wanted.

use egui::{Align2, Color32, FontId, Label, Response, RichText, Sense, Ui, vec2};
use plumbray_anatomy::capitalised;
use plumbray_plan::{Check, Figure, Finding, Undertaking, Verdict};

use super::{
    super::{theme, theme::size, widgets},
    words::{figure, signed_length},
};
use crate::planning::words::{check_name, check_words, wanted_and_is};

/// How far below the name of a check its words begin, in points: as far as the name itself.
const INDENT: f32 = 22.0;

/// Draws checks, each with its sign, its number and, where the pointer rests, the rule and its source.
pub(super) fn checks_ui<'a>(
    ui: &mut Ui,
    done: &Undertaking,
    checks: impl Iterator<Item = &'a Check>,
) {
    let is_calibrated = done.before.ap.mm_per_pixel_width.is_some();
    for check in checks {
        let tokens = theme::tokens(ui);
        let colour = match check.verdict {
            Verdict::Met => tokens.good,
            Verdict::Open => tokens.look_again,
            Verdict::CannotTell => tokens.soft,
        };
        ui.horizontal(|ui| {
            let response = sign_ui(ui, check.verdict, colour);
            let name = check_name(check.finding, is_calibrated);
            response.widget_info(|| {
                let spoken = format!("{name}: {}", check_words(check));
                egui::WidgetInfo::labeled(egui::Role::Label, true, spoken)
            });
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let number = check.figure.map_or_else(
                    || match check.verdict {
                        Verdict::CannotTell => "cannot tell".to_owned(),
                        Verdict::Met | Verdict::Open => String::new(),
                    },
                    |number| match number {
                        Figure::Length(change) if check.finding == Finding::LengthKept => {
                            signed_length(change)
                        }
                        other => figure(other),
                    },
                );
                let number = RichText::new(number)
                    .size(size::SECONDARY)
                    .family(theme::semibold());
                ui.label(number);
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                    let text = RichText::new(name).size(size::SECONDARY);
                    ui.add(Label::new(text).truncate())
                        .on_hover_text(hover(check));
                });
            });
        });
        if check.verdict == Verdict::Open {
            wanted_ui(ui, check);
        }
    }
}

/// What is wanted and what is, with the rule and its source.
fn hover(check: &Check) -> String {
    wanted_and_is(check).map_or_else(
        || check.finding.rule().to_owned(),
        |both| format!("{}.\n{}", capitalised(&both), check.finding.rule()),
    )
}

/// What an open check wants, what it is, and what may help.
fn wanted_ui(ui: &mut Ui, check: &Check) {
    let help = check.finding.help().map(|help| format!("{help} may help"));
    let sentences: Vec<String> = [wanted_and_is(check), help]
        .into_iter()
        .flatten()
        .map(|text| format!("{}.", capitalised(&text)))
        .collect();
    if sentences.is_empty() {
        return;
    }
    ui.horizontal(|ui| {
        ui.add_space(INDENT);
        let text = widgets::soft(ui, sentences.join(" ")).size(size::SMALLEST);
        ui.add(Label::new(text).wrap());
    });
}

/// The sign of a verdict: a tick that is drawn, since the typeface has none, an exclamation or a question mark.
fn sign_ui(ui: &mut Ui, verdict: Verdict, colour: Color32) -> Response {
    let (rect, response) = ui.allocate_exact_size(vec2(14.0, 18.0), Sense::hover());
    let text = match verdict {
        Verdict::Met => {
            widgets::tick(ui.painter(), rect.center(), colour);
            return response;
        }
        Verdict::Open => "!",
        Verdict::CannotTell => "?",
    };
    let font = FontId::new(size::BODY, theme::semibold());
    ui.painter()
        .text(rect.center(), Align2::CENTER_CENTER, text, font, colour);
    response
}
