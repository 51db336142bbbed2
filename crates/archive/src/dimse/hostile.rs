//! Peers that send anything: every conversation ends, with an error or an answer, in bounded time and memory.

use std::{
    io::{Read, Write},
    net::{TcpListener, TcpStream},
    ops::ControlFlow,
    thread,
    time::{Duration, Instant},
};

use dicom_dictionary_std::{tags, uids};
use dicom_ul::pdu::{
    PDataValue, PDataValueType, Pdu, PresentationContextResult, PresentationContextResultReason,
    read_pdu, write_pdu,
};
use proptest::prelude::*;

use super::{
    DimseArchive,
    command::{self, Command, written_implicitly},
    negotiation::acceptance,
};
use crate::{
    address::{AeTitle, DimseAddress, Encryption},
    archive::{Archive, WantedFilms},
    limits::Patience,
    object::{StoredObject, tests::sample},
    uid::Uid,
    wanted::Wanted,
};

fn archive(port: u16) -> DimseArchive {
    let title = |text| AeTitle::new(text).expect("a title");
    DimseArchive::new(
        DimseAddress {
            host: "127.0.0.1".to_owned(),
            port,
            called: title("HOSTILE"),
            calling: title("PLUMBRAY"),
            receive_port: None,
            encryption: Encryption::None,
        },
        Patience {
            connect: Duration::from_secs(2),
            silence: Duration::from_millis(400),
            whole: Duration::from_secs(2),
        },
    )
}

/// A peer that accepts every proposal and then sends these bytes, whatever it is asked.
fn peer(answer: Vec<u8>) -> DimseArchive {
    let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
    let port = listener.local_addr().expect("an address").port();
    thread::spawn(move || {
        // A second call is for what could not be sent at first.
        for stream in listener.incoming().take(2) {
            let Ok(stream) = stream else { return };
            let answer = answer.clone();
            thread::spawn(move || converse(stream, &answer));
        }
    });
    archive(port)
}

fn converse(mut stream: TcpStream, answer: &[u8]) {
    let mut bytes = Vec::new();
    let mut piece = [0; 4096];
    let request = loop {
        let Ok(count @ 1..) = stream.read(&mut piece) else {
            return;
        };
        bytes.extend(&piece[..count]);
        if let Ok(Some(Pdu::AssociationRQ(request))) = read_pdu(&bytes[..], 1 << 18, true) {
            break request;
        }
    };
    let results = request
        .presentation_contexts
        .iter()
        .map(|proposed| PresentationContextResult {
            id: proposed.id,
            reason: PresentationContextResultReason::Acceptance,
            transfer_syntax: proposed.transfer_syntaxes[0].clone(),
        })
        .collect();
    let mut written = Vec::new();
    write_pdu(&mut written, &acceptance(&request, results).into()).expect("written");
    written.extend(answer);
    if stream.write_all(&written).is_ok() {
        // What the other side says is drained, so that it is the one to end.
        while matches!(stream.read(&mut piece), Ok(1..)) {}
    }
}

fn value(value_type: PDataValueType, is_last: bool, data: Vec<u8>) -> Vec<u8> {
    let mut bytes = Vec::new();
    let unit = Pdu::PData {
        data: vec![PDataValue {
            presentation_context_id: 1,
            value_type,
            is_last,
            data,
        }],
    };
    write_pdu(&mut bytes, &unit).expect("written");
    bytes
}

/// A found study, and the last answer, as an archive would send them.
fn honest_answers() -> Vec<u8> {
    let class = uids::STUDY_ROOT_QUERY_RETRIEVE_INFORMATION_MODEL_FIND;
    let request = Command::request(command::FIND_REQUEST, class, 1, true);
    let mut pending = Command::response_to(&request, 0xFF00);
    pending.set_word(tags::COMMAND_DATA_SET_TYPE, 1);
    let study = written_implicitly([
        (tags::SPECIFIC_CHARACTER_SET, &b"ISO_IR 192"[..]),
        (tags::STUDY_DATE, b"20260105"),
        (tags::PATIENT_NAME, b"Sample^Foot "),
        (tags::STUDY_INSTANCE_UID, b"1.2.3.4\0"),
    ]);
    [
        value(PDataValueType::Command, true, pending.written()),
        value(PDataValueType::Data, true, study),
        value(
            PDataValueType::Command,
            true,
            Command::response_to(&request, 0).written(),
        ),
    ]
    .concat()
}

#[test]
fn honest_answers_are_understood() {
    let found = peer(honest_answers())
        .find_studies(&Wanted::default())
        .expect("found");
    assert_eq!(
        found.studies[0].patient_name.as_deref(),
        Some("Sample, Foot"),
        "{found:?}"
    );
}

#[test]
fn an_endless_command_and_an_endless_answer_are_cut_off() {
    let piece = vec![0; 100_000];
    let command = value(PDataValueType::Command, false, piece.clone());
    let problem = peer(command).find_studies(&Wanted::default());
    let problem = problem.expect_err("too large").to_string();
    assert!(problem.contains("a command exceeds"), "{problem}");

    let mut answers = honest_answers();
    let first = u32::from_be_bytes([answers[2], answers[3], answers[4], answers[5]]) as usize + 6;
    answers.truncate(first);
    for _ in 0..12 {
        answers.extend(value(PDataValueType::Data, false, piece.clone()));
    }
    let problem = peer(answers).find_studies(&Wanted::default());
    let problem = problem.expect_err("too large").to_string();
    assert!(problem.contains("a data set exceeds"), "{problem}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn damaged_answers_end_every_conversation(
        damages in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        cut in proptest::option::of(any::<prop::sample::Index>()),
        what in 0_u8..4,
    ) {
        let mut answer = honest_answers();
        for (at, byte) in damages {
            let at = at.index(answer.len());
            answer[at] = byte;
        }
        if let Some(cut) = cut {
            answer.truncate(cut.index(answer.len()));
        }
        let archive = peer(answer);
        let begun = Instant::now();
        match what {
            0 => drop(archive.find_studies(&Wanted::default())),
            1 => drop(archive.echo()),
            2 => {
                let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
                drop(archive.send(&object));
            }
            _ => {
                let folder = tempfile::tempdir().expect("a folder");
                let wanted = WantedFilms {
                    study: Uid::new("1.2.3").expect("one"),
                    series: None,
                    film: None,
                };
                drop(archive.fetch(&wanted, folder.path(), &mut |_| ControlFlow::Continue(())));
            }
        }
        prop_assert!(begun.elapsed() < Duration::from_secs(8), "{:?}", begun.elapsed());
    }
}
