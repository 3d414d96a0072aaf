//! Small questions asked of an XML element: its children by name, its text, its numbers, its yes-or-no attributes.
//!
//! MusicXML as found in the wild carries blanks around values and decimals where whole numbers are meant; both are taken here.

use roxmltree::Node;

/// An element of the score's document.
pub type Element<'a> = Node<'a, 'a>;

/// The first child element of this name.
pub fn child<'a>(element: Element<'a>, name: &str) -> Option<Element<'a>> {
    element.children().find(|c| c.has_tag_name(name))
}

/// All child elements of this name, in order.
pub fn children<'a>(element: Element<'a>, name: &'a str) -> impl Iterator<Item = Element<'a>> {
    element.children().filter(move |c| c.has_tag_name(name))
}

pub fn has(element: Element, name: &str) -> bool {
    child(element, name).is_some()
}

/// The element's own text with runs of blanks made one.
pub fn text(element: Element) -> String {
    let whole: String = element.children().filter_map(|c| if c.is_text() { c.text() } else { None }).collect();
    whole.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text of the first child of this name; `None` where there is no such child or it is empty.
pub fn child_text(element: Element, name: &str) -> Option<String> {
    child(element, name).map(text).filter(|t| !t.is_empty())
}

/// An attribute that says "yes".
pub fn says_yes(element: Element, attribute: &str) -> bool {
    element.attribute(attribute).is_some_and(|v| v.trim() == "yes")
}

/// Printed nowhere: `print-object="no"`.
pub fn is_hidden(element: Element) -> bool {
    element.attribute("print-object").is_some_and(|v| v.trim() == "no")
}

/// A decimal number as (numerator, denominator): "1.5" is (15, 10). At most nine digits before the point; digits after the sixth are
/// cut off. `None` for anything else.
pub fn decimal(text: &str) -> Option<(i64, i64)> {
    let text = text.trim();
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |t: &str| t.chars().all(|c| c.is_ascii_digit());
    if digits.is_empty() || digits == "." || whole.len() > 9 || !all_digits(whole) || !all_digits(part) {
        return None;
    }
    let part = &part[..part.len().min(6)];
    let denominator = 10_i64.pow(part.len() as u32);
    let numerator: i64 = format!("0{whole}{part}").parse().ok()?;
    Some((if negative { -numerator } else { numerator }, denominator))
}

/// A decimal rounded to the nearest whole number, halves towards zero.
pub fn rounded((numerator, denominator): (i64, i64)) -> i64 {
    let size = (2 * numerator.abs() + denominator - 1) / (2 * denominator);
    size * numerator.signum()
}

/// A whole number; decimals are rounded.
pub fn whole(text: &str) -> Option<i64> {
    decimal(text).map(rounded)
}

/// The whole number in the first child of this name.
pub fn child_whole(element: Element, name: &str) -> Option<i64> {
    child_text(element, name).and_then(|t| whole(&t))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic.
    #[test]
    fn numbers_are_read_as_written() {
        assert_eq!(decimal(" 1.5 "), Some((15, 10)));
        assert_eq!(decimal("-.25"), Some((-25, 100)));
        assert_eq!(decimal("+3"), Some((3, 1)));
        assert_eq!((decimal(""), decimal("."), decimal("1e3"), decimal("9999999999")), (None, None, None, None));
        assert_eq!((whole("-1.5"), whole("0.5"), whole("1.6"), whole("-2")), (Some(-1), Some(0), Some(2), Some(-2)));
    }
}
