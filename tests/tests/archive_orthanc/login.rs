//! User names, passwords and tokens: sent to the archive alone, and never shown.

use std::{
    io::{BufRead, BufReader, Write},
    net::TcpListener,
    sync::mpsc::{Receiver, channel},
    thread,
};

use plumbray_archive::{
    Address, ArchiveError, Login, Place, Secret, SecretError, WebAddress, open_with,
};
use serde_json::json;

use crate::servers::{
    films::{films, opened},
    orthanc::orthanc,
    patience, temporary,
};

fn secret(text: &str) -> Secret {
    Secret::new(text.to_owned()).expect("a secret")
}

/// A server that gives the same answer to everything, and passes on the head of each request.
fn answering(answer: &str) -> (Address, Receiver<String>) {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("an address").port();
    let (tell, told) = channel();
    let answer = answer.to_owned();
    thread::spawn(move || {
        for stream in listener.incoming() {
            let Ok(mut stream) = stream else { return };
            let mut head = String::new();
            let mut reader = BufReader::new(stream.try_clone().expect("the same"));
            while !head.ends_with("\r\n\r\n") && reader.read_line(&mut head).is_ok_and(|n| n > 0) {}
            let _gone = tell.send(head);
            let _gone = stream.write_all(answer.as_bytes());
        }
    });
    let address = Address {
        name: "Clinic".to_owned(),
        place: Place::Web(WebAddress {
            url: format!("http://127.0.0.1:{port}"),
            login: Login::Bearer,
            ca_file: None,
        }),
    };
    (address, told)
}

#[test]
fn a_password_opens_the_archive_and_a_wrong_one_does_not() {
    let orthanc = orthanc(&json!({
        "AuthenticationEnabled": true,
        "RegisteredUsers": { "reader": "open sesame" },
    }));
    let login = Login::Basic {
        user: "reader".to_owned(),
    };
    let address = orthanc.web(login);
    let right = open_with(&address, Some(&secret("open sesame")), patience()).expect("opened");
    right.echo().expect("an answer");
    let folder = temporary("films");
    let films = films(folder.path());
    right.send(&opened(&films[0].path)).expect("sent");
    crate::servers::films::modify(&films[1].path, &["StudyInstanceUID=2.25.7100"]);
    right.send(&opened(&films[1].path)).expect("sent");
    crate::assert_comes_back(&*right, &films);

    let wrong = open_with(&address, Some(&secret("guess")), patience()).expect("opened");
    let problem = wrong.echo().expect_err("refused");
    assert!(
        matches!(problem, ArchiveError::LoginRefused { code: 401 }),
        "{problem:?}"
    );
    assert!(
        !format!("{problem:?} {problem}").contains("guess"),
        "{problem:?}"
    );
    let none = open_with(&address, None, patience());
    assert!(
        matches!(none, Err(ArchiveError::Secret(SecretError::Missing { .. }))),
        "none given"
    );
}

#[test]
fn a_token_is_sent_as_the_standard_says() {
    let (address, told) = answering("HTTP/1.1 204 No Content\r\nConnection: close\r\n\r\n");
    let archive = open_with(&address, Some(&secret("token-1234")), patience()).expect("opened");
    archive.echo().expect("an answer");
    let head = told.recv().expect("a request").to_ascii_lowercase();
    assert!(head.starts_with("get /studies?limit=1 "), "{head}");
    assert!(
        head.contains("\r\nauthorization: bearer token-1234\r\n"),
        "{head}"
    );
}

#[test]
fn a_token_does_not_follow_to_another_host() {
    let (other, told_other) = answering("HTTP/1.1 204 No Content\r\nConnection: close\r\n\r\n");
    let Place::Web(other) = other.place else {
        unreachable!("made above")
    };
    let answer = format!(
        "HTTP/1.1 302 Found\r\nLocation: {}/studies\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
        other.url
    );
    let (address, told) = answering(&answer);
    let archive = open_with(&address, Some(&secret("token-1234")), patience()).expect("opened");
    let problem = archive.echo().expect_err("elsewhere");
    assert!(
        problem.to_string().contains("correct the address"),
        "{problem}"
    );
    assert!(
        told.recv().expect("a request").contains("token-1234"),
        "the archive was asked"
    );
    assert!(told_other.try_recv().is_err(), "nobody else was");
}

#[test]
fn answers_that_are_no_archive_s_are_told() {
    for (answer, expected) in [
        (
            "HTTP/1.1 403 Forbidden\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
            "may not",
        ),
        (
            "HTTP/1.1 503 Busy\r\nContent-Length: 0\r\nConnection: close\r\n\r\n",
            "503",
        ),
        (
            "HTTP/1.1 200 OK\r\nContent-Length: 6\r\nConnection: close\r\n\r\n<html>",
            "standard",
        ),
        (
            "HTTP/1.1 200 OK\r\nContent-Length: 60\r\nConnection: close\r\n\r\n[{",
            "",
        ),
        ("nonsense\r\n\r\n", ""),
        ("", ""),
    ] {
        let (address, _told) = answering(answer);
        let archive = open_with(&address, Some(&secret("token")), patience()).expect("opened");
        let problem = archive.echo().expect_err("no archive").to_string();
        assert!(problem.contains(expected), "{answer:?}: {problem}");
        assert!(!problem.contains("token"), "{problem}");
    }
}
