//! How far the readers of a series agree, and what each can keep of how well he repeats himself.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use plumbray_agreement::OneValue;
use plumbray_measure::{AxisConvention, Measurement};

use super::Series;
use crate::{
    agreeing::{Agreement, Asked, Card, Gathered, Keepable, ReaderCounts, agreement_pdf, table},
    printing::write_beside,
    workbench::{ComparisonFile, Finished, Workbench, state::Request},
};

/// What the worker does, as a person reads it.
const JUDGING: &str = "Reading the readers’ studies";

/// One thing that is asked of the readers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AskReaders {
    /// Whether a measurement is judged.
    Measurement(Measurement, bool),
    /// By which axes every tracing is read; nothing for each study's own.
    By(Option<AxisConvention>),
    /// Which of a reader's readings of one film counts between readers.
    OneValue(OneValue),
}

/// The readers of a series: what is asked of them and what they answered.
#[derive(Debug, Default)]
pub struct SeriesReaders {
    asked: Asked,
    /// Which asking came last; 0 for none.
    number: u64,
    judged: Option<Judged>,
    problem: Option<String>,
}

/// What a worker found.
#[derive(Debug)]
pub(crate) struct Judged {
    pub agreement: Arc<Agreement>,
    /// What each reader can keep, in the order of the readers; or why nothing.
    pub keepable: Vec<Result<Keepable, String>>,
    /// How much each reader read, in the same order.
    pub counts: Vec<ReaderCounts>,
    /// What the page says of each measurement.
    pub cards: Vec<Card>,
}

impl SeriesReaders {
    /// What is asked.
    pub(crate) const fn asked(&self) -> &Asked {
        &self.asked
    }

    /// What was found, perhaps to what was asked before; nothing while the studies are read for the first time.
    pub(crate) const fn judged(&self) -> Option<&Judged> {
        self.judged.as_ref()
    }

    /// Why nothing could be found.
    #[must_use]
    pub fn problem(&self) -> Option<&str> {
        self.problem.as_deref()
    }

    /// Forgets what was found; what is asked stays.
    pub(super) fn forget(&mut self) {
        self.number = 0;
        self.judged = None;
        self.problem = None;
    }

    fn ask(&mut self, what: AskReaders) {
        match what {
            AskReaders::By(convention) => self.asked.convention = convention,
            AskReaders::OneValue(one_value) => self.asked.one_value = one_value,
            AskReaders::Measurement(measurement, is_judged) => {
                let mut all = Measurement::ALL.to_vec();
                all.retain(|one| {
                    if *one == measurement {
                        is_judged
                    } else {
                        self.asked.measurements.contains(one)
                    }
                });
                self.asked.measurements = all;
            }
        }
    }
}

impl Workbench {
    /// Whether a worker is at the readers of the series.
    #[must_use]
    pub fn is_judging_readers(&self) -> bool {
        self.jobs.running().iter().any(|name| name == JUDGING)
    }

    /// The readers' page is shown: their studies are read unless they were.
    pub(super) fn show_readers(&mut self) {
        let readers = self.series.as_ref().map(Series::readers);
        if readers.is_some_and(|readers| readers.judged.is_none()) && !self.is_judging_readers() {
            self.judge_readers(true);
        }
    }

    /// Something else is asked of the readers.
    pub(super) fn ask_readers(&mut self, what: AskReaders) {
        if let Some(series) = &mut self.series {
            series.readers.ask(what);
            self.judge_readers(false);
        }
    }

    /// Works it out on a worker's thread; reads the studies anew where that is wanted, or they were not read yet.
    pub(super) fn judge_readers(&mut self, anew: bool) {
        let Some(series) = &mut self.series else {
            return;
        };
        self.judging_number += 1;
        let number = self.judging_number;
        let readers = &mut series.readers;
        readers.number = number;
        let (asked, folder) = (readers.asked.clone(), series.folder.clone());
        let judged = readers.judged.as_ref().filter(|_| !anew);
        let gathered = judged.map(|judged| Arc::clone(&judged.agreement.gathered));
        self.jobs.start(JUDGING, move || {
            let judged = judge(gathered, &folder, &asked);
            Finished::ReadersJudged(number, judged.map(Box::new))
        });
    }

    pub(in super::super) fn readers_were_judged(
        &mut self,
        number: u64,
        judged: Result<Box<Judged>, String>,
    ) {
        let readers = self.series.as_mut().map(|series| &mut series.readers);
        let Some(readers) = readers.filter(|readers| readers.number == number) else {
            return;
        };
        match judged {
            Ok(judged) => {
                readers.judged = Some(*judged);
                readers.problem = None;
            }
            Err(problem) => {
                readers.judged = None;
                readers.problem = Some(problem);
            }
        }
    }

    pub(in super::super) fn agreement(&self) -> Option<Arc<Agreement>> {
        let judged = self.series.as_ref()?.readers.judged.as_ref()?;
        Some(Arc::clone(&judged.agreement))
    }

    pub(super) fn ask_where_to_write_agreement(&mut self, file: ComparisonFile) {
        if let Some(series) = &self.series {
            let name = format!("agreement-of-readers.{}", file.ending());
            let proposal = series.folder.join(name);
            self.requests
                .push(Request::AskWhereToPutAgreement(file, proposal));
        }
    }

    pub(super) fn write_agreement(&mut self, file: ComparisonFile, path: PathBuf) {
        let Some(agreement) = self.agreement() else {
            return;
        };
        let paper = self.settings.sheet.paper;
        self.jobs
            .start(&format!("Making the {}", file.name()), move || {
                let bytes = match file {
                    ComparisonFile::Table => table(&agreement),
                    ComparisonFile::Sheet | ComparisonFile::Plot => {
                        agreement_pdf(&agreement, paper)
                    }
                };
                let read = agreement.files_read();
                let written = bytes.and_then(|bytes| {
                    write_beside(&path, &bytes, read.iter().map(PathBuf::as_path))
                });
                let written = written.map_err(|problem| format!("{problem:#}"));
                Finished::ComparisonWritten(file, written.map(|()| path))
            });
    }
}

fn judge(gathered: Option<Arc<Gathered>>, folder: &Path, asked: &Asked) -> Result<Judged, String> {
    let gathered = match gathered {
        Some(gathered) => gathered,
        None => {
            let read = Gathered::below(folder).map_err(|problem| format!("{problem:#}"))?;
            Arc::new(read)
        }
    };
    let agreement = Agreement::of(&gathered, asked);
    let day = jiff::Zoned::now().date();
    let readers = &gathered.readers;
    let keepable = readers.iter();
    let cards = agreement.measurements.iter();
    Ok(Judged {
        keepable: keepable
            .map(|reader| agreement.keepable(reader, day))
            .collect(),
        counts: (0..readers.len())
            .map(|place| gathered.counts_of(place))
            .collect(),
        cards: cards.map(|measured| measured.card(readers)).collect(),
        agreement: Arc::new(agreement),
    })
}
