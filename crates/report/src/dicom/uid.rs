//! Unique identifiers: that of our own coding scheme, and new ones.

/// Identifies our own coding scheme.
pub(crate) const OWN_SCHEME_UID: &str = "2.25.294056693345818884709911388831333693945";

/// A new identifier: a random UUID as a number under 2.25 (PS3.5 B.2). No two are alike, so that what is written
/// twice is two instances, and an archive never has to decide which of two contents an identifier means.
pub(crate) fn new_uid() -> String {
    format!("2.25.{}", uuid(rand::random()))
}

/// Random bits as a UUID of version 4, variant 1 (RFC 9562).
const fn uuid(random: u128) -> u128 {
    const VERSION: u128 = 0xF << 76;
    const VARIANT: u128 = 0b11 << 62;
    (random & !(VERSION | VARIANT)) | (4 << 76) | (0b10 << 62)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_identifier_is_a_uuid_of_version_four_under_its_root() {
        for random in [0, u128::MAX, 0x0123_4567_89ab_cdef_0123_4567_89ab_cdef] {
            let number = uuid(random);
            assert_eq!(number >> 76 & 0xF, 4, "version of {number:x}");
            assert_eq!(number >> 62 & 0b11, 0b10, "variant of {number:x}");
        }
        let [one, other] = [new_uid(), new_uid()];
        assert_ne!(one, other, "new each time");
        assert!(one.starts_with("2.25.") && one.len() <= 64, "{one}");
    }
}
