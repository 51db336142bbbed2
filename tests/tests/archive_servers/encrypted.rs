//! The encrypted end of a line. Debian's Orthanc falls over its own encryption (1.10.1 with `OpenSSL` 3), so that
//! the tests put this in front of it, as clinics do with a server of their own.

use std::{
    fs,
    io::{ErrorKind, Read, Write},
    net::{TcpListener, TcpStream},
    path::{Path, PathBuf},
    process::Command,
    sync::Arc,
    thread,
    time::Duration,
};

use rustls::{
    ClientConfig, ClientConnection, RootCertStore, ServerConfig, ServerConnection, StreamOwned,
    crypto::ring::default_provider,
    pki_types::{CertificateDer, PrivateKeyDer, pem::PemObject as _},
    server::WebPkiClientVerifier,
};

/// How long one direction is listened to before it is the other's turn.
const TURN: Duration = Duration::from_millis(3);

/// Puts encryption in front of a port of this machine, and gives the port at its other end.
pub(crate) fn encrypted(server: u16, certificate: &Path, key: &Path) -> u16 {
    encrypted_for(None, server, certificate, key)
}

/// The same; lets only those in whose certificate an authority vouches for, where one is named.
pub(crate) fn encrypted_for(
    clients: Option<&Path>,
    server: u16,
    certificate: &Path,
    key: &Path,
) -> u16 {
    let provider = Arc::new(default_provider());
    let verifier = match clients {
        None => WebPkiClientVerifier::no_client_auth(),
        Some(authority) => {
            WebPkiClientVerifier::builder_with_provider(roots(authority), Arc::clone(&provider))
                .build()
                .expect("an authority")
        }
    };
    let certificates = CertificateDer::pem_file_iter(certificate)
        .expect("a file")
        .map(|one| one.expect("a certificate"))
        .collect();
    let key = PrivateKeyDer::from_pem_file(key).expect("a key");
    let config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .expect("versions")
        .with_client_cert_verifier(verifier)
        .with_single_cert(certificates, key)
        .expect("a certificate with its key");
    let config = Arc::new(config);
    relay(server, move |client, server| {
        let connection = ServerConnection::new(Arc::clone(&config)).expect("a connection");
        if take_turns(&client, &server) {
            join(StreamOwned::new(connection, client), server);
        }
    })
}

/// Lets somebody who cannot encrypt reach a port of this machine that wants it, and gives the port for him.
pub(crate) fn encrypting(server: u16, authority: &Path) -> u16 {
    let config = ClientConfig::builder_with_provider(Arc::new(default_provider()))
        .with_safe_default_protocol_versions()
        .expect("versions")
        .with_root_certificates(roots(authority))
        .with_no_client_auth();
    let config = Arc::new(config);
    relay(server, move |client, mut server| {
        let name = "localhost".try_into().expect("a name");
        let connection = ClientConnection::new(Arc::clone(&config), name);
        let mut connection = connection.expect("a connection");
        // Before the two are listened to by turns: what is agreed on first takes longer than a turn.
        if connection.complete_io(&mut server).is_ok() && take_turns(&client, &server) {
            join(client, StreamOwned::new(connection, server));
        }
    })
}

/// Joins each who comes to a port of its own, which it gives, with a port of this machine, on a thread for each.
fn relay(server: u16, join: impl Fn(TcpStream, TcpStream) + Send + Sync + 'static) -> u16 {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("an address").port();
    let join = Arc::new(join);
    thread::spawn(move || {
        for client in listener.incoming() {
            let Ok(client) = client else { return };
            let join = Arc::clone(&join);
            thread::spawn(move || {
                if let Ok(server) = TcpStream::connect(("127.0.0.1", server)) {
                    join(client, server);
                }
            });
        }
    });
    port
}

fn roots(authority: &Path) -> Arc<RootCertStore> {
    let mut roots = RootCertStore::empty();
    for certificate in CertificateDer::pem_file_iter(authority).expect("a file") {
        let certificate = certificate.expect("a certificate");
        roots.add(certificate).expect("an authority");
    }
    Arc::new(roots)
}

/// Has both ends listened to by turns; whether that can be.
fn take_turns(client: &TcpStream, server: &TcpStream) -> bool {
    let timed = client.set_read_timeout(Some(TURN));
    timed.and(server.set_read_timeout(Some(TURN))).is_ok()
}

fn join(mut client: impl Read + Write, mut server: impl Read + Write) {
    while pass_on(&mut client, &mut server) && pass_on(&mut server, &mut client) {}
}

/// Passes on what there is; false when the line has ended.
fn pass_on(from: &mut impl Read, to: &mut impl Write) -> bool {
    let mut buffer = [0; 16 << 10];
    match from.read(&mut buffer) {
        Ok(0) => false,
        Ok(count) => to.write_all(&buffer[..count]).and(to.flush()).is_ok(),
        Err(error) => matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut),
    }
}

fn openssl(folder: &Path, arguments: &[&str]) {
    let output = Command::new("openssl")
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap_or_else(|error| panic!("these tests need openssl: {error}"));
    assert!(output.status.success(), "{arguments:?}: {output:?}");
}

/// An authority of a clinic's own: its certificate, and the certificate that it gave to `localhost` with its key.
pub(crate) fn authority(folder: &Path, name: &str) -> [PathBuf; 3] {
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
