//! Saving by itself: after each change, on a worker's thread, never two at once.

use std::path::{Path, PathBuf};

use plumbray_anatomy::View;
use plumbray_study::{
    FilmRecord, RecoveredCopy, SaveProblem, Study, StudyFile, recovered_copies, study_path,
};

use super::{Finished, Workbench, opening::StudyPlace};

/// How the job that saves is called.
pub(super) const SAVING: &str = "Saving";

/// Whether what is in the window is on disk.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(super) struct SaveState {
    /// Something changed since the last save began.
    changed: bool,
}

/// A save that a worker has ended: the file comes back with what became of it.
#[derive(Debug)]
pub(super) struct SavedStudy {
    foot: u64,
    file: StudyFile,
    problem: Option<SaveProblem>,
}

impl Workbench {
    /// The folder of the study's file.
    pub(super) fn study_folder(&self) -> Option<PathBuf> {
        let folder = self.study_path()?.parent()?.to_owned();
        Some(if folder.as_os_str().is_empty() {
            PathBuf::from(".")
        } else {
            folder
        })
    }

    /// The study's file.
    #[must_use]
    pub fn study_path(&self) -> Option<&Path> {
        match &self.place {
            StudyPlace::Nowhere => None,
            StudyPlace::Here(file) => Some(file.path()),
            StudyPlace::Saving(path) | StudyPlace::ReadOnly(path) => Some(path),
        }
    }

    /// Whether the study is open to look at only.
    #[must_use]
    pub const fn is_read_only(&self) -> bool {
        matches!(self.place, StudyPlace::ReadOnly(_))
    }

    /// Where what is traced lies, in words for a person; nothing while nothing is open.
    #[must_use]
    pub fn where_saved(&self) -> Option<String> {
        match &self.place {
            StudyPlace::Nowhere => None,
            StudyPlace::Saving(path) => Some(format!("Being saved: {}", path.display())),
            StudyPlace::ReadOnly(path) => Some(format!("Open to look at only: {}", path.display())),
            StudyPlace::Here(file) => Some(match file.kept_at() {
                None => format!("Saved by itself in {}", file.path().display()),
                Some(copy) => format!(
                    "Kept in {}, since nothing can be written beside the film. It goes on when the film or a copy of \
                     it is opened.",
                    copy.display()
                ),
            }),
        }
    }

    /// Saves the study; a save that is under way is followed by another.
    pub(super) fn save(&mut self) {
        self.save_state.changed = true;
        let StudyPlace::Here(file) = &self.place else {
            return;
        };
        let path = file.path().to_owned();
        self.remember_foot(&path);
        let saving = StudyPlace::Saving(path);
        let StudyPlace::Here(file) = std::mem::replace(&mut self.place, saving) else {
            return;
        };
        self.save_state.changed = false;
        let (foot, study) = (self.foot_number, self.study.clone());
        self.jobs.start(SAVING, move || {
            Finished::Saved(Box::new(write(foot, *file, &study)))
        });
    }

    pub(super) fn was_saved(&mut self, saved: SavedStudy) {
        if let Some(problem) = saved.problem {
            self.warn(problem.to_string());
        }
        if saved.foot != self.foot_number {
            return;
        }
        self.place = StudyPlace::Here(Box::new(saved.file));
        if self.save_state.changed {
            self.save();
        }
    }

    /// Waits for a save that is under way, writes what it has not, and lets the study go.
    pub(super) fn save_now_and_let_go(&mut self) {
        while matches!(self.place, StudyPlace::Saving(_)) {
            match self.jobs.wait_for_one(std::time::Duration::from_secs(60)) {
                Some(finished) => self.take_in(finished),
                None => break,
            }
        }
        self.place = StudyPlace::Nowhere;
    }

    /// Waits until everything is on disk. Called when the window closes.
    pub fn finish(&mut self) {
        self.save_now_and_let_go();
        self.keep_settings();
    }

    /// Names the study after its AP film, once a study that began with a lateral film has one beside
    /// it.
    pub(super) fn name_after_ap_film(&mut self) {
        let StudyPlace::Here(file) = &mut self.place else {
            return;
        };
        let [Some(ap), Some(lateral)] = View::ALL.map(|view| self.films[view as usize].as_ref())
        else {
            return;
        };
        let is_after_lateral = file.path() == study_path(&lateral.path, None);
        if !is_after_lateral || ap.path.parent() != lateral.path.parent() {
            return;
        }
        if let Err(problem) = file.move_to(&study_path(&ap.path, None)) {
            self.warn(problem.to_string());
        }
    }

    /// Looks for work that an earlier session had to put elsewhere, and offers it.
    pub(super) fn offer_kept_work(&mut self) {
        self.kept_work = recovered_copies(&self.places.folders);
        for copy in self.kept_work.clone() {
            self.note(format!(
                "Work that could not be written is kept for {}. It goes on when its film, or a copy of it, is opened; \
                 where its folder can be written again, “Put the kept work back” does that.",
                copy.original.display()
            ));
        }
    }

    /// Goes on from work on a film that could not be written, if there is any.
    pub(super) fn go_on_from_kept_work(&mut self, file: &mut StudyFile, film: &FilmRecord) {
        let Some(kept) = file.kept_work_on(film) else {
            return;
        };
        if let Some(study) = self.taken_up(file, &kept) {
            self.study = study;
        }
    }

    /// The study of kept work that goes on in this place from now on; nothing where it cannot be read.
    pub(super) fn taken_up(&mut self, file: &mut StudyFile, kept: &RecoveredCopy) -> Option<Study> {
        match file.go_on_from(kept) {
            Ok(study) => {
                study.as_ref()?;
                self.kept_work.retain(|other| other.copy != kept.copy);
                self.note(format!(
                    "The work that was kept for {} goes on.",
                    kept.original.display()
                ));
                study
            }
            Err(problem) => {
                self.warn(problem.to_string());
                None
            }
        }
    }

    /// Work that an earlier session had to put elsewhere.
    #[must_use]
    pub fn kept_work(&self) -> &[RecoveredCopy] {
        &self.kept_work
    }

    /// Writes kept work into its own place; what cannot be written stays kept.
    pub(super) fn put_kept_work_back(&mut self) {
        for copy in std::mem::take(&mut self.kept_work) {
            match copy.put_back(&self.places.folders) {
                Ok(()) => {
                    self.remember_foot(&copy.original);
                    self.note(format!(
                        "The kept work is back in its place: {}",
                        copy.original.display()
                    ));
                }
                Err(problem) => {
                    self.warn(problem.to_string());
                    self.kept_work.push(copy);
                }
            }
        }
    }
}

fn write(foot: u64, mut file: StudyFile, study: &Study) -> SavedStudy {
    let problem = file.save(study).err();
    SavedStudy {
        foot,
        file,
        problem,
    }
}
