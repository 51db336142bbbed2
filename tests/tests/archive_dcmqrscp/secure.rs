//! Encrypted associations: the clinic's own authority is trusted when its file is named, and no other.

use std::{net::TcpListener, ops::ControlFlow, path::PathBuf, process::Command, thread};

use plumbray_archive::{
    Address, Archive as _, ArchiveError, DimseArchive, Encryption, OwnCertificate, Place,
    StoredObject, WantedFilms, open_with,
};

use crate::servers::{
    Server, associations, dcmqrscp,
    encrypted::{authority, encrypted, encrypted_for, encrypting},
    files,
    films::{films, opened},
    free_port, patience, temporary,
};

fn by_tls(port: u16, ca_file: Option<PathBuf>) -> Address {
    let mut address = associations(port, "ARCHIVE", Some(free_port()));
    if let Place::Dimse(dimse) = &mut address.place {
        "localhost".clone_into(&mut dimse.host);
        dimse.encryption = Encryption::Tls { ca_file, own: None };
    }
    address
}

/// The same, with a certificate of this workstation's own and a port on which it receives.
fn by_own_certificate(
    port: u16,
    [ca_file, certificate, key]: &[PathBuf; 3],
    receive_port: u16,
) -> DimseArchive {
    let Place::Dimse(mut dimse) = by_tls(port, None).place else {
        unreachable!("made above")
    };
    dimse.receive_port = Some(receive_port);
    dimse.encryption = Encryption::Tls {
        ca_file: Some(ca_file.clone()),
        own: Some(OwnCertificate {
            certificate: certificate.clone(),
            key: key.clone(),
        }),
    };
    DimseArchive::new(dimse, patience())
}

/// An archive behind an encrypted line that lets in only whom the clinic's authority vouches for, with a film in it; it
/// moves films to a port.
fn guarded(clinic: &[PathBuf; 3], moves_to: u16, film: &StoredObject) -> (Server, u16) {
    let server = dcmqrscp(moves_to, &["+xs", "-xs"]);
    let [authority, certificate, key] = clinic;
    let port = encrypted_for(Some(authority), server.port, certificate, key);
    let sent = by_own_certificate(port, clinic, free_port()).send(film);
    sent.expect("who shows a certificate may send");
    (server, port)
}

fn study_of(film: &StoredObject) -> WantedFilms {
    WantedFilms::of_study(film.identity().study.clone())
}

#[test]
fn films_are_moved_here_over_an_encrypted_line_and_an_archive_learns_who_asks() {
    let folder = temporary("certificates");
    let clinic = authority(folder.path(), "clinic");
    let film = opened(&films(folder.path())[0].path);
    let receive_port = free_port();
    let (_server, port) = guarded(&clinic, encrypting(receive_port, &clinic[0]), &film);
    let nobody = open_with(&by_tls(port, Some(clinic[0].clone())), None, patience());
    let refused = nobody.expect("opened").echo();
    refused.expect_err("who shows no certificate is not let in");
    let into = temporary("moved");
    let fetched = by_own_certificate(port, &clinic, receive_port)
        .fetch_by_move(&study_of(&film), into.path(), &mut |_| {
            ControlFlow::Continue(())
        })
        .expect("fetched");
    assert_eq!(fetched.complaints, Vec::<String>::new(), "all came");
    let came = opened(&fetched.files[0]);
    assert!(came.data_set() == film.data_set(), "byte for byte");
}

#[test]
fn nothing_is_taken_in_the_clear_where_the_line_is_to_be_encrypted() {
    let folder = temporary("certificates");
    let clinic = authority(folder.path(), "clinic");
    let film = opened(&films(folder.path())[0].path);
    let receive_port = free_port();
    // The archive moves to the port itself, and dcmqrscp does not encrypt.
    let (_server, port) = guarded(&clinic, receive_port, &film);
    let into = temporary("moved");
    let moved = by_own_certificate(port, &clinic, receive_port).fetch_by_move(
        &study_of(&film),
        into.path(),
        &mut |_| ControlFlow::Continue(()),
    );
    let came = moved.map(|fetched| fetched.files.len()).unwrap_or_default();
    assert_eq!((came, files(into.path()).len()), (0, 0), "nothing");
}

#[test]
fn the_receiver_takes_what_dcmtk_sends_it_over_an_encrypted_line() {
    let folder = temporary("certificates");
    let clinic = authority(folder.path(), "clinic");
    let path = films(folder.path())[0].path.clone();
    let film = opened(&path);
    let receive_port = free_port();
    // In place of what is to be moved, dcmtk's own sender calls, which does encrypt.
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let moves_to = listener.local_addr().expect("an address").port();
    let [authority, certificate, key] = clinic.clone();
    let sender = thread::spawn(move || {
        let (_called, _archive) = listener.accept().expect("the archive");
        Command::new("storescu")
            .args(["-xs", "-aec", "PLUMBRAY", "+tls"])
            .args([&key, &certificate])
            .arg("+cf")
            .arg(&authority)
            .args(["localhost", &receive_port.to_string()])
            .arg(&path)
            .output()
            .expect("storescu (Debian: dcmtk) runs")
    });
    let (_server, port) = guarded(&clinic, moves_to, &film);
    let into = temporary("moved");
    let _what_the_archive_says = by_own_certificate(port, &clinic, receive_port).fetch_by_move(
        &study_of(&film),
        into.path(),
        &mut |_| ControlFlow::Continue(()),
    );
    let sent = sender.join().expect("it ended");
    assert!(sent.status.success(), "{sent:?}");
    let came = files(into.path());
    assert_eq!(came.len(), 1, "{came:?}");
    assert!(
        opened(&came[0]).data_set() == film.data_set(),
        "byte for byte"
    );
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
    let archive = DimseArchive::new(dimse, patience());
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
