//! Exporting the foot that is open for an archive: what is chosen, the boxes over letters, and the worker that makes
//! the objects and writes or queues them.

use std::{borrow::Cow, collections::BTreeMap, path::PathBuf};

use anyhow::Context as _;
use jiff::Timestamp;
use plumbray_anatomy::View;
use plumbray_archive::{AddressBook, Queue, StoredObject};
use plumbray_report::{ChosenObjects, Contradiction, MaskBox, ObjectFile};

use super::{
    Finished, Workbench,
    archive::Sending,
    state::{Overlay, Request},
};
use crate::{
    exporting::{ExportRequest, WithoutIdentity, new_folder_beside, write_new},
    words::counted,
};

/// What a person does on the page of exporting.
#[derive(Clone, Debug, PartialEq)]
pub enum ExportCommand {
    /// Choose which objects are made.
    Choose(ChosenObjects),
    /// Name the patient on the sheet, or do not.
    NamePatient(bool),
    /// Take the identity away, or leave it.
    WithoutIdentity(bool),
    /// Lay a box over letters on the film of a view.
    AddBox(View, MaskBox),
    /// Lay the box of this number, counted from 0, elsewhere or make it another size.
    ChangeBox(View, usize, MaskBox),
    /// Take the box of this number away, counted from 0.
    RemoveBox(View, usize),
    /// Say that no letters are left on the film of a view that name anybody, or take that back.
    Looked(View, bool),
    /// Say that the films were looked at, and that side and views are right although their files say otherwise; or
    /// take that back.
    FilmsLookedAt(bool),
    /// Ask into which folder the objects are written.
    AskFolder,
    /// Write the objects into this folder.
    Write(PathBuf),
    /// Write the objects into this folder, which nobody was asked for: the desktop has no dialogs.
    WriteUnasked(PathBuf),
    /// Put the objects into the queue for the archive of this name.
    Send(String),
    /// Show the page, to send objects back to the archive from which the films came.
    SendBack,
}

impl ExportCommand {
    /// What it does, in a few words.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Choose(_) => "Choose what is exported".to_owned(),
            Self::NamePatient(true) => "Name the patient on the exported sheet".to_owned(),
            Self::NamePatient(false) => "Name nobody on the exported sheet".to_owned(),
            Self::WithoutIdentity(true) => "Export without identity".to_owned(),
            Self::WithoutIdentity(false) => "Export with identity".to_owned(),
            Self::AddBox(view, _) => format!("Mask letters on the {}", film_name(*view)),
            Self::ChangeBox(view, ..) => format!("Move a box on the {}", film_name(*view)),
            Self::RemoveBox(view, _) => format!("Take a box off the {}", film_name(*view)),
            Self::Looked(view, true) => format!("Say that the {} names nobody", film_name(*view)),
            Self::Looked(view, false) => {
                format!("Take back that the {} names nobody", film_name(*view))
            }
            Self::FilmsLookedAt(true) => "Go on against what the films’ files say".to_owned(),
            Self::FilmsLookedAt(false) => {
                "Do not go on against what the films’ files say".to_owned()
            }
            Self::AskFolder => "Write into a folder…".to_owned(),
            Self::Write(_) | Self::WriteUnasked(_) => "Write into a folder".to_owned(),
            Self::Send(archive) => format!("Send to {archive}"),
            Self::SendBack => "Send back to the films’ archive…".to_owned(),
        }
    }
}

fn film_name(view: View) -> String {
    format!("{} film", view.name_in_sentence())
}

/// What a person did about the letters on one film.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FilmLetters {
    /// The boxes that are filled, in the order in which they were drawn.
    pub boxes: Vec<MaskBox>,
    /// Whether somebody looked and says that no letters are left that name anybody.
    pub looked: bool,
}

/// What is exported of the foot that is open, and how.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExportChoices {
    /// Which objects.
    pub chosen: ChosenObjects,
    /// Whether the sheet names the patient.
    pub names_patient: bool,
    /// Whether the identity is taken away.
    pub without_identity: bool,
    /// What the films' files say against the study, with what the films hold, when somebody looked and went on: another
    /// film, side or view asks again.
    looked_at: Vec<(String, Contradiction)>,
    /// The names of the archives that this workstation knew when the page was opened.
    pub archives: Vec<String>,
    /// By what the films hold, so that a film keeps its boxes when views are exchanged and no other film gets them.
    letters: BTreeMap<String, FilmLetters>,
}

impl Default for ExportChoices {
    /// What a clinic's archive usually keeps of a measured study: numbers, lines and the sheet.
    fn default() -> Self {
        Self {
            chosen: ChosenObjects {
                report: true,
                drawing: true,
                sheet: true,
                picture: false,
                film: false,
            },
            names_patient: false,
            without_identity: false,
            looked_at: Vec::new(),
            archives: Vec::new(),
            letters: BTreeMap::new(),
        }
    }
}

/// Where objects go.
enum Destination {
    /// Into a folder; `asked` says whether somebody chose it.
    Folder { path: PathBuf, asked: bool },
    /// Into the queue of an archive.
    Archive {
        name: String,
        book: PathBuf,
        queue: PathBuf,
    },
}

