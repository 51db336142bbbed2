//! An archive of dcmtk: what is sent to it is found there, and comes back as it was.
#![cfg(unix)]

#[path = "../archive_servers/mod.rs"]
#[allow(dead_code, reason = "each test program uses a part of the servers")]
mod servers;

mod failures;
mod full_disk;
mod killed;
mod secure;

use std::{collections::BTreeSet, ops::ControlFlow};

use jiff::civil::date;
use plumbray_archive::{
    Archive, ArchiveError, DimseArchive, Place, Uid, Wanted, WantedFilms, open_with,
};

use crate::servers::{
    Server,
    asked::{assert_holds, found_ids, of_days, of_name, samples},
    associations, dcmqrscp,
    films::{Film, films, modify, opened, uncompressed},
    free_port, patience, storescp, temporary,
};

/// An archive that takes films as they are stored, with six films in it.
struct Filled {
    _server: Server,
    films: Vec<Film>,
    _folder: tempfile::TempDir,
    archive: Box<dyn Archive>,
    associations: DimseArchive,
}

fn filled() -> Filled {
    let receive_port = free_port();
    // With this, dcmtk takes lossless JPEG as it is, which the samples are.
    let server = dcmqrscp(receive_port, &["+xs", "-xs"]);
    let folder = temporary("films");
    let films = films(folder.path());
    let address = associations(server.port, "ARCHIVE", Some(receive_port));
    let archive = open_with(&address, None, patience()).expect("opened");
    for film in &films {
        let accepted = archive.send(&opened(&film.path)).expect("sent");
        assert_eq!(accepted.warning, None, "{}", film.path.display());
    }
    let Place::Dimse(dimse) = address.place else {
        unreachable!("made above")
    };
    Filled {
        _server: server,
        films,
        _folder: folder,
        archive,
        associations: DimseArchive::new(dimse, patience()),
    }
}

#[test]
fn an_archive_answers_whether_it_is_there() {
    let server = dcmqrscp(free_port(), &[]);
    let archive = open_with(
        &associations(server.port, "ARCHIVE", None),
        None,
        patience(),
    );
    let echoed = archive.expect("opened").echo().expect("an answer");
    assert!(
        echoed.answer.contains("when it is called ARCHIVE"),
        "in words: {}",
        echoed.answer
    );
}

#[test]
fn studies_are_found_by_each_condition() {
    let filled = filled();
    let archive = &*filled.archive;
    let study = opened(&filled.films[0].path).identity().study.clone();
    for (what, wanted, expected) in [
        ("all", Wanted::default(), vec!["A-1", "B-2", "B-3"]),
        (
            "a patient",
            Wanted {
                patient_id: Some("B-2".to_owned()),
                ..Wanted::default()
            },
            vec!["B-2"],
        ),
        ("a wildcard", of_name("Birch*"), vec!["B-2", "B-3"]),
        (
            "a family and a given name",
            of_name("Birch, Bj*"),
            vec!["B-2"],
        ),
        ("nobody", of_name("Nobody"), vec![]),
        (
            "a day",
            of_days(Some(date(2026, 1, 5)), Some(date(2026, 1, 5))),
            vec!["A-1"],
        ),
        (
            "from a day on",
            of_days(Some(date(2026, 2, 10)), None),
            vec!["B-2", "B-3"],
        ),
        (
            "up to a day",
            of_days(None, Some(date(2026, 2, 10))),
            vec!["A-1", "B-2"],
        ),
        (
            "an accession number",
            Wanted {
                accession_number: Some("ACC-B-3".to_owned()),
                ..Wanted::default()
            },
            vec!["B-3"],
        ),
        (
            "a study",
            Wanted {
                study: Some(study),
                ..Wanted::default()
            },
            vec!["A-1"],
        ),
    ] {
        assert_eq!(found_ids(archive, &wanted), expected, "{what}");
    }
    let found = archive.find_studies(&of_name("Birch^*")).expect("found");
    let birch = &found.studies[0];
    assert_eq!(
        birch.patient_name.as_deref(),
        Some("Birch, Björn"),
        "its character set"
    );
    assert_eq!(birch.date, Some(date(2026, 2, 10)), "its day");
    assert_eq!(
        birch.description.as_deref(),
        Some("Foot, birch"),
        "its description"
    );
}

#[test]
fn the_films_of_a_study_are_listed() {
    let filled = filled();
    let sent = opened(&filled.films[0].path);
    let series = filled
        .archive
        .find_films(&sent.identity().study)
        .expect("found");
    let listed: BTreeSet<Uid> = series
        .iter()
        .flat_map(|one| &one.films)
        .map(|film| film.instance.clone())
        .collect();
    let expected: BTreeSet<Uid> = filled.films[..2]
        .iter()
        .map(|film| opened(&film.path).identity().instance.clone())
        .collect();
    assert_eq!(listed, expected, "both views");
    assert_eq!(
        filled.archive.holds(sent.identity()).expect("asked"),
        Some(true),
        "it is there"
    );
    let mut other = sent.identity().clone();
    other.instance = Uid::new("1.2.3").expect("one");
    assert_eq!(
        filled.archive.holds(&other).expect("asked"),
        Some(false),
        "it is not"
    );
}

