//! Encrypted lines: the clinic's own authority is trusted when its file is named, and no other.

use plumbray_archive::{ArchiveError, Login, open_with};
use serde_json::json;

use crate::{
    assert_comes_back,
    servers::{
        encrypted::{authority, encrypted},
        films::{films, opened},
        orthanc::{orthanc, web},
        patience, temporary,
    },
};

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
