//! Servers that answer anything: every request ends, with an error or an answer, in bounded time and memory.

use std::{
    io::{BufRead, BufReader, Write},
    net::TcpListener,
    ops::ControlFlow,
    thread,
    time::{Duration, Instant},
};

use proptest::prelude::*;

use super::WebArchive;
use crate::{
    address::{Login, WebAddress},
    archive::{Archive, Fetched, WantedFilms},
    error::ArchiveError,
    limits::Patience,
    object::{StoredObject, tests::sample},
    uid::Uid,
    wanted::Wanted,
};

/// What a server sends after the head of a request: pieces, with a wait before each.
#[derive(Clone, Default)]
struct Answer {
    pieces: Vec<Vec<u8>>,
    wait: Duration,
}

/// An archive whose server sends the same to everybody.
fn server(answer: Answer) -> WebArchive {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("an address").port();
    thread::spawn(move || {
        for stream in listener.incoming() {
            let Ok(mut stream) = stream else { return };
            let answer = answer.clone();
            thread::spawn(move || {
                let mut reader = BufReader::new(stream.try_clone().expect("the same"));
                let mut line = String::new();
                while line != "\r\n" {
                    line.clear();
                    if reader.read_line(&mut line).unwrap_or_default() == 0 {
                        return;
                    }
                }
                for piece in answer.pieces {
                    thread::sleep(answer.wait);
                    if stream.write_all(&piece).is_err() {
                        return;
                    }
                }
            });
        }
    });
    let address = WebAddress {
        url: format!("http://127.0.0.1:{port}/web"),
        login: Login::None,
        ca_file: None,
    };
    let patience = Patience {
        connect: Duration::from_secs(2),
        silence: Duration::from_millis(400),
        whole: Duration::from_secs(2),
    };
    WebArchive::new(&address, None, patience).expect("made")
}

fn answering(head: &str, body: Vec<u8>) -> WebArchive {
    let head = format!("HTTP/1.1 200 OK\r\nConnection: close\r\n{head}\r\n");
    server(Answer {
        pieces: vec![head.into_bytes(), body],
        wait: Duration::ZERO,
    })
}

const PARTS: &str =
    "Content-Type: multipart/related; type=\"application/dicom\"; boundary=edge\r\n";

/// A film as an answer of one part.
fn one_part(film: &[u8]) -> Vec<u8> {
    [
        b"--edge\r\nContent-Type: application/dicom\r\n\r\n",
        film,
        b"\r\n--edge--\r\n",
    ]
    .concat()
}

/// What comes of fetching the sample's study, and how many files lie there then.
fn fetched(archive: &WebArchive, study: &Uid) -> (Result<Fetched, ArchiveError>, usize) {
    let folder = tempfile::tempdir().expect("a folder");
    let wanted = WantedFilms {
        study: study.clone(),
        series: None,
        film: None,
    };
    let outcome = archive.fetch(&wanted, folder.path(), &mut |_| ControlFlow::Continue(()));
    let files = std::fs::read_dir(folder.path()).expect("read").count();
    (outcome, files)
}

#[test]
fn a_film_of_another_study_is_not_kept() {
    let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
    let archive = answering(PARTS, one_part(object.file_bytes()));
    let (outcome, files) = fetched(&archive, &object.identity().study);
    assert_eq!(
        (outcome.expect("fetched").files.len(), files),
        (1, 1),
        "what was asked for"
    );
    let (outcome, files) = fetched(&archive, &Uid::new("1.2.3").expect("one"));
    let outcome = outcome.expect("an answer");
    assert_eq!((outcome.files.len(), files), (0, 0), "{outcome:?}");
    assert!(
        outcome.complaints[0].contains("not asked for"),
        "{outcome:?}"
    );
}

#[test]
fn an_answer_without_end_is_cut_off() {
    let endless = server(Answer {
        pieces: [
            vec![b"HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n[".to_vec()],
            vec![vec![b' '; 1 << 20]; 40],
        ]
        .concat(),
        wait: Duration::ZERO,
    });
    let problem = endless
        .find_studies(&Wanted::default())
        .expect_err("too long");
    assert!(
        matches!(problem, ArchiveError::TooLarge { .. }),
        "{problem}"
    );
}

#[test]
fn a_server_that_drips_or_falls_silent_is_given_up() {
    let drips = server(Answer {
        pieces: b"HTTP/1.1 200 OK\r\nX: yyyyyyyyyyyyyyyyyyyyyyyyyyyyyyy"
            .chunks(1)
            .map(<[u8]>::to_vec)
            .collect(),
        wait: Duration::from_millis(100),
    });
    let silent = server(Answer {
        pieces: vec![
            b"HTTP/1.1 200 OK\r\nContent-Length: 100\r\n\r\n[".to_vec(),
            Vec::new(),
        ],
        wait: Duration::from_millis(300),
    });
    for (what, archive) in [("drips", drips), ("falls silent", silent)] {
        let begun = Instant::now();
        let problem = archive.echo().expect_err(what);
        assert!(
            begun.elapsed() < Duration::from_secs(5),
            "{what}: {:?}",
            begun.elapsed()
        );
        assert!(problem.may_pass(), "{what}: {problem}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    #[test]
    fn damaged_answers_end_every_request(
        damages in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8),
        cut in proptest::option::of(any::<prop::sample::Index>()),
        what in 0_u8..3,
    ) {
        // The first elements of a film, with its names, as one part.
        let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
        let film = &object.file_bytes()[..4_000];
        let mut answer = format!("HTTP/1.1 200 OK\r\nConnection: close\r\n{PARTS}\r\n").into_bytes();
        let from = if what == 0 { 0 } else { answer.len() };
        answer.extend(one_part(film));
        for (at, byte) in damages {
            let at = from + at.index(answer.len() - from);
            answer[at] = byte;
        }
        if let Some(cut) = cut {
            answer.truncate(cut.index(answer.len()));
        }
        let archive = server(Answer { pieces: vec![answer], wait: Duration::ZERO });
        let begun = Instant::now();
        match what {
            0 | 1 => drop(fetched(&archive, &object.identity().study)),
            _ => drop(archive.send(&object)),
        }
        prop_assert!(begun.elapsed() < Duration::from_secs(6), "{:?}", begun.elapsed());
    }
}
