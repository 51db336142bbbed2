//! What an archive is asked on a worker's thread, and what comes of it.

use std::{
    fmt,
    ops::ControlFlow,
    path::{Path, PathBuf},
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicUsize, Ordering},
    },
};

use plumbray_archive::{
    Address, Archive, ArchiveError, Fetched, FoundStudies, Origins, Secret, SecretError,
    SecretPlace, Uid, WantedFilms, keep_secret, kept_secret, open,
};
use plumbray_film::{FilmSummary, film_summary};

use super::{FetchedFilm, FetchedStudy, ListedSeries};
use crate::{
    disc::words::{film_words, joined, series_words},
    workbench::Wake,
};

/// What an archive is asked for.
#[derive(Clone)]
pub(super) enum Task {
    /// Whether it is there.
    Echo,
    /// Studies.
    Find(Box<plumbray_archive::Wanted>),
    /// The series of a study.
    Series(Uid),
    /// The films of a study or of one of its series, into a folder.
    Fetch(WantedFilms, PathBuf),
}

/// What an archive is asked, and by whom.
pub(super) struct Asking {
    pub address: Address,
    pub task: Task,
    pub secrets: Secrets,
    /// Whether the secret that was given is kept in the keyring, once the archive has taken it.
    pub keeps_secret: bool,
    pub course: Course,
    /// The file that remembers from which archive films came.
    pub origins: Option<PathBuf>,
    pub wake: Wake,
}

/// Where secrets come from.
#[derive(Clone, Default)]
pub(super) struct Secrets {
    /// What a person gave on this page, and where it belongs.
    pub given: Option<(SecretPlace, Arc<Secret>)>,
    /// Whether the system's keyring is asked.
    pub asks_keyring: bool,
}

/// How far it is, shared between the worker and the page.
#[derive(Clone, Debug, Default)]
pub(super) struct Course {
    pub arrived: Arc<AtomicUsize>,
    pub is_stopped: Arc<AtomicBool>,
}

/// What came of asking. It names patients, so it has no text of its own.
pub(crate) enum ArchiveOutcome {
    /// The archive is there; what it answered.
    IsThere(String, Option<String>),
    /// What it has; then what is wrong with the keyring, if it was to keep a secret.
    Found(FoundStudies, Option<String>),
    /// The series of a study; then the same.
    Series(ListedSeries, Option<String>),
    /// What came; then the same.
    Fetched(FetchedStudy, Option<String>),
    /// A secret has to be given first, and why.
    WantsSecret(String),
    /// It was not done, and why.
    Failed(String),
}

impl fmt::Debug for ArchiveOutcome {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str("ArchiveOutcome(…)")
    }
}

impl Secrets {
    /// The secret for an archive: given on the page, or kept in the keyring; nothing when it wants none or none is at
    /// hand. A keyring that cannot be used is as good as one that keeps nothing: the person is asked.
    pub(super) fn of(&self, address: &Address) -> Option<Arc<Secret>> {
        let place = address.secret_place()?;
        let given = self.given.as_ref().filter(|given| given.0 == place);
        if let Some((_, secret)) = given {
            return Some(Arc::clone(secret));
        }
        if !self.asks_keyring {
            return None;
        }
        kept_secret(&place).ok().flatten().map(Arc::new)
    }
}

/// Asks, and waits for the answer.
pub(super) fn ask(asking: &Asking) -> ArchiveOutcome {
    match asked(asking) {
        Ok(outcome) => outcome,
        Err(ArchiveError::LoginRefused { .. }) if !asking.address.needs_secret() => {
            let text = "The archive wants to know who asks, and its address here says that it does not. Choose “Change its \
                        address…” and say whether it asks for a user and password or for a token.";
            ArchiveOutcome::Failed(text.to_owned())
        }
        Err(problem @ ArchiveError::LoginRefused { .. }) => {
            ArchiveOutcome::WantsSecret(problem.to_string())
        }
        Err(ArchiveError::Secret(SecretError::Missing { .. })) => {
            let text = "The archive wants to know who asks.";
            ArchiveOutcome::WantsSecret(text.to_owned())
        }
        Err(problem) => ArchiveOutcome::Failed(problem.to_string()),
    }
}

