//! How large pages are printed.

use desk::drawing::Layout;
use std::str::FromStr;

/// The size of a page's print.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Print {
    #[default]
    Usual,
    /// For eyes that need it.
    Large,
}

impl Print {
    pub fn layout(self) -> Layout {
        match self {
            Print::Usual => Layout::default(),
            Print::Large => Layout::large(),
        }
    }

    /// What a file's name has more, so that both sizes lie side by side.
    pub fn suffix(self) -> &'static str {
        match self {
            Print::Usual => "",
            Print::Large => "-large",
        }
    }
}

/// From its word. The error says what was expected.
impl FromStr for Print {
    type Err = String;

    fn from_str(word: &str) -> Result<Print, String> {
        match word.trim().to_lowercase().as_str() {
            "usual" => Ok(Print::Usual),
            "large" => Ok(Print::Large),
            _ => Err(format!("\"{word}\" is no size of print: expected usual or large")),
        }
    }
}
