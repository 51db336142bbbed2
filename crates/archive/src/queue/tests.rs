//! A queue on disk with an archive that fails in every way, and is killed for.

use std::{
    cell::Cell,
    collections::{BTreeMap, BTreeSet},
    fs,
    ops::ControlFlow,
    path::Path,
    sync::{Arc, Mutex},
    time::Duration,
};

use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;

use super::*;
use crate::{
    archive::{Accepted, Archive, Echoed, Fetched, SendError, WantedFilms, Watch},
    error::ArchiveError,
    found::{FoundSeries, FoundStudies},
    object::ObjectIdentity,
    uid::Uid,
    wanted::Wanted,
};

/// What happens when an object is sent or asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fate {
    /// It arrives and that is answered.
    Taken,
    /// It does not arrive.
    Cut,
    /// It arrives, and the answer is lost.
    TakenUnheard,
    /// It does not arrive, and nobody can know.
    CutUnheard,
    /// The archive does not want it.
    Refused,
    /// The archive does not answer at all.
    Away,
}

#[derive(Default)]
struct Shelf {
    taken: BTreeMap<Uid, usize>,
    fates: Vec<Fate>,
}

/// An archive in memory, whose fates are given beforehand; when they are used up, all goes well.
#[derive(Clone, Default)]
struct Scripted(Arc<Mutex<Shelf>>);

impl Scripted {
    fn with(fates: &[Fate]) -> Self {
        let archive = Self::default();
        archive.0.lock().expect("free").fates = fates.iter().rev().copied().collect();
        archive
    }

    fn taken(&self) -> BTreeMap<Uid, usize> {
        self.0.lock().expect("free").taken.clone()
    }

    fn next(&self) -> Fate {
        self.0
            .lock()
            .expect("free")
            .fates
            .pop()
            .unwrap_or(Fate::Taken)
    }
}

fn away() -> ArchiveError {
    ArchiveError::Silent { seconds: 1 }
}

impl Archive for Scripted {
    fn echo(&self) -> Result<Echoed, ArchiveError> {
        Err(away())
    }

    fn find_studies(&self, _wanted: &Wanted) -> Result<FoundStudies, ArchiveError> {
        Err(away())
    }

    fn find_films(&self, _study: &Uid) -> Result<Vec<FoundSeries>, ArchiveError> {
        Err(away())
    }

    fn fetch(
        &self,
        _wanted: &WantedFilms,
        _into: &Path,
        _watch: &mut Watch<'_>,
    ) -> Result<Fetched, ArchiveError> {
        Err(away())
    }

    fn send(&self, object: &StoredObject) -> Result<Accepted, SendError> {
        let fate = self.next();
        if matches!(fate, Fate::Taken | Fate::TakenUnheard) {
            let mut shelf = self.0.lock().expect("free");
            *shelf
                .taken
                .entry(object.identity().instance.clone())
                .or_default() += 1;
        }
        match fate {
            Fate::Taken => Ok(Accepted { warning: None }),
            Fate::Refused => Err(ArchiveError::LoginRefused { code: 401 }.into()),
            Fate::Cut | Fate::Away => Err(away().into()),
            Fate::TakenUnheard | Fate::CutUnheard => Err(SendError {
                error: away(),
                is_in_doubt: true,
            }),
        }
    }

    fn holds(&self, object: &ObjectIdentity) -> Result<Option<bool>, ArchiveError> {
        match self.next() {
            Fate::Away => Err(away()),
            _ => Ok(Some(self.taken().contains_key(&object.instance))),
        }
    }
}

/// An object of a few elements.
fn object(number: usize) -> StoredObject {
    let mut bytes = vec![0; 128];
    bytes.extend(b"DICM");
    let mut put = |tag: [u8; 4], text: &str| {
        let mut value = text.as_bytes().to_vec();
        if value.len() % 2 == 1 {
            value.push(0);
        }
        bytes.extend(tag);
        bytes.extend(b"UI");
        bytes.extend(u16::try_from(value.len()).expect("short").to_le_bytes());
        bytes.extend(value);
    };
    put([2, 0, 0x10, 0], "1.2.840.10008.1.2.1");
    put([8, 0, 0x16, 0], "1.2.840.10008.5.1.4.1.1.1.1");
    put([8, 0, 0x18, 0], &format!("2.25.{number}"));
    put([0x20, 0, 0x0D, 0], "2.25.1000");
    put([0x20, 0, 0x0E, 0], "2.25.2000");
    StoredObject::of_bytes(bytes).expect("an object")
}

fn start() -> Timestamp {
    Timestamp::from_second(1_800_000_000).expect("in range")
}

