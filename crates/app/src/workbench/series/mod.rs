//! The series of a clinic: all studies below a folder, looked through while no foot is open.

mod command;
mod index;
mod listing;
mod readers;
mod sorting;
mod writing;

use std::path::{Path, PathBuf};

use plumbray_cohort::Filter;

pub use command::SeriesCommand;
pub use index::{SeriesIndex, UnfitIndex};
pub use listing::{ListedVisit, Listing};
pub(crate) use readers::Judged;
pub use readers::{AskReaders, SeriesReaders};
pub use sorting::SeriesOrder;

use super::{Command, DiscCommand, Finished, Workbench, state::Request};

/// What is shown of a series.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SeriesPage {
    /// Its visits and their summary.
    #[default]
    Visits,
    /// How far its readers agree.
    Readers,
}

/// A folder that is looked through.
#[derive(Debug)]
pub struct Series {
    folder: PathBuf,
    filter: String,
    order: Option<SeriesOrder>,
    /// Nothing while it is read for the first time.
    listing: Option<Listing>,
    page: SeriesPage,
    readers: SeriesReaders,
    /// Where nobody asked for a series: the folder was named or dropped, and may hold films alone, which are shown if
    /// nothing else was opened since. The number is that of the foot at that time.
    may_be_films: Option<u64>,
}

impl Series {
    /// The folder.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// What is shown.
    #[must_use]
    pub const fn page(&self) -> SeriesPage {
        self.page
    }

    /// How far its readers agree.
    #[must_use]
    pub const fn readers(&self) -> &SeriesReaders {
        &self.readers
    }

    /// What has to hold of a visit that is listed; may be empty.
    #[must_use]
    pub fn filter(&self) -> &str {
        &self.filter
    }

    /// By which column the list is sorted; nothing for foot by foot.
    #[must_use]
    pub const fn order(&self) -> Option<SeriesOrder> {
        self.order
    }

    /// The visits and their summary; nothing while they are read for the first time.
    #[must_use]
    pub const fn listing(&self) -> Option<&Listing> {
        self.listing.as_ref()
    }
}

impl Workbench {
    /// The series that is looked through, if any. It is shown while no foot is open.
    #[must_use]
    pub const fn series(&self) -> Option<&Series> {
        self.series.as_ref()
    }

    /// Looks through a folder of which nobody said what it holds: for studies, and where there is none for films.
    pub(super) fn look_through(&mut self, folder: PathBuf) {
        self.apply_to_series(SeriesCommand::Open(folder));
        if let Some(series) = &mut self.series {
            series.may_be_films = Some(self.foot_number);
        }
    }

    /// Does what belongs to a series.
    pub(super) fn apply_to_series(&mut self, command: SeriesCommand) {
        match command {
            SeriesCommand::Ask => self.requests.push(Request::AskForSeries),
            SeriesCommand::Open(folder) => {
                self.close_foot();
                self.leave_disc();
                self.leave_archives();
                self.series = Some(Series {
                    folder,
                    filter: String::new(),
                    order: None,
                    listing: None,
                    page: SeriesPage::Visits,
                    readers: SeriesReaders::default(),
                    may_be_films: None,
                });
                self.read_series();
            }
            SeriesCommand::Filter(text) => match Filter::parse(conditions(&text)) {
                Ok(_) => {
                    if let Some(series) = &mut self.series {
                        series.filter = text;
                    }
                    self.notices.clear();
                    self.read_series();
                }
                Err(problem) => self.warn(problem.to_string()),
            },
            SeriesCommand::SortBy(column) => {
                if let Some(series) = &mut self.series {
                    let order = SeriesOrder::after_click(series.order, column);
                    series.order = Some(order);
                    if let Some(listing) = &mut series.listing {
                        listing.sort(order);
                    }
                }
            }
            SeriesCommand::AskWhereToPutTable => self.ask_where_to_write_series(),
            SeriesCommand::WriteTable(path) => self.start_writing_series(path),
            SeriesCommand::KeepIndex(index) => match index.place(&self.places.indexes) {
                Ok(_) => {
                    self.settings.series_index = index;
                    self.keep_settings();
                    self.notices.clear();
                    self.read_series();
                }
                Err(problem) => self.warn(problem.to_string()),
            },
            SeriesCommand::ReadAgain => {
                self.read_series();
                let page = self.series.as_ref().map(Series::page);
                if page == Some(SeriesPage::Readers) {
                    self.judge_readers(true);
                } else if let Some(series) = &mut self.series {
                    // What was read before is read again when it is looked at.
                    series.readers.forget();
                }
            }
            SeriesCommand::Show(page) => {
                if let Some(series) = &mut self.series {
                    series.page = page;
                }
                if page == SeriesPage::Readers {
                    self.show_readers();
                }
            }
            SeriesCommand::AskReaders(what) => self.ask_readers(what),
            SeriesCommand::AskWhereToWrite(file) => self.ask_where_to_write_agreement(file),
            SeriesCommand::Write(file, path) => self.write_agreement(file, path),
            SeriesCommand::KeepSpread(reader) => self.keep_spread_of(&reader),
            SeriesCommand::OpenStudy(path) => self.apply(Command::Open(vec![path])),
            SeriesCommand::Leave => {
                self.series = None;
                self.series_number += 1;
            }
        }
    }

