//! A queue whose archive goes away and comes back over the web.

use std::{cell::Cell, ops::ControlFlow};

use jiff::{SignedDuration, Timestamp};
use plumbray_archive::{Delays, JobState, Login, Queue, Request, Settled, Until, open_with};
use serde_json::json;

use crate::servers::{
    films::{films, opened},
    free_port,
    line::Line,
    orthanc::{orthanc, web},
    patience, temporary,
};

#[test]
fn a_queue_waits_for_its_archive_and_asks_for_what_ended_in_doubt() {
    let orthanc = orthanc(&json!({}));
    let folder = temporary("queue");
    let queue = Queue::open(&folder.path().join("queue")).expect("opened");
    let films = films(folder.path());
    let start = Timestamp::now();
    let now = Cell::new(start);
    for film in &films[..2] {
        queue
            .add("Clinic", &opened(&film.path), start)
            .expect("added");
    }
    let port = Cell::new(free_port());
    let open = |_name: &str| {
        let address = web(
            &format!("http://127.0.0.1:{}", port.get()),
            Login::None,
            None,
        );
        open_with(&address, None, patience())
    };
    let work = || {
        queue
            .work(
                &open,
                &|| now.get(),
                Delays::default(),
                Until::NothingDue,
                &mut |_| ControlFlow::Continue(()),
            )
            .expect("worked")
            .receipts
    };
    assert!(work().is_empty(), "it is away");
    let jobs = queue.listing().expect("listed").jobs;
    assert_eq!(jobs.len(), 2, "nothing is lost");
    for job in &jobs {
        let reason = job.last_reason.as_deref().unwrap_or_default();
        assert!(reason.contains("cannot be reached"), "{job:?}");
    }
    assert!(work().is_empty(), "nothing is due yet");

    // Now the requests go through, and no answer comes back.
    port.set(
        Line {
            cut_after_answered: Some(10),
            ..Line::default()
        }
        .laid_to(orthanc.server.port),
    );
    queue
        .request(&jobs[0].id, Request::TryNow, now.get())
        .expect("asked");
    assert!(work().is_empty(), "no answer");
    let jobs = queue.listing().expect("listed").jobs;
    assert!(
        matches!(jobs[0].state, JobState::InDoubt { .. }),
        "{:?}",
        jobs[0]
    );

    port.set(orthanc.server.port);
    queue
        .request(&jobs[1].id, Request::Cancel, now.get())
        .expect("asked");
    now.set(start + SignedDuration::from_hours(2));
    let receipts = work();
    assert_eq!(receipts.len(), 1, "{receipts:?}");
    assert_eq!(
        receipts[0].settled,
        Settled::FoundThere,
        "it was not sent again"
    );
    let settled: Vec<Settled> = queue
        .receipts()
        .expect("read")
        .into_iter()
        .map(|receipt| receipt.settled)
        .collect();
    assert!(settled.contains(&Settled::Cancelled), "{settled:?}");
    assert!(
        queue.listing().expect("listed").jobs.is_empty(),
        "it is empty"
    );
}
