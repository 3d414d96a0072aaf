//! A file that the browser keeps: its name, made of the tune's title.

use super::desk::Look;
use super::percent::encoded;
use crate::names;
use crate::worktable::Worktable;

/// The title as the name of a file, with the version's where there are several: "The Ferry (for the pupil)".
pub(super) fn named(look: &Look, worktable: &Worktable) -> String {
    let title = worktable.job.title();
    names::safe(&if look.versions.several() { format!("{title} ({})", look.version) } else { title })
}

/// The name for every browser (RFC 6266): plain letters, and all of it percent-encoded.
pub(super) fn disposition(name: &str) -> String {
    let plain: String = name.chars().map(|c| if c.is_ascii() && !c.is_ascii_control() && !"\"\\%".contains(c) { c } else { '_' }).collect();
    format!("attachment; filename=\"{plain}\"; filename*=UTF-8''{}", encoded(name))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_for_every_browser() {
        assert_eq!(disposition("Ò \"a\".pdf"), "attachment; filename=\"_ _a_.pdf\"; filename*=UTF-8''%C3%92%20%22a%22.pdf");
    }
}
