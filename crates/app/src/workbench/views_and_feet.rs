//! Which film is which view, and which foot of a film that shows both is read.

use plumbray_anatomy::{Side, View};
use plumbray_study::{SideChoice, Study, StudyFile, study_path};

use super::{Workbench, opening::StudyPlace};

impl Workbench {
    /// Reads the left or right foot of a film that shows both: each has a study of its own.
    pub(super) fn read_one_foot_of_two(&mut self, side: Side) {
        let Some(mut ap) = self.film(View::Ap).cloned() else {
            return;
        };
        // What is being read is for the foot that is put away.
        ap.asked_picture = None;
        let record = self.study.ap.clone();
        let path = study_path(&ap.path, Some(side));
        self.close_foot();
        match StudyFile::open_with(&path, &self.places.folders) {
            Ok((file, study)) => {
                self.place = StudyPlace::Here(Box::new(file));
                self.study = study.unwrap_or_else(|| Study {
                    ap: record,
                    ..Study::default()
                });
            }
            Err(problem) => {
                self.warn(problem.to_string());
                self.place = StudyPlace::ReadOnly(path);
                self.study = Study {
                    ap: record,
                    ..Study::default()
                };
            }
        }
        self.study.side = Some(SideChoice::entered(side));
        self.films[View::Ap as usize] = Some(ap);
        self.view.active = Some(View::Ap);
        self.offer_if_untraced(View::Ap);
        self.follow_pictures();
        let other_film = self.study.lateral.as_ref().zip(self.study_folder());
        if let Some(path) = other_film.map(|(film, folder)| film.path_in(&folder)) {
            self.start_reading(vec![path], Some(View::Lateral));
        }
        self.refresh();
    }

    /// Takes each film, with what was traced on it, for the other view.
    pub(super) fn exchange_views(&mut self) {
        self.films.swap(0, 1);
        self.change("Exchange AP and lateral", |study| {
            std::mem::swap(&mut study.ap, &mut study.lateral);
            std::mem::swap(&mut study.tracing.ap, &mut study.tracing.lateral);
            for view in View::ALL {
                let tracing = study.tracing.on_mut(view);
                tracing.points.retain(|landmark, _| landmark.is_on(view));
                tracing
                    .cortices
                    .retain(|bone, _| view == View::Ap || *bone == plumbray_anatomy::LongBone::M1);
            }
        });
        self.view.active = View::ALL
            .into_iter()
            .find(|view| self.film(*view).is_some());
    }
}
