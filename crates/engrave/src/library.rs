//! The bound engraving library: what is asked of it, and nothing else.

use crate::error::EngraveError;
use crate::layout::Percent;
use crate::resources;
use verovio_sys::ffi;

/// The id seed; with the same one the library names its elements alike in every run.
const SEED: i32 = 1;
/// The library's log is process-wide; this level is silence. What went wrong comes back as an error.
const SILENT: i32 = 0;

pub(crate) struct Library {
    toolkit: cxx::UniquePtr<ffi::Toolkit>,
}

/// How lines are broken, and how large the words under the notes are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Breaks {
    /// One endless line in natural spacing, to measure on.
    Endless { words: Percent },
    /// Where the document says, lines this wide.
    /// `spread` holds for all lines of a piece, so that its notes stand alike.
    Encoded { width: f64, last: LastLine, spread: f64, words: Percent },
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum LastLine {
    /// As wide as the others.
    Filled,
    /// In natural spacing.
    Ragged,
}

/// The library's own version.
pub fn version() -> String {
    ffi::enable_log(SILENT);
    ffi::get_version(&ffi::new_toolkit(false))
}

impl Library {
    /// Errors: the library's data cannot be laid out for it.
    pub fn open() -> Result<Library, EngraveError> {
        ffi::enable_log(SILENT);
        let mut toolkit = ffi::new_toolkit(false);
        let read = resources::with_folder(|folder| folder.to_str().is_some_and(|path| ffi::set_resource_path(toolkit.pin_mut(), path)));
        match read {
            Ok(true) => Ok(Library { toolkit }),
            Ok(false) => Err(EngraveError::NoFolder("its name or its files cannot be read".into())),
            Err(e) => Err(EngraveError::NoFolder(e.to_string())),
        }
    }

    /// The pages as the library draws them.
    pub fn draw(&mut self, musicxml: &str, breaks: Breaks) -> Result<Vec<String>, EngraveError> {
        ffi::reset_xml_id_seed(self.toolkit.pin_mut(), SEED);
        let set = ffi::set_options(self.toolkit.pin_mut(), &options(breaks));
        if !set || !ffi::load_data(self.toolkit.pin_mut(), musicxml) {
            return Err(EngraveError::Refused);
        }
        // Drawing an empty document would end the process: it has no pages.
        let pages = ffi::page_count(self.toolkit.pin_mut());
        if pages < 1 {
            return Err(EngraveError::Refused);
        }
        Ok((1..=pages).map(|page| ffi::render_to_svg(self.toolkit.pin_mut(), page, false)).collect())
    }
}

/// Distances are in the library's half staff spaces. Its page is as tall as it can be: pages are made later, from its systems.
fn options(breaks: Breaks) -> String {
    let (mode, width, last, spread) = match breaks {
        Breaks::Endless { .. } => ("none", 20_000.0, 1.0, 1.0),
        Breaks::Encoded { width, last: LastLine::Filled, spread, .. } => ("encoded", width, 0.0, spread),
        Breaks::Encoded { width, last: LastLine::Ragged, spread, .. } => ("encoded", width, 1.0, spread),
    };
    let linear = 0.27 * spread.clamp(1.0, 2.5);
    let unjustified = matches!(breaks, Breaks::Endless { .. });
    let (Breaks::Endless { words } | Breaks::Encoded { words, .. }) = breaks;
    // The library takes words up to this size.
    let lyrics = (4.3 * words.factor()).min(8.0);
    let width = (width / 10.0).round().clamp(400.0, 100_000.0);
    format!(
        r#"{{"breaks":"{mode}","noJustification":{unjustified},"pageWidth":{width},"minLastJustification":{last},
        "pageHeight":60000,"adjustPageHeight":true,"pageMarginLeft":0,"pageMarginRight":0,"pageMarginTop":0,"pageMarginBottom":0,
        "header":"none","footer":"none","systemDivider":"none","svgFormatRaw":true,"smuflTextFont":"none","inputFrom":"xml","scale":100,
        "font":"Leipzig","spacingBraceGroup":10,"spacingLinear":{linear:.3},"spacingNonLinear":0.58,"lyricSize":{lyrics:.2},
        "lyricTopMinMargin":2.5,"lyricHeightFactor":1.1,"harmDist":0.7,"bottomMarginHarm":0.7,"topMarginHarm":0.5,"repeatEndingLineThickness":0.16,"mnumInterval":0}}"#
    )
}
