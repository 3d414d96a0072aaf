//! Makes the pages of the guide from its Markdown: one page a file, in the order of the links in `index.md`, with the list of all pages, the page before and the page after.
//!
//! A heading's id is its words; a link to `NAME.md` leads to `NAME`, so that the same text is read where the sources lie and in the program.

use super::{files_of_kind, name, text};
use markup::escaped;
use pulldown_cmark::{CodeBlockKind, CowStr, Event, Options, Parser, Tag, TagEnd, html};
use std::path::{Path, PathBuf};

const FIRST: &str = "index";

struct Page {
    name: String,
    title: String,
    content: String,
}

/// Writes every page of the folder `docs` into the folder `out`, in the frame of a page. Gives their paths.
pub fn write(docs: &Path, frame: &str, out: &Path) -> Vec<PathBuf> {
    println!("cargo:rerun-if-changed={}", docs.display());
    let pages: Vec<Page> = order(docs).iter().map(|name| page(docs, name)).collect();
    std::fs::create_dir_all(out).expect("the folder for built files can be written");
    let written = |(index, page): (usize, &Page)| {
        let filled = frame
            .replace("{title}", &escaped(&page.title))
            .replace("{pages}", &contents(&pages, page))
            .replace("{steps}", &steps(&pages, index))
            .replace("{content}", &page.content);
        let path = out.join(format!("{}.html", page.name));
        std::fs::write(&path, filled).expect("the folder for built files can be written");
        path
    };
    pages.iter().enumerate().map(written).collect()
}

/// The names of the pages: the first, and then as it links to them.
fn order(docs: &Path) -> Vec<String> {
    let mut names = vec![FIRST.to_owned()];
    let first = text(&docs.join("index.md"));
    for event in Parser::new_ext(&first, Options::ENABLE_TABLES) {
        let Event::Start(Tag::Link { dest_url, .. }) = event else { continue };
        let Some(name) = dest_url.strip_suffix(".md").map(str::to_owned) else { continue };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    for path in files_of_kind(docs, "md") {
        println!("cargo:rerun-if-changed={}", path.display());
        let own = name(&path).trim_end_matches(".md");
        assert!(
            names.iter().any(|known| known == own),
            "docs/guide/{own}.md is not in docs/guide/index.md, which has the order of the pages"
        );
    }
    names
}

fn page(docs: &Path, name: &str) -> Page {
    let markdown = text(&docs.join(format!("{name}.md")));
    let mut events: Vec<Event> = Parser::new_ext(&markdown, Options::ENABLE_TABLES).collect();
    let mut title = String::new();
    let mut ids: Vec<String> = Vec::new();
    for at in 0..events.len() {
        let words = words(&events[at..]);
        let before = at.checked_sub(1).map(|before| events[before].clone());
        match &mut events[at] {
            Event::Start(Tag::Heading { id, .. }) => {
                if title.is_empty() {
                    title.clone_from(&words);
                }
                let own = slug(&words);
                assert!(!ids.contains(&own), "docs/guide/{name}.md has two headings that would have the id {own}");
                *id = Some(CowStr::from(own.clone()));
                ids.push(own);
            }
            Event::Start(Tag::Link { dest_url, .. }) => *dest_url = CowStr::from(address(dest_url)),
            Event::Text(text) if code(before.as_ref()) == Some("rust") => *text = CowStr::from(shown(text)),
            Event::Text(text) if code(before.as_ref()) == Some("sh") => events[at] = Event::InlineHtml(typed(text).into()),
            _ => {}
        }
    }
    let mut content = String::new();
    html::push_html(&mut content, pictures(docs, events).into_iter());
    Page { name: name.to_owned(), title, content }
}

/// What kind of code begins there.
fn code<'a>(event: Option<&'a Event>) -> Option<&'a str> {
    match event {
        Some(Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(mark)))) => mark.split_whitespace().next(),
        _ => None,
    }
}

