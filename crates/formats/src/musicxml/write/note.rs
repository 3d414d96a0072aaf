//! Notes, chords and rests as elements, in the order of the schema.

use super::line::{GraceChord, Head, Line, Piece};
use super::value::Value;
use super::xml::Xml;
use super::{accidental, direction};
use music::{Beats, Decoration, Hand, Hyphen, Note, Syllable};

/// What every note of a hand in a measure has in common.
pub struct Staff<'a> {
    pub hand: Hand,
    /// Start of the ids: `m12-r`.
    pub id: String,
    pub divisions: i64,
    /// Places at which the hand lets its strings ring.
    pub let_ring: &'a [Beats],
}

impl Staff<'_> {
    fn number(&self) -> u32 {
        direction::staff(self.hand)
    }

    fn voice(&self) -> u32 {
        direction::voice(self.hand)
    }
}

/// A time as a whole number of divisions.
pub fn in_divisions(time: Beats, divisions: i64) -> i64 {
    let (numerator, denominator) = time.fraction();
    numerator * (divisions / denominator)
}

/// Writes one piece: its grace notes, then a note for each head, or a rest.
pub fn write(xml: &mut Xml, line: &Line, piece: &Piece, staff: &Staff) {
    for (i, grace) in piece.grace.iter().enumerate() {
        write_grace(xml, line, piece, (i, grace), staff);
    }
    let note = line.note(piece);
    if piece.heads.is_empty() {
        return write_rest(xml, note, piece, staff);
    }
    for (i, head) in piece.heads.iter().enumerate() {
        let first = i == 0;
        xml.within("note", &[("id", &id(piece, i, staff))], |xml| {
            if !first {
                xml.empty("chord", &[]);
            }
            pitch(xml, head);
            xml.text("duration", in_divisions(piece.length, staff.divisions));
            ties(xml, head);
            xml.text("voice", staff.voice());
            value(xml, piece.value);
            printed_accidental(xml, head);
            time_modification(xml, piece);
            notehead(xml, note, head);
            xml.text("staff", staff.number());
            if first {
                beams(xml, &piece.beams);
            }
            notations(xml, note, piece, i, staff);
            if first && piece.part == 0 {
                note.syllables.iter().for_each(|s| lyric(xml, s));
            }
        });
    }
}

fn id(piece: &Piece, head: usize, staff: &Staff) -> String {
    let mut id = format!("{}{}", staff.id, piece.note);
    if piece.part > 0 {
        id += &format!("-t{}", piece.part);
    }
    if head > 0 {
        id += &format!("-p{head}");
    }
    id
}

fn write_rest(xml: &mut Xml, note: &Note, piece: &Piece, staff: &Staff) {
    xml.within("note", &[("id", &id(piece, 0, staff))], |xml| {
        let whole_measure = piece.value.is_none() && piece.at.is_zero();
        if whole_measure {
            xml.empty("rest", &[("measure", &"yes")]);
        } else {
            xml.empty("rest", &[]);
        }
        xml.text("duration", in_divisions(piece.length, staff.divisions));
        xml.text("voice", staff.voice());
        value(xml, piece.value);
        time_modification(xml, piece);
        xml.text("staff", staff.number());
        notations(xml, note, piece, 0, staff);
        if piece.part == 0 {
            note.syllables.iter().for_each(|s| lyric(xml, s));
        }
    });
}

fn write_grace(xml: &mut Xml, line: &Line, piece: &Piece, (index, grace): (usize, &GraceChord), staff: &Staff) {
    for (i, head) in grace.heads.iter().enumerate() {
        let part = if i > 0 { format!("-p{i}") } else { String::new() };
        xml.within("note", &[("id", &format!("{}{}-g{index}{part}", staff.id, piece.note))], |xml| {
            xml.empty("grace", &[("slash", &grace.slash)]);
            if i > 0 {
                xml.empty("chord", &[]);
            }
            pitch(xml, head);
            xml.text("voice", staff.voice());
            value(xml, Some(Value::of_number(grace.value)));
            printed_accidental(xml, head);
            notehead(xml, line.note(piece), head);
            xml.text("staff", staff.number());
            if i == 0 {
                beams(xml, &piece.grace_beams[index]);
            }
        });
    }
}

