//! The program in a real window: events in, commands out, dialogs, drops, closing.

use std::{
    path::PathBuf,
    sync::{
        Arc,
        mpsc::{Receiver, Sender, channel},
    },
    thread,
    time::{Duration, Instant},
};

use egui::{Context, ThemePreference, ViewportCommand};

use super::{
    WindowState,
    dialogs::{AskFiles, DesktopDialogs, view_of},
    row_text, theme, window_ui,
};
use crate::disc::is_disc_directory;
use crate::workbench::{
    ArchiveCommand, Command, CompareCommand, DiscCommand, ExportCommand, MakingCommand, Places,
    PlanCommand, PracticeCommand, Request, SeriesCommand, ThemeChoice, TimeLineEdit, Workbench,
};

/// A dialog that answers "nothing" faster than this was never seen by anybody.
const TOO_FAST_FOR_A_PERSON: Duration = Duration::from_millis(150);

/// A dialog's answer: what was asked, what was chosen, how long it took.
struct Answer {
    request: Request,
    chosen: Option<Vec<PathBuf>>,
    took: Duration,
}

/// The program behind the window.
pub struct Application {
    workbench: Workbench,
    state: WindowState,
    dialogs: Arc<dyn AskFiles>,
    answers: (Sender<Answer>, Receiver<Answer>),
}

impl std::fmt::Debug for Application {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter
            .debug_struct("Application")
            .field("workbench", &self.workbench)
            .finish_non_exhaustive()
    }
}

impl Application {
    /// The program with nothing open.
    #[must_use]
    pub fn new(context: &Context, places: Places, dialogs: Arc<dyn AskFiles>) -> Self {
        theme::install(context);
        let woken = context.clone();
        let workbench = Workbench::new(places, Arc::new(move || woken.request_repaint()));
        Self {
            workbench,
            state: WindowState::default(),
            dialogs,
            answers: channel(),
        }
    }

    /// The state, for whoever drives the program.
    pub const fn workbench_mut(&mut self) -> &mut Workbench {
        &mut self.workbench
    }

    /// The state, for whoever looks at it.
    #[must_use]
    pub const fn workbench(&self) -> &Workbench {
        &self.workbench
    }

    /// Takes in what workers and dialogs have brought. Runs while the window is covered, too.
    pub fn receive(&mut self, context: &Context) {
        self.workbench.receive();
        let answers: Vec<Answer> = self.answers.1.try_iter().collect();
        for answer in answers {
            self.take_answer(answer);
        }
        for request in self.workbench.take_requests() {
            self.fulfil(context, request);
        }
        let wanted = match self.workbench.settings().theme {
            ThemeChoice::System => ThemePreference::System,
            ThemeChoice::Dark => ThemePreference::Dark,
            ThemeChoice::Light => ThemePreference::Light,
        };
        context.set_theme(wanted);
        let size = f32::from(self.workbench.settings().text_size_per_cent) / 100.0;
        if (context.zoom_factor() - size).abs() > 0.001 {
            context.set_zoom_factor(size);
        }
    }

    /// Draws the window and does what was asked for.
    pub fn draw(&mut self, ui: &mut egui::Ui) {
        let mut commands = window_ui(ui, &self.workbench, &mut self.state);
        commands.extend(self.dropped(ui.ctx()));
        if !commands.is_empty() {
            ui.ctx().request_repaint();
        }
        for command in commands {
            self.workbench.apply(command);
        }
    }

    /// Films dropped on the window: one joins a foot that lacks a film, more begin a new foot. Folders and discs are
    /// looked through.
    fn dropped(&self, context: &Context) -> Option<Command> {
        let files: Vec<PathBuf> = context.input(|input| {
            input
                .raw
                .dropped_files
                .iter()
                .map(|file| file.path().to_owned())
                .collect()
        });
        match files.as_slice() {
            [] => None,
            [only] => {
                let join = Command::AddFilm(only.clone());
                let is_film = !only.is_dir() && !is_disc_directory(only);
                Some(if is_film && join.is_possible(&self.workbench) {
                    join
                } else {
                    Command::Open(files)
                })
            }
            _ => Some(Command::Open(files)),
        }
    }

    fn fulfil(&self, context: &Context, request: Request) {
        match request {
            Request::Quit => {
                context.send_viewport_cmd(ViewportCommand::Close);
                return;
            }
            Request::Copy(rows) => {
                context.copy_text(row_text::plain_table(&self.workbench, &rows));
                return;
            }
            _ => {}
        }
        let (dialogs, sender) = (Arc::clone(&self.dialogs), self.answers.0.clone());
        let context = context.clone();
        thread::spawn(move || {
            let begun = Instant::now();
            let chosen = dialogs.ask(&request);
            let answer = Answer {
                request,
                chosen,
                took: begun.elapsed(),
            };
            // The window is gone only when the program ends; then nobody waits for the answer.
            if sender.send(answer).is_ok() {
                context.request_repaint();
            }
        });
    }

