//! Invented pages with many marks, as MusicXML from a short form.
//!
//! A measure is two lines, right hand and left. A note is pitches, eighths and fingers from the lowest string: `C4+E4:2:31`; `(` and `)` after it begin and
//! end a bracket, `*` lets it ring, `^` begins and `_` ends a slur, `~` rolls it, `!` says that its lowest pitch cannot be played; `r:2` is a rest. Before a note `<F♯4>` is words, `<damp>`, `<damp C3,E3>`,
//! `<all>` muffle, `<pedals 0,0,-1,0,0,-1,-1>` sets all from C to B, `<p>` is a dynamic, `{G7}` a chord symbol.

/// The page as a score in common time.
pub fn musicxml(measures: &[(&str, &str)], preparation: &str) -> String {
    let mut out = String::from("<score-partwise version=\"4.0\"><work><work-title>Lamps on the Quay</work-title></work>");
    out += &format!("<credit page=\"1\"><credit-type>preparation</credit-type><credit-words>{preparation}</credit-words></credit>");
    out += "<part-list><score-part id=\"P1\"><part-name print-object=\"no\">Harp</part-name></score-part></part-list><part id=\"P1\">";
    for (index, (right, left)) in measures.iter().enumerate() {
        out += &format!("<measure number=\"{}\" id=\"m{index}\">", index + 1);
        if index == 0 {
            out += "<attributes><divisions>2</divisions><key><fifths>-3</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time>\
                <staves>2</staves><clef number=\"1\"><sign>G</sign><line>2</line></clef><clef number=\"2\"><sign>F</sign><line>4</line></clef>\
                </attributes>";
        }
        hand(&mut out, right, 1);
        out += "<backup><duration>8</duration></backup>";
        hand(&mut out, left, 2);
        out += "</measure>";
    }
    out + "</part></score-partwise>"
}

fn hand(out: &mut String, line: &str, staff: u32) {
    let mut rest = line.trim();
    while let Some(first) = rest.chars().next() {
        let end = match first {
            '<' => rest.find('>').map_or(rest.len(), |i| i + 1),
            _ => rest.find(' ').unwrap_or(rest.len()),
        };
        let (token, after) = rest.split_at(end);
        match first {
            '<' => direction(out, &token[1..token.len() - 1], staff),
            '{' => chord_symbol(out, token),
            _ => note(out, token, staff),
        }
        rest = after.trim_start();
    }
}

fn direction(out: &mut String, what: &str, staff: u32) {
    let kind = match what.split_once(' ').unwrap_or((what, "")) {
        ("damp", "") => "<damp/>".to_owned(),
        ("damp", strings) => format!("<damp/></direction-type><direction-type><words>{}</words>", strings.replace(',', " ")),
        ("all", _) => "<damp-all/>".to_owned(),
        ("pedals", alters) => {
            let tuning =
                |(step, alter)| format!("<pedal-tuning><pedal-step>{step}</pedal-step><pedal-alter>{alter}</pedal-alter></pedal-tuning>");
            format!("<harp-pedals>{}</harp-pedals>", "CDEFGAB".chars().zip(alters.split(',')).map(tuning).collect::<String>())
        }
        ("p" | "mf", _) => format!("<dynamics><{what}/></dynamics>"),
        _ => format!("<words>{what}</words>"),
    };
    put_direction(out, &kind, staff);
}

fn put_direction(out: &mut String, kind: &str, staff: u32) {
    let place = if staff == 2 { "below" } else { "above" };
    *out += &format!("<direction placement=\"{place}\"><direction-type>{kind}</direction-type><staff>{staff}</staff></direction>");
}

fn chord_symbol(out: &mut String, token: &str) {
    let name = token.trim_matches(['{', '}']);
    *out += &format!("<harmony><root><root-step>{}</root-step></root><kind text=\"{}\">other</kind></harmony>", &name[..1], &name[1..]);
}

fn note(out: &mut String, token: &str, staff: u32) {
    let signs: Vec<char> = token.chars().filter(|c| "()*^_~!".contains(*c)).collect();
    let plain = token.trim_end_matches(['(', ')', '*', '^', '_', '~', '!']);
    let fields: Vec<&str> = plain.split(':').collect();
    let eighths: u32 = fields[1].parse().expect("eighths");
    let fingers: Vec<char> = fields.get(2).map_or(Vec::new(), |f| f.chars().collect());
    let hook = if staff == 2 { "up" } else { "down" };
    for (sign, end) in [('(', "start"), (')', "stop")].into_iter().filter(|(sign, _)| signs.contains(sign)) {
        assert!("()".contains(sign));
        put_direction(out, &format!("<bracket type=\"{end}\" number=\"{staff}\" line-end=\"{hook}\" line-type=\"solid\"/>"), staff);
    }
    if signs.contains(&'!') {
        put_direction(out, "<words>×</words>", staff);
    }
    for (i, pitch) in fields[0].split('+').enumerate() {
        *out += "<note>";
        *out += if i > 0 { "<chord/>" } else { "" };
        *out += &match pitch {
            "r" => "<rest/>".to_owned(),
            _ => format!("<pitch><step>{}</step><octave>{}</octave></pitch>", &pitch[..1], &pitch[1..]),
        };
        let head = if signs.contains(&'!') && i == 0 && pitch != "r" { "<notehead parentheses=\"yes\">normal</notehead>" } else { "" };
        *out += &format!("<duration>{eighths}</duration><voice>{}</voice>{}{head}<staff>{staff}</staff>", staff * 4 - 3, value(eighths));
        *out += "<notations>";
        *out += if signs.contains(&'*') { "<tied type=\"let-ring\"/>" } else { "" };
        *out += if signs.contains(&'^') && i == 0 { "<slur type=\"start\" placement=\"above\"/>" } else { "" };
        *out += if signs.contains(&'_') && i == 0 { "<slur type=\"stop\"/>" } else { "" };
        *out += &fingers.get(i).map_or(String::new(), |f| format!("<technical><fingering>{f}</fingering></technical>"));
        *out += if signs.contains(&'~') { "<arpeggiate/>" } else { "" };
        *out += "</notations></note>";
    }
}

fn value(eighths: u32) -> &'static str {
    match eighths {
        1 => "<type>eighth</type>",
        2 => "<type>quarter</type>",
        3 => "<type>quarter</type><dot/>",
        4 => "<type>half</type>",
        6 => "<type>half</type><dot/>",
        8 => "<type>whole</type>",
        other => panic!("no value of {other} eighths"),
    }
}
