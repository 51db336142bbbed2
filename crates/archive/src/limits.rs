//! The bounds within which an archive is believed, and how long it is waited for. All of them are ours.

use std::time::Duration;

/// The largest object that is received or sent, in bytes, as for a film's file.
pub(crate) const OBJECT_BYTES: u64 = 1 << 30;

/// The largest protocol data unit that is received, in bytes. Peers are told to send no more.
pub(crate) const RECEIVED_PDU: u32 = 1 << 18;

/// The largest protocol data unit that is sent, in bytes, whatever more the peer would take.
pub(crate) const SENT_PDU: u32 = 1 << 17;

/// The largest command set, in bytes. The standard's own stay below 1,000.
pub(crate) const COMMAND_BYTES: u64 = 1 << 16;

/// The largest answer to a query, in bytes: one data set without pixels.
pub(crate) const ANSWER_BYTES: u64 = 1 << 20;

/// The most answers that one query is read to.
pub(crate) const ANSWERS: usize = 2_000;

/// The most objects that one fetch takes.
pub(crate) const FETCHED_OBJECTS: usize = 5_000;

/// The most studies that are asked one by one for a body part.
pub(crate) const STUDIES_LOOKED_INTO: usize = 200;

/// The largest JSON answer, in bytes.
pub(crate) const JSON_BYTES: u64 = 32 << 20;

/// The largest head of one part of a multipart answer, in bytes.
pub(crate) const PART_HEAD_BYTES: usize = 1 << 14;

/// How long an archive is waited for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Patience {
    /// Until it takes up the connection.
    pub connect: Duration,
    /// Until something comes, or can be sent, on an open connection.
    pub silence: Duration,
    /// Until one operation is over, however busy the archive looks meanwhile.
    pub whole: Duration,
}

impl Patience {
    /// The same, but no wait for a sign of life longer than this.
    pub(crate) fn at_most(self, longest: Duration) -> Self {
        Self {
            silence: self.silence.min(longest),
            whole: self.whole.min(longest),
            ..self
        }
    }
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            connect: Duration::from_secs(10),
            silence: Duration::from_secs(60),
            whole: Duration::from_secs(30 * 60),
        }
    }
}
