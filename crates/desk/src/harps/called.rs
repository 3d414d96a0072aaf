//! What a harp is called in a sentence. The names of the program's own harps are short words to type ("lever-34"); nobody speaks like that.

use super::PRESETS;

/// Whether a harp is one of the program's own, in its usual tuning or another.
pub fn is_preset(name: &str) -> bool {
    let stem = name.split(' ').next().unwrap_or_default();
    PRESETS.iter().any(|p| p.name == stem)
}

/// "lever-34 in F with F C" is a lever harp with 34 strings, tuned in F, levers on F C; her own names stay.
pub fn called(name: &str) -> String {
    if !is_preset(name) {
        return name.strip_suffix(".toml").unwrap_or(name).to_owned();
    }
    let (stem, changes) = name.split_once(' ').unwrap_or((name, ""));
    let parts: Vec<&str> = stem.split('-').collect();
    let (kind, strings) = (parts[0], parts.get(1).unwrap_or(&""));
    let mut words = format!("{kind} harp with {strings} strings");
    if parts.len() > 2 {
        words += ", a lever on each";
    }
    let (tuning, levers) = changes.split_once("with ").map_or((changes, None), |(tuning, levers)| (tuning, Some(levers)));
    if let Some(tuning) = tuning.trim().strip_prefix("in ") {
        words += &format!(", tuned in {}", tuning.replace("-flat", "♭").replace("-sharp", "♯"));
    }
    if let Some(levers) = levers {
        words += &format!(", levers on {}", levers.trim_start_matches("levers on "));
    }
    words
}

/// The same within a sentence: "a lever harp with 34 strings", or her own harp's name.
pub fn on(name: &str) -> String {
    if is_preset(name) { format!("a {}", called(name)) } else { called(name) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_a_sentence() {
        assert_eq!(on("pedal-47"), "a pedal harp with 47 strings");
        assert_eq!(called("lever-30-full"), "lever harp with 30 strings, a lever on each");
        assert_eq!(called("lever-34 in B-flat with F C"), "lever harp with 34 strings, tuned in B♭, levers on F C");
        assert_eq!(called("lever-26 with levers on B, F and C"), "lever harp with 26 strings, levers on B, F and C");
        assert_eq!(on("Marta's harp"), "Marta's harp");
        assert_eq!(called("my-harp.toml"), "my-harp");
    }
}