fn asked(asking: &Asking) -> Result<ArchiveOutcome, ArchiveError> {
    let secret = asking.secrets.of(&asking.address);
    let archive = open(&asking.address, secret.as_deref())?;
    match &asking.task {
        Task::Echo => {
            let answer = archive.echo()?.answer;
            Ok(ArchiveOutcome::IsThere(answer, keep(asking, secret)))
        }
        Task::Find(wanted) => {
            let found = archive.find_studies(wanted)?;
            Ok(ArchiveOutcome::Found(found, keep(asking, secret)))
        }
        Task::Series(study) => {
            let listed = ListedSeries {
                study: study.clone(),
                series: archive.find_films(study)?,
            };
            Ok(ArchiveOutcome::Series(listed, keep(asking, secret)))
        }
        Task::Fetch(wanted, folder) => {
            let fetched = fetch(&*archive, wanted, folder, asking)?;
            Ok(ArchiveOutcome::Fetched(fetched, keep(asking, secret)))
        }
    }
}

/// Keeps a secret that the archive took, if that is wanted; says why it cannot be kept.
fn keep(asking: &Asking, secret: Option<Arc<Secret>>) -> Option<String> {
    let secret = secret.filter(|_| asking.keeps_secret && asking.secrets.asks_keyring)?;
    let kept = keep_secret(&asking.address.secret_place()?, &secret);
    let problem = kept.err()?;
    Some(format!("The secret was not kept: {problem}."))
}

fn fetch(
    archive: &dyn Archive,
    wanted: &WantedFilms,
    folder: &Path,
    asking: &Asking,
) -> Result<FetchedStudy, ArchiveError> {
    let Course {
        arrived,
        is_stopped,
    } = &asking.course;
    let fetched = archive.fetch(wanted, folder, &mut |progress| {
        arrived.store(progress.arrived, Ordering::Relaxed);
        (asking.wake)();
        if is_stopped.load(Ordering::Relaxed) {
            ControlFlow::Break(())
        } else {
            ControlFlow::Continue(())
        }
    })?;
    if let Some(origins) = &asking.origins {
        // Not to remember it costs a choice later, and no film.
        let _remembered = Origins::note(origins, &fetched.files, &asking.address.name);
    }
    Ok(listed(wanted.study.clone(), folder, fetched))
}

/// The films among what came, each in a few words.
fn listed(study: Uid, folder: &Path, fetched: Fetched) -> FetchedStudy {
    let (mut films, mut others, mut complaints) = (Vec::new(), 0, fetched.complaints);
    for path in fetched.files {
        match film_summary(&path) {
            Ok(summary) if summary.has_pixels => films.push(FetchedFilm {
                view: summary.view.as_ref().map(|view| view.value),
                words: words_of(&summary),
                is_ticked: false,
                path,
            }),
            Ok(_report) => others += 1,
            Err(problem) => complaints.push(problem.to_string()),
        }
    }
    films.sort_by_key(|film| film.view.map_or(usize::MAX, |view| view as usize));
    // A foot has two films: when no more came, there is nothing to choose.
    if films.len() <= 2 {
        for film in &mut films {
            film.is_ticked = true;
        }
    }
    FetchedStudy {
        study,
        folder: folder.to_owned(),
        films,
        others,
        complaints: each_once(&complaints),
    }
}

/// Sentences that were said several times, each once and with how often.
fn each_once(said: &[String]) -> Vec<String> {
    let mut counts: Vec<(&String, usize)> = Vec::new();
    for one in said {
        match counts.iter_mut().find(|(known, _)| *known == one) {
            Some((_, count)) => *count += 1,
            None => counts.push((one, 1)),
        }
    }
    let counts = counts.into_iter();
    counts
        .map(|(one, count)| match count {
            1 => one.clone(),
            count => format!("{count} times: {one}"),
        })
        .collect()
}

/// A film in a few words, without its patient.
fn words_of(summary: &FilmSummary) -> String {
    joined(&[
        film_words(summary),
        summary.study.date.clone().unwrap_or_default(),
        series_words(&summary.series),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_several_times_is_said_once() {
        let said = ["a", "b", "a"].map(str::to_owned);
        assert_eq!(each_once(&said), ["2 times: a", "b"], "in order");
    }
}