fn pitch(xml: &mut Xml, head: &Head) {
    xml.within("pitch", &[], |xml| {
        xml.text("step", head.pitch.step.letter());
        if head.pitch.alter != 0 {
            xml.text("alter", head.pitch.alter);
        }
        xml.text("octave", head.pitch.octave.clamp(0, 9));
    });
}

fn ties(xml: &mut Xml, head: &Head) {
    if head.tied_before {
        xml.empty("tie", &[("type", &"stop")]);
    }
    if head.tied_on {
        xml.empty("tie", &[("type", &"start")]);
    }
}

fn value(xml: &mut Xml, value: Option<Value>) {
    if let Some(value) = value {
        xml.text("type", value.name());
        (0..value.dots).for_each(|_| xml.empty("dot", &[]));
    }
}

fn printed_accidental(xml: &mut Xml, head: &Head) {
    if let Some(name) = head.accidental.and_then(accidental::name) {
        xml.text("accidental", name);
    }
}

fn time_modification(xml: &mut Xml, piece: &Piece) {
    if let Some((actual, normal)) = piece.ratio {
        xml.within("time-modification", &[], |xml| {
            xml.text("actual-notes", actual);
            xml.text("normal-notes", normal);
        });
    }
}

/// A pitch that cannot be played stands in parentheses.
fn notehead(xml: &mut Xml, note: &Note, head: &Head) {
    if note.unplayable.contains(&head.pitch) {
        xml.text_with("notehead", &[("parentheses", &"yes")], "normal");
    }
}

fn beams(xml: &mut Xml, beams: &[&str]) {
    for (level, beam) in beams.iter().enumerate() {
        xml.text_with("beam", &[("number", &(level + 1))], beam);
    }
}

/// Signs at the head with this index: ties, rolls and fingers stand at every head, the rest at the first.
fn notations(xml: &mut Xml, note: &Note, piece: &Piece, head: usize, staff: &Staff) {
    let signs = Signs::of(note, piece, head, staff);
    if signs.are_none() {
        return;
    }
    xml.within("notations", &[], |xml| signs.write(xml));
}

