//! What can go wrong between a MusicXML text and a page.

/// A page could not be made; each variant names what was attempted.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EngraveError {
    /// The text is not well-formed XML.
    #[error("the music is not well-formed XML: {0}; expected a MusicXML document")]
    NotXml(String),
    /// The document is XML of another kind.
    #[error("the document's first element is {0}, expected score-partwise; convert a timewise score first")]
    NotPartwise(String),
    /// The document holds no measure.
    #[error("the score has no measure, expected at least one part with one measure")]
    NoMeasures,
    /// A staff of the score is tablature, on which the engraving library would end the program.
    #[error("the score has tablature, expected staves with notes; leave that staff out")]
    Tablature,
    /// The engraving library refused the score.
    #[error("the engraving library could not read the score; check that the notes fill their measures")]
    Refused,
    /// The engraving library's data could not be written to the place for temporary files.
    #[error("the engraving library could not be opened: a folder for temporary files is needed: {0}")]
    NoFolder(String),
    /// The engraving library drew something that is not a page.
    #[error("the engraving library drew no page: {0}")]
    NoPage(String),
    /// A page number outside the piece.
    #[error("there is no page {asked}, the piece has {pages}")]
    NoSuchPage { asked: usize, pages: usize },
    /// The picture would be too large, or nothing at all.
    #[error("a picture of {0} dots per inch cannot be made, expected 20 to 1200")]
    Resolution(u16),
    /// The thread that holds the engraving library has ended.
    #[error("the engraving library is gone; start it again")]
    Gone,
}
