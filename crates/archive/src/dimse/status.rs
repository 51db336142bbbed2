//! What an archive's answer means: status codes in words (PS3.7 annex C; PS3.4 B.2.3, C.4.1, C.4.2, C.4.3).

use crate::error::ArchiveError;

/// Duplicate SOP Instance (PS3.7 C.5.6): the archive has the object already, so it has what it was to get.
pub(crate) const DUPLICATE: u16 = 0x0111;

/// The status of a response.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Status {
    code: u16,
    comment: Option<String>,
}

/// What kind of answer a status is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum StatusKind {
    /// Done.
    Success,
    /// Going on, more answers follow.
    Pending,
    /// Done, with a remark.
    Warning,
    /// Ended because somebody asked for it.
    Cancelled,
    /// Not done.
    Failure,
}

impl Status {
    pub(crate) const fn new(code: u16, comment: Option<String>) -> Self {
        Self { code, comment }
    }

    /// The code as the standard has it.
    #[must_use]
    pub(crate) const fn code(&self) -> u16 {
        self.code
    }

    /// What kind of answer this is (PS3.7 annex C).
    #[must_use]
    pub(crate) const fn kind(&self) -> StatusKind {
        match self.code {
            0x0000 => StatusKind::Success,
            0xFF00 | 0xFF01 => StatusKind::Pending,
            0xFE00 => StatusKind::Cancelled,
            0x0001 | 0x0107 | 0x0116 | 0xB000..=0xBFFF => StatusKind::Warning,
            _ => StatusKind::Failure,
        }
    }

    /// Whether the same request may succeed later: the archive lacks room or time just now.
    #[must_use]
    pub(crate) const fn is_transient(&self) -> bool {
        // Refused for want of resources, processing failure, resource limitation.
        matches!(self.code, 0xA700..=0xA7FF | 0x0110 | 0x0213)
    }

    /// This answer as what went wrong.
    pub(crate) fn refused(&self) -> ArchiveError {
        ArchiveError::Refused {
            answer: self.in_words(),
            is_transient: self.is_transient(),
        }
    }

    /// The answer in words, with the archive's own remark.
    #[must_use]
    pub(crate) fn in_words(&self) -> String {
        let words = self.words();
        match &self.comment {
            Some(comment) => format!("{words} ({:04X}H: {comment})", self.code),
            None => format!("{words} ({:04X}H)", self.code),
        }
    }

    const fn words(&self) -> &'static str {
        match self.code {
            0x0000 => "done",
            0xFF00 | 0xFF01 => "more follows",
            0xFE00 => "cancelled",
            0x0105 => "no such attribute",
            0x0106 => "an attribute has a value that is not allowed",
            0x0107 => "an attribute is not kept",
            0x0110 => "processing failed; the archive's log says why",
            0x0111 => "the object is there already",
            0x0112 => "no such object",
            0x0115 => "an argument has a value that is not allowed",
            0x0116 => "an attribute's value is out of range",
            0x0117 => "the object's identifier is not valid",
            0x0118 => "the archive does not know this kind of object",
            0x0119 => "the object is of another kind than was said",
            0x0120 => "an attribute is missing",
            0x0121 => "an attribute has no value",
            0x0122 => "the archive does not do this with this kind of object",
            0x0124 => "this workstation is not allowed to do this; ask whoever runs the archive",
            0x0210 => "the same message came twice",
            0x0211 => "the archive does not know this operation",
            0x0212 => "a part of the message has the wrong type",
            0xA700 => "the archive has no room left",
            0xA701 => "the archive cannot count the matches for want of resources",
            0xA702 => "the archive cannot send the films for want of resources",
            0xA801 => {
                "the archive does not know this workstation as a place to send to; have its AE title, host and port entered there"
            }
            0xA900..=0xA9FF => "the data set does not suit its kind of object",
            0xAA00 => "none of the films is what was asked for",
            0x0213 | 0xA703..=0xA7FF => "the archive has no resources left just now",
            0xB000 => "done, but some values were changed or some films did not come",
            0xB006 => "done, but some elements were left out",
            0xB007 => "done, but the data set does not suit its kind of object",
            0xB001..=0xBFFF | 0x0001 => "done, with a warning",
            0xC000..=0xCFFF => "the archive cannot process this",
            _ => "it failed",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_code_is_the_kind_that_the_standard_says() {
        for (code, kind) in [
            (0x0000, StatusKind::Success),
            (0xFF00, StatusKind::Pending),
            (0xFF01, StatusKind::Pending),
            (0xFE00, StatusKind::Cancelled),
            (0xB000, StatusKind::Warning),
            (0xB007, StatusKind::Warning),
            (0x0107, StatusKind::Warning),
            (0xA700, StatusKind::Failure),
            (0xA801, StatusKind::Failure),
            (0xC123, StatusKind::Failure),
            (0x0122, StatusKind::Failure),
        ] {
            assert_eq!(Status::new(code, None).kind(), kind, "{code:04X}");
        }
    }

    #[test]
    fn the_archive_s_own_remark_is_told() {
        let status = Status::new(0xA700, Some("disk 2 full".to_owned()));
        assert_eq!(
            status.in_words(),
            "the archive has no room left (A700H: disk 2 full)",
            "in words"
        );
        assert!(status.is_transient(), "room can come back");
    }

    #[test]
    fn every_code_has_words() {
        for code in 0..=u16::MAX {
            assert!(!Status::new(code, None).in_words().is_empty(), "{code:04X}");
        }
    }
}