/// The signs of one head, by the element that holds them.
#[derive(Default)]
struct Signs {
    tied: Vec<&'static str>,
    slurs: Vec<(u32, &'static str)>,
    tuplet: Vec<(&'static str, &'static str)>,
    ornaments: Vec<&'static str>,
    technical: Vec<&'static str>,
    /// The finger, and the side of the staff it stands on.
    finger: Option<(u8, &'static str)>,
    articulations: Vec<&'static str>,
    fermatas: usize,
    rolled: usize,
    other: Vec<String>,
}

impl Signs {
    fn of(note: &Note, piece: &Piece, index: usize, staff: &Staff) -> Signs {
        let mut signs = Signs::default();
        if let Some(head) = piece.heads.get(index) {
            signs.tied.extend(head.tied_before.then_some("stop"));
            signs.tied.extend(head.tied_on.then_some("start"));
            let rings = piece.is_last_part && !head.tied_on && staff.let_ring.contains(&note.at);
            signs.tied.extend(rings.then_some("let-ring"));
        }
        let rolled = note.rolled || note.decorations.contains(&Decoration::Arpeggio);
        if piece.part == 0 {
            signs.rolled = usize::from(rolled && piece.heads.len() > 1);
            let finger = note.fingers.get(index).filter(|_| !piece.heads.is_empty());
            signs.finger = finger.map(|finger| (*finger, outer_side(staff.hand)));
        }
        if index == 0 {
            signs.add_at_first_head(note, piece);
        }
        signs
    }

    fn add_at_first_head(&mut self, note: &Note, piece: &Piece) {
        self.slurs.extend(piece.slurs_stop.iter().map(|n| (*n, "stop")));
        self.slurs.extend(piece.slurs_start.iter().map(|n| (*n, "start")));
        let beamed = piece.beams.first().is_some_and(|b| *b == "begin");
        self.tuplet.extend(piece.tuplet.starts.then_some(("start", if beamed { "no" } else { "yes" })));
        self.tuplet.extend(piece.tuplet.stops.then_some(("stop", "")));
        for decoration in &note.decorations {
            let at_end = matches!(decoration, Decoration::Fermata | Decoration::Breath);
            if if at_end { piece.is_last_part } else { piece.part == 0 } {
                self.add(decoration);
            }
        }
    }

    fn add(&mut self, decoration: &Decoration) {
        match decoration {
            Decoration::Fermata => self.fermatas = 1,
            Decoration::Breath => self.articulations.push("breath-mark"),
            Decoration::Staccato => self.articulations.push("staccato"),
            Decoration::Tenuto => self.articulations.push("tenuto"),
            Decoration::Accent => self.articulations.push("accent"),
            Decoration::Marcato => self.articulations.push("strong-accent"),
            Decoration::Trill => self.ornaments.push("trill-mark"),
            Decoration::Turn => self.ornaments.push("turn"),
            Decoration::Mordent => self.ornaments.push("mordent"),
            Decoration::InvertedMordent => self.ornaments.push("inverted-mordent"),
            Decoration::UpBow => self.technical.push("up-bow"),
            Decoration::DownBow => self.technical.push("down-bow"),
            Decoration::Other(name) => self.other.push(name.clone()),
            // A roll is a sign of every head; a dynamic is a direction.
            Decoration::Arpeggio | Decoration::Dynamic(_) => {}
        }
    }

    fn are_none(&self) -> bool {
        let lists =
            [self.tied.len(), self.slurs.len(), self.tuplet.len(), self.ornaments.len(), self.technical.len(), self.articulations.len()];
        lists.iter().sum::<usize>() + self.other.len() + self.fermatas + self.rolled == 0 && self.finger.is_none()
    }

    fn write(&self, xml: &mut Xml) {
        self.tied.iter().for_each(|kind| xml.empty("tied", &[("type", kind)]));
        self.slurs.iter().for_each(|(number, kind)| xml.empty("slur", &[("number", number), ("type", kind)]));
        for (kind, bracket) in &self.tuplet {
            match *kind {
                "start" => xml.empty("tuplet", &[("number", &1), ("type", kind), ("bracket", bracket)]),
                _ => xml.empty("tuplet", &[("number", &1), ("type", kind)]),
            }
        }
        list(xml, "ornaments", &self.ornaments);
        if !self.technical.is_empty() || self.finger.is_some() {
            xml.within("technical", &[], |xml| {
                self.technical.iter().for_each(|name| xml.empty(name, &[]));
                self.finger.iter().for_each(|(finger, side)| xml.text_with("fingering", &[("placement", side)], finger));
            });
        }
        list(xml, "articulations", &self.articulations);
        (0..self.fermatas).for_each(|_| xml.empty("fermata", &[("type", &"upright")]));
        (0..self.rolled).for_each(|_| xml.empty("arpeggiate", &[]));
        self.other.iter().for_each(|name| xml.text_with("other-notation", &[("type", &"single")], name));
    }
}

/// Fingers of the right hand stand above, of the left below: the space between the staves is the player's (harp facts 1.5).
fn outer_side(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "above",
        Hand::Left => "below",
    }
}

fn list(xml: &mut Xml, element: &str, names: &[&str]) {
    if !names.is_empty() {
        xml.within(element, &[], |xml| names.iter().for_each(|name| xml.empty(name, &[])));
    }
}

fn lyric(xml: &mut Xml, syllable: &Syllable) {
    let syllabic = match syllable.hyphen {
        Hyphen::Single => "single",
        Hyphen::Begin => "begin",
        Hyphen::Middle => "middle",
        Hyphen::End => "end",
    };
    xml.within("lyric", &[("number", &syllable.verse)], |xml| {
        if syllable.text.is_empty() {
            return xml.empty("extend", &[]);
        }
        xml.text("syllabic", syllabic);
        xml.text("text", &syllable.text);
        // Between syllables of a word the hyphens show the holding.
        if syllable.held && matches!(syllable.hyphen, Hyphen::Single | Hyphen::End) {
            xml.empty("extend", &[]);
        }
    });
}
