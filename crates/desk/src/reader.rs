//! Where a sentence is read: at the command line it may name an option to type, on the page what stands on the page.

/// Who reads.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Reader {
    #[default]
    CommandLine,
    Page,
}

impl Reader {
    /// The words that are meant for this reader.
    pub fn either<'a>(self, command_line: &'a str, page: &'a str) -> &'a str {
        match self {
            Reader::CommandLine => command_line,
            Reader::Page => page,
        }
    }
}