#[test]
fn films_come_back_over_the_same_association_as_they_were() {
    let filled = filled();
    let folder = temporary("got");
    let first = opened(&filled.films[0].path);
    let study = WantedFilms {
        study: first.identity().study.clone(),
        series: None,
        film: None,
    };
    let films: Vec<&Film> = filled.films[..2].iter().collect();
    let mut told = 0;
    let got = filled
        .associations
        .fetch_by_get(&study, folder.path(), &mut |progress| {
            told = progress.arrived;
            ControlFlow::Continue(())
        })
        .expect("fetched");
    assert_holds(folder.path(), &films, &got);
    assert_eq!((told, got.were_there), (2, 0), "both are new");

    let again = filled
        .associations
        .fetch_by_get(&study, folder.path(), &mut |_| ControlFlow::Continue(()));
    assert_eq!(
        again.expect("fetched").were_there,
        2,
        "both were there already"
    );
    assert_eq!(servers::files(folder.path()).len(), 2, "and stay alone");

    let alone = temporary("got-one");
    let film = WantedFilms {
        series: Some(first.identity().series.clone()),
        film: Some(first.identity().instance.clone()),
        ..study
    };
    let got = filled
        .archive
        .fetch(&film, alone.path(), &mut |_| ControlFlow::Continue(()));
    assert_holds(alone.path(), &films[..1], &got.expect("fetched"));
}

#[test]
fn films_come_back_by_being_moved_as_they_were() {
    let filled = filled();
    let folder = temporary("moved");
    let first = opened(&filled.films[2].path);
    let study = WantedFilms {
        study: first.identity().study.clone(),
        series: None,
        film: None,
    };
    let films: Vec<&Film> = filled.films[2..4].iter().collect();
    let moved = filled
        .associations
        .fetch_by_move(&study, folder.path(), &mut |_| ControlFlow::Continue(()))
        .expect("fetched");
    assert_holds(folder.path(), &films, &moved);
}

#[test]
fn a_study_of_compressed_and_uncompressed_films_comes_back_whole() {
    let filled = filled();
    let folder = temporary("mixed");
    let plain = uncompressed(&filled.films[1].path, folder.path());
    modify(&plain, &["SOPInstanceUID=2.25.7109"]);
    filled.archive.send(&opened(&plain)).expect("sent");
    let into = temporary("got");
    let study = WantedFilms {
        study: opened(&plain).identity().study.clone(),
        series: None,
        film: None,
    };
    let got = filled
        .associations
        .fetch_by_get(&study, into.path(), &mut |_| ControlFlow::Continue(()))
        .expect("fetched");
    assert_eq!(got.complaints, Vec::<String>::new(), "nothing is missing");
    assert_eq!(got.files.len(), 3, "{got:?}");
    let came = opened(&into.path().join("2.25.7109.dcm"));
    assert!(
        came.data_set() == opened(&plain).data_set(),
        "byte for byte"
    );
}

#[test]
fn a_fetch_can_be_stopped() {
    let filled = filled();
    let folder = temporary("stopped");
    let study = WantedFilms {
        study: opened(&filled.films[0].path).identity().study.clone(),
        series: None,
        film: None,
    };
    let stopped = filled
        .archive
        .fetch(&study, folder.path(), &mut |progress| {
            if progress.arrived == 1 {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        });
    assert!(matches!(stopped, Err(ArchiveError::Stopped)), "{stopped:?}");
    assert_eq!(servers::files(folder.path()).len(), 1, "what came stays");
}

#[test]
fn an_archive_without_the_stored_syntax_says_so_and_takes_the_implicit_one() {
    // Nothing but implicit little endian.
    let server = storescp(&["+xi"]);
    let archive = open_with(&associations(server.port, "ANY", None), None, patience());
    let archive = archive.expect("opened");
    let folder = temporary("films");
    let films = films(folder.path());
    let refused = archive
        .send(&opened(&films[0].path))
        .expect_err("compressed");
    assert!(
        refused
            .to_string()
            .contains("JPEG Lossless, First-Order Prediction"),
        "{refused}"
    );
    assert!(
        !refused.is_in_doubt && !refused.error.may_pass(),
        "for good"
    );

    let plain = uncompressed(&films[0].path, folder.path());
    archive.send(&opened(&plain)).expect("rewritten");
    let received: Vec<_> = servers::files(server.folder.path())
        .into_iter()
        .filter(|path| !path.ends_with("log"))
        .collect();
    assert_eq!(received.len(), 1, "{received:?}");
    assert_eq!(
        opened(&received[0]).transfer_syntax(),
        "1.2.840.10008.1.2",
        "implicit"
    );
    assert!(
        samples(&received[0]) == samples(&films[0].path),
        "the same pixels"
    );
}
