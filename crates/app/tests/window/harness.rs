//! The program in a window without a screen, driven by what a person does: names, keys, the pointer.

use std::{
    cell::{Ref, RefCell, RefMut},
    fs,
    path::PathBuf,
    rc::Rc,
    sync::{Arc, Mutex},
    time::Duration,
};

use egui::{Event, Key, Modifiers, PointerButton, Pos2, Rect, Role, Vec2, vec2};
use egui_kittest::{Harness, kittest::Queryable as _};
use plumbray::{
    canvas::{FilmExtent, Orientation, Placement, ScreenFromFilm},
    window::{Application, AskFiles},
    workbench::{Command, FilmView, Places, Request, Seen, Workbench},
};
use plumbray_anatomy::{FilmPoint, View};
use plumbray_proposal::{Proposal, ProposalError};
use plumbray_study::UserFolders;
use tempfile::TempDir;

use crate::samples::sample_images;

/// How long a worker may take before a test gives up on it.
const PATIENCE: Duration = Duration::from_secs(60);

/// The window's edge around a film inside its zone, in points.
const FILM_MARGIN: Vec2 = vec2(8.0, 28.0);

/// Dialogs that answer with what a test laid ready.
#[derive(Default)]
pub(crate) struct LaidOutFiles {
    answers: Mutex<Vec<PathBuf>>,
}

impl AskFiles for LaidOutFiles {
    fn ask(&self, _request: &Request) -> Option<Vec<PathBuf>> {
        let answers = std::mem::take(&mut *self.answers.lock().expect("no dialog failed"));
        (!answers.is_empty()).then_some(answers)
    }
}

/// The folders of one person: films, settings, locks. Outlives a window, so that the next window
/// finds what the last one left.
pub(crate) struct Desk {
    folder: TempDir,
}

impl Desk {
    pub(crate) fn new() -> Self {
        let folder = tempfile::tempdir().expect("a temporary folder");
        fs::create_dir(folder.path().join("films")).expect("a folder for films");
        fs::write(folder.path().join("settings.ron"), "(caution_read: true)").expect("settings");
        Self { folder }
    }

    /// The folders of somebody who has never started the program.
    pub(crate) fn never_used() -> Self {
        let desk = Self::new();
        fs::remove_file(desk.folder.path().join("settings.ron")).expect("the settings");
        desk
    }

    /// Where a file of this name lies among the films.
    pub(crate) fn film(&self, name: &str) -> PathBuf {
        self.folder.path().join("films").join(name)
    }

    /// A copy of a sample film.
    pub(crate) fn copy_of_sample(&self, name: &str) -> PathBuf {
        let copy = self.film(name);
        fs::copy(sample_images().join(name), &copy).expect("a sample film");
        copy
    }

    /// Copies of the AP and the lateral film of the sample foot.
    pub(crate) fn sample_foot(&self) -> Vec<PathBuf> {
        ["sample-foot-ap.dcm", "sample-foot-lateral.dcm"]
            .map(|name| self.copy_of_sample(name))
            .to_vec()
    }

    pub(crate) fn folders(&self) -> UserFolders {
        UserFolders::below(self.folder.path())
    }

    /// Where readers' own spreads are kept.
    pub(crate) fn own_spreads(&self) -> PathBuf {
        self.folder.path().join("own-spreads.ron")
    }

    /// The file of the archives that are known.
    pub(crate) fn archives(&self) -> PathBuf {
        self.folder.path().join("archives.ron")
    }

    /// Where objects wait until an archive has them.
    pub(crate) fn queue(&self) -> PathBuf {
        self.folder.path().join("queue")
    }

    pub(crate) fn places(&self) -> Places {
        Places {
            settings: Some(self.folder.path().join("settings.ron")),
            own_spreads: Some(self.own_spreads()),
            folders: self.folders(),
            samples: Some(sample_images()),
            sample_copies: self.folder.path().join("sample-foot"),
            practice_set: Some(sample_images().join("practice")),
            practice: self.folder.path().join("practice"),
            indexes: self.folder.path().join("indexes"),
            archives: Some(self.archives()),
            queue: self.queue(),
            fetched: self.folder.path().join("fetched"),
            asks_keyring: false,
        }
    }
}

