//! The page itself: the files of `assets/`, inside the program. The page is asked for each time; what it names has an address with its [`EDITION`] in it and is kept by the browser.

use super::refusal::Refusal;
use axum::extract::Path;
use axum::http::header;
use axum::response::{Html, IntoResponse, Response};

/// Every asset by its name, but for the page.
pub const ASSETS: &[(&str, &[u8])] = &include!(concat!(env!("OUT_DIR"), "/assets.rs"));

/// What stands for the bytes of all assets: `/assets/EDITION/NAME` never means anything else.
pub const EDITION: &str = env!("EDITION");

const INDEX: &str = include_str!(concat!(env!("OUT_DIR"), "/index.html"));

/// For a year, which is as long as one says (RFC 9111, RFC 8246).
const KEPT: &str = "private, max-age=31536000, immutable";

/// The page.
pub async fn index() -> Html<&'static str> {
    Html(INDEX)
}

/// Something the page asks for.
pub async fn asset(Path((edition, name)): Path<(String, String)>) -> Response {
    let found = ASSETS.iter().find(|(own, _)| *own == name && edition == EDITION);
    match (found, kind(&name)) {
        (Some((_, bytes)), Some(kind)) => ([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, KEPT)], *bytes).into_response(),
        _ => Refusal::missing("such page").into_response(),
    }
}

/// The media type of an asset; `None` where it has none that we send.
pub fn kind(name: &str) -> Option<&'static str> {
    Some(match name.rsplit_once('.')?.1 {
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "woff2" => "font/woff2",
        "json" => "application/json",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// What a text names as an asset: `/assets/EDITION/NAME`, or `./NAME` in a module.
    fn named(text: &str) -> BTreeSet<String> {
        let ours = format!("/assets/{EDITION}/");
        let word = |rest: &str| rest.split(|c: char| !(c.is_ascii_alphanumeric() || "._-".contains(c))).next().unwrap_or("").to_owned();
        let places = [ours.as_str(), "\"./"].into_iter().flat_map(|start| text.split(start).skip(1));
        places.map(word).filter(|name| name.contains('.')).collect()
    }

    #[test]
    fn no_asset_is_missing() {
        let own: BTreeSet<&str> = ASSETS.iter().map(|(name, _)| *name).collect();
        let page = [("index.html", INDEX.as_bytes())];
        for (name, bytes) in page.iter().chain(ASSETS).filter(|(name, _)| [".html", ".css", ".js"].iter().any(|e| name.ends_with(e))) {
            let text = std::str::from_utf8(bytes).expect("assets are UTF-8");
            for wanted in named(text) {
                assert!(own.contains(wanted.as_str()), "{name} names {wanted}, which is not there");
            }
        }
        for name in own {
            assert!(kind(name).is_some(), "{name} has no media type");
        }
    }
}
