//! What this program calls itself in files and on associations.

/// Identifies the program in the header of every file that it writes and on every association (Implementation Class
/// UID, PS3.7 D.3.3.2), and as the device that observed. A random UUID as a number under 2.25 (PS3.5 B.2).
/// Installations are not told apart.
pub const PROGRAM_UID: &str = "2.25.285990625978302759270821682401111481546";

/// The program's name beside it (Implementation Version Name); at most 16 letters.
pub const PROGRAM_NAME: &str = "PLUMBRAY";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_program_s_identifier_is_a_uuid_of_version_four_under_its_root() {
        let number = PROGRAM_UID.strip_prefix("2.25.").expect("its root");
        let number: u128 = number.parse().expect("a number of 128 bits");
        assert_eq!(number >> 76 & 0xF, 4, "version of {number:x}");
        assert_eq!(number >> 62 & 0b11, 0b10, "variant of {number:x}");
        assert!(PROGRAM_NAME.len() <= 16, "{PROGRAM_NAME}");
    }
}
