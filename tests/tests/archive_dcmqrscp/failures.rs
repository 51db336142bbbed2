//! Archives that are away, that refuse, that are silent, and lines that are cut.

use std::{
    net::TcpListener,
    ops::ControlFlow,
    time::{Duration, Instant},
};

use plumbray_archive::{Archive, ArchiveError, Patience, WantedFilms, open_with};

use crate::servers::{
    self, associations, dcmqrscp,
    films::{films, opened},
    free_port,
    line::Line,
    patience, storescp, temporary,
};

fn archive(port: u16, called: &str) -> Box<dyn Archive> {
    open_with(&associations(port, called, None), None, patience()).expect("opened")
}

#[test]
fn an_archive_that_is_away_cannot_be_reached() {
    let problem = archive(free_port(), "ARCHIVE").echo().expect_err("nobody");
    assert!(
        matches!(problem, ArchiveError::Unreachable { .. }),
        "{problem}"
    );
    assert!(problem.may_pass(), "it may come back");
}

#[test]
fn a_wrong_title_is_told_with_what_to_do() {
    let server = dcmqrscp(free_port(), &[]);
    let problem = archive(server.port, "NOBODY").echo().expect_err("refused");
    assert!(
        problem
            .to_string()
            .contains("it is not called NOBODY; correct the archive's AE title"),
        "{problem}"
    );
    assert!(!problem.may_pass(), "it does not pass by itself");
}

#[test]
fn an_archive_that_refuses_every_association_is_told() {
    let server = storescp(&["--refuse"]);
    let problem = archive(server.port, "ANY").echo().expect_err("refused");
    assert!(
        matches!(problem, ArchiveError::Rejected { .. }),
        "{problem}"
    );
}

#[test]
fn an_archive_that_breaks_off_is_told_and_nothing_is_in_doubt_before_the_end() {
    let server = storescp(&["+xs", "--abort-during"]);
    let folder = temporary("films");
    let object = opened(&films(folder.path())[0].path);
    let failed = archive(server.port, "ANY")
        .send(&object)
        .expect_err("broken off");
    assert!(
        matches!(
            failed.error,
            ArchiveError::Aborted { .. } | ArchiveError::Cut { .. }
        ),
        "{failed}"
    );
    assert!(failed.error.may_pass(), "it may be tried again");

    // This one takes the whole object before it breaks off.
    let server = storescp(&["+xs", "--abort-after"]);
    let failed = archive(server.port, "ANY")
        .send(&object)
        .expect_err("broken off");
    assert!(failed.is_in_doubt, "{failed}");
}

#[test]
fn an_archive_that_never_answers_is_given_up() {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("an address").port();
    let brief = Patience {
        silence: Duration::from_millis(300),
        ..patience()
    };
    let archive = open_with(&associations(port, "ARCHIVE", None), None, brief).expect("opened");
    let begun = Instant::now();
    let problem = archive.echo().expect_err("silence");
    assert!(matches!(problem, ArchiveError::Silent { .. }), "{problem}");
    assert!(
        begun.elapsed() < Duration::from_secs(5),
        "{:?}",
        begun.elapsed()
    );
}

#[test]
fn a_line_that_is_cut_while_sending_leaves_no_doubt_before_the_last_byte() {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let folder = temporary("films");
    let object = opened(&films(folder.path())[0].path);
    let size = object.data_set().len() as u64;
    for cut_after_sent in [1, 100, 300, 5_000, size / 2, size - 1] {
        let line = Line {
            cut_after_sent: Some(cut_after_sent),
            ..Line::default()
        };
        let failed = archive(line.laid_to(server.port), "ARCHIVE")
            .send(&object)
            .expect_err("cut");
        assert!(failed.error.may_pass(), "after {cut_after_sent}: {failed}");
        let direct = archive(server.port, "ARCHIVE");
        assert_eq!(
            direct.holds(object.identity()).expect("asked"),
            Some(false),
            "after {cut_after_sent}"
        );
    }
}

#[test]
fn an_answer_that_is_lost_leaves_the_object_in_doubt_and_asking_settles_it() {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let folder = temporary("films");
    let object = opened(&films(folder.path())[0].path);
    // The acceptance of the association passes, the answer to the object does not.
    let line = Line {
        cut_after_answered: Some(200),
        ..Line::default()
    };
    let failed = archive(line.laid_to(server.port), "ARCHIVE")
        .send(&object)
        .expect_err("no answer");
    assert!(failed.is_in_doubt, "{failed}");
    let direct = archive(server.port, "ARCHIVE");
    let begun = Instant::now();
    while direct.holds(object.identity()).expect("asked") != Some(true) {
        assert!(
            begun.elapsed() < Duration::from_secs(10),
            "the archive has it"
        );
    }
}

#[test]
fn a_line_that_is_cut_while_fetching_leaves_no_half_film() {
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let folder = temporary("films");
    let object = opened(&films(folder.path())[0].path);
    let direct = archive(server.port, "ARCHIVE");
    direct.send(&object).expect("sent");
    let wanted = WantedFilms {
        study: object.identity().study.clone(),
        series: None,
        film: None,
    };
    let size = object.data_set().len() as u64;
    for cut_after_answered in [10, 3_000, 20_000, size / 2, size] {
        let line = Line {
            cut_after_answered: Some(cut_after_answered),
            ..Line::default()
        };
        let into = temporary("cut");
        let cut = archive(line.laid_to(server.port), "ARCHIVE");
        let outcome = cut.fetch(&wanted, into.path(), &mut |_| ControlFlow::Continue(()));
        assert!(outcome.is_err(), "after {cut_after_answered}: {outcome:?}");
        assert!(
            servers::files(into.path()).is_empty(),
            "after {cut_after_answered}: {:?}",
            servers::files(into.path())
        );
    }
}
