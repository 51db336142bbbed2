//! What a queue keeps of each object that is to be sent. Names of files are numbers; nothing here names a patient.

use std::fmt;

use jiff::Timestamp;
use rand::Rng as _;
use serde::{Deserialize, Serialize};

use crate::object::ObjectIdentity;

/// The name of a job, which orders jobs by when they were added.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct JobId(String);

impl JobId {
    /// A new name.
    #[must_use]
    pub fn new(now: Timestamp) -> Self {
        let chance: u32 = rand::rng().random();
        Self(format!("{:015}-{chance:08x}", now.as_millisecond().max(0)))
    }

    /// The name in a text; nothing when it is none.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let (time, chance) = text.split_once('-')?;
        let is_one = time.len() == 15
            && time.bytes().all(|digit| digit.is_ascii_digit())
            && chance.len() == 8
            && chance.bytes().all(|digit| digit.is_ascii_hexdigit());
        is_one.then(|| Self(text.to_owned()))
    }

    /// The name as files carry it.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for JobId {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.0)
    }
}

impl TryFrom<String> for JobId {
    type Error = String;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        Self::parse(&text).ok_or_else(|| format!("“{text}” is no job"))
    }
}

impl From<JobId> for String {
    fn from(id: JobId) -> Self {
        id.0
    }
}

/// One object on its way to one archive.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Job {
    /// Its name.
    pub id: JobId,
    /// The name of the archive in the settings.
    pub archive: String,
    /// What the object is called.
    pub object: ObjectIdentity,
    /// BLAKE3 of the object's copy in the queue, in hexadecimal digits.
    pub hash: String,
    /// When it was added.
    pub added: Timestamp,
    /// How far it is.
    pub state: JobState,
    /// How often the archive was tried.
    pub tries: u32,
    /// Why the last try failed, in words.
    #[serde(default)]
    pub last_reason: Option<String>,
}

/// How far a job is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum JobState {
    /// It was not sent, or the archive surely has not got it.
    Waiting {
        /// When it is to be tried.
        not_before: Timestamp,
    },
    /// It is being sent. Found so by somebody who is not sending it, the process ended in between.
    Sending {
        /// When that began.
        since: Timestamp,
    },
    /// It was sent as a whole and no answer came: the archive is asked for it before it is sent again.
    InDoubt {
        /// When the archive is to be asked.
        not_before: Timestamp,
    },
    /// The archive refused it, or it cannot be sent. Nothing happens until a person says so.
    Refused,
}

/// The proof that a job is done with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Receipt {
    /// The job.
    pub job: JobId,
    /// The name of the archive in the settings.
    pub archive: String,
    /// What the object is called.
    pub object: ObjectIdentity,
    /// BLAKE3 of the object's file.
    pub hash: String,
    /// When the job ended.
    pub at: Timestamp,
    /// How it ended.
    pub settled: Settled,
}

/// How a job ended.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Settled {
    /// The archive said that it took the object.
    Accepted {
        /// What it remarked.
        warning: Option<String>,
    },
    /// The archive was asked, after a try that ended in doubt, and has the object.
    FoundThere,
    /// A person took the job back.
    Cancelled,
}