/// A window on a desk.
pub(crate) struct Window {
    harness: Harness<'static>,
    application: Rc<RefCell<Option<Application>>>,
    dialogs: Arc<LaidOutFiles>,
    gestures: usize,
}

impl Window {
    /// A window with nothing open.
    pub(crate) fn new(desk: &Desk) -> Self {
        Self::of_size(desk, vec2(1440.0, 900.0))
    }

    /// A window of this size in points, with nothing open.
    pub(crate) fn of_size(desk: &Desk, size: Vec2) -> Self {
        let application: Rc<RefCell<Option<Application>>> = Rc::default();
        let dialogs = Arc::new(LaidOutFiles::default());
        let (made, drawn) = (Rc::clone(&application), Rc::clone(&application));
        let (places, answering) = (desk.places(), Arc::clone(&dialogs));
        let harness = Harness::builder()
            .with_size(size)
            .with_context_setup(move |context| {
                *made.borrow_mut() = Some(Application::new(context, places, answering));
            })
            .build_ui(move |ui| {
                let mut application = drawn.borrow_mut();
                let application = application.as_mut().expect("made before the first frame");
                application.receive(ui.ctx());
                application.draw(ui);
            });
        Self {
            harness,
            application,
            dialogs,
            gestures: 0,
        }
    }

    /// A window with these films or studies open.
    pub(crate) fn with(desk: &Desk, paths: Vec<PathBuf>) -> Self {
        let mut window = Self::new(desk);
        window.apply(Command::Open(paths));
        window
    }

