//! Objects that an archive sends to us (C-STORE, PS3.4 annex B), into a folder.

use std::path::Path;

use dicom_dictionary_std::tags;

use super::{association::Association, command::Command, negotiation::Context};
use crate::{
    archive::{Fetched, WantedFilms, is_wanted},
    error::ArchiveError,
    folder::Incoming,
    limits, sop_class,
    uid::Uid,
};

/// Refused: out of resources (PS3.4 B.2.3).
const NO_ROOM: u16 = 0xA700;
/// Error: data set does not match SOP class.
const UNSUITABLE: u16 = 0xA900;

/// Where incoming objects go, and which of them are wanted.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Reception<'a> {
    pub(crate) wanted: &'a WantedFilms,
    pub(crate) folder: &'a Path,
    /// Who sends, for the file meta group.
    pub(crate) source: &'a str,
}

impl Reception<'_> {
    /// Receives the object that a request announces, and answers it.
    ///
    /// # Errors
    /// When the connection fails. An object that cannot be taken is answered so, and told in `fetched`.
    pub(crate) fn receive(
        &self,
        association: &mut Association,
        context: &Context,
        request: &Command,
        fetched: &mut Fetched,
    ) -> Result<(), ArchiveError> {
        if !request.has_data_set() {
            return Err(ArchiveError::protocol("an object without its data set"));
        }
        let status = match self.write(association, context, request)? {
            Ok(arrived) => {
                fetched.take(arrived);
                0x0000
            }
            Err(problem) => {
                let status = match &problem {
                    ArchiveError::File { .. } | ArchiveError::TooLarge { .. } => NO_ROOM,
                    _ => UNSUITABLE,
                };
                fetched.complaints.push(problem.to_string());
                status
            }
        };
        let answer = Command::response_to(request, status);
        association.send_command(context.id, &answer)
    }

    /// Writes the object; the outer error is one of the connection, the inner one of the object, all of whose
    /// bytes have been taken off the connection.
    fn write(
        &self,
        association: &mut Association,
        context: &Context,
        request: &Command,
    ) -> Result<Result<crate::folder::Arrived, ArchiveError>, ArchiveError> {
        let uid = |tag| request.text(tag).and_then(|text| Uid::new(&text));
        let announced = uid(tags::AFFECTED_SOP_CLASS_UID)
            .zip(uid(tags::AFFECTED_SOP_INSTANCE_UID))
            .filter(|(class, _)| class.as_str() == context.class)
            .ok_or_else(|| ArchiveError::protocol("an object without a valid name"));
        let mut incoming = announced.and_then(|(class, instance)| {
            let mut incoming = Incoming::begin(self.folder)?;
            incoming.write_meta(
                class.as_str(),
                instance.as_str(),
                &context.transfer_syntax,
                self.source,
            )?;
            Ok((incoming, instance))
        });
        association.receive_data(context.id, limits::OBJECT_BYTES, &mut |piece| {
            if let Ok((open, _)) = &mut incoming
                && let Err(problem) = open.write(piece)
            {
                incoming = Err(problem);
            }
            Ok(())
        })?;
        Ok(incoming.and_then(|(incoming, instance)| {
            incoming.finish(|came| came.instance == instance && is_wanted(self.wanted, came))
        }))
    }
}

/// Whether objects of a class, written in a certain way, are taken.
pub(crate) fn is_taken(class: &str, transfer_syntax: &str) -> bool {
    sop_class::is_stored_class(class) && sop_class::is_known_syntax(transfer_syntax)
}
