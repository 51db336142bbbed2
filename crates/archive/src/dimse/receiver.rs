//! The receiving end of a move: a storage service that listens on one port, only while it is waited for.

use std::{
    net::{IpAddr, TcpListener, TcpStream},
    sync::{
        Arc,
        atomic::{AtomicBool, AtomicUsize, Ordering},
    },
    time::Duration,
};

use dicom_dictionary_std::uids;
use dicom_ul::pdu::{
    AssociationRJ, AssociationRJResult, AssociationRJServiceUserReason, AssociationRJSource,
    AssociationRQ, Pdu, PresentationContextResult, PresentationContextResultReason,
};
use rustls::ServerConfig;

use super::{
    association::Association,
    command::{self, Command},
    connection::Connection,
    incoming::{self, Reception},
    negotiation::{Context, abort_unexpected, acceptance},
};
use crate::{address::AeTitle, archive::Fetched, error::ArchiveError, limits::Patience};

/// How often a receiver looks whether it shall stop.
const LOOK_EVERY: Duration = Duration::from_millis(20);

/// How long a caller may take to say who it is.
const INTRODUCTION: Duration = Duration::from_secs(5);

/// A storage service on one port.
#[derive(Debug)]
pub(crate) struct Receiver {
    listener: TcpListener,
    title: AeTitle,
    /// By what the line is encrypted, if it is.
    encryption: Option<Arc<ServerConfig>>,
    patience: Patience,
    shall_stop: AtomicBool,
    arrived: AtomicUsize,
}

impl Receiver {
    /// Starts to listen, on the one address by which the archive is reached.
    pub(crate) fn listen(
        address: IpAddr,
        port: u16,
        title: AeTitle,
        encryption: Option<Arc<ServerConfig>>,
        patience: Patience,
    ) -> Result<Self, ArchiveError> {
        let listener = TcpListener::bind((address, port))
            .and_then(|listener| listener.set_nonblocking(true).map(|()| listener))
            .map_err(|error| ArchiveError::Unreachable {
                place: format!("this workstation's own port {port}"),
                reason: error.to_string(),
            })?;
        Ok(Self {
            listener,
            title,
            encryption,
            patience,
            shall_stop: AtomicBool::new(false),
            arrived: AtomicUsize::new(0),
        })
    }

    /// Ends [`Self::receive`] when no association is open any more.
    pub(crate) fn stop(&self) {
        self.shall_stop.store(true, Ordering::SeqCst);
    }

    /// How many objects have arrived.
    pub(crate) fn arrived(&self) -> usize {
        self.arrived.load(Ordering::SeqCst)
    }

    /// Takes what archives send, until it is stopped.
    pub(crate) fn receive(&self, reception: &Reception<'_>) -> Fetched {
        let mut fetched = Fetched::default();
        while !self.shall_stop.load(Ordering::SeqCst) {
            match self.listener.accept() {
                Ok((stream, _caller)) => {
                    if let Err(problem) = self.serve(stream, reception, &mut fetched) {
                        fetched.complaints.push(problem.to_string());
                    }
                }
                Err(_nobody) => std::thread::sleep(LOOK_EVERY),
            }
        }
        fetched
    }

    fn serve(
        &self,
        stream: TcpStream,
        reception: &Reception<'_>,
        fetched: &mut Fetched,
    ) -> Result<(), ArchiveError> {
        // Whoever connects and says nothing must not keep the archive waiting.
        let mut connection = Connection::of(stream, self.patience.at_most(INTRODUCTION))?;
        if let Some(encryption) = &self.encryption {
            connection = connection.received(Arc::clone(encryption))?;
        }
        let Pdu::AssociationRQ(request) = connection.receive()? else {
            return connection.send(&abort_unexpected());
        };
        if request.called_ae_title.trim() != self.title.as_str() {
            return connection.send(&unknown_title().into());
        }
        connection.be_patient(self.patience);
        let (results, contexts) = judged(&request);
        connection.send(&acceptance(&request, results).into())?;
        let mut association = Association::accepted(connection, contexts, &request);
        while let Some((context, command)) = association.receive_command_or_end()? {
            let context = association.context_by_id(context)?;
            match command.field() {
                command::STORE_REQUEST => {
                    fetched.check_room()?;
                    reception.receive(&mut association, &context, &command, fetched)?;
                    self.arrived.store(fetched.files.len(), Ordering::SeqCst);
                }
                command::ECHO_REQUEST => {
                    let answer = Command::response_to(&command, 0x0000);
                    association.send_command(context.id, &answer)?;
                }
                _ => return Err(ArchiveError::protocol("a request that is not served here")),
            }
        }
        Ok(())
    }
}

