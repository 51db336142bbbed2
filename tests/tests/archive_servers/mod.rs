//! Archives of the tests' own, with films in them, and lines to them that are slow, get cut or are encrypted.

pub(crate) mod asked;
pub(crate) mod encrypted;
pub(crate) mod films;
pub(crate) mod line;
pub(crate) mod orthanc;
pub(crate) mod script;

use std::time::Duration;

use plumbray_archive::{Address, AeTitle, DimseAddress, Encryption, Patience, Place};
#[allow(
    unused_imports,
    reason = "each test program uses a part of the servers"
)]
pub(crate) use plumbray_tests::{Server, dcmqrscp, files, free_port, storescp, temporary};

/// Patience that is long enough for a busy machine and short enough for a test.
pub(crate) fn patience() -> Patience {
    Patience {
        connect: Duration::from_secs(5),
        silence: Duration::from_secs(20),
        whole: Duration::from_secs(60),
    }
}

/// The address of an archive on this machine that speaks over associations.
pub(crate) fn associations(port: u16, called: &str, receive_port: Option<u16>) -> Address {
    Address {
        name: "Clinic".to_owned(),
        place: Place::Dimse(DimseAddress {
            host: "127.0.0.1".to_owned(),
            port,
            called: AeTitle::new(called).expect("a title"),
            calling: AeTitle::new("PLUMBRAY").expect("a title"),
            receive_port,
            encryption: Encryption::None,
        }),
    }
}
