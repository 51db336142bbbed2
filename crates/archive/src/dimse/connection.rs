//! Protocol data units over a TCP connection (PS3.8), within limits of length and time.

use std::{
    io::{self, Read, Write},
    net::{IpAddr, TcpStream, ToSocketAddrs},
    panic::{AssertUnwindSafe, catch_unwind},
    sync::Arc,
    time::{Duration, Instant},
};

use dicom_ul::pdu::{Pdu, read_pdu, write_pdu};
use rustls::ServerConfig;

use super::stream::Stream;
use crate::{
    address::{DimseAddress, Encryption},
    certificates,
    error::ArchiveError,
    limits::{self, Patience},
};

/// Type and length before each protocol data unit (PS3.8 9.3.1).
const HEADER_BYTES: usize = 6;

/// How many bytes are asked for at once, so that a declared length alone costs no memory.
const READ_AT_ONCE: usize = 1 << 16;

/// An open connection.
#[derive(Debug)]
pub(crate) struct Connection {
    stream: Stream,
    patience: Patience,
    deadline: Instant,
}

impl Connection {
    /// Connects to an archive's host, trying each of its addresses.
    pub(crate) fn connect(
        address: &DimseAddress,
        patience: Patience,
    ) -> Result<Self, ArchiveError> {
        let (host, port) = (address.host.as_str(), address.port);
        let unreachable = |reason: String| ArchiveError::Unreachable {
            place: format!("{host}:{port}"),
            reason,
        };
        let encryption = match &address.encryption {
            Encryption::None => None,
            Encryption::Tls { ca_file, own } => {
                Some(certificates::client(ca_file.as_deref(), own.as_ref())?)
            }
        };
        let addresses = (host, port)
            .to_socket_addrs()
            .map_err(|error| unreachable(error.to_string()))?;
        let mut reason = "its name stands for no address".to_owned();
        for address in addresses {
            match TcpStream::connect_timeout(&address, patience.connect) {
                Ok(stream) => {
                    let mut connection = Self::of(stream, patience)?;
                    if let Some(encryption) = encryption {
                        connection.stream = connection.stream.encrypted(encryption, host)?;
                    }
                    return Ok(connection);
                }
                Err(error) => reason = error.to_string(),
            }
        }
        Err(unreachable(reason))
    }

    /// A connection that somebody else opened.
    pub(crate) fn of(stream: TcpStream, patience: Patience) -> Result<Self, ArchiveError> {
        let prepared = stream
            .set_nonblocking(false)
            .and_then(|()| stream.set_nodelay(true));
        prepared.map_err(|error| ArchiveError::cut("connecting", &error))?;
        Ok(Self {
            stream: Stream::Plain(stream),
            patience,
            deadline: Instant::now() + patience.whole,
        })
    }

    /// The same, encrypted towards somebody who called here.
    pub(crate) fn received(mut self, config: Arc<ServerConfig>) -> Result<Self, ArchiveError> {
        self.stream = self.stream.received(config)?;
        Ok(self)
    }

    /// Whether the line is encrypted, so that what was handed over need not have gone out.
    pub(crate) const fn is_encrypted(&self) -> bool {
        !matches!(self.stream, Stream::Plain(_))
    }

    /// Waits for the peer as long as this from now on.
    pub(crate) fn be_patient(&mut self, patience: Patience) {
        self.patience = patience;
        self.deadline = Instant::now() + patience.whole;
    }

    /// The address of this machine as the peer sees it.
    pub(crate) fn own_address(&self) -> Option<IpAddr> {
        self.stream
            .socket()
            .local_addr()
            .ok()
            .map(|address| address.ip())
    }

    /// Sends one protocol data unit.
    pub(crate) fn send(&mut self, unit: &Pdu) -> Result<(), ArchiveError> {
        let mut bytes = Vec::new();
        let written = catch_unwind(AssertUnwindSafe(|| write_pdu(&mut bytes, unit)));
        match written {
            Ok(Ok(())) => self.send_bytes(&bytes),
            Ok(Err(error)) => Err(ArchiveError::protocol(error)),
            Err(_panic) => Err(ArchiveError::protocol("a message that cannot be written")),
        }
    }

    fn send_bytes(&mut self, mut bytes: &[u8]) -> Result<(), ArchiveError> {
        while !bytes.is_empty() {
            let wait = self.wait()?;
            let written = self
                .stream
                .socket()
                .set_write_timeout(Some(wait))
                .and_then(|()| self.stream.write(bytes));
            match written {
                Ok(0) => {
                    return Err(ArchiveError::cut(
                        "sending",
                        &io::ErrorKind::WriteZero.into(),
                    ));
                }
                Ok(count) => bytes = &bytes[count..],
                Err(error) => self.or_wait("sending", &error)?,
            }
        }
        loop {
            match self.stream.flush() {
                Ok(()) => return Ok(()),
                Err(error) => self.or_wait("sending", &error)?,
            }
        }
    }

    /// Receives one protocol data unit.
    pub(crate) fn receive(&mut self) -> Result<Pdu, ArchiveError> {
        let mut bytes = Vec::new();
        self.fill(&mut bytes, HEADER_BYTES)?;
        let length = u32::from_be_bytes([bytes[2], bytes[3], bytes[4], bytes[5]]);
        if length > limits::RECEIVED_PDU {
            return Err(ArchiveError::protocol(format!(
                "a protocol data unit of {length} bytes, though at most {} were agreed on",
                limits::RECEIVED_PDU
            )));
        }
        self.fill(&mut bytes, HEADER_BYTES + length as usize)?;
        parsed(&bytes)
    }

