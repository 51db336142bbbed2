//! A disk that takes no more: nothing half written stays, and it is told.

use std::{
    ops::ControlFlow,
    path::Path,
    process::{Command, Stdio},
};

use jiff::Timestamp;
use plumbray_archive::{Queue, QueueError, WantedFilms, open_with};

use crate::servers::{
    associations, dcmqrscp, files,
    films::{opened, sample},
    free_port, patience, temporary,
};

const CHILD_FOLDER: &str = "PLUMBRAY_TEST_FULL_FOLDER";
const CHILD_PORT: &str = "PLUMBRAY_TEST_FULL_PORT";

/// Not a test by itself: a process whose files may grow to 100 KiB only, which the test below starts.
#[test]
#[ignore = "run by the test below, in a process of its own"]
fn child_whose_disk_is_full() {
    let (Some(folder), Ok(port)) = (std::env::var_os(CHILD_FOLDER), std::env::var(CHILD_PORT))
    else {
        return;
    };
    let folder = Path::new(&folder);
    let object = opened(&sample("alder-ap.dcm"));
    let queue = Queue::open(&folder.join("queue")).expect("opened");
    let refused = queue.add("Clinic", &object, Timestamp::now());
    assert!(
        matches!(refused, Err(QueueError::Disk { .. })),
        "{refused:?}"
    );
    assert!(
        queue.listing().expect("listed").jobs.is_empty(),
        "nothing was promised"
    );
    assert!(
        files(&folder.join("queue/objects")).is_empty(),
        "nothing is left"
    );

    let address = associations(port.parse().expect("a port"), "ARCHIVE", None);
    let archive = open_with(&address, None, patience()).expect("opened");
    let wanted = WantedFilms {
        study: object.identity().study.clone(),
        series: None,
        film: None,
    };
    let into = folder.join("fetched");
    let outcome = archive.fetch(&wanted, &into, &mut |_| ControlFlow::Continue(()));
    let is_told = match &outcome {
        Ok(fetched) => fetched.files.is_empty() && !fetched.complaints.is_empty(),
        Err(_problem) => true,
    };
    assert!(is_told, "{outcome:?}");
    assert!(files(&into).is_empty(), "{:?}", files(&into));
}

#[test]
fn a_full_disk_is_told_and_nothing_half_written_stays() {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let address = associations(server.port, "ARCHIVE", None);
    let archive = open_with(&address, None, patience()).expect("opened");
    archive
        .send(&opened(&sample("alder-ap.dcm")))
        .expect("sent");
    let folder = temporary("full");
    // The shell sets the limit, in blocks of 512 bytes, and lets writes beyond it fail instead of ending the process.
    let status = Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f 200; exec \"$@\"", "sh"])
        .arg(std::env::current_exe().expect("this test"))
        .args(["--exact", "full_disk::child_whose_disk_is_full"])
        .args(["--ignored", "--nocapture", "--test-threads=1"])
        .env(CHILD_FOLDER, folder.path())
        .env(CHILD_PORT, server.port.to_string())
        .stdout(Stdio::null())
        .status()
        .expect("started");
    assert!(status.success(), "{status}");
}
