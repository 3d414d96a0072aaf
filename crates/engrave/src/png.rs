//! A page as a picture.

use crate::error::EngraveError;
use resvg::{tiny_skia, usvg};

/// Draws an SVG page on white paper, as PNG. Errors: a resolution outside 20 to 1200, or no SVG.
pub fn draw(svg: &str, dots_per_inch: u16) -> Result<Vec<u8>, EngraveError> {
    if !(20..=1200).contains(&dots_per_inch) {
        return Err(EngraveError::Resolution(dots_per_inch));
    }
    let tree = usvg::Tree::from_str(svg, &usvg::Options::default()).map_err(|e| EngraveError::NoPage(e.to_string()))?;
    // The drawing library counts 96 dots to an inch.
    let scale = f32::from(dots_per_inch) / 96.0;
    let size = tree.size().to_int_size().scale_by(scale).ok_or(EngraveError::Resolution(dots_per_inch))?;
    let mut picture = tiny_skia::Pixmap::new(size.width(), size.height()).ok_or(EngraveError::Resolution(dots_per_inch))?;
    picture.fill(tiny_skia::Color::WHITE);
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut picture.as_mut());
    picture.encode_png().map_err(|e| EngraveError::NoPage(e.to_string()))
}
