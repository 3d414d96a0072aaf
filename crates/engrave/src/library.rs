//! The bound engraving library: what is asked of it, and nothing else.

use crate::error::EngraveError;
use verovio::{LogLevel, Toolkit};

/// The id seed; with the same one the library names its elements alike in every run.
const SEED: u32 = 1;

pub(crate) struct Library {
    toolkit: Toolkit,
}

/// How lines are broken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Breaks {
    /// One endless line in natural spacing, to measure on.
    Endless,
    /// Where the document says, lines this wide.
    Encoded { width: f64, last: LastLine },
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum LastLine {
    /// As wide as the others.
    Filled,
    /// In natural spacing times this, so that its notes are as far apart as those before.
    Ragged(f64),
}

impl Library {
    pub fn open() -> Library {
        verovio::set_log_level(LogLevel::Off);
        Library { toolkit: Toolkit::new() }
    }

    /// Where the library's fonts were unpacked.
    pub fn resources(&self) -> std::path::PathBuf {
        self.toolkit.resource_path().into()
    }

    /// The pages as the library draws them.
    pub fn draw(&mut self, musicxml: &str, breaks: Breaks) -> Result<Vec<String>, EngraveError> {
        self.toolkit.reset_xml_id_seed(SEED);
        self.toolkit.set_options(&options(breaks)).map_err(|_| EngraveError::Refused)?;
        self.toolkit.load_data(musicxml).map_err(|_| EngraveError::Refused)?;
        let pages = self.toolkit.page_count();
        if pages == 0 {
            return Err(EngraveError::Refused);
        }
        let drawn = (1..=pages).map(|page| self.toolkit.render_to_svg(page));
        drawn.collect::<Result<_, _>>().map_err(|e| EngraveError::NoPage(e.to_string()))
    }
}

/// Distances are in the library's half staff spaces. Its page is as tall as it can be: pages are made later, from its systems.
fn options(breaks: Breaks) -> String {
    let (mode, width, last, spread) = match breaks {
        Breaks::Endless => ("none", 20_000.0, 1.0, 1.0),
        Breaks::Encoded { width, last: LastLine::Filled } => ("encoded", width, 0.0, 1.0),
        Breaks::Encoded { width, last: LastLine::Ragged(spread) } => ("encoded", width, 1.0, spread),
    };
    let linear = 0.27 * spread.clamp(1.0, 2.5);
    let unjustified = breaks == Breaks::Endless;
    let width = (width / 10.0).round().clamp(400.0, 100_000.0);
    format!(
        r#"{{"breaks":"{mode}","noJustification":{unjustified},"pageWidth":{width},"minLastJustification":{last},
        "pageHeight":60000,"adjustPageHeight":true,"pageMarginLeft":0,"pageMarginRight":0,"pageMarginTop":0,"pageMarginBottom":0,
        "header":"none","footer":"none","svgFormatRaw":true,"smuflTextFont":"none","inputFrom":"xml","scale":100,
        "font":"Leipzig","spacingBraceGroup":10,"spacingLinear":{linear:.3},"spacingNonLinear":0.58,"lyricSize":4.3,
        "lyricTopMinMargin":2.5,"harmDist":0.7,"bottomMarginHarm":0.7,"topMarginHarm":0.5,"repeatEndingLineThickness":0.16,"mnumInterval":0}}"#
    )
}
