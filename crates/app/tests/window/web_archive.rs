//! An archive of the web that runs inside a test, with one study of the sample foot.

use std::{
    fs,
    io::{BufRead, BufReader, Read, Write},
    net::{TcpListener, TcpStream},
    sync::{Arc, Mutex},
    thread,
    time::Duration,
};

use plumbray_archive::{ObjectIdentity, StoredObject};
use plumbray_tests::free_port;

use crate::samples::sample_images;

/// Whom the archive says its study is of: a name that occurs nowhere else.
pub(crate) const PATIENT: &str = "Zebrafink";
/// The header of a request by “ann” with the password “sesame”.
const LOGIN: &str = "authorization: basic yw5uonnlc2ftzq==";

/// How an archive behaves.
#[derive(Clone, Default)]
pub(crate) struct Behaviour {
    /// Whether it lets only “ann” with the password “sesame” in.
    pub(crate) wants_secret: bool,
    /// How many studies it has of any question, beside the first one.
    pub(crate) more_studies: usize,
    /// Whether the study has a third film.
    pub(crate) has_third_film: bool,
    /// How long it takes over every answer.
    pub(crate) slowness: Duration,
}

/// An archive of the web with one study.
pub(crate) struct WebArchive {
    port: u16,
    asked: Arc<Mutex<Vec<String>>>,
}

impl WebArchive {
    /// Starts to answer.
    pub(crate) fn new(behaviour: Behaviour) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = listener.local_addr().expect("an address").port();
        let asked: Arc<Mutex<Vec<String>>> = Arc::default();
        let noted = Arc::clone(&asked);
        thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let (noted, behaviour) = (Arc::clone(&noted), behaviour.clone());
                // Whoever asked may have gone meanwhile.
                thread::spawn(move || answer(&stream, &behaviour, &noted).unwrap_or_default());
            }
        });
        Self { port, asked }
    }

    /// Where it is.
    pub(crate) fn url(&self) -> String {
        format!("http://127.0.0.1:{}/web", self.port)
    }

    /// The requests so far, as their first lines.
    pub(crate) fn asked(&self) -> Vec<String> {
        self.asked.lock().expect("no answer failed").clone()
    }
}

/// The address of an archive that was there once.
pub(crate) fn url_of_nobody() -> String {
    format!("http://127.0.0.1:{}/web", free_port())
}

/// The AP film of the sample foot.
pub(crate) fn ap_film() -> StoredObject {
    StoredObject::open(&sample_images().join("sample-foot-ap.dcm")).expect("a film")
}

/// The films, all in the study of the first one.
pub(crate) fn films(has_third: bool) -> Vec<Vec<u8>> {
    let mut names = vec!["sample-foot-ap.dcm", "sample-foot-lateral.dcm"];
    names.extend(has_third.then_some("alder-ap.dcm"));
    let study = ap_film().identity().clone();
    names.into_iter().map(|name| film(name, &study)).collect()
}

/// A sample film as if it belonged to a study.
fn film(name: &str, study: &ObjectIdentity) -> Vec<u8> {
    let path = sample_images().join(name);
    let film = StoredObject::open(&path).expect("a film");
    let (own, wanted) = (&film.identity().study, &study.study);
    assert_eq!(own.as_str().len(), wanted.as_str().len(), "of one length");
    let mut bytes = fs::read(path).expect("a film");
    let (own, wanted) = (own.as_str().as_bytes(), wanted.as_str().as_bytes());
    let place = bytes.windows(own.len()).position(|part| part == own);
    let place = place.expect("the study’s identifier");
    bytes[place..place + own.len()].copy_from_slice(wanted);
    bytes
}

fn answer(
    stream: &TcpStream,
    behaviour: &Behaviour,
    noted: &Mutex<Vec<String>>,
) -> std::io::Result<()> {
    let mut reader = BufReader::new(stream.try_clone()?);
    let mut head = Vec::new();
    loop {
        let mut line = String::new();
        if reader.read_line(&mut line)? == 0 || line == "\r\n" {
            break;
        }
        head.push(line.trim().to_owned());
    }
    let length = head.iter().find_map(|line| {
        let lower = line.to_lowercase();
        lower.strip_prefix("content-length: ")?.parse().ok()
    });
    let mut body = vec![0; length.unwrap_or_default()];
    reader.read_exact(&mut body)?;
    let first = head.first().cloned().unwrap_or_default();
    noted.lock().expect("no answer failed").push(first.clone());
    thread::sleep(behaviour.slowness);
    let is_let_in = head.iter().any(|line| line.to_lowercase() == LOGIN);
    let (status, kind, content) = if behaviour.wants_secret && !is_let_in {
        ("401 Unauthorized", "text/plain".to_owned(), Vec::new())
    } else {
        let (kind, content) = content_of(&first, behaviour);
        ("200 OK", kind, content)
    };
    let length = content.len();
    let mut stream = stream;
    write!(
        stream,
        "HTTP/1.1 {status}\r\nConnection: close\r\nContent-Type: {kind}\r\nContent-Length: {length}\r\n\r\n"
    )?;
    stream.write_all(&content)
}

/// What a request gets: studies, films, or thanks for one.
fn content_of(request: &str, behaviour: &Behaviour) -> (String, Vec<u8>) {
    let json = "application/dicom+json".to_owned();
    if request.starts_with("POST") {
        let instance = ap_film().identity().instance.to_string();
        let thanks = format!(
            r#"{{"00081199":{{"vr":"SQ","Value":[{{"00081155":{{"vr":"UI","Value":["{instance}"]}}}}]}}}}"#
        );
        return (json, thanks.into_bytes());
    }
    if request.starts_with("GET /web/studies?") {
        let study = ap_film().identity().study.to_string();
        let more = (0..behaviour.more_studies)
            .map(|number| format!(r#",{{"0020000D":{{"vr":"UI","Value":["2.25.{number}"]}}}}"#))
            .collect::<String>();
        let found = format!(
            r#"[{{"0020000D":{{"vr":"UI","Value":["{study}"]}},
            "00100010":{{"vr":"PN","Value":[{{"Alphabetic":"{PATIENT}^Quilla"}}]}},
            "00100020":{{"vr":"LO","Value":["PX-4711"]}},
            "00080020":{{"vr":"DA","Value":["20260103"]}},
            "00081030":{{"vr":"LO","Value":["Foot standing"]}},
            "00080061":{{"vr":"CS","Value":["DX"]}},
            "00201208":{{"vr":"IS","Value":[2]}}}}{more}]"#
        );
        return (json, found.into_bytes());
    }
    let mut parts = Vec::new();
    for film in films(behaviour.has_third_film) {
        parts.extend(b"--edge\r\nContent-Type: application/dicom\r\n\r\n");
        parts.extend(film);
        parts.extend(b"\r\n");
    }
    parts.extend(b"--edge--\r\n");
    let kind = "multipart/related; type=\"application/dicom\"; boundary=edge";
    (kind.to_owned(), parts)
}
