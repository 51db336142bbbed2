//! What a surgeon asks of two visits: did it correct, does it hold, how far went the head.

use egui::{RichText, Ui};
use plumbray_anatomy::View;
use plumbray_compare::{HeadShift, Recurrence, Standing, TypicalDrift, same_film_words};

use super::super::{number::plain, theme, theme::size, widgets};
use crate::{
    comparing::{HEALING, corrected_words, lost_words, shift_lines, typical_drift},
    workbench::{Command, CompareCommand, Comparing},
};

/// A shift that is known no better than to this share of the width has a reason to be told.
const WIDE_SHARE: f64 = 0.2;

/// Draws the answers.
pub(super) fn answers_ui(ui: &mut Ui, comparing: &Comparing, commands: &mut Vec<Command>) {
    let comparison = &comparing.comparison;
    if comparison.corrections.is_empty() {
        return;
    }
    ui.label(widgets::heading(ui, "Does the correction hold?"));
    for correction in &comparison.corrections {
        line_ui(ui, &corrected_words(correction));
    }
    for lost in &comparison.lost {
        let tokens = theme::tokens(ui);
        let colour = if lost.is_real {
            tokens.look_again
        } else {
            tokens.ink
        };
        let text = RichText::new(lost_words(lost)).size(size::SECONDARY);
        ui.label(text.color(colour));
    }
    recurrence_ui(ui, comparing, commands);
    drift_ui(ui);
    line_ui(ui, HEALING);
}

/// Draws how far the head was moved, from before surgery and since the earlier visit.
pub(super) fn head_ui(ui: &mut Ui, comparing: &Comparing) {
    let comparison = &comparing.comparison;
    let name = |place: usize| comparison.visits[place].name.short.clone();
    for moved in &comparison.head_moves {
        let heading = format!(
            "How far was the head moved, {} to {}?",
            name(moved.between.earlier),
            name(moved.between.later)
        );
        ui.label(widgets::heading(ui, heading));
        match &moved.shift {
            Ok(shift) => shift_ui(ui, shift),
            Err(why) => line_ui(ui, &why.to_string()),
        }
        ui.add_space(10.0);
    }
}

fn shift_ui(ui: &mut Ui, shift: &HeadShift) {
    for (place, line) in shift_lines(shift).iter().enumerate() {
        line_ui(ui, line);
        if place == 0 && shift.share_of_width.half_interval() > WIDE_SHARE {
            let why = "So wide since the shaft of the first metatarsal is not sure on one of the films, as \
                       beside metal. Look at its lines in Measure and correct them.";
            let text = RichText::new(why).size(size::SMALLEST);
            ui.label(text.color(theme::tokens(ui).look_again));
        }
    }
}

fn recurrence_ui(ui: &mut Ui, comparing: &Comparing, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let standing = comparing.comparison.standing(comparing.limit);
    let words = standing.map_or("not told of this visit", Standing::words);
    let colour = match standing {
        Some(Standing::Within) => tokens.good,
        Some(Standing::Beyond | Standing::TooCloseToSay) => tokens.look_again,
        None => tokens.soft,
    };
    ui.horizontal_wrapped(|ui| {
        ui.label(RichText::new("Recurrence by").size(size::SECONDARY));
        let name = RichText::new(comparing.limit.name()).size(size::SECONDARY);
        ui.menu_button(name, |ui| {
            for limit in Recurrence::ALL {
                let is_on = limit == comparing.limit;
                let entry = ui.selectable_label(is_on, limit.name());
                if entry.on_hover_text(limit.source()).clicked() && !is_on {
                    commands.push(Command::Compare(CompareCommand::Recur(limit)));
                    ui.close();
                }
            }
        })
        .response
        .on_hover_text(comparing.limit.source());
        ui.label(RichText::new(words).size(size::SECONDARY).color(colour));
    });
}

fn drift_ui(ui: &mut Ui) {
    let text = format!("{}.", typical_drift());
    ui.label(
        RichText::new(text)
            .size(size::SMALLEST)
            .color(theme::tokens(ui).soft),
    )
    .on_hover_text(TypicalDrift::SOURCE);
}

fn line_ui(ui: &mut Ui, text: &str) {
    ui.label(RichText::new(text).size(size::SECONDARY));
}

/// Draws how well the films lie upon each other, and what to know before any number is believed.
pub(super) fn laid_over_ui(ui: &mut Ui, comparing: &Comparing) {
    let tokens = theme::tokens(ui);
    let heading = match &comparing.registration {
        Ok(laid) => {
            let apart = laid.residual.millimetres.as_ref().map_or_else(
                || {
                    format!(
                        "{}\u{2009}% of {} apart",
                        plain(100.0 * laid.residual.share, 1),
                        laid.residual.of.name()
                    )
                },
                |(mm, name)| {
                    let apart = if *mm < 0.1 {
                        "less than 0.1".to_owned()
                    } else {
                        plain(*mm, 1)
                    };
                    format!("{apart}\u{2009}mm apart ({name})")
                },
            );
            format!(
                "Laid over each other by {}, {apart}",
                laid.residual.of.bones()
            )
        }
        Err(_) => "Not laid over each other".to_owned(),
    };
    ui.label(
        RichText::new(heading)
            .size(size::BODY)
            .family(theme::semibold()),
    );
    // Of the AP films the warnings tell why not.
    if comparing.view == View::Lateral
        && let Err(why) = &comparing.registration
    {
        let text = RichText::new(format!("{why}.")).size(size::SECONDARY);
        ui.label(text.color(tokens.look_again));
    }
    if comparing.view == View::Ap && comparing.comparison.warnings.is_empty() {
        let text = "The films agree in direction; the side and the stance are the same.";
        ui.label(widgets::soft(ui, text));
    }
    // That of a film compared with itself stands above the numbers.
    let above = same_film_words(&comparing.comparison.same_films);
    let warnings = comparing.comparison.warnings.iter();
    for warning in warnings.filter(|warning| Some(*warning) != above.as_ref()) {
        ui.label(
            RichText::new(warning)
                .size(size::SECONDARY)
                .color(tokens.look_again),
        );
    }
}
