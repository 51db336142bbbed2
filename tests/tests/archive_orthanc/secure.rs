//! Encrypted lines: the clinic's own authority is trusted when its file is named, and no other.

use std::{
    fs,
    path::{Path, PathBuf},
    process::Command,
};

use plumbray_archive::{ArchiveError, Login, open_with};
use serde_json::json;

use crate::{
    assert_comes_back,
    servers::{
        encrypted::encrypted,
        films::{films, opened},
        orthanc::{orthanc, web},
        patience, temporary,
    },
};

fn openssl(folder: &Path, arguments: &[&str]) {
    let output = Command::new("openssl")
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap_or_else(|error| panic!("these tests need openssl: {error}"));
    assert!(output.status.success(), "{arguments:?}: {output:?}");
}

/// An authority of a clinic's own: its certificate, and the certificate that it gave to `localhost` with its key.
fn authority(folder: &Path, name: &str) -> [PathBuf; 3] {
    let file = |ending: &str| format!("{name}{ending}");
    let curve = [
        "-newkey",
        "ec",
        "-pkeyopt",
        "ec_paramgen_curve:prime256v1",
        "-nodes",
    ];
    let subject = format!("/CN={name}");
    let authority = [
        &["req", "-x509", "-days", "30", "-subj", &subject][..],
        &curve,
        &["-keyout", &file("-ca.key"), "-out", &file("-ca.pem")],
    ];
    openssl(folder, &authority.concat());
    let request = [
        &["req", "-subj", "/CN=localhost"][..],
        &curve,
        &["-keyout", &file(".key"), "-out", &file(".csr")],
    ];
    openssl(folder, &request.concat());
    fs::write(
        folder.join("names"),
        "subjectAltName=DNS:localhost,IP:127.0.0.1\nbasicConstraints=CA:FALSE\n",
    )
    .expect("written");
    openssl(
        folder,
        &[
            "x509",
            "-req",
            "-days",
            "30",
            "-in",
            &file(".csr"),
            "-CA",
            &file("-ca.pem"),
            "-CAkey",
            &file("-ca.key"),
            "-CAcreateserial",
            "-extfile",
            "names",
            "-out",
            &file(".pem"),
        ],
    );
    ["-ca.pem", ".pem", ".key"].map(|ending| folder.join(file(ending)))
}

#[test]
fn an_encrypted_archive_is_trusted_by_its_own_authority_alone() {
    let folder = temporary("certificates");
    let [clinic, certificate, key] = authority(folder.path(), "clinic");
    let [stranger, ..] = authority(folder.path(), "stranger");
    let orthanc = orthanc(&json!({}));
    let port = encrypted(orthanc.server.port, &certificate, &key);
    let address = |ca_file| web(&format!("https://localhost:{port}"), Login::None, ca_file);
    let films = films(folder.path());

    let trusted = open_with(&address(Some(clinic)), None, patience());
    let trusted = trusted.expect("opened");
    trusted.echo().expect("an answer");
    for film in &films[..2] {
        trusted.send(&opened(&film.path)).expect("sent");
    }
    assert_comes_back(&*trusted, &films);

    for (what, ca_file) in [("a stranger", Some(stranger)), ("the system's", None)] {
        let address = address(ca_file);
        // A system without any certificates says so already here.
        let problem = match open_with(&address, None, patience()) {
            Ok(archive) => archive.echo().expect_err("not trusted"),
            Err(problem) => problem,
        };
        assert!(
            matches!(problem, ArchiveError::Insecure { .. }),
            "{what}: {problem:?}"
        );
        assert!(problem.to_string().contains("CA file"), "{what}: {problem}");
    }
}