    /// Reads the series on a worker's thread.
    fn read_series(&mut self) {
        let Some((source, filter)) = self.series_source() else {
            return;
        };
        self.series_number += 1;
        let number = self.series_number;
        self.jobs.start("Reading the series", move || {
            let read = listing::read_listing(&source, &filter);
            Finished::SeriesRead(
                number,
                read.map(Box::new).map_err(|problem| problem.to_string()),
            )
        });
    }

    /// What is read and which visits of it; nothing, and a word why, where it cannot be read.
    fn series_source(&mut self) -> Option<(listing::Source, Filter)> {
        let series = self.series.as_ref()?;
        let index = &self.settings.series_index;
        match index.place(&self.places.indexes) {
            Ok(place) => {
                let source = listing::Source {
                    folder: series.folder.clone(),
                    index: place,
                    name: index.series.clone(),
                    filter: series.filter.clone(),
                };
                let filter = Filter::parse(conditions(&series.filter)).unwrap_or_default();
                Some((source, filter))
            }
            Err(problem) => {
                self.warn(problem.to_string());
                None
            }
        }
    }

    pub(super) fn series_was_read(&mut self, number: u64, read: Result<Box<Listing>, String>) {
        if number != self.series_number {
            return;
        }
        match (read, &mut self.series) {
            (Ok(mut listing), Some(series)) => {
                if let Some(order) = series.order {
                    listing.sort(order);
                }
                let holds_studies = listing.studies > 0;
                series.listing = Some(*listing);
                if series.may_be_films.take() == Some(self.foot_number) && !holds_studies {
                    let folder = series.folder.clone();
                    self.apply_to_disc(DiscCommand::Open(folder));
                }
            }
            (Err(problem), _) => self.warn(problem),
            (Ok(_), None) => {}
        }
    }

    /// Whether what a command does can be done now.
    pub(super) const fn can_look_through(&self, command: &SeriesCommand) -> bool {
        match command {
            SeriesCommand::Ask | SeriesCommand::Open(_) => true,
            SeriesCommand::AskWhereToWrite(_)
            | SeriesCommand::Write(..)
            | SeriesCommand::KeepSpread(_) => match &self.series {
                Some(series) => series.readers.judged().is_some(),
                None => false,
            },
            SeriesCommand::Filter(_)
            | SeriesCommand::SortBy(_)
            | SeriesCommand::Show(_)
            | SeriesCommand::AskReaders(_)
            | SeriesCommand::ReadAgain
            | SeriesCommand::OpenStudy(_)
            | SeriesCommand::AskWhereToPutTable
            | SeriesCommand::WriteTable(_)
            | SeriesCommand::KeepIndex(_)
            | SeriesCommand::Leave => self.series.is_some(),
        }
    }
}

/// The conditions of a filter as it is typed: set apart by spaces.
fn conditions(text: &str) -> Vec<&str> {
    text.split_whitespace().collect()
}