/// Commands, a line each: on a narrow screen one must be told from the next, and no option is parted from its hyphens.
fn typed(commands: &str) -> String {
    let word = |word: &str| format!("<span class=\"word\">{}</span>", escaped(word));
    let line = |line: &str| format!("<span class=\"typed\">{}</span>", line.split(' ').map(word).collect::<Vec<_>>().join(" "));
    commands.lines().map(line).collect()
}

/// An example without the lines that only make it run.
fn shown(code: &str) -> String {
    code.lines().filter(|line| !line.starts_with("# ")).map(|line| format!("{line}\n")).collect()
}

/// The words from a heading's beginning to its end.
fn words(events: &[Event]) -> String {
    let within = events.iter().take_while(|event| !matches!(event, Event::End(TagEnd::Heading(_))));
    within.filter_map(|event| if let Event::Text(text) | Event::Code(text) = event { Some(text.as_ref()) } else { None }).collect()
}

/// "The diary" becomes "the-diary".
fn slug(words: &str) -> String {
    let letters: String = words.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    letters.split_whitespace().collect::<Vec<_>>().join("-")
}

/// "sets.md#links" becomes "sets#links".
fn address(link: &str) -> String {
    match link.replace(".md", "").as_str() {
        FIRST => "./".to_owned(),
        other => other.to_owned(),
    }
}

/// Every picture with its size, so that the page keeps still while it comes.
fn pictures<'a>(docs: &Path, events: Vec<Event<'a>>) -> Vec<Event<'a>> {
    let mut all = Vec::new();
    let mut open: Option<(String, String)> = None;
    for event in events {
        match (event, &mut open) {
            (Event::Start(Tag::Image { dest_url, .. }), _) => open = Some((dest_url.to_string(), String::new())),
            (Event::End(TagEnd::Image), Some((place, seen))) => {
                let size = size(&docs.join(&*place)).map_or(String::new(), |(wide, high)| format!(" width=\"{wide}\" height=\"{high}\""));
                all.push(Event::InlineHtml(format!("<img src=\"{place}\" alt=\"{}\"{size} loading=\"lazy\">", escaped(seen)).into()));
                open = None;
            }
            (Event::Text(text), Some((_, seen))) => *seen += &text,
            (Event::SoftBreak, Some((_, seen))) => seen.push(' '),
            (_, Some(_)) => {}
            (event, None) => all.push(event),
        }
    }
    all
}

/// Width and height of a PNG: its first chunk is always IHDR (PNG 11.2.1). A picture that is not made yet has none.
fn size(path: &Path) -> Option<(u32, u32)> {
    let bytes = std::fs::read(path).ok()?;
    let number = |from: usize| Some(u32::from_be_bytes(bytes.get(from..from + 4)?.try_into().ok()?));
    Some((number(16)?, number(20)?))
}

fn contents(pages: &[Page], here: &Page) -> String {
    let row = |page: &Page| {
        let current = if page.name == here.name { " aria-current=\"page\"" } else { "" };
        format!("<li><a href=\"{}\"{current}>{}</a></li>\n", address(&page.name), escaped(&page.title))
    };
    pages.iter().map(row).collect()
}

fn steps(pages: &[Page], index: usize) -> String {
    let link = |page: &Page, class: &str, words: &str| {
        format!("<a class=\"{class}\" href=\"{}\"><span>{words}</span> {}</a>\n", address(&page.name), escaped(&page.title))
    };
    let before = index.checked_sub(1).map(|before| link(&pages[before], "before", "Before:")).unwrap_or_default();
    let after = pages.get(index + 1).map(|page| link(page, "after", "Next:")).unwrap_or_default();
    before + &after
}

/// The dark colours of the page's own sheet, for who has no script that chooses them.
pub fn dark(base: &str) -> String {
    let block = base.split_once(":root[data-theme=\"dark\"] {").and_then(|(_, rest)| rest.split_once('}'));
    let (colours, _) = block.expect("base.css has the dark colours in one block");
    format!("/* Made from base.css. */\n@media (prefers-color-scheme: dark) {{ :root:not([data-theme]) {{{colours}}} }}\n")
}
