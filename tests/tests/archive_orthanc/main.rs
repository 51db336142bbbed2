//! Orthanc: what is sent to it over the web is found there, and comes back as it was.
#![cfg(unix)]

#[path = "../archive_servers/mod.rs"]
#[allow(dead_code, reason = "each test program uses a part of the servers")]
mod servers;

mod login;
mod queued;
mod secure;

use std::ops::ControlFlow;

use jiff::civil::date;
use plumbray_archive::{Archive, ArchiveError, Login, Uid, Wanted, WantedFilms, open_with};
use serde_json::json;

use crate::servers::{
    asked::{assert_holds, found_ids, of_days, of_name},
    associations,
    films::{Film, films, opened},
    free_port,
    orthanc::{Orthanc, orthanc, web},
    patience, temporary,
};

/// An Orthanc with six films in it, sent over the web.
struct Filled {
    orthanc: Orthanc,
    films: Vec<Film>,
    _folder: tempfile::TempDir,
    archive: Box<dyn Archive>,
}

fn filled() -> Filled {
    let orthanc = orthanc(&json!({}));
    let folder = temporary("films");
    let films = films(folder.path());
    let archive = open_with(&orthanc.web(Login::None), None, patience());
    let archive = archive.expect("opened");
    for film in &films {
        let accepted = archive.send(&opened(&film.path)).expect("sent");
        assert_eq!(accepted.warning, None, "{}", film.path.display());
    }
    Filled {
        orthanc,
        films,
        _folder: folder,
        archive,
    }
}

/// Fetches the study of the first two films, and compares them with what was sent.
fn assert_comes_back(archive: &dyn Archive, films: &[Film]) {
    let folder = temporary("fetched");
    let study = WantedFilms {
        study: opened(&films[0].path).identity().study.clone(),
        series: None,
        film: None,
    };
    let fetched = archive
        .fetch(&study, folder.path(), &mut |_| ControlFlow::Continue(()))
        .expect("fetched");
    let sent: Vec<&Film> = films[..2].iter().collect();
    assert_holds(folder.path(), &sent, &fetched);
    let again = archive
        .fetch(&study, folder.path(), &mut |_| ControlFlow::Continue(()))
        .expect("fetched");
    assert_eq!(again.were_there, 2, "{again:?}");
}

#[test]
fn films_sent_over_the_web_are_found_and_come_back() {
    let filled = filled();
    let archive = &*filled.archive;
    assert_eq!(
        archive.echo().expect("an answer").answer,
        "the archive answers",
        "in words"
    );
    let part = |part: &str| Wanted {
        body_part: Some(part.to_owned()),
        ..Wanted::default()
    };
    let patient = Wanted {
        patient_id: Some("B-2".to_owned()),
        modality: Some("DX".to_owned()),
        ..Wanted::default()
    };
    for (what, wanted, expected) in [
        ("all", Wanted::default(), vec!["A-1", "B-2", "B-3"]),
        ("a patient's radiographs", patient, vec!["B-2"]),
        ("a wildcard", of_name("Birch*"), vec!["B-2", "B-3"]),
        // Orthanc 1.10 does not find a ^ beside a wildcard.
        ("a part of a name", of_name("*Bj*"), vec!["B-2"]),
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
        ("feet", part("foot"), vec!["A-1", "B-2", "B-3"]),
        ("hands", part("HAND"), vec![]),
    ] {
        assert_eq!(found_ids(archive, &wanted), expected, "{what}");
    }
    let found = archive.find_studies(&of_name("*Bj*")).expect("found");
    let birch = &found.studies[0];
    assert_eq!(
        birch.patient_name.as_deref(),
        Some("Birch, Björn"),
        "its character set"
    );
    assert_eq!(birch.date, Some(date(2026, 2, 10)), "its day");

    let sent = opened(&filled.films[0].path);
    let series = archive.find_films(&sent.identity().study).expect("found");
    let listed = series.iter().flat_map(|one| &one.films).count();
    assert_eq!(listed, 2, "{series:?}");
    assert_eq!(
        archive.holds(sent.identity()).expect("asked"),
        Some(true),
        "there"
    );
    let mut other = sent.identity().clone();
    other.instance = Uid::new("1.2.3").expect("one");
    assert_eq!(
        archive.holds(&other).expect("asked"),
        Some(false),
        "not there"
    );
    assert_comes_back(archive, &filled.films);
}

#[test]
fn the_same_films_come_back_over_associations() {
    let filled = filled();
    let address = associations(filled.orthanc.dicom_port, "ORTHANC", None);
    let archive = open_with(&address, None, patience()).expect("opened");
    assert_eq!(
        found_ids(&*archive, &Wanted::default()),
        ["A-1", "B-2", "B-3"],
        "all"
    );
    assert_comes_back(&*archive, &filled.films);
}

#[test]
fn one_film_comes_alone_and_an_unknown_study_is_told() {
    let filled = filled();
    let identity = opened(&filled.films[1].path).identity().clone();
    let folder = temporary("one");
    let wanted = WantedFilms {
        study: identity.study,
        series: Some(identity.series),
        film: Some(identity.instance.clone()),
    };
    let fetched = filled
        .archive
        .fetch(&wanted, folder.path(), &mut |_| ControlFlow::Continue(()))
        .expect("fetched");
    assert_eq!(
        fetched.files,
        [folder.path().join(format!("{}.dcm", identity.instance))],
        "it"
    );

    let unknown = WantedFilms {
        study: Uid::new("1.2.3").expect("one"),
        series: None,
        film: None,
    };
    let problem = filled
        .archive
        .fetch(&unknown, folder.path(), &mut |_| ControlFlow::Continue(()))
        .expect_err("nothing there");
    assert!(problem.to_string().contains("404"), "{problem}");
}

#[test]
fn a_web_archive_that_is_away_cannot_be_reached() {
    let address = web(
        &format!("http://localhost:{}", free_port()),
        Login::None,
        None,
    );
    let archive = open_with(&address, None, patience()).expect("opened");
    let problem = archive.echo().expect_err("nobody");
    assert!(
        matches!(problem, ArchiveError::Unreachable { .. }),
        "{problem}"
    );
}
