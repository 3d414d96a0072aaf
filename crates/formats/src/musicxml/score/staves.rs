//! Which two staves of a score are the two hands of the page.
//!
//! Asked for by number, staves count from the top of the page through all parts, or within the part that is asked for. Otherwise they are the
//! first two staves of the first part that has two; in a score of parts with one staff each, the first two parts with notes.

use super::super::document::Part;
use super::super::element::{child_whole, children, has};
use super::super::parts;
use super::ScoreOptions;
use crate::read::ReadError;
use std::collections::BTreeSet;

/// The most staves of one part that are counted.
const MOST_STAVES: i64 = 16;

/// A staff of a part: place in the list of parts, and the staff's number within the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Staff {
    pub part: usize,
    pub number: u32,
}

/// The two hands' staves; a page with one staff has no lower one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chosen {
    pub upper: Staff,
    pub lower: Option<Staff>,
}

/// Why staves could not be chosen.
pub enum Refusal {
    Part(ReadError),
    /// The score has only so many staves.
    NoStaff {
        wanted: u32,
        held: usize,
    },
    /// There is nothing with pitches.
    Silent,
}

/// What a part has, seen without reading it.
struct Look {
    staves: u32,
    pitched: BTreeSet<u32>,
}

pub fn choose(all: &[Part], options: &ScoreOptions) -> Result<Chosen, Refusal> {
    let looks: Vec<Look> = all.iter().map(look).collect();
    let within = options.part.as_deref().map(|wanted| parts::find(all, wanted)).transpose().map_err(Refusal::Part)?;
    let open = |part: &usize| within.is_none_or(|wanted| wanted == *part);
    let staves: Vec<Staff> =
        (0..all.len()).filter(open).flat_map(|part| (1..=looks[part].staves).map(move |number| Staff { part, number })).collect();
    if let Some((upper, lower)) = options.staves {
        return by_number(&staves, upper, lower);
    }
    let sounds = |staff: &&Staff| looks[staff.part].pitched.contains(&staff.number);
    let two = (0..all.len()).filter(open).find(|p| looks[*p].staves >= 2 && !looks[*p].pitched.is_empty());
    let mut row = match two {
        Some(part) => first_two(&staves, part, &looks[part]),
        None => staves.iter().filter(sounds).copied().collect(),
    }
    .into_iter();
    let upper = row.next().ok_or(Refusal::Silent)?;
    Ok(Chosen { upper, lower: row.next() })
}

/// The first two staves with notes; a silent second staff stands where only one has any.
fn first_two(staves: &[Staff], part: usize, look: &Look) -> Vec<Staff> {
    let own = staves.iter().filter(|s| s.part == part);
    if look.pitched.len() >= 2 {
        own.filter(|s| look.pitched.contains(&s.number)).take(2).copied().collect()
    } else {
        own.take(2).copied().collect()
    }
}

fn by_number(staves: &[Staff], upper: u32, lower: u32) -> Result<Chosen, Refusal> {
    let staff = |wanted: u32| {
        let place = usize::try_from(wanted).ok().and_then(|n| n.checked_sub(1));
        place.and_then(|i| staves.get(i)).copied().ok_or(Refusal::NoStaff { wanted, held: staves.len() })
    };
    Ok(Chosen { upper: staff(upper)?, lower: Some(staff(lower)?).filter(|_| upper != lower) })
}

fn look(part: &Part) -> Look {
    let mut look = Look { staves: 1, pitched: BTreeSet::new() };
    for element in part.measures.iter().flat_map(|m| m.content.children()) {
        match element.tag_name().name() {
            "note" => {
                let staff = child_whole(element, "staff").unwrap_or(1).clamp(1, MOST_STAVES) as u32;
                look.staves = look.staves.max(staff);
                if has(element, "pitch") {
                    look.pitched.insert(staff);
                }
            }
            "attributes" => {
                let staves = child_whole(element, "staves").unwrap_or(1).clamp(1, MOST_STAVES) as u32;
                look.staves = look.staves.max(staves);
            }
            _ => {}
        }
    }
    look
}

/// How many notes the measures of a part hold.
pub fn count_notes(part: &Part) -> usize {
    part.measures.iter().map(|m| children(m.content, "note").count()).sum()
}