    fn take_answer(&mut self, answer: Answer) {
        let Some(mut chosen) = answer.chosen else {
            if answer.took < TOO_FAST_FOR_A_PERSON {
                self.workbench.apply(without_dialog(answer.request));
            }
            return;
        };
        let view = view_of(&answer.request);
        let making = |command| Command::Practise(PracticeCommand::Make(command));
        let command = match (answer.request, view) {
            (Request::AskForFilms, _) => Some(Command::Open(chosen)),
            (Request::AskForVisits, _) => Some(Command::Compare(CompareCommand::Open(chosen))),
            (Request::AskForAnotherFilm, _) => chosen.pop().map(Command::AddFilm),
            (Request::AskWhereToPutSheet(_), _) => chosen.pop().map(Command::MakeSheet),
            (Request::AskFolderForObjects(_), _) => chosen
                .pop()
                .map(|folder| Command::Export(ExportCommand::Write(folder))),
            (Request::AskFolderForKeptWork, _) => chosen.pop().map(Command::PutKeptWorkInto),
            (Request::AskWhereToPutPlan(_), _) => chosen
                .pop()
                .map(|path| Command::Plan(PlanCommand::MakeSheet(path))),
            (Request::AskForSeries, _) => chosen
                .pop()
                .map(|folder| Command::Series(SeriesCommand::Open(folder))),
            (Request::AskWhereToFetch(study), _) => chosen
                .pop()
                .map(|folder| Command::Archive(ArchiveCommand::Fetch(study, folder))),
            (Request::AskWhereToPutSeries(_), _) => chosen
                .pop()
                .map(|path| Command::Series(SeriesCommand::WriteTable(path))),
            (Request::AskForDisc, _) => chosen
                .pop()
                .map(|folder| Command::Disc(DiscCommand::Open(folder))),
            (Request::AskWhereToCopyFilms, _) => chosen
                .pop()
                .map(|folder| Command::Disc(DiscCommand::CopyInto(folder))),
            (Request::AskForPracticeSet, _) => chosen
                .pop()
                .map(|folder| Command::Practise(PracticeCommand::OpenSet(folder))),
            (Request::AskForStudiesOfSet, _) => chosen
                .pop()
                .map(|folder| making(MakingCommand::ReadStudies(folder))),
            (Request::AskWhereToPutSet(_), _) => chosen
                .pop()
                .map(|folder| making(MakingCommand::Where(folder.display().to_string()))),
            (Request::AskForMoreVisits, _) => Some(Command::Compare(CompareCommand::Edit(
                TimeLineEdit::Add(chosen),
            ))),
            (Request::AskWhereToPutAgreement(file, _), _) => chosen
                .pop()
                .map(|path| Command::Series(SeriesCommand::Write(file, path))),
            (Request::AskWhereToPutComparison(file, _), _) => chosen
                .pop()
                .map(|path| Command::Compare(CompareCommand::Write(file, path))),
            (Request::AskWhereToExport(..), Some(view)) => chosen
                .pop()
                .map(|path| Command::ExportLandmarks(view, path)),
            (Request::AskWhatToImport(_), Some(view)) => chosen
                .pop()
                .map(|path| Command::ImportLandmarks(view, path)),
            _ => None,
        };
        if let Some(command) = command {
            self.workbench.apply(command);
        }
    }
}

/// What is done where the desktop has no dialog that could have answered.
fn without_dialog(request: Request) -> Command {
    match request {
        // Without a dialog the sheet goes where the dialog would have proposed it.
        Request::AskWhereToPutSheet(proposal) => Command::MakeSheet(proposal),
        Request::AskFolderForObjects(proposal) => {
            Command::Export(ExportCommand::WriteUnasked(proposal))
        }
        Request::AskWhereToPutPlan(proposal) => Command::Plan(PlanCommand::MakeSheet(proposal)),
        Request::AskWhereToPutAgreement(file, proposal) => {
            Command::Series(SeriesCommand::Write(file, proposal))
        }
        Request::AskWhereToPutComparison(file, proposal) => {
            Command::Compare(CompareCommand::Write(file, proposal))
        }
        Request::AskWhereToPutSeries(proposal) => {
            Command::Series(SeriesCommand::WriteTable(proposal))
        }
        Request::AskWhereToFetch(study) => {
            Command::Archive(ArchiveCommand::FetchWithoutDialog(study))
        }
        Request::AskForPracticeSet | Request::AskForStudiesOfSet | Request::AskWhereToPutSet(_) => {
            Command::Practise(PracticeCommand::NoDialogs)
        }
        Request::AskForDisc | Request::AskWhereToCopyFilms => Command::Disc(DiscCommand::NoDialogs),
        _ => Command::NoDialogs,
    }
}

impl eframe::App for Application {
    fn logic(&mut self, context: &Context, _frame: &mut eframe::Frame) {
        self.receive(context);
    }

    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.draw(ui);
    }

    fn on_exit(&mut self, gl: Option<&glow::Context>) {
        self.workbench.finish();
        if let Some(gl) = gl {
            self.state.destroy(gl);
        }
    }
}

/// Opens the window with these films, or with an invitation to open some.
///
/// # Errors
/// When no window can be opened; the message says what to install.
pub fn run(paths: Vec<PathBuf>) -> anyhow::Result<()> {
    let options = eframe::NativeOptions {
        viewport: egui::ViewportBuilder::default()
            .with_title("Plumbray")
            .with_app_id("plumbray")
            .with_inner_size([1440.0, 900.0])
            .with_min_inner_size([960.0, 600.0])
            .with_drag_and_drop(true),
        // Dithering would change the greys of a film.
        dithering: false,
        ..Default::default()
    };
    let opened = eframe::run_native(
        "Plumbray",
        options,
        Box::new(move |creation| {
            let dialogs = Arc::new(DesktopDialogs);
            let mut application = Application::new(&creation.egui_ctx, Places::usual(), dialogs);
            if !paths.is_empty() {
                application.workbench_mut().apply(Command::Open(paths));
            }
            Ok(Box::new(application))
        }),
    );
    opened.map_err(|problem| {
        anyhow::anyhow!(
            "The window cannot be opened ({problem}). It needs a desktop with OpenGL. On Debian: \
             apt-get install libx11-6 libx11-xcb1 libxcursor1 libxi6 libxkbcommon-x11-0 libgl1 \
             libegl1 libgl1-mesa-dri"
        )
    })
}
