//! The keyboard: which keys do what, in one place.

use egui::{Context, Key, KeyboardShortcut, Modifiers, Ui};

use crate::workbench::{
    Command, CompareCommand, ComparisonFile, MakingCommand, Overlay, PlanCommand, PracticeCommand,
    Practising, ThemeChoice, Workbench,
};

const CTRL: Modifiers = Modifiers::COMMAND;
const NONE: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;

/// Every command that has a key of its own.
#[must_use]
pub fn keyed_commands() -> Vec<(KeyboardShortcut, Command)> {
    let key = KeyboardShortcut::new;
    let turn = |degrees| Command::Turn(plumbray_anatomy::Angle::from_degrees(degrees));
    vec![
        // The longer combination stands before the shorter one that it contains.
        (key(CTRL.plus(SHIFT), Key::O), Command::AskForAnotherFilm),
        (key(CTRL, Key::O), Command::AskForFilms),
        (key(CTRL, Key::W), Command::CloseFoot),
        (key(CTRL, Key::P), Command::Show(Some(Overlay::Sheet))),
        (key(CTRL, Key::Q), Command::Quit),
        (key(CTRL, Key::K), Command::Show(Some(Overlay::Actions))),
        (key(NONE, Key::F1), Command::Show(Some(Overlay::About))),
        (key(CTRL, Key::I), Command::Show(Some(Overlay::Visit))),
        (key(CTRL.plus(SHIFT), Key::Z), Command::Redo),
        (key(CTRL, Key::Y), Command::Redo),
        (key(CTRL, Key::Z), Command::Undo),
        (key(CTRL, Key::Plus), Command::ChangeTextSize(10)),
        (key(CTRL, Key::Equals), Command::ChangeTextSize(10)),
        (key(CTRL, Key::Minus), Command::ChangeTextSize(-10)),
        (key(CTRL, Key::D), Command::SetTheme(ThemeChoice::Dark)),
        (key(CTRL, Key::L), Command::SetTheme(ThemeChoice::Light)),
        (key(CTRL, Key::T), Command::ProposeTracing),
        (key(CTRL, Key::Delete), Command::ThrowProposalAway),
        (key(NONE, Key::D), Command::NextDoubt),
        (key(NONE, Key::Y), Command::ConfirmPoint),
        (key(NONE, Key::Enter), Command::AcceptProposal),
        (key(SHIFT, Key::Tab), Command::PreviousPoint),
        (key(NONE, Key::Tab), Command::NextPoint),
        (key(NONE, Key::PageDown), Command::NextStep),
        (key(NONE, Key::PageUp), Command::PreviousStep),
        (key(NONE, Key::N), Command::NextStep),
        (key(NONE, Key::P), Command::PreviousStep),
        (key(NONE, Key::Num0), Command::WholeFilm),
        (key(NONE, Key::Plus), Command::Zoom(1.25)),
        (key(NONE, Key::Equals), Command::Zoom(1.25)),
        (key(NONE, Key::Minus), Command::Zoom(0.8)),
        (key(NONE, Key::I), Command::Invert),
        (key(NONE, Key::M), Command::Mirror),
        (key(NONE, Key::W), Command::NextWindow),
        (key(NONE, Key::G), Command::Graphics),
        (key(NONE, Key::Period), Command::NextPicture),
        (key(NONE, Key::Comma), Command::PreviousPicture),
        (key(NONE, Key::CloseBracket), turn(1.0)),
        (key(NONE, Key::OpenBracket), turn(-1.0)),
        (key(NONE, Key::R), turn(90.0)),
        (key(NONE, Key::L), turn(-90.0)),
        (
            key(NONE, Key::Num1),
            Command::Activate(plumbray_anatomy::View::Ap),
        ),
        (
            key(NONE, Key::Num2),
            Command::Activate(plumbray_anatomy::View::Lateral),
        ),
    ]
}

/// The commands that have a key while an operation is planned, in place of those by which bones are traced.
#[must_use]
pub fn planning_commands() -> Vec<(KeyboardShortcut, Command)> {
    let key = KeyboardShortcut::new;
    vec![
        (key(NONE, Key::F), Command::Plan(PlanCommand::SuggestScrews)),
        (key(NONE, Key::N), Command::Plan(PlanCommand::Another)),
        (key(NONE, Key::Z), Command::Plan(PlanCommand::ShowFirstRay)),
        (key(CTRL, Key::P), Command::Plan(PlanCommand::AskSheet)),
    ]
}

/// The commands that have a key while visits are compared, in place of those by which bones are traced.
#[must_use]
pub fn comparing_commands() -> Vec<(KeyboardShortcut, Command)> {
    let key = KeyboardShortcut::new;
    let compare = |keys, command| (keys, Command::Compare(command));
    vec![
        compare(key(NONE, Key::K), CompareCommand::MarkWire),
        compare(
            key(CTRL, Key::P),
            CompareCommand::AskWhere(ComparisonFile::Sheet),
        ),
    ]
}

