//! Engraves a MusicXML file: `engrave FILE OUT [DOTS]` writes OUT.pdf, OUT-1.svg, OUT-1.png and so on, and says how long it took.
//! DOTS is the pictures' resolution in dots per inch, 100 if left out.

use engrave::{Engraver, PageLayout};
use std::time::Instant;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let arguments: Vec<String> = std::env::args().collect();
    let (Some(file), Some(out)) = (arguments.get(1), arguments.get(2)) else { return Err("expected FILE OUT [DOTS]".into()) };
    let dots = arguments.get(3).map_or(Ok(100), |dots| dots.parse())?;
    let music = std::fs::read_to_string(file)?;
    let start = Instant::now();
    let engraver = Engraver::start();
    let layout = PageLayout::default();
    engraver.pages(&music, &layout)?;
    let cold = start.elapsed();
    let start = Instant::now();
    let pages = engraver.pages(&music, &layout)?;
    let warm = start.elapsed();
    let start = Instant::now();
    let pdf = pages.pdf();
    println!("{} pages, cold {cold:.0?}, warm {warm:.0?}, PDF {} bytes in {:.0?}", pages.count(), pdf.len(), start.elapsed());
    std::fs::write(format!("{out}.pdf"), pdf)?;
    for (number, svg) in (1..).zip(&pages.svgs) {
        println!("page {number}: SVG {} bytes", svg.len());
        std::fs::write(format!("{out}-{number}.svg"), svg)?;
        std::fs::write(format!("{out}-{number}.png"), pages.png(number, dots)?)?;
    }
    Ok(())
}
