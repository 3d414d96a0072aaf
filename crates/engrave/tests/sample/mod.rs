//! A made-up two-hand piece as MusicXML, of any length: the engraver's tests and benchmark print it.

/// What the sample piece is to have.
pub struct Sample {
    pub title: &'static str,
    pub measures: usize,
    /// Lines of words under the melody.
    pub verses: usize,
}

const SYLLABLES: [&str; 8] = ["Ring", "the", "bell", "for", "the", "mor", "ning", "ferry"];
const CHORDS: [(&str, i8, &str, &str); 4] =
    [("G", 0, "major", ""), ("E", -1, "major", ""), ("F", 1, "half-diminished", "m7b5"), ("D", 0, "dominant", "7")];
const MELODY: [(&str, u8); 6] = [("G", 4), ("A", 4), ("B", 4), ("D", 5), ("C", 5), ("E", 5)];

impl Sample {
    pub fn musicxml(&self) -> String {
        let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?><score-partwise version=\"4.0\"><work><work-title>");
        out += self.title;
        out += "</work-title></work><identification><creator type=\"composer\">Ingrid Sjøgren</creator>\
            <creator type=\"lyricist\">Zoë Pärn</creator><rights>free to copy</rights></identification>\
            <credit page=\"1\"><credit-type>preparation</credit-type><credit-words>34 strings, levers up: F♯, B♭</credit-words></credit>\
            <part-list><score-part id=\"P1\"><part-name print-object=\"no\">Harp</part-name></score-part></part-list><part id=\"P1\">";
        (0..self.measures).for_each(|i| self.measure(&mut out, i));
        out + "</part></score-partwise>"
    }

    fn measure(&self, out: &mut String, i: usize) {
        *out += &format!("<measure number=\"{}\" id=\"m{i}\">", i + 1);
        if i == 0 {
            *out += "<attributes><divisions>2</divisions><key><fifths>1</fifths></key><time><beats>3</beats><beat-type>4</beat-type></time>\
                <staves>2</staves><clef number=\"1\"><sign>G</sign><line>2</line></clef><clef number=\"2\"><sign>F</sign><line>4</line></clef>\
                </attributes><direction placement=\"above\"><direction-type><words font-weight=\"bold\">Gently</words></direction-type>\
                <direction-type><metronome><beat-unit>quarter</beat-unit><per-minute>96</per-minute></metronome></direction-type></direction>";
        }
        if i.is_multiple_of(16) {
            let heading = format!("Verse {}", i / 16 + 1);
            *out += &format!(
                "<direction placement=\"above\"><direction-type><words font-weight=\"bold\">{heading}</words></direction-type></direction>"
            );
        }
        let (step, alter, kind, text) = CHORDS[i % CHORDS.len()];
        *out += &format!(
            "<harmony><root><root-step>{step}</root-step><root-alter>{alter}</root-alter></root><kind text=\"{text}\">{kind}</kind></harmony>"
        );
        for n in 0..3 {
            let (step, octave) = MELODY[(i * 2 + n) % MELODY.len()];
            *out += &format!(
                "<note id=\"m{i}-r{n}\"><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>2</duration><voice>1</voice><type>quarter</type><staff>1</staff>"
            );
            for verse in 0..self.verses {
                let word = SYLLABLES[(i * 3 + n + verse) % SYLLABLES.len()];
                *out += &format!("<lyric number=\"{}\"><syllabic>single</syllabic><text>{word}</text></lyric>", verse + 1);
            }
            *out += "</note>";
        }
        *out += "<backup><duration>6</duration></backup>";
        for (n, (step, octave)) in [("G", 2), ("D", 3), ("B", 3), ("D", 4), ("B", 3), ("D", 3)].into_iter().enumerate() {
            *out += &format!(
                "<note id=\"m{i}-l{n}\"><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>1</duration><voice>5</voice><type>eighth</type><staff>2</staff></note>"
            );
        }
        *out += "</measure>";
    }
}
