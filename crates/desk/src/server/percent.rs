//! Percent-encoding (RFC 3986) of names in addresses and headers.

/// Every byte that is no plain letter, digit, hyphen, full stop or low line as a percent sign and two digits.
pub fn encoded(text: &str) -> String {
    let keep = |b: u8| b.is_ascii_alphanumeric() || b"-._".contains(&b);
    text.bytes().map(|b| if keep(b) { char::from(b).to_string() } else { format!("%{b:02X}") }).collect()
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
