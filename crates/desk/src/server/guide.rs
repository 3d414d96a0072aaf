//! The guide for harpists, inside the program: pages made of `docs/guide` when it is built, with their pictures. Static: nothing of hers stands in them, and they need no script.

use super::refusal::Refusal;
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};

/// Every page by its file's name, `index.html` the first.
pub const PAGES: &[(&str, &[u8])] = &include!(concat!(env!("OUT_DIR"), "/guide.rs"));

/// Every picture by its file's name.
pub const PICTURES: &[(&str, &[u8])] = &include!(concat!(env!("OUT_DIR"), "/guide-pictures.rs"));

/// The links of the pages are relative to the folder.
pub async fn folder() -> Redirect {
    Redirect::permanent("/guide/")
}

pub async fn first() -> Response {
    page(Path("index".into())).await
}

pub async fn page(Path(name): Path<String>) -> Response {
    sent(PAGES, &format!("{name}.html"), "text/html; charset=utf-8")
}

pub async fn picture(Path(name): Path<String>) -> Response {
    sent(PICTURES, &name, "image/png")
}

fn sent(all: &'static [(&str, &[u8])], name: &str, kind: &'static str) -> Response {
    match all.iter().find(|(own, _)| *own == name) {
        Some((_, bytes)) => ([(header::CONTENT_TYPE, kind)], *bytes).into_response(),
        None => Refusal::missing("such page of the guide").into_response(),
    }
}