/// What was done with objects.
#[derive(Debug)]
pub(super) enum Exported {
    /// They were written; where, in words.
    Written(String),
    /// They are on their way to an archive.
    Queued(Sending),
}

impl Workbench {
    /// What was done about the letters on the film of a view.
    #[must_use]
    pub fn letters_on(&self, view: View) -> FilmLetters {
        let open = self.film(view);
        let letters = open.and_then(|open| self.view.export.letters.get(open.film.content_hash()));
        letters.cloned().unwrap_or_default()
    }

    /// Whether nobody confirmed the side and something is chosen that tells about a foot.
    #[must_use]
    pub fn export_waits_for_side(&self) -> bool {
        let is_confirmed = self.study.side.is_some_and(|side| side.confirmed);
        !is_confirmed && self.tells_about_foot()
    }

    /// Whether more is chosen than the films themselves.
    fn tells_about_foot(&self) -> bool {
        let only_films = ChosenObjects {
            film: self.view.export.chosen.film,
            ..ChosenObjects::default()
        };
        self.view.export.chosen != only_films
    }

    /// What the films' files say against the study, each with what its film holds.
    fn said_against(&self) -> Vec<(String, Contradiction)> {
        let held = |one: &Contradiction| Some(self.film(one.view)?.film.content_hash().to_owned());
        let said = self.contradictions().into_iter();
        said.filter_map(|one| Some((held(&one)?, one))).collect()
    }

    /// Whether somebody looked at the films and goes on against what their files say now.
    #[must_use]
    pub fn goes_on_against_films(&self) -> bool {
        let said = self.said_against();
        !said.is_empty() && self.view.export.looked_at == said
    }

    /// Whether a film's file says the other foot or view, nobody said to have looked, and something is chosen that tells
    /// about a foot.
    #[must_use]
    pub fn export_waits_for_films(&self) -> bool {
        self.tells_about_foot()
            && !self.contradictions().is_empty()
            && !self.goes_on_against_films()
    }

    /// Whether a film is open.
    #[must_use]
    pub(super) fn has_film(&self) -> bool {
        self.film_of_name().is_some()
    }

    /// Whether films leave without identity on which nobody looked for letters that name somebody.
    #[must_use]
    pub fn export_waits_for_letters(&self) -> bool {
        let choices = &self.view.export;
        let leaves = choices.chosen.film || choices.chosen.picture || choices.chosen.sheet;
        let is_unseen = |view| self.film(view).is_some() && !self.letters_on(view).looked;
        choices.without_identity && leaves && View::ALL.into_iter().any(is_unseen)
    }

    /// Whether it can be done now.
    #[must_use]
    pub(super) fn can_export(&self, command: &ExportCommand) -> bool {
        let choices = &self.view.export;
        let has_film = self.has_film();
        match command {
            ExportCommand::Choose(_) | ExportCommand::WithoutIdentity(_) => has_film,
            ExportCommand::NamePatient(_) => {
                has_film && choices.chosen.sheet && !choices.without_identity
            }
            ExportCommand::AddBox(view, _) | ExportCommand::Looked(view, _) => {
                self.film(*view).is_some()
            }
            ExportCommand::SendBack => self.came_from().is_some(),
            ExportCommand::RemoveBox(view, index) | ExportCommand::ChangeBox(view, index, _) => {
                *index < self.letters_on(*view).boxes.len()
            }
            ExportCommand::FilmsLookedAt(_) => !self.contradictions().is_empty(),
            ExportCommand::AskFolder
            | ExportCommand::Write(_)
            | ExportCommand::WriteUnasked(_)
            | ExportCommand::Send(_) => {
                has_film
                    && choices.chosen != ChosenObjects::default()
                    && !self.export_waits_for_side()
                    && !self.export_waits_for_films()
                    && !self.export_waits_for_letters()
            }
        }
    }

    /// Does what was asked for on the page of exporting.
    pub(super) fn apply_to_export(&mut self, command: ExportCommand) {
        match command {
            ExportCommand::Choose(chosen) => self.view.export.chosen = chosen,
            ExportCommand::NamePatient(named) => self.view.export.names_patient = named,
            ExportCommand::WithoutIdentity(without) => {
                self.view.export.without_identity = without;
            }
            ExportCommand::AddBox(view, masked) => {
                self.change_letters(view, |letters| letters.boxes.push(masked));
            }
            ExportCommand::ChangeBox(view, index, masked) => {
                self.change_letters(view, |letters| {
                    if let Some(own) = letters.boxes.get_mut(index) {
                        *own = masked;
                        letters.looked = false;
                    }
                });
            }
            ExportCommand::RemoveBox(view, index) => self.change_letters(view, |letters| {
                letters.boxes.remove(index);
                // Letters that were covered are seen again: somebody has to look again.
                letters.looked = false;
            }),
            ExportCommand::Looked(view, looked) => {
                self.change_letters(view, |letters| letters.looked = looked);
            }
            ExportCommand::FilmsLookedAt(looked) => {
                let said = if looked {
                    self.said_against()
                } else {
                    Vec::new()
                };
                self.view.export.looked_at = said;
            }
            ExportCommand::AskFolder => self.ask_export_folder(),
            ExportCommand::Write(path) => {
                self.start_export(Destination::Folder { path, asked: true });
            }
            ExportCommand::WriteUnasked(path) => {
                self.start_export(Destination::Folder { path, asked: false });
            }
            ExportCommand::Send(name) => self.start_sending(name),
            ExportCommand::SendBack => self.show_page(Some(Overlay::Export)),
        }
    }

