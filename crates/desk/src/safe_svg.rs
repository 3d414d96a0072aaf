//! Pages are shown inside the player's own page, so what is drawn is looked through first: only shapes and their places, no script, no link outside.

use roxmltree::{Document, Node};

const ELEMENTS: [&str; 5] = ["svg", "title", "defs", "g", "path"];
const WORDS: &str = "aria-label";
const ATTRIBUTES: [&str; 16] = [
    "width",
    "height",
    "viewBox",
    "role",
    "id",
    "class",
    "d",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-linecap",
    "stroke-linejoin",
    "stroke-dasharray",
    "transform",
    "x",
    "y",
];
const SVG: &str = "http://www.w3.org/2000/svg";

/// Whether a page holds nothing but what pages hold.
pub fn is_safe(svg: &str) -> bool {
    Document::parse(svg).is_ok_and(|document| document.descendants().filter(Node::is_element).all(|node| harmless(&node)))
}

fn harmless(node: &Node) -> bool {
    let name = node.tag_name();
    let inside = |value: &str| value.starts_with('#') && value[1..].chars().all(|c| c.is_ascii_alphanumeric() || c == '-');
    let own = |a: &roxmltree::Attribute| match a.name() {
        _ if a.namespace().is_some() => false,
        // The words of a line, for reading aloud: whatever she wrote, nothing is fetched or drawn from it.
        WORDS => true,
        "href" => name.name() == "use" && inside(a.value()),
        other => ATTRIBUTES.contains(&other) && !a.value().contains("url("),
    };
    name.namespace() == Some(SVG) && (ELEMENTS.contains(&name.name()) || name.name() == "use") && node.attributes().all(|a| own(&a))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn svg(inside: &str) -> String {
        format!("<svg xmlns=\"{SVG}\" xmlns:xlink=\"http://www.w3.org/1999/xlink\">{inside}</svg>")
    }

    /// SVG 2, 13.1: a reference stands in paint and the like; a label is text.
    #[test]
    fn words_may_look_like_a_reference() {
        assert!(is_safe(&svg("<g aria-label=\"sotto voce url(#x) javascript:1\"><path d=\"M0 0\"/></g>")));
        assert!(!is_safe(&svg("<g aria-label=\"x\" stroke=\"url(#a)\"/>")));
    }

    #[test]
    fn shapes_pass_and_nothing_else() {
        assert!(is_safe(&svg("<title>a &lt;script&gt;</title><g id=\"m1\" class=\"measure\"><use href=\"#m12\" x=\"1\"/></g>")));
        for bad in [
            "<script>1</script>",
            "<g onload=\"1\"/>",
            "<a href=\"#x\"/>",
            "<use href=\"https://example.org/a.svg#b\"/>",
            "<use xlink:href=\"#a\"/>",
            "<foreignObject/>",
            "<style>a{}</style>",
            "<g style=\"fill:red\"/>",
            "<path fill=\"url(#a)\"/>",
            "<script xmlns=\"http://www.w3.org/1999/xhtml\"/>",
            "<g",
        ] {
            assert!(!is_safe(&svg(bad)), "{bad}");
        }
    }
}
