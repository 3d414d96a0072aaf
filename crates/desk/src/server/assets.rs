//! The page itself: the files of `assets/`, inside the program.

use super::refusal::Refusal;
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// Every asset by its name.
pub const ASSETS: &[(&str, &[u8])] = &include!(concat!(env!("OUT_DIR"), "/assets.rs"));

/// The page.
pub async fn index() -> Response {
    asset(Path("index.html".into())).await
}

pub async fn asset(Path(name): Path<String>) -> Response {
    let found = ASSETS.iter().find(|(own, _)| *own == name);
    match (found, kind(&name)) {
        (Some((_, bytes)), Some(kind)) => ([(header::CONTENT_TYPE, kind)], *bytes).into_response(),
        _ => Refusal::missing("such page").into_response(),
    }
}

/// The media type of an asset; `None` where it has none that we send.
pub fn kind(name: &str) -> Option<&'static str> {
    Some(match name.rsplit_once('.')?.1 {
        "html" => "text/html; charset=utf-8",
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

    /// What a text names as an asset: `/assets/NAME`, or `./NAME` in a module.
    fn named(text: &str) -> BTreeSet<String> {
        let word = |rest: &str| rest.split(|c: char| !(c.is_ascii_alphanumeric() || "._-".contains(c))).next().unwrap_or("").to_owned();
        let places = ["/assets/", "\"./"].into_iter().flat_map(|start| text.split(start).skip(1));
        places.map(word).filter(|name| name.contains('.')).collect()
    }

    #[test]
    fn no_asset_is_missing() {
        let own: BTreeSet<&str> = ASSETS.iter().map(|(name, _)| *name).collect();
        assert!(own.contains("index.html"));
        for (name, bytes) in ASSETS.iter().filter(|(name, _)| [".html", ".css", ".js"].iter().any(|e| name.ends_with(e))) {
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
