//! What workers give back, and how the workbench takes it in.

use std::{
    path::PathBuf,
    sync::Arc,
    time::{Duration, Instant},
};

use plumbray_anatomy::View;
use plumbray_film::{FilmError, Pyramid};
use plumbray_plan::{Plan, PlanError};
use plumbray_proposal::ProposalError;
use plumbray_trace::{CircleFit, TraceError};

use super::{
    ArchiveOutcome, Comparing, ComparisonFile, Judged, Listing, OpenError, PatientsOfFilms,
    ReadFilm, RecentFoot, Seen, SmallFilm, TraceStep, TracingEdit, Workbench, disc, exporting,
    jobs::JobFailed, pictures, planning, practising, saving,
};

/// What a worker gives back; the number says for which foot it worked.
#[derive(Debug)]
pub(super) enum Finished {
    PatientsRead(u64, PatientsOfFilms),
    RecentRead(Vec<RecentFoot>),
    FilmsRead(u64, Option<View>, Vec<Result<ReadFilm, OpenError>>),
    Looked(Arc<Pyramid>, Result<Seen, ProposalError>),
    PictureRead(u64, View, PathBuf, Result<pictures::ReadPicture, FilmError>),
    Traced(
        pictures::WorkedOn,
        View,
        TraceStep,
        Result<TracingEdit, TraceError>,
    ),
    Fitted(pictures::WorkedOn, View, Result<CircleFit, TraceError>),
    Saved(Box<saving::SavedStudy>),
    SheetMade(Result<PathBuf, String>),
    Exported(Result<exporting::Exported, String>),
    Compared(u64, Result<Box<Comparing>, String>),
    ComparisonWritten(ComparisonFile, Result<PathBuf, String>),
    SeriesRead(u64, Result<Box<Listing>, String>),
    SeriesWritten(Result<(PathBuf, u64), String>),
    ReadersJudged(u64, Result<Box<Judged>, String>),
    DiscListed(u64, disc::ListedDisc),
    FilmOfDiscDecoded(u64, SmallFilm),
    FilmsCopied(u64, disc::CopiedFilms),
    ArchiveAnswered(u64, Box<ArchiveOutcome>),
    QueueAsked(Result<(), String>),
    StudiesOfSetRead(u64, practising::StudiesRead),
    FilmOfSetRead(u64, practising::FilmRead),
    SetMade(u64, Result<PathBuf, String>),
    ScrewsSuggested(
        u64,
        planning::Asked,
        Box<Plan>,
        Result<Box<Plan>, PlanError>,
    ),
}

impl Workbench {
    /// Takes in what workers have finished. Call it often: it never waits.
    pub fn receive(&mut self) {
        for finished in self.jobs.take_finished() {
            self.take_in(finished);
        }
        self.tell_what_became_of_sendings();
    }

    /// Waits until every worker has ended, at most so long; tells whether they did.
    pub fn wait_for_workers(&mut self, at_most: Duration) -> bool {
        let deadline = Instant::now() + at_most;
        while !self.jobs.running().is_empty() {
            let left = deadline.saturating_duration_since(Instant::now());
            match self.jobs.wait_for_one(left) {
                Some(finished) => self.take_in(finished),
                None => return false,
            }
        }
        true
    }

    pub(super) fn take_in(&mut self, finished: Result<Finished, JobFailed>) {
        match finished {
            Ok(Finished::FilmsRead(foot, view, films)) => {
                if foot == self.foot_number {
                    for film in films {
                        self.film_was_read(view, film);
                    }
                }
            }
            Ok(Finished::Looked(pyramid, result)) => self.was_looked_at(&pyramid, result),
            Ok(Finished::PictureRead(foot, view, path, read)) => {
                if foot == self.foot_number {
                    self.picture_was_read(view, &path, read);
                }
            }
            Ok(Finished::Traced(worked_on, view, step, result)) => {
                if self.still_measures(view, worked_on) {
                    self.was_traced(view, step, result);
                }
            }
            Ok(Finished::Fitted(worked_on, view, result)) => {
                if self.still_measures(view, worked_on) {
                    self.circle_was_fitted(view, result);
                }
            }
            Ok(Finished::PatientsRead(foot, patients)) => self.patients_were_read(foot, patients),
            Ok(Finished::RecentRead(feet)) => self.recent = feet,
            Ok(Finished::Saved(saved)) => self.was_saved(*saved),
            Ok(Finished::SheetMade(result)) => self.sheet_was_made(result),
            Ok(Finished::Exported(result)) => self.was_exported(result),
            Ok(Finished::Compared(number, result)) => self.was_compared(number, result),
            Ok(Finished::ComparisonWritten(file, result)) => {
                self.comparison_was_written(file, result);
            }
            Ok(Finished::ScrewsSuggested(foot, by, asked, found)) => {
                if foot == self.foot_number {
                    self.screws_were_suggested(by, &asked, found);
                }
            }
            Ok(Finished::ReadersJudged(of, judged)) => self.readers_were_judged(of, judged),
            Ok(Finished::ArchiveAnswered(number, outcome)) => {
                self.archive_answered(number, *outcome);
            }
            Ok(Finished::QueueAsked(asked)) => self.queue_was_asked(asked),
            Ok(Finished::SeriesRead(number, read)) => self.series_was_read(number, read),
            Ok(Finished::SeriesWritten(written)) => self.series_was_written(written),
            Ok(Finished::DiscListed(number, listed)) => self.disc_was_listed(number, listed),
            Ok(Finished::FilmOfDiscDecoded(number, picture)) => {
                self.film_of_disc_was_decoded(number, picture);
            }
            Ok(Finished::FilmsCopied(number, copied)) => self.films_were_copied(number, copied),
            Ok(Finished::StudiesOfSetRead(number, read)) => {
                self.studies_of_set_were_read(number, read);
            }
            Ok(Finished::FilmOfSetRead(number, read)) => self.film_of_set_was_read(number, read),
            Ok(Finished::SetMade(number, made)) => self.set_was_made(number, made),
            Err(JobFailed { name }) => {
                self.job_failed(&name);
                self.picture_job_failed(&name);
                self.asking_failed(&name);
                self.work_on_set_failed(&name);
                self.work_on_disc_failed(&name);
                self.warn(format!(
                    "“{name}” ended by a fault of the program; nothing was changed. Try it again, \
                     and report the film if it happens twice."
                ));
            }
        }
    }
}
