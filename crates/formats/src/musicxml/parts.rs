//! Which part holds the melody, and which the chord symbols.
//!
//! The melody is the part the player asked for. Otherwise it is the first pitched part that has chord symbols; but where that part has no words
//! and an earlier pitched part has (a song whose piano carries the symbols), the part with the words. Without chord symbols anywhere it is the
//! first pitched part. Chord symbols come from the melody's part, else from the first part that has any.

use super::document::Part;
use super::element::has;
use crate::read::ReadError;

/// What a part has, seen without reading it.
struct Look {
    pitched: bool,
    harmony: bool,
    lyrics: bool,
}

/// Places in the list of parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chosen {
    pub melody: usize,
    /// The part with the chord symbols, if any has them.
    pub symbols: Option<usize>,
}

/// `None` where no part has pitched notes.
pub fn choose(parts: &[Part], wanted: Option<&str>) -> Result<Option<Chosen>, ReadError> {
    let looks: Vec<Look> = parts.iter().map(look).collect();
    let melody = match wanted {
        Some(wanted) => Some(find(parts, wanted)?).filter(|i| looks[*i].pitched),
        None => likeliest(&looks),
    };
    let harmony = looks.iter().position(|l| l.harmony);
    Ok(melody.map(|melody| Chosen { melody, symbols: if looks[melody].harmony { Some(melody) } else { harmony } }))
}

fn look(part: &Part) -> Look {
    let mut look = Look { pitched: false, harmony: false, lyrics: false };
    for element in part.measures.iter().flat_map(|m| m.content.children()) {
        match element.tag_name().name() {
            "note" => {
                look.pitched |= has(element, "pitch");
                look.lyrics |= has(element, "lyric");
            }
            "harmony" => look.harmony = true,
            _ => {}
        }
    }
    look
}

fn likeliest(looks: &[Look]) -> Option<usize> {
    let first_pitched = looks.iter().position(|l| l.pitched);
    let Some(under) = looks.iter().position(|l| l.pitched && l.harmony) else {
        return first_pitched;
    };
    let sung = looks[..under].iter().position(|l| l.pitched && l.lyrics);
    Some(sung.filter(|_| !looks[under].lyrics).unwrap_or(under))
}

/// The parts with pitched notes, each by the first of its name, its id and its place that finds it; none where there is no choice.
pub fn names(parts: &[Part]) -> Vec<(usize, String)> {
    let pitched = parts.iter().enumerate().filter(|(_, part)| look(part).pitched);
    let named = |(place, part): (usize, &Part)| {
        let texts = [part.name.clone(), part.id.clone(), (place + 1).to_string()];
        let found = texts.into_iter().find(|t| !t.is_empty() && find(parts, t) == Ok(place));
        found.map(|text| (place, text))
    };
    let names: Vec<(usize, String)> = pitched.filter_map(named).collect();
    if names.len() > 1 { names } else { Vec::new() }
}

/// By id, by name in any case, by place from 1; in this order.
pub fn find(parts: &[Part], wanted: &str) -> Result<usize, ReadError> {
    let by_id = parts.iter().position(|p| p.id == wanted);
    let by_name = || parts.iter().position(|p| p.name.to_lowercase() == wanted.to_lowercase());
    let by_place = || wanted.parse::<usize>().ok().filter(|n| (1..=parts.len()).contains(n)).map(|n| n - 1);
    by_id
        .or_else(by_name)
        .or_else(by_place)
        .ok_or_else(|| ReadError::NoSuchPart { wanted: wanted.to_owned(), held: parts.iter().map(|p| p.label().to_owned()).collect() })
}