    /// Reads until there are `wanted` bytes.
    fn fill(&mut self, bytes: &mut Vec<u8>, wanted: usize) -> Result<(), ArchiveError> {
        while bytes.len() < wanted {
            let start = bytes.len();
            let piece = (wanted - start).min(READ_AT_ONCE);
            bytes.resize(start + piece, 0);
            let wait = self.wait()?;
            let read = self
                .stream
                .socket()
                .set_read_timeout(Some(wait))
                .and_then(|()| self.stream.read(&mut bytes[start..]));
            let count = match read {
                Ok(0) => {
                    return Err(ArchiveError::cut(
                        "waiting for an answer",
                        &io::ErrorKind::UnexpectedEof.into(),
                    ));
                }
                Ok(count) => count,
                Err(error) => {
                    self.or_wait("waiting for an answer", &error)?;
                    0
                }
            };
            bytes.truncate(start + count);
        }
        Ok(())
    }

    /// How long may be waited for the next byte.
    fn wait(&self) -> Result<Duration, ArchiveError> {
        let left = self.deadline.saturating_duration_since(Instant::now());
        if left.is_zero() {
            return Err(ArchiveError::TooSlow {
                seconds: self.patience.whole.as_secs(),
            });
        }
        Ok(left
            .min(self.patience.silence)
            .max(Duration::from_millis(1)))
    }

    /// What an error of the connection means; nothing when the same may be tried at once.
    fn or_wait(&self, during: &'static str, error: &io::Error) -> Result<(), ArchiveError> {
        let inner = error.get_ref();
        if let Some(secure) = inner.and_then(|inner| inner.downcast_ref::<rustls::Error>()) {
            return Err(ArchiveError::Insecure {
                reason: secure.to_string(),
            });
        }
        match error.kind() {
            io::ErrorKind::Interrupted => Ok(()),
            io::ErrorKind::WouldBlock | io::ErrorKind::TimedOut => {
                self.wait()?;
                Err(ArchiveError::Silent {
                    seconds: self.patience.silence.as_secs(),
                })
            }
            _ => Err(ArchiveError::cut(during, error)),
        }
    }
}

/// The protocol data unit in these bytes, which are its own alone.
fn parsed(bytes: &[u8]) -> Result<Pdu, ArchiveError> {
    let read = catch_unwind(AssertUnwindSafe(|| {
        read_pdu(bytes, limits::RECEIVED_PDU, true)
    }));
    match read {
        Ok(Ok(Some(unit))) => Ok(unit),
        Ok(Ok(None)) => Err(ArchiveError::protocol("a message that is cut short")),
        Ok(Err(error)) => Err(ArchiveError::protocol(error)),
        Err(_panic) => Err(ArchiveError::protocol("a message that contradicts itself")),
    }
}

#[cfg(test)]
mod tests {
    use std::net::TcpListener;

    use proptest::prelude::*;

    use super::*;

    fn patience(milliseconds: u64) -> Patience {
        Patience {
            connect: Duration::from_secs(2),
            silence: Duration::from_millis(milliseconds),
            whole: Duration::from_millis(4 * milliseconds),
        }
    }

    /// A connection to a peer that does what it is told, on a thread of its own.
    fn connected(milliseconds: u64, peer: impl FnOnce(TcpStream) + Send + 'static) -> Connection {
        let listener = TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = listener.local_addr().expect("an address").port();
        std::thread::spawn(move || peer(listener.accept().expect("a caller").0));
        let stream = TcpStream::connect(("127.0.0.1", port)).expect("connected");
        Connection::of(stream, patience(milliseconds)).expect("prepared")
    }

    #[test]
    fn a_peer_that_is_silent_is_given_up() {
        let mut connection = connected(100, |stream| {
            std::thread::sleep(Duration::from_secs(2));
            drop(stream);
        });
        let problem = connection.receive().expect_err("nothing came");
        assert!(matches!(problem, ArchiveError::Silent { .. }), "{problem}");
    }

    #[test]
    fn a_peer_that_drips_is_given_up() {
        let mut connection = connected(100, |mut stream| {
            for _ in 0..60 {
                std::thread::sleep(Duration::from_millis(30));
                if stream.write_all(b"\x04").is_err() {
                    return;
                }
            }
        });
        let begun = Instant::now();
        let problem = connection.receive().expect_err("never whole");
        assert!(
            begun.elapsed() < Duration::from_secs(2),
            "{:?}",
            begun.elapsed()
        );
        assert!(
            matches!(
                problem,
                ArchiveError::TooSlow { .. } | ArchiveError::Protocol { .. }
            ),
            "{problem}"
        );
    }

    #[test]
    fn a_giant_is_refused_before_it_is_read() {
        let mut connection = connected(500, |mut stream| {
            stream.write_all(b"\x04\x00\xff\xff\xff\xf0").expect("sent");
            std::thread::sleep(Duration::from_millis(300));
        });
        let problem = connection.receive().expect_err("too large");
        assert!(problem.to_string().contains("4294967280"), "{problem}");
    }

    proptest! {
        #[test]
        fn any_bytes_are_a_message_or_an_error(kind in 0_u8..9, body in proptest::collection::vec(prop_oneof![any::<u8>(), Just(0x10), Just(0x20), Just(0x50), Just(0)], 0..400)) {
            let length = u32::try_from(body.len()).expect("short");
            let mut bytes = vec![kind, 0];
            bytes.extend(length.to_be_bytes());
            bytes.extend(body);
            let _either = parsed(&bytes);
        }
    }
}