fn unknown_title() -> AssociationRJ {
    AssociationRJ {
        result: AssociationRJResult::Permanent,
        source: AssociationRJSource::ServiceUser(
            AssociationRJServiceUserReason::CalledAETitleNotRecognized,
        ),
    }
}

/// Which proposals are accepted: of each, the first transfer syntax that is taken.
fn judged(request: &AssociationRQ) -> (Vec<PresentationContextResult>, Vec<Context>) {
    let mut results = Vec::new();
    let mut contexts = Vec::new();
    for proposed in &request.presentation_contexts {
        let class = proposed.abstract_syntax.trim_end_matches(['\0', ' ']);
        let is_echo = class == uids::VERIFICATION;
        let chosen = proposed
            .transfer_syntaxes
            .iter()
            .map(|syntax| syntax.trim_end_matches(['\0', ' ']))
            .find(|syntax| {
                incoming::is_taken(class, syntax)
                    || (is_echo && *syntax == uids::IMPLICIT_VR_LITTLE_ENDIAN)
            });
        let reason = match chosen {
            Some(_) => PresentationContextResultReason::Acceptance,
            None if is_echo || crate::sop_class::is_stored_class(class) => {
                PresentationContextResultReason::TransferSyntaxesNotSupported
            }
            None => PresentationContextResultReason::AbstractSyntaxNotSupported,
        };
        let syntax = chosen.unwrap_or(uids::IMPLICIT_VR_LITTLE_ENDIAN);
        results.push(PresentationContextResult {
            id: proposed.id,
            reason,
            transfer_syntax: syntax.to_owned(),
        });
        if chosen.is_some() {
            contexts.push(Context {
                id: proposed.id,
                class: class.to_owned(),
                transfer_syntax: syntax.to_owned(),
            });
        }
    }
    (results, contexts)
}

#[cfg(test)]
mod tests {
    use std::thread;

    use super::*;
    use crate::{
        address::{DimseAddress, Encryption},
        archive::{Archive, WantedFilms},
        dimse::DimseArchive,
        object::{StoredObject, tests::sample},
        uid::Uid,
    };

    /// Sends a film to a receiver that wants films of a study, and gives what both say.
    fn sent(study: &Uid, called: &str) -> (Result<(), ArchiveError>, Fetched, usize) {
        let title = |text| AeTitle::new(text).expect("a title");
        let patience = Patience {
            connect: Duration::from_secs(2),
            silence: Duration::from_secs(5),
            whole: Duration::from_secs(20),
        };
        let address = [127, 0, 0, 1].into();
        let receiver =
            Receiver::listen(address, 0, title("PLUMBRAY"), None, patience).expect("a port");
        let port = receiver.listener.local_addr().expect("an address").port();
        let folder = tempfile::tempdir().expect("a folder");
        let wanted = WantedFilms {
            study: study.clone(),
            series: None,
            film: None,
        };
        let reception = Reception {
            wanted: &wanted,
            folder: folder.path(),
            source: "SOMEBODY",
        };
        let archive = DimseArchive::new(
            DimseAddress {
                host: "127.0.0.1".to_owned(),
                port,
                called: title(called),
                calling: title("SOMEBODY"),
                receive_port: None,
                encryption: Encryption::None,
            },
            patience,
        );
        let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
        thread::scope(|scope| {
            let receiving = scope.spawn(|| receiver.receive(&reception));
            let answer = archive.echo().and_then(|_here| {
                let sent = archive.send(&object);
                sent.map(|_accepted| ()).map_err(|failed| failed.error)
            });
            receiver.stop();
            let fetched = receiving.join().expect("no panic");
            let files = std::fs::read_dir(folder.path()).expect("read").count();
            (answer, fetched, files)
        })
    }

    #[test]
    fn what_is_wanted_is_taken_and_anything_else_is_not() {
        let object = StoredObject::open(&sample("alder-ap.dcm")).expect("a film");
        let (answer, fetched, files) = sent(&object.identity().study, "PLUMBRAY");
        answer.expect("taken");
        assert_eq!((fetched.files.len(), files), (1, 1), "{fetched:?}");

        let (answer, fetched, files) = sent(&Uid::new("1.2.3").expect("one"), "PLUMBRAY");
        let problem = answer.expect_err("not asked for");
        assert!(matches!(problem, ArchiveError::Refused { .. }), "{problem}");
        assert_eq!((fetched.files.len(), files), (0, 0), "{fetched:?}");
        assert!(
            fetched.complaints[0].contains("not asked for"),
            "{fetched:?}"
        );
    }

    #[test]
    fn who_calls_somebody_else_is_turned_away() {
        let (answer, _fetched, files) = sent(&Uid::new("1.2.3").expect("one"), "SOMEBODYELSE");
        let problem = answer.expect_err("refused");
        assert!(problem.to_string().contains("not called"), "{problem}");
        assert_eq!(files, 0, "nothing came");
    }
}