    /// The state.
    pub(crate) fn workbench(&self) -> Ref<'_, Workbench> {
        Ref::map(self.application.borrow(), |application| {
            application.as_ref().expect("made").workbench()
        })
    }

    fn workbench_mut(&self) -> RefMut<'_, Workbench> {
        RefMut::map(self.application.borrow_mut(), |application| {
            application.as_mut().expect("made").workbench_mut()
        })
    }

    /// Does a command, as the searchable list would.
    pub(crate) fn apply(&mut self, command: Command) {
        self.workbench_mut().apply(command);
        self.settle();
    }

    /// Does commands one after the other, before the work of the first has ended.
    pub(crate) fn apply_at_once(&mut self, commands: impl IntoIterator<Item = Command>) {
        for command in commands {
            self.workbench_mut().apply(command);
        }
        self.settle();
    }

    /// Does a command, and does not wait for its workers.
    pub(crate) fn apply_and_go_on(&self, command: Command) {
        self.workbench_mut().apply(command);
    }

    /// Draws until every event was taken in and no worker runs.
    pub(crate) fn settle(&mut self) {
        for _ in 0..2 {
            self.harness.step();
            assert!(
                self.workbench_mut().wait_for_workers(PATIENCE),
                "a worker did not end: {:?}",
                self.workbench().work_under_way()
            );
        }
        self.harness.step();
        self.harness.check_accessibility();
    }

    /// Lets a worker see these feet, or nothing, on the film of a view.
    pub(crate) fn film_shows(&mut self, view: View, feet: Result<Vec<Proposal>, ProposalError>) {
        self.workbench_mut().look_at(view, move |_film| {
            feet.map(|feet| Seen { sight: None, feet })
        });
        self.settle();
    }

    /// How many sweeps and clicks on films were made.
    pub(crate) const fn gestures(&self) -> usize {
        self.gestures
    }

    /// Where the film of a view lies on the screen.
    pub(crate) fn map(&self, view: View) -> ScreenFromFilm {
        let zone = self
            .harness
            .get_by_label(&format!("{} film", view.name()))
            .rect();
        let workbench = self.workbench();
        let open = workbench.film(view).expect("an open film");
        let extent = FilmExtent::of_film(&open.film, open.film.proportions());
        let FilmView {
            orientation,
            placement,
            ..
        } = open.view;
        ScreenFromFilm::new(extent, zone.shrink2(FILM_MARGIN), orientation, placement)
    }

    /// Presses the left button at one place of a film and lets go at another.
    pub(crate) fn sweep(&mut self, view: View, from: FilmPoint, to: FilmPoint) {
        self.sweep_with(view, from, to, Modifiers::NONE);
    }

    pub(crate) fn sweep_with(
        &mut self,
        view: View,
        from: FilmPoint,
        to: FilmPoint,
        modifiers: Modifiers,
    ) {
        let map = self.map(view);
        self.drag(map.screen(from), map.screen(to), modifiers);
        self.gestures += 1;
    }

    /// Presses the left button at one place of the window and lets go at another.
    pub(crate) fn drag(&mut self, from: Pos2, to: Pos2, modifiers: Modifiers) {
        self.harness.event(Event::ModifiersChanged(modifiers));
        self.harness.hover_at(from);
        self.button(from, true, modifiers);
        for share in [0.3, 0.7, 1.0] {
            self.harness.hover_at(from + (to - from) * share);
        }
        self.button(to, false, modifiers);
        self.harness.event(Event::ModifiersChanged(Modifiers::NONE));
        self.settle();
    }

    /// Clicks on a film.
    pub(crate) fn click(&mut self, view: View, at: FilmPoint) {
        let at = self.map(view).screen(at);
        self.click_at(at);
        self.gestures += 1;
    }

    pub(crate) fn click_at(&mut self, at: Pos2) {
        self.harness.hover_at(at);
        self.button(at, true, Modifiers::NONE);
        self.button(at, false, Modifiers::NONE);
        self.settle();
    }

    fn button(&self, pos: Pos2, pressed: bool, modifiers: Modifiers) {
        self.harness.event(Event::PointerButton {
            pos,
            button: PointerButton::Primary,
            pressed,
            modifiers,
        });
    }

    /// Clicks on what has this accessible name.
    pub(crate) fn press_button(&mut self, name: &str) {
        self.harness.get_by_label(name).click();
        self.settle();
    }

    /// Does what a click would do on what has this accessible name, also where one would have to scroll to it first.
    pub(crate) fn press_wherever(&mut self, name: &str) {
        self.harness.get_by_label(name).click_accesskit();
        self.settle();
    }

    /// Writes a text into the field of this accessible name, in place of what stands there.
    pub(crate) fn fill_in(&mut self, name: &str, text: &str) {
        self.fill_in_field(Role::TextInput, name, text);
    }

    /// Writes a text into the field for a secret of this accessible name.
    pub(crate) fn fill_in_secret(&mut self, name: &str, text: &str) {
        self.fill_in_field(Role::PasswordInput, name, text);
    }

    fn fill_in_field(&mut self, role: Role, name: &str, text: &str) {
        let field = self.harness.get_by_role_and_label(role, name);
        let at = field.rect().center();
        self.click_at(at);
        self.key_with(Modifiers::COMMAND, Key::A);
        self.type_text(text);
    }

    /// Clicks on what has an accessible name that begins like this.
    pub(crate) fn press_button_that_begins(&mut self, beginning: &str) {
        let beginning = beginning.to_owned();
        self.harness
            .get_by(move |node| {
                node.label()
                    .is_some_and(|label| label.starts_with(&beginning))
            })
            .click();
        self.settle();
    }

    /// Where what has this accessible name lies in the window.
    pub(crate) fn rect_of(&self, name: &str) -> Rect {
        self.harness.get_by_label(name).rect()
    }

    /// Where what has an accessible name or a text with these words lies in the window.
    pub(crate) fn rect_of_text(&self, text: &str) -> Rect {
        self.harness.get_by_label_contains(text).rect()
    }

    /// Where everything lies that has an accessible name or a text with these words.
    pub(crate) fn rects_of_text(&self, text: &str) -> Vec<Rect> {
        let found = self.harness.query_all_by_label_contains(text);
        found.map(|node| node.rect()).collect()
    }

    /// Where the field of this accessible name lies in the window.
    pub(crate) fn rect_of_field(&self, name: &str) -> Rect {
        self.harness
            .get_by_role_and_label(Role::TextInput, name)
            .rect()
    }

    /// The middle of what has this accessible name.
    pub(crate) fn place_of(&self, name: &str) -> Pos2 {
        self.rect_of(name).center()
    }

    /// Where the later of two films that are compared lies on the screen, while both are shown whole.
    pub(crate) fn map_of_later(&self, name: &str) -> ScreenFromFilm {
        let zone = self.rect_of(name);
        let workbench = self.workbench();
        let comparing = workbench.comparing().expect("comparing");
        let films = comparing.both_films().expect("both films");
        let shown = comparing.laid.as_ref().unwrap_or(films[1]).film();
        let extent = FilmExtent::of_film(shown, shown.proportions());
        ScreenFromFilm::new(
            extent,
            zone.shrink2(FILM_MARGIN),
            Orientation::default(),
            Placement::Fit,
        )
    }

    /// Whether anything in the window has this accessible name or text.
    pub(crate) fn shows(&self, text: &str) -> bool {
        self.harness
            .query_all_by_label_contains(text)
            .next()
            .is_some()
    }

    /// Presses and releases a key.
    pub(crate) fn key(&mut self, key: Key) {
        self.key_with(Modifiers::NONE, key);
    }

    /// Presses and releases a key with others held.
    pub(crate) fn key_with(&mut self, modifiers: Modifiers, key: Key) {
        self.harness.key_press_modifiers(modifiers, key);
        self.settle();
    }

    /// Presses and releases a key with others held, before the next frame is drawn.
    pub(crate) fn key_press_only(&self, modifiers: Modifiers, key: Key) {
        self.harness.key_press_modifiers(modifiers, key);
    }

    /// Presses a key and holds it, or lets it go.
    pub(crate) fn hold(&mut self, key: Key, down: bool) {
        if down {
            self.harness.key_down(key);
        } else {
            self.harness.key_up(key);
        }
        self.settle();
    }

    /// Presses a key so often, without waiting in between.
    pub(crate) fn keys(&mut self, key: Key, times: usize) {
        for _ in 0..times {
            self.harness.key_press(key);
        }
        self.settle();
    }

    /// Types text into what has the keyboard.
    pub(crate) fn type_text(&mut self, text: &str) {
        self.harness.event(Event::Text(text.to_owned()));
        self.settle();
    }

    /// Lays the answer of the next dialog ready.
    pub(crate) fn lay_out(&self, path: PathBuf) {
        let mut answers = self.dialogs.answers.lock().expect("no dialog failed");
        answers.push(path);
    }

    /// Draws until a dialog's answer has come in and was acted on.
    pub(crate) fn wait_until(&mut self, what: &str, holds: impl Fn(&Workbench) -> bool) {
        let begun = std::time::Instant::now();
        while !holds(&self.workbench()) {
            assert!(begun.elapsed() < PATIENCE, "it never came about: {what}");
            std::thread::sleep(Duration::from_millis(5));
            self.settle();
        }
        // It may have come about since the last frame was drawn.
        self.settle();
    }

    /// Draws until something in the window has this accessible name or text: what another thread found out may be known
    /// before it is drawn.
    pub(crate) fn wait_until_shown(&mut self, text: &str) {
        let begun = std::time::Instant::now();
        while !self.shows(text) {
            assert!(begun.elapsed() < PATIENCE, "it was never shown: {text}");
            std::thread::sleep(Duration::from_millis(5));
            self.settle();
        }
    }

    /// Closes the window as the program does: everything is on disk afterwards.
    pub(crate) fn close(self) {
        self.workbench_mut().finish();
    }
}
