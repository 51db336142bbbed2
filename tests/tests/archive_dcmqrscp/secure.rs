//! Encrypted associations: the clinic's own authority is trusted when its file is named, and no other.

use std::ops::ControlFlow;

use plumbray_archive::{Address, ArchiveError, Encryption, Place, WantedFilms, open_with};

use crate::servers::{
    associations, dcmqrscp,
    encrypted::{authority, encrypted},
    films::{films, opened},
    free_port, patience, temporary,
};

fn by_tls(port: u16, ca_file: Option<std::path::PathBuf>) -> Address {
    let mut address = associations(port, "ARCHIVE", Some(free_port()));
    if let Place::Dimse(dimse) = &mut address.place {
        "localhost".clone_into(&mut dimse.host);
        dimse.encryption = Encryption::Tls { ca_file };
    }
    address
}

#[test]
fn encrypted_associations_are_trusted_by_their_own_authority_alone() {
    let folder = temporary("certificates");
    let [clinic, certificate, key] = authority(folder.path(), "clinic");
    let [stranger, ..] = authority(folder.path(), "stranger");
    let server = dcmqrscp(free_port(), &["+xs", "-xs"]);
    let port = encrypted(server.port, &certificate, &key);
    let archive = open_with(&by_tls(port, Some(clinic)), None, patience()).expect("opened");
    archive.echo().expect("an answer");
    let films = films(folder.path());
    let object = opened(&films[0].path);
    archive.send(&object).expect("sent");
    let into = temporary("fetched");
    let wanted = WantedFilms {
        study: object.identity().study.clone(),
        series: None,
        film: None,
    };
    let fetched = archive
        .fetch(&wanted, into.path(), &mut |_| ControlFlow::Continue(()))
        .expect("fetched");
    assert!(
        opened(&fetched.files[0]).data_set() == object.data_set(),
        "byte for byte"
    );

    let told = |address: &Address| {
        let archive = open_with(address, None, patience()).expect("opened");
        archive.echo().expect_err("not trusted")
    };
    let problem = told(&by_tls(port, Some(stranger.clone())));
    assert!(
        matches!(problem, ArchiveError::Insecure { .. }),
        "a stranger: {problem:?}"
    );
    // An archive that does not encrypt, asked to.
    let problem = told(&by_tls(server.port, Some(stranger)));
    assert!(
        matches!(
            problem,
            ArchiveError::Insecure { .. } | ArchiveError::Cut { .. }
        ),
        "an open line: {problem:?}"
    );
}

#[test]
fn an_encrypted_archive_is_not_asked_to_move_films_in_the_clear() {
    let address = by_tls(free_port(), None);
    let Place::Dimse(dimse) = address.place else {
        unreachable!("made above")
    };
    let archive = plumbray_archive::DimseArchive::new(dimse, patience());
    let folder = temporary("moved");
    let wanted = WantedFilms {
        study: plumbray_archive::Uid::new("1.2.3").expect("one"),
        series: None,
        film: None,
    };
    let problem = archive
        .fetch_by_move(&wanted, folder.path(), &mut |_| ControlFlow::Continue(()))
        .expect_err("refused");
    assert!(problem.to_string().contains("in the clear"), "{problem}");
}
