//! A process that works a queue is killed again and again: nothing is lost, nothing is sent twice without doubt.

use std::{
    collections::BTreeMap,
    ops::ControlFlow,
    path::Path,
    process::{Child, Command, Stdio},
    thread,
    time::{Duration, Instant},
};

use jiff::Timestamp;
use plumbray_archive::{Delays, JobState, Queue, Settled, Uid, Until, open_with};
use rand::{Rng as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::servers::{
    associations, dcmqrscp,
    films::{all_samples, opened},
    free_port,
    line::Line,
    patience, temporary,
};

const CHILD_QUEUE: &str = "PLUMBRAY_TEST_QUEUE";
const CHILD_PORT: &str = "PLUMBRAY_TEST_PORT";
const FILMS: usize = 10;

/// Not a test by itself: a process that works a queue, which the test below starts and kills.
#[test]
#[ignore = "run by the test below, in a process of its own"]
fn child_works_a_queue() {
    let (Some(folder), Ok(port)) = (std::env::var_os(CHILD_QUEUE), std::env::var(CHILD_PORT))
    else {
        return;
    };
    let address = associations(port.parse().expect("a port"), "ARCHIVE", None);
    let queue = Queue::open(Path::new(&folder)).expect("opened");
    let delays = Delays {
        first: Duration::from_millis(50),
        longest: Duration::from_millis(200),
    };
    queue
        .work(
            &|_name| open_with(&address, None, patience()),
            &Timestamp::now,
            delays,
            Until::Empty,
            &mut |_| ControlFlow::Continue(()),
        )
        .expect("worked");
}

fn start(queue: &Path, port: u16) -> Child {
    Command::new(std::env::current_exe().expect("this test"))
        .args(["--exact", "killed::child_works_a_queue"])
        .args(["--ignored", "--nocapture", "--test-threads=1"])
        .env(CHILD_QUEUE, queue)
        .env(CHILD_PORT, port.to_string())
        .stdout(Stdio::null())
        .spawn()
        .expect("started")
}

/// How often the archive says that it took each object.
fn taken(log: &str, instances: &[Uid]) -> BTreeMap<Uid, usize> {
    let answers: Vec<&str> = log
        .split("END DIMSE MESSAGE")
        .filter(|message| message.contains("C-STORE RSP") && message.contains("Success"))
        .collect();
    let count = |instance: &Uid| {
        let named = |message: &&&str| message.contains(instance.as_str());
        answers.iter().filter(named).count()
    };
    instances
        .iter()
        .map(|instance| (instance.clone(), count(instance)))
        .collect()
}

#[test]
fn a_killed_sender_loses_nothing_and_sends_nothing_twice_without_doubt() {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let slow = Line {
        slowness: Duration::from_millis(4),
        ..Line::default()
    };
    let port = slow.laid_to(server.port);
    let folder = temporary("queue");
    let queue = Queue::open(folder.path()).expect("opened");
    let objects: Vec<_> = all_samples()
        .iter()
        .take(FILMS)
        .map(|path| opened(path))
        .collect();
    for object in &objects {
        queue
            .add("Clinic", object, Timestamp::now())
            .expect("added");
    }
    let instances: Vec<Uid> = objects
        .iter()
        .map(|object| object.identity().instance.clone())
        .collect();

    let mut doubts: BTreeMap<Uid, usize> = BTreeMap::new();
    let mut chance = ChaCha8Rng::seed_from_u64(20_261_128);
    let begun = Instant::now();
    let mut kills = 0;
    while !queue.listing().expect("listed").jobs.is_empty() && kills < 60 {
        let mut sender = start(folder.path(), port);
        thread::sleep(Duration::from_millis(chance.random_range(20..600)));
        sender.kill().expect("killed");
        sender.wait().expect("ended");
        kills += 1;
        for job in queue.listing().expect("listed").jobs {
            if matches!(
                job.state,
                JobState::Sending { .. } | JobState::InDoubt { .. }
            ) {
                *doubts.entry(job.object.instance).or_default() += 1;
            }
        }
        assert!(begun.elapsed() < Duration::from_secs(50), "it gets on");
    }
    let status = start(folder.path(), port).wait().expect("ended");
    assert!(status.success(), "to the end: {status}");
    assert!(kills >= 3, "it was killed in between: {kills}");
    assert!(!doubts.is_empty(), "some kills fell into a transfer");

    let listing = queue.listing().expect("listed");
    assert!(
        listing.jobs.is_empty() && listing.damaged.is_empty(),
        "{listing:?}"
    );
    let mut receipts: Vec<Uid> = queue
        .receipts()
        .expect("read")
        .into_iter()
        .inspect(|receipt| assert_ne!(receipt.settled, Settled::Cancelled, "nobody did"))
        .map(|receipt| receipt.object.instance)
        .collect();
    receipts.sort();
    let mut expected = instances.clone();
    expected.sort();
    assert_eq!(receipts, expected, "a receipt for each, and one only");

    let address = associations(server.port, "ARCHIVE", None);
    let archive = open_with(&address, None, patience()).expect("opened");
    for object in &objects {
        assert_eq!(
            archive.holds(object.identity()).expect("asked"),
            Some(true),
            "it arrived"
        );
    }
    for (instance, count) in taken(&server.log(), &instances) {
        let allowed = 1 + doubts.get(&instance).copied().unwrap_or_default();
        assert!(
            (1..=allowed).contains(&count),
            "{instance} was taken {count} times, with {allowed} at most: {}",
            server.log()
        );
    }
}
