//! Associations (PS3.8), and messages within them.

use std::collections::VecDeque;

use dicom_dictionary_std::tags;
use dicom_ul::pdu::{
    AssociationRQ, PDataValue, PDataValueType, Pdu, PresentationContextResultReason,
};

use super::{
    command::Command,
    connection::Connection,
    negotiation::{Context, Proposal, abort, largest_sent, request, unexpected},
    rejection,
};
use crate::{
    address::DimseAddress,
    error::ArchiveError,
    limits::{self, Patience},
};

/// The header of a presentation data value: length, context, flags.
const VALUE_HEADER: usize = 6;

/// An open association.
#[derive(Debug)]
pub(crate) struct Association {
    connection: Connection,
    contexts: Vec<Context>,
    largest_sent: usize,
    waiting: VecDeque<PDataValue>,
    messages: u16,
    is_open: bool,
}

impl Association {
    /// Asks a peer for an association.
    ///
    /// # Errors
    /// When the peer cannot be reached or refuses. That it accepts none of the proposals shows later.
    pub(crate) fn request(
        address: &DimseAddress,
        proposals: &[Proposal],
        patience: Patience,
    ) -> Result<Self, ArchiveError> {
        let mut connection = Connection::connect(address, patience)?;
        connection.send(&request(address, proposals).into())?;
        let answer = match connection.receive()? {
            Pdu::AssociationAC(answer) => answer,
            Pdu::AssociationRJ(rejected) => return Err(rejection::rejected(&rejected, address)),
            Pdu::AbortRQ { source } => return Err(rejection::aborted(&source)),
            other => return Err(unexpected(&other)),
        };
        let proposed = |id: u8| proposals.get(usize::from(id).checked_sub(1)? / 2);
        let contexts = answer
            .presentation_contexts
            .iter()
            .filter(|one| one.reason == PresentationContextResultReason::Acceptance)
            .filter_map(|one| {
                let transfer_syntax = one.transfer_syntax.trim_end_matches(['\0', ' ']);
                let proposal = proposed(one.id)?;
                let was_proposed = proposal
                    .transfer_syntaxes
                    .iter()
                    .any(|s| s == transfer_syntax);
                was_proposed.then(|| Context {
                    id: one.id,
                    class: proposal.class.to_owned(),
                    transfer_syntax: transfer_syntax.to_owned(),
                })
            })
            .collect();
        let largest = largest_sent(&answer.user_variables);
        Ok(Self::open(connection, contexts, largest))
    }

    /// An association that a peer asked for and that was accepted.
    pub(crate) fn accepted(
        connection: Connection,
        contexts: Vec<Context>,
        request: &AssociationRQ,
    ) -> Self {
        Self::open(connection, contexts, largest_sent(&request.user_variables))
    }

    const fn open(connection: Connection, contexts: Vec<Context>, largest_sent: usize) -> Self {
        Self {
            connection,
            contexts,
            largest_sent,
            waiting: VecDeque::new(),
            messages: 0,
            is_open: true,
        }
    }

    pub(crate) const fn connection(&self) -> &Connection {
        &self.connection
    }

    /// The accepted context of a class, written in a certain way if that matters.
    pub(crate) fn context(&self, class: &str, transfer_syntax: Option<&str>) -> Option<&Context> {
        self.contexts.iter().find(|context| {
            context.class == class
                && transfer_syntax.is_none_or(|wanted| wanted == context.transfer_syntax)
        })
    }

    /// The accepted context of a service.
    ///
    /// # Errors
    /// When the peer does not offer it: `what` it does not, and the remedy.
    pub(crate) fn required(
        &self,
        class: &str,
        what: &str,
        remedy: &'static str,
    ) -> Result<u8, ArchiveError> {
        let context = self.context(class, None);
        let context = context.ok_or_else(|| ArchiveError::NotAccepted {
            what: what.to_owned(),
            remedy,
        })?;
        Ok(context.id)
    }

    /// The accepted context with this identifier.
    pub(crate) fn context_by_id(&self, id: u8) -> Result<Context, ArchiveError> {
        let found = self.contexts.iter().find(|context| context.id == id);
        found
            .cloned()
            .ok_or_else(|| ArchiveError::protocol("a message in a context that was not agreed on"))
    }

    /// Sends a request of a service with its identifier, at medium priority; gives the number of its message. A move
    /// says where to.
    pub(crate) fn ask(
        &mut self,
        context: u8,
        (field, class): (u16, &str),
        identifier: &[u8],
        destination: Option<&str>,
    ) -> Result<u16, ArchiveError> {
        let message = self.next_message();
        let mut request = Command::request(field, class, message, true);
        request.set_word(tags::PRIORITY, 0);
        if let Some(title) = destination {
            request.set_title(tags::MOVE_DESTINATION, title);
        }
        self.send_command(context, &request)?;
        self.send_data(context, identifier)?;
        Ok(message)
    }

    /// The number of the next request.
    pub(crate) const fn next_message(&mut self) -> u16 {
        self.messages = self.messages.wrapping_add(1);
        self.messages
    }