    /// Shows a page, or none. The page of exporting offers the archives that are known now.
    pub(super) fn show_page(&mut self, page: Option<Overlay>) {
        self.view.overlay = page;
        // Whom the films name goes with the page that shows it.
        self.view.patients = None;
        if page != Some(Overlay::Export) {
            return;
        }
        let book = self.places.archives.as_deref().map(AddressBook::read);
        let archives: Vec<String> = match book {
            Some(Ok(book)) => book.archives().iter().map(|one| one.name.clone()).collect(),
            Some(Err(problem)) => {
                self.warn(format!("No archive can be offered: {problem}"));
                Vec::new()
            }
            None => Vec::new(),
        };
        self.read_origins();
        self.view.export.archives = archives;
    }

    fn change_letters(&mut self, view: View, change: impl FnOnce(&mut FilmLetters)) {
        if let Some(open) = self.film(view) {
            let hash = open.film.content_hash().to_owned();
            change(self.view.export.letters.entry(hash).or_default());
        }
    }

    fn ask_export_folder(&mut self) {
        // The name of a folder may be the only thing that names somebody, so it is not the film's.
        let name = if self.view.export.without_identity {
            "without identity"
        } else {
            "for an archive"
        };
        if let Some(film) = self.film_of_name() {
            let proposal = new_folder_beside(film, name);
            self.requests.push(Request::AskFolderForObjects(proposal));
        }
    }

    fn start_sending(&mut self, name: String) {
        let queue = self.places.queue.clone();
        let places = self.places.archives.clone().map(|book| (book, queue));
        match places {
            Some((book, queue)) => self.start_export(Destination::Archive { name, book, queue }),
            None => self.warn(
                "Nothing was sent: this system has no place for what waits. Write the objects into a folder instead."
                    .to_owned(),
            ),
        }
    }

    fn start_export(&mut self, destination: Destination) {
        let choices = &self.view.export;
        let letters = View::ALL.map(|view| self.letters_on(view));
        let request = ExportRequest {
            study: Cow::Owned(self.study().clone()),
            name: Cow::Owned(self.study_file_name()),
            reader: self.own_spread().cloned().map(Cow::Owned),
            films: View::ALL.map(|view| self.film(view).map(|open| open.path.clone())),
            chosen: choices.chosen,
            names_patient: choices.names_patient,
            against_films: self.goes_on_against_films(),
            without_identity: choices.without_identity.then(|| WithoutIdentity {
                looked: letters.each_ref().map(|film| film.looked),
                masks: letters.map(|film| film.boxes),
            }),
        };
        // The next sheet names nobody until it is asked for again, and the next export asks again what looks wrong.
        self.view.export.names_patient = false;
        self.view.export.without_identity = false;
        self.view.export.looked_at.clear();
        self.show_page(None);
        self.jobs.start("Exporting", move || {
            let done = request
                .objects()
                .and_then(|objects| destination.take(&objects));
            Finished::Exported(done.map_err(|problem| format!("{problem:#}")))
        });
    }

    pub(super) fn was_exported(&mut self, result: Result<Exported, String>) {
        match result {
            Ok(Exported::Written(done)) => self.note(done),
            Ok(Exported::Queued(sending)) => self.tell_of_sending(sending),
            Err(problem) => self.warn(format!("Nothing was exported: {problem}")),
        }
    }
}

impl Destination {
    /// Puts the objects there; gives what was done.
    fn take(&self, objects: &[ObjectFile]) -> anyhow::Result<Exported> {
        let count = counted(objects.len(), "object", "objects");
        match self {
            Self::Folder { path, asked } => {
                write_new(path, objects)?;
                let path = path.display();
                Ok(Exported::Written(if *asked {
                    format!("Exported, {count}: {path}")
                } else {
                    format!(
                        "Exported, {count}; this desktop has no dialogs, so they lie beside the film: {path}"
                    )
                }))
            }
            Self::Archive { name, book, queue } => {
                // An archive that was taken out meanwhile is told before anything is queued for it.
                AddressBook::read(book)?.named(name)?;
                let objects = objects
                    .iter()
                    .map(|object| {
                        StoredObject::of_bytes(object.bytes.clone())
                            .map_err(anyhow::Error::msg)
                            .with_context(|| object.name.clone())
                    })
                    .collect::<Result<Vec<_>, _>>()?;
                let queue = Queue::open(queue)?;
                let jobs = objects
                    .iter()
                    .map(|object| queue.add(name, object, Timestamp::now()));
                Ok(Exported::Queued(Sending {
                    archive: name.clone(),
                    jobs: jobs.collect::<Result<_, _>>()?,
                }))
            }
        }
    }
}
