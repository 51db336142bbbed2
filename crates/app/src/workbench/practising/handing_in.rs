//! Handing an attempt in: it is held against the reference, and the progress is kept.

use plumbray_anatomy::{Tracing, View};
use plumbray_practise::{Attempt as JudgedAttempt, Lesson, lesson};

use super::{Attempt, PracticeStage, Workbench};
use crate::canvas::Placement;

/// A foot that was handed in.
#[derive(Debug)]
pub struct HandedIn {
    /// What the attempt teaches.
    pub lesson: Lesson,
    /// What it was held against.
    pub reference: Tracing,
    /// Whether the reference is drawn over the attempt.
    pub shows_reference: bool,
}

impl Workbench {
    /// Holds the attempt that is under way against its reference, and keeps what came out.
    pub(super) fn hand_in(&mut self) {
        match self.judged() {
            Ok(handed_in) => {
                self.view.first_click = None;
                self.view.adjusting = false;
                self.view.selection = super::super::Selection::Nothing;
                let Some(practising) = &mut self.practising else {
                    return;
                };
                let Some(record) = practising.attempt().map(Attempt::kept) else {
                    return;
                };
                let lesson = &handed_in.lesson;
                let kept = practising.resident.keep(&practising.set, &record, lesson);
                practising.stage = PracticeStage::Lesson(Box::new(handed_in));
                for view in View::ALL {
                    if let Some(open) = &mut self.films[view as usize] {
                        open.view.placement = Placement::Fit;
                    }
                }
                self.notices.clear();
                if let Err(problem) = kept {
                    self.warn(problem);
                }
            }
            Err(problem) => self.warn(format!("The attempt cannot be judged: {problem}.")),
        }
    }

    fn judged(&self) -> Result<HandedIn, String> {
        let practising = self.practising.as_ref().ok_or("nobody practises")?;
        let attempt = practising.attempt().ok_or("no foot is being traced")?;
        let foot = practising
            .foot(attempt.foot())
            .ok_or("the set has no such foot any more")?;
        let reference = foot
            .reference(&practising.folder)
            .map_err(|problem| problem.to_string())?;
        let judged = JudgedAttempt {
            study: &self.study,
            snapping: attempt.snapping(),
            seconds: attempt.took().as_secs_f64(),
        };
        let lesson = lesson(foot, &reference, &judged, &practising.set.defaults)
            .map_err(|problem| problem.to_string())?;
        Ok(HandedIn {
            lesson,
            reference: reference.tracing,
            shows_reference: true,
        })
    }
}