    /// Sends a command.
    pub(crate) fn send_command(
        &mut self,
        context: u8,
        command: &Command,
    ) -> Result<(), ArchiveError> {
        self.send_value(context, &PDataValueType::Command, &command.written())
    }

    /// Sends the data set that belongs to the last command.
    pub(crate) fn send_data(&mut self, context: u8, data_set: &[u8]) -> Result<(), ArchiveError> {
        self.send_value(context, &PDataValueType::Data, data_set)
    }

    fn send_value(
        &mut self,
        context: u8,
        value_type: &PDataValueType,
        bytes: &[u8],
    ) -> Result<(), ArchiveError> {
        let room = self.largest_sent - VALUE_HEADER;
        // Fragments are even, as all values are (PS3.8 annex E).
        let room = room - room % 2;
        let mut rest = bytes;
        loop {
            let (piece, after) = rest.split_at(rest.len().min(room));
            rest = after;
            let is_last = rest.is_empty();
            self.connection.send(&Pdu::PData {
                data: vec![PDataValue {
                    presentation_context_id: context,
                    value_type: value_type.clone(),
                    is_last,
                    data: piece.to_vec(),
                }],
            })?;
            if is_last {
                return Ok(());
            }
        }
    }

    /// Receives a command; nothing when the peer ends the association instead.
    pub(crate) fn receive_command_or_end(&mut self) -> Result<Option<(u8, Command)>, ArchiveError> {
        let mut bytes = Vec::new();
        loop {
            let Some(value) = self.next_value()? else {
                return Ok(None);
            };
            if value.value_type != PDataValueType::Command {
                return Err(ArchiveError::protocol("data without a command"));
            }
            bytes.extend(value.data);
            if bytes.len() as u64 > limits::COMMAND_BYTES {
                return Err(ArchiveError::TooLarge {
                    what: "a command",
                    limit: limits::COMMAND_BYTES,
                });
            }
            if value.is_last {
                return Ok(Some((
                    value.presentation_context_id,
                    Command::read(&bytes)?,
                )));
            }
        }
    }

    /// Receives a command.
    pub(crate) fn receive_command(&mut self) -> Result<(u8, Command), ArchiveError> {
        self.receive_command_or_end()?
            .ok_or_else(|| ArchiveError::Aborted {
                reason: "it ended the association before its answer".to_owned(),
            })
    }

    /// Receives the answer to a message that has but one, without data.
    pub(crate) fn receive_response(
        &mut self,
        field: u16,
        message: u16,
    ) -> Result<Command, ArchiveError> {
        let (_context, response) = self.receive_command()?;
        if response.answers(field, message) {
            Ok(response)
        } else {
            Err(other_message())
        }
    }

    /// Receives the data set that belongs to the last command, piece by piece.
    pub(crate) fn receive_data(
        &mut self,
        context: u8,
        limit: u64,
        take: &mut dyn FnMut(&[u8]) -> Result<(), ArchiveError>,
    ) -> Result<(), ArchiveError> {
        let mut received = 0;
        loop {
            let value = self
                .next_value()?
                .ok_or_else(|| ArchiveError::protocol("a command without its data"))?;
            if value.value_type != PDataValueType::Data || value.presentation_context_id != context
            {
                return Err(ArchiveError::protocol("a command in the middle of data"));
            }
            received += value.data.len() as u64;
            if received > limit {
                return Err(ArchiveError::TooLarge {
                    what: "a data set",
                    limit,
                });
            }
            take(&value.data)?;
            if value.is_last {
                return Ok(());
            }
        }
    }

    /// Receives a short data set.
    pub(crate) fn receive_answer(&mut self, context: u8) -> Result<Vec<u8>, ArchiveError> {
        let mut bytes = Vec::new();
        self.receive_data(context, limits::ANSWER_BYTES, &mut |piece| {
            bytes.extend(piece);
            Ok(())
        })?;
        Ok(bytes)
    }

    /// The next part of a message; nothing when the peer releases the association.
    fn next_value(&mut self) -> Result<Option<PDataValue>, ArchiveError> {
        loop {
            if let Some(value) = self.waiting.pop_front() {
                return Ok(Some(value));
            }
            match self.connection.receive()? {
                Pdu::PData { data } => self.waiting.extend(data),
                Pdu::ReleaseRQ => {
                    self.is_open = false;
                    self.connection.send(&Pdu::ReleaseRP)?;
                    return Ok(None);
                }
                Pdu::AbortRQ { source } => {
                    self.is_open = false;
                    return Err(rejection::aborted(&source));
                }
                other => return Err(unexpected(&other)),
            }
        }
    }

    /// Ends the association in good order. That the peer does not answer any more changes nothing of what was
    /// done, so it is no error.
    pub(crate) fn release(mut self) {
        self.is_open = false;
        if self.connection.send(&Pdu::ReleaseRQ).is_ok() {
            let _answer = self.connection.receive();
        }
    }
}

impl Drop for Association {
    /// Breaks off what was not ended in good order.
    fn drop(&mut self) {
        if self.is_open {
            let _gone = self.connection.send(&abort());
        }
    }
}

/// What is wrong with an answer that belongs to something else.
pub(crate) fn other_message() -> ArchiveError {
    ArchiveError::protocol("an answer to another message")
}
