//! Splits a measure in two where a repeat sign stands inside it; both halves keep the measure's number.

use super::barline::{Repeat, Side, repeat, side};
use super::document::MeasureSource;
use super::measure::Walked;
use super::remarks::Remarks;
use crate::halves::halves;
use music::{Beats, LeadSheet};

/// Splits all such measures; hands back the source of every measure of the sheet.
pub fn at_repeats<'a>(sheet: &mut LeadSheet, measures: &[Walked<'a>], remarks: &mut Remarks) -> Vec<MeasureSource<'a>> {
    let mut sources = Vec::new();
    let mut all = Vec::new();
    for (mut rest, walked) in std::mem::take(&mut sheet.measures).into_iter().zip(measures) {
        let mut taken = Beats::ZERO;
        for (at, element) in walked.barlines.iter().filter(|(at, e)| side(*at, *e, walked) == Side::Middle) {
            let Some(sign) = repeat(*element, remarks) else { continue };
            let here = *at - taken;
            if here <= Beats::ZERO || here >= rest.frame.length {
                continue;
            }
            let (mut first, mut second) = halves(rest, here);
            match sign {
                Repeat::Forward => second.frame.repeat_start = true,
                Repeat::Backward(times) => first.frame.repeat_end = Some(times),
            }
            taken = *at;
            all.push(first);
            sources.push(walked.source);
            rest = second;
        }
        all.push(rest);
        sources.push(walked.source);
    }
    sheet.measures = all;
    sources
}
