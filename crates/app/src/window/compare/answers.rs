//! What a surgeon asks of two visits: did it correct, does it hold, how far went the head.

use egui::{RichText, Ui};
use plumbray_compare::{
    Comparison, Estimate, HeadShift, Recurrence, Standing, TYPICAL_DRIFT, TypicalDrift,
};

use super::super::{number::plain, theme, theme::size, widgets};
use crate::workbench::{Command, CompareCommand, Comparing};

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
        line_ui(
            ui,
            &format!(
                "{}: corrected by {}",
                correction.measurement.name(),
                with_interval(&correction.corrected, 1, "°")
            ),
        );
    }
    for lost in &comparison.lost {
        let share = lost.share.map_or_else(String::new, |share| {
            format!(
                ", {} of the correction",
                with_interval(&share.times(100.0), 0, "\u{2009}%")
            )
        });
        let tokens = theme::tokens(ui);
        let (verdict, colour) = if lost.is_real {
            ("real", tokens.look_again)
        } else {
            ("within measurement error", tokens.ink)
        };
        let text = format!(
            "{}: lost {}{share}: {verdict}",
            lost.measurement.name(),
            with_interval(&lost.degrees, 1, "°")
        );
        ui.label(RichText::new(text).size(size::SECONDARY).color(colour));
    }
    recurrence_ui(ui, comparing, commands);
    drift_ui(ui);
    line_ui(ui, "Whether the bone has healed is not judged.");
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
    let mm = shift.millimetres.as_ref().map_or_else(
        || "; without a calibration, no millimetres".to_owned(),
        |(mm, name)| format!(", {} ({name})", with_interval(mm, 1, "\u{2009}mm")),
    );
    let share = with_interval(&shift.share_of_width.times(100.0), 0, "\u{2009}%");
    line_ui(
        ui,
        &format!("Toward lateral by {share} of the shaft’s width{mm}"),
    );
    if shift.share_of_width.half_interval() > WIDE_SHARE {
        let why = "So wide since the shaft of the first metatarsal is not sure on one of the films, as \
                   beside metal. Look at its lines in Measure and correct them.";
        let text = RichText::new(why).size(size::SMALLEST);
        ui.label(text.color(theme::tokens(ui).look_again));
    }
    if let Some(turn) = &shift.turn_degrees {
        line_ui(
            ui,
            &format!(
                "Its joint surface turned by {} (positive toward lateral)",
                with_interval(turn, 1, "°")
            ),
        );
    }
    if let Some(share) = &shift.lengthening_share {
        let mm = shift
            .lengthening_millimetres
            .as_ref()
            .map_or_else(String::new, |(mm, name)| {
                format!(", {} ({name})", with_interval(mm, 1, "\u{2009}mm"))
            });
        let text = format!(
            "First metatarsal against the second, longer (negative: shorter): {} of the second{mm}",
            with_interval(&share.times(100.0), 1, "\u{2009}%")
        );
        line_ui(ui, &text);
    }
}

fn recurrence_ui(ui: &mut Ui, comparing: &Comparing, commands: &mut Vec<Command>) {
    let tokens = theme::tokens(ui);
    let standing = standing(&comparing.comparison, comparing.limit);
    let (words, colour) = match standing {
        Some(Standing::Within) => ("no", tokens.good),
        Some(Standing::Beyond) => ("yes", tokens.look_again),
        Some(Standing::TooCloseToSay) => ("too close to the limit to say", tokens.look_again),
        None => ("not told of this visit", tokens.soft),
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

/// Where the later visit stands by a limit; nothing of a visit that is no result.
fn standing(comparison: &Comparison, limit: Recurrence) -> Option<Standing> {
    let later = comparison.pair.later;
    let is_result = comparison.visits.get(later)?.is_result;
    let row = comparison
        .rows
        .iter()
        .find(|row| row.measurement == limit.measurement())?;
    limit
        .standing(row.outcomes.get(later)?)
        .filter(|_| is_result)
}

fn drift_ui(ui: &mut Ui) {
    let drifts: Vec<String> = TYPICAL_DRIFT
        .iter()
        .map(|drift| {
            format!(
                "{} from {} to {}",
                drift.measurement.name(),
                plain(drift.from_to.0, 1),
                plain(drift.from_to.1, 1)
            )
        })
        .collect();
    let text = format!(
        "For comparison, means of feet without recurrence on their first and last film, {} months apart: {}.",
        plain(TypicalDrift::MONTHS, 0),
        drifts.join("; ")
    );
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

fn with_interval(estimate: &Estimate, decimals: usize, unit: &str) -> String {
    format!(
        "{} ± {}{unit}",
        plain(estimate.value, decimals),
        plain(estimate.half_interval(), decimals)
    )
}

/// Draws how well the films lie upon each other, and what to know before any number is believed.
pub(super) fn laid_over_ui(ui: &mut Ui, comparing: &Comparing) {
    let tokens = theme::tokens(ui);
    let heading = match &comparing.registration {
        Ok(laid) => {
            let apart = laid.residual.millimetres.as_ref().map_or_else(
                || {
                    format!(
                        "{}\u{2009}% of the second metatarsal’s length apart",
                        plain(100.0 * laid.residual.share_of_second_metatarsal, 1)
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
            format!("Laid over each other by the lesser rays, {apart}")
        }
        Err(_) => "Not laid over each other".to_owned(),
    };
    ui.label(
        RichText::new(heading)
            .size(size::BODY)
            .family(theme::semibold()),
    );
    if comparing.comparison.warnings.is_empty() {
        let text = "The films agree in direction; the side and the stance are the same.";
        ui.label(widgets::soft(ui, text));
    }
    for warning in &comparing.comparison.warnings {
        ui.label(
            RichText::new(warning)
                .size(size::SECONDARY)
                .color(tokens.look_again),
        );
    }
}
