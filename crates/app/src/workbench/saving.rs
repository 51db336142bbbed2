//! Saving by itself: after each change, on a worker's thread, never two at once.

use std::path::{Path, PathBuf};

use plumbray_study::{SaveProblem, Study, StudyFile, recovered_copies};

use super::{Finished, Workbench, opening::StudyPlace};

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

    /// Saves the study; a save that is under way is followed by another.
    pub(super) fn save(&mut self) {
        self.save_state.changed = true;
        let StudyPlace::Here(file) = std::mem::replace(&mut self.place, StudyPlace::Nowhere) else {
            return;
        };
        let path = file.path().to_owned();
        self.settings.remember(&path);
        self.place = StudyPlace::Saving(path);
        self.save_state.changed = false;
        let (foot, study) = (self.foot_number, self.study.clone());
        self.jobs
            .start("Saving", move || Finished::Saved(write(foot, file, &study)));
    }

    pub(super) fn was_saved(&mut self, saved: SavedStudy) {
        if let Some(problem) = saved.problem {
            self.warn(problem.to_string());
        }
        if saved.foot != self.foot_number {
            return;
        }
        self.place = StudyPlace::Here(saved.file);
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

    /// Names work that an earlier session had to put elsewhere.
    pub(super) fn offer_recovered_copies(&mut self) {
        for copy in recovered_copies(&self.places.folders) {
            self.note(format!(
                "Work that could not be written beside its film is kept in {}. Open that file to go \
                 on with it, or copy it to {}.",
                copy.copy.display(),
                copy.original.display()
            ));
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