/// Works a queue until nothing is due, at a time.
fn work(queue: &Queue, archive: &Scripted, now: Timestamp) -> Worked {
    queue
        .work(
            &|_name| Ok(Box::new(archive.clone())),
            &|| now,
            Delays::default(),
            Until::NothingDue,
            &mut |_| ControlFlow::Continue(()),
        )
        .expect("worked")
}

fn state(queue: &Queue, id: &JobId) -> JobState {
    let jobs = queue.listing().expect("listed").jobs;
    jobs.into_iter()
        .find(|job| job.id == *id)
        .expect("a job")
        .state
}

/// Whether neither a job nor its object is left on disk.
fn assert_nothing_waits(folder: &Path) {
    for part in ["objects", "jobs"] {
        let left = fs::read_dir(folder.join(part)).expect("read").count();
        assert_eq!(left, 0, "{part}");
    }
}

#[test]
fn what_is_added_is_sent_once_and_has_a_receipt() {
    let folder = tempfile::tempdir().expect("a folder");
    let queue = Queue::open(folder.path()).expect("opened");
    let archive = Scripted::default();
    let first = queue.add("Clinic", &object(1), start()).expect("added");
    let again = queue.add("Clinic", &object(1), start()).expect("added");
    assert_eq!(first, again, "the same object waits once");
    let elsewhere = queue.add("Other", &object(1), start()).expect("added");
    assert_ne!(first, elsewhere, "another archive is another job");
    let receipts = work(&queue, &archive, start()).receipts;
    assert_eq!(receipts.len(), 2, "{receipts:?}");
    assert_eq!(queue.receipts().expect("read").len(), 2, "on disk");
    assert_nothing_waits(folder.path());
}

#[test]
fn a_refused_object_rests_until_a_person_says_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let queue = Queue::open(folder.path()).expect("opened");
    let archive = Scripted::with(&[Fate::Refused]);
    let id = queue.add("Clinic", &object(1), start()).expect("added");
    work(&queue, &archive, start());
    assert_eq!(state(&queue, &id), JobState::Refused, "refused");
    let later = start() + SignedDuration::from_hours(100);
    assert!(
        work(&queue, &archive, later).receipts.is_empty(),
        "it rests"
    );
    queue.request(&id, Request::TryNow, later).expect("asked");
    assert_eq!(
        work(&queue, &archive, later).receipts.len(),
        1,
        "now it goes"
    );
    let gone = queue.request(&id, Request::Cancel, later);
    assert!(matches!(gone, Err(QueueError::Unknown(_))), "{gone:?}");
}

#[test]
fn a_damaged_job_is_put_aside_and_said_and_the_others_go_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let queue = Queue::open(folder.path()).expect("opened");
    let archive = Scripted::default();
    let id = queue.add("Clinic", &object(1), start()).expect("added");
    queue.add("Clinic", &object(2), start()).expect("added");
    fs::write(queue.job_path(&id), "(id: nonsense").expect("written");
    assert_eq!(
        queue.listing().expect("listed").damaged.len(),
        1,
        "it is said"
    );
    let worked = work(&queue, &archive, start());
    assert_eq!(
        (worked.receipts.len(), worked.damaged.len()),
        (1, 1),
        "{worked:?}"
    );
    let kept = fs::read_to_string(&worked.damaged[0].path).expect("kept");
    assert_eq!(kept, "(id: nonsense", "as it was");
    work(&queue, &archive, start());
    assert!(
        queue.object_path(&id).exists(),
        "its object is kept as well"
    );
    assert_eq!(
        queue.listing().expect("listed").damaged.len(),
        1,
        "it is still said"
    );
}

#[test]
fn a_damaged_copy_is_not_sent() {
    let folder = tempfile::tempdir().expect("a folder");
    let queue = Queue::open(folder.path()).expect("opened");
    let archive = Scripted::default();
    let id = queue.add("Clinic", &object(1), start()).expect("added");
    fs::write(queue.object_path(&id), object(2).file_bytes()).expect("written");
    work(&queue, &archive, start());
    assert_eq!(state(&queue, &id), JobState::Refused, "refused");
    assert!(archive.taken().is_empty(), "nothing went out");
}

#[test]
fn one_process_works_a_queue_at_a_time_and_requests_reach_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let queue = Queue::open(folder.path()).expect("opened");
    let first = queue.add("Clinic", &object(1), start()).expect("added");
    let second = queue.add("Clinic", &object(2), start()).expect("added");
    let (first, second) = (first.clone().min(second.clone()), first.max(second));
    let archive = Scripted::default();
    let asked = Cell::new(false);
    queue
        .work(
            &|_name| Ok(Box::new(archive.clone())),
            &start,
            Delays::default(),
            Until::Empty,
            &mut |job| {
                if !asked.replace(true) {
                    assert_eq!(job.id, first, "the oldest first");
                    let other = queue.work(
                        &|_name| Ok(Box::new(archive.clone())),
                        &start,
                        Delays::default(),
                        Until::Empty,
                        &mut |_| ControlFlow::Continue(()),
                    );
                    assert!(matches!(other, Err(QueueError::Busy)), "{other:?}");
                    queue
                        .request(&second, Request::Cancel, start())
                        .expect("asked");
                }
                ControlFlow::Continue(())
            },
        )
        .expect("worked");
    let settled: Vec<Settled> = queue
        .receipts()
        .expect("read")
        .into_iter()
        .map(|receipt| receipt.settled)
        .collect();
    assert_eq!(
        settled,
        [Settled::Accepted { warning: None }, Settled::Cancelled],
        "the second was taken back while the first was on its way"
    );
}

