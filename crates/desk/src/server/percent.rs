//! Percent-encoding (RFC 3986) of names in addresses and headers.

use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// All but plain letters, digits, hyphen, full stop and low line.
const OTHERS: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'.').remove(b'_');

pub fn encoded(text: &str) -> String {
    utf8_percent_encode(text, OTHERS).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_addresses() {
        assert_eq!(encoded("My harp & more.sf2"), "My%20harp%20%26%20more.sf2");
        assert_eq!(encoded("Ò"), "%C3%92");
    }
}