/// The commands that have a key while somebody practises.
#[must_use]
pub fn practising_commands(workbench: &Workbench) -> Vec<(KeyboardShortcut, Command)> {
    let key = KeyboardShortcut::new;
    let shows = workbench
        .practising()
        .and_then(Practising::handed_in)
        .is_some_and(|handed_in| handed_in.shows_reference);
    let practise = Command::Practise;
    let mut keyed = vec![
        (key(CTRL, Key::Enter), practise(PracticeCommand::HandIn)),
        (
            key(NONE, Key::X),
            practise(PracticeCommand::ShowReference(!shows)),
        ),
    ];
    if !workbench.hides_numbers() {
        keyed.push((key(NONE, Key::Enter), practise(PracticeCommand::TakeNext)));
    }
    keyed
}

/// Whether a command belongs to tracing and its sheet, which nobody sees while an operation is planned or visits are
/// compared.
const fn is_of_tracing(command: &Command) -> bool {
    matches!(
        command,
        Command::NextStep
            | Command::PreviousStep
            | Command::NextPoint
            | Command::PreviousPoint
            | Command::NextDoubt
            | Command::ConfirmPoint
            | Command::ProposeTracing
            | Command::ThrowProposalAway
            | Command::Show(Some(Overlay::Sheet))
    )
}

/// The keys of a command as text: "Ctrl+Z".
#[must_use]
pub fn keys_text(ui: &Ui, command: &Command) -> Option<String> {
    let mut keyed = keyed_commands();
    keyed.extend(planning_commands());
    keyed.extend(comparing_commands());
    let (keys, _) = keyed.iter().find(|(_, other)| other == command)?;
    Some(ui.ctx().format_shortcut(keys))
}

/// The commands of the keys that were pressed, while no text is being written.
#[must_use]
pub fn pressed(context: &Context, workbench: &Workbench) -> Vec<Command> {
    let mut commands = Vec::new();
    let page_is_open = workbench.view().overlay.is_some();
    // A film or a point that has the keyboard takes arrows and Enter only.
    let writing = context.text_edit_focused();
    // A menu that is open closes by Escape itself.
    let menu_is_open = egui::Popup::is_any_open(context);
    if !menu_is_open && context.input_mut(|input| input.consume_key(NONE, Key::Escape)) {
        commands.push(escaped(workbench));
    }
    let mut keyed = keyed_commands();
    if workbench.practising().is_some() {
        // Before those of the film zone, to which Enter belongs otherwise.
        keyed.retain(|(keys, _)| keys.logical_key != Key::Enter);
        keyed.splice(0..0, practising_commands(workbench));
    } else if workbench.planning().is_some() {
        keyed.retain(|(_, command)| !is_of_tracing(command));
        keyed.extend(planning_commands());
    } else if workbench.comparing().is_some() {
        keyed.retain(|(_, command)| !is_of_tracing(command));
        keyed.extend(comparing_commands());
    }
    for (keys, command) in keyed {
        let types_a_letter = !keys.modifiers.command && keys.logical_key != Key::F1;
        let has_films = workbench.has_foot()
            || workbench.comparing().is_some()
            || workbench.practising().is_some();
        if types_a_letter && (writing || page_is_open || !has_films) {
            continue;
        }
        // The name of a visit that is being written has an undo of its own.
        let goes_back = matches!(command, Command::Undo | Command::Redo);
        if goes_back && writing && workbench.comparing().is_some() {
            continue;
        }
        // In a text it deletes a word; and Enter, which the film zone also takes for a click, is the
        // film zone's.
        let of_film = keys.logical_key == Key::Enter && workbench.practising().is_none();
        if (keys.logical_key == Key::Delete && writing) || of_film {
            continue;
        }
        if context.input_mut(|input| input.consume_shortcut(&keys)) {
            commands.push(command);
        }
    }
    let space = context.input(|input| input.key_down(Key::Space)) && !writing && !page_is_open;
    if space != workbench.view().bare {
        commands.push(Command::SetBare(space));
    }
    commands
}

/// What Escape does: it leaves the innermost thing that is open.
fn escaped(workbench: &Workbench) -> Command {
    let view = workbench.view();
    if view.overlay.is_some() {
        Command::Show(None)
    } else if workbench.comparing().is_some() {
        Command::Compare(CompareCommand::ForgetWire)
    } else if view.calibrating.is_some() {
        Command::CancelCalibration
    } else if view.first_click.is_some() {
        Command::ForgetFirstClick
    } else if workbench.planning().is_some() {
        Command::Plan(PlanCommand::Leave)
    } else if workbench
        .practising()
        .is_some_and(|own| own.making().is_some())
    {
        Command::Practise(PracticeCommand::Make(MakingCommand::ToList))
    } else {
        Command::SetAdjusting(!view.adjusting)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_commands_share_a_key() {
        no_two_share(&keyed_commands());
        let mut planning = keyed_commands();
        planning.retain(|(_, command)| !is_of_tracing(command));
        let mut comparing = planning.clone();
        planning.extend(planning_commands());
        no_two_share(&planning);
        comparing.extend(comparing_commands());
        no_two_share(&comparing);
    }

    fn no_two_share(keyed: &[(KeyboardShortcut, Command)]) {
        for (at, (keys, command)) in keyed.iter().enumerate() {
            for (other_keys, other) in &keyed[at + 1..] {
                assert!(
                    keys != other_keys,
                    "{command:?} and {other:?} share {keys:?}"
                );
            }
        }
    }
}