#[test]
fn leftovers_of_killed_processes_are_finished() {
    let folder = tempfile::tempdir().expect("a folder");
    let queue = Queue::open(folder.path()).expect("opened");
    let archive = Scripted::default();
    // Killed after the receipt, before the job was removed.
    let id = queue.add("Clinic", &object(1), start()).expect("added");
    let job = fs::read(queue.job_path(&id)).expect("read");
    work(&queue, &archive, start());
    fs::write(queue.job_path(&id), job).expect("written");
    // Killed while adding: a copy without job, and a half-written file.
    let orphan = JobId::new(start());
    fs::write(queue.object_path(&orphan), b"copy").expect("written");
    fs::write(folder.path().join("jobs/.writing-abc"), b"half").expect("written");
    let worked = work(&queue, &archive, start());
    assert_eq!(worked, Worked::default(), "nothing to do");
    assert_eq!(
        archive.taken()[&Uid::new("2.25.1").expect("one")],
        1,
        "sent once"
    );
    assert_nothing_waits(folder.path());
}

#[test]
fn no_name_of_a_file_says_more_than_a_number() {
    let folder = tempfile::tempdir().expect("a folder");
    let queue = Queue::open(folder.path()).expect("opened");
    queue.add("Clinic", &object(1), start()).expect("added");
    for part in ["objects", "jobs"] {
        for entry in fs::read_dir(folder.path().join(part)).expect("read") {
            let name = entry.expect("one").file_name();
            let name = name.to_string_lossy();
            let stem = name.split('.').next().expect("a stem");
            assert!(JobId::parse(stem).is_some(), "{name}");
        }
    }
}

fn any_fate() -> impl Strategy<Value = Fate> {
    prop_oneof![
        Just(Fate::Taken),
        Just(Fate::Cut),
        Just(Fate::TakenUnheard),
        Just(Fate::CutUnheard),
        Just(Fate::Refused),
        Just(Fate::Away),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn whatever_happens_each_object_arrives_once(
        fates in proptest::collection::vec(any_fate(), 0..14),
        objects in 1_usize..4,
        kill_after in proptest::option::of(0_usize..4),
    ) {
        let folder = tempfile::tempdir().expect("a folder");
        let queue = Queue::open(folder.path()).expect("opened");
        let archive = Scripted::with(&fates);
        for number in 0..objects {
            queue.add("Clinic", &object(number), start()).expect("added");
        }
        let mut now = start();
        for turn in 0..40 {
            work(&queue, &archive, now);
            now += SignedDuration::try_from(Duration::from_secs(4_000)).expect("short");
            for job in queue.listing().expect("listed").jobs {
                // As a process leaves it that was killed while it sent.
                if Some(turn) == kill_after && job.state != JobState::Refused {
                    let killed = Job { state: JobState::Sending { since: now }, ..job };
                    queue.write_job(&killed).expect("written");
                } else if job.state == JobState::Refused {
                    queue.request(&job.id, Request::TryNow, now).expect("asked");
                }
            }
        }
        prop_assert!(queue.listing().expect("listed").jobs.is_empty(), "nothing is left");
        let taken = archive.taken();
        prop_assert_eq!(taken.len(), objects, "nothing is lost");
        prop_assert!(taken.values().all(|count| *count == 1), "nothing came twice: {:?}", taken);
        let receipts = queue.receipts().expect("read");
        let proven: BTreeSet<Uid> = receipts.iter().map(|r| r.object.instance.clone()).collect();
        prop_assert_eq!((receipts.len(), proven.len()), (objects, objects), "a receipt for each");
    }

    #[test]
    fn any_bytes_as_a_job_are_damage_and_no_more(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        let folder = tempfile::tempdir().expect("a folder");
        let queue = Queue::open(folder.path()).expect("opened");
        let id = queue.add("Clinic", &object(1), start()).expect("added");
        fs::write(queue.job_path(&id), bytes).expect("written");
        let worked = work(&queue, &Scripted::default(), start());
        prop_assert_eq!(worked.damaged.len(), 1, "put aside");
    }
}
