//! Who may ask: only pages this server itself has sent to this machine, and only who has its [`Pass`]. Every answer says what a page of ours may do, which is little.
//!
//! A name that was made to point at this machine is told by its Host; a foreign page that posts here by its Origin or its Sec-Fetch-Site; another person on this machine by having no pass.

use super::pass::{Pass, Port};
use super::refusal::Refusal;
use axum::Json;
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{Html, IntoResponse, Response};
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::Instant;

const CONTENT: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; \
    media-src 'self' blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const SAID: [(HeaderName, &str); 6] = [
    (header::CONTENT_SECURITY_POLICY, CONTENT),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (header::CACHE_CONTROL, "no-store"),
];

/// For someone without a pass.
const CLOSED: &str = "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><title>Undersong is closed here</title>\
    <h1>Undersong opens by an address of its own</h1>\
    <p>It was printed when Undersong was started: it begins with <b>http://127.0.0.1</b> and has the word <b>pass</b> in it. Copy all of it into your browser.</p>\
    <p>If you cannot find it, start Undersong once more with the same folder: it opens in your browser by itself.</p></html>";

/// Where she comes in: a port and what lets her through.
#[derive(Clone)]
pub struct Door {
    pub port: Port,
    pub pass: Arc<Pass>,
}

/// Lets a request through or refuses it, and adds to every answer what a page may do.
pub async fn guard(State(door): State<Door>, request: Request, next: Next) -> Response {
    let refused = refuses(door.port, request.method(), request.headers());
    let mut response = match refused {
        Some(refusal) => refusal.into_response(),
        None => match door.lets_in(&request) {
            Way::In => next.run(request).await,
            Way::With(cookie) => with_cookie(&cookie),
            Way::Closed => closed(request.uri().path()),
        },
    };
    for (name, value) in SAID {
        response.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    response
}

/// What becomes of a request.
enum Way {
    In,
    /// Its address had a pass: the browser is to keep it, and to ask again without it.
    With(String),
    Closed,
}

impl Door {
    /// For another start of the program, which has her pass and opens a browser: an address that is good for once.
    pub fn ticket(&self) -> Result<Json<Value>, Refusal> {
        Ok(Json(json!({"address": self.pass.address_for_once(self.port)?})))
    }

    fn lets_in(&self, request: &Request) -> Way {
        let question = request.uri().query().filter(|_| request.uri().path() == "/" && request.method() == Method::GET);
        if question.is_some_and(|question| self.pass.admits(question, Instant::now())) {
            return Way::With(self.pass.cookie(self.port));
        }
        let mut cookies = request.headers().get_all(header::COOKIE).iter().filter_map(|c| c.to_str().ok());
        if cookies.any(|c| self.pass.is_kept_in(c, self.port)) { Way::In } else { Way::Closed }
    }
}

/// No script reads the cookie, no other site's page sends it, and it ends with the browser.
fn with_cookie(cookie: &str) -> Response {
    let cookie = format!("{cookie}; HttpOnly; SameSite=Strict; Path=/");
    (StatusCode::SEE_OTHER, [(header::SET_COOKIE, cookie), (header::LOCATION, "/".to_owned())]).into_response()
}

fn closed(path: &str) -> Response {
    if path.starts_with("/api/") {
        let refusal = Refusal::new(StatusCode::FORBIDDEN, "Undersong does not know this tab");
        return refusal.hint("open the address that Undersong printed when it was started last").into_response();
    }
    (StatusCode::FORBIDDEN, Html(CLOSED)).into_response()
}
fn refuses(port: Port, method: &Method, headers: &HeaderMap) -> Option<Refusal> {
    if !single(headers, header::HOST).is_some_and(|host| is_ours(host, port)) {
        return Some(
            Refusal::new(StatusCode::MISDIRECTED_REQUEST, "this address is not Undersong's").hint("open the address the program printed"),
        );
    }
    let foreign = || Some(Refusal::new(StatusCode::FORBIDDEN, "another page may not ask this"));
    let site = headers.get("sec-fetch-site").map(|s| s.to_str().unwrap_or("?"));
    let own_origin = || single(headers, header::ORIGIN).and_then(|o| o.strip_prefix("http://")).is_some_and(|o| is_ours(o, port));
    let origin = headers.contains_key(header::ORIGIN).then(own_origin);
    let reads = matches!(*method, Method::GET | Method::HEAD);
    match (origin, site) {
        (Some(false), _) => foreign(),
        (_, Some("same-origin")) => None,
        // Typed, or opened from a bookmark.
        (_, Some("none")) if reads => None,
        (_, Some(_)) => foreign(),
        (Some(true), None) => None,
        (None, None) if reads => None,
        (None, None) => foreign(),
    }
}

/// A header that is there once, as text.
fn single(headers: &HeaderMap, name: HeaderName) -> Option<&str> {
    let mut all = headers.get_all(name).iter();
    let first = all.next()?;
    if all.next().is_some() { None } else { first.to_str().ok() }
}

fn is_ours(host: &str, Port(port): Port) -> bool {
    ["127.0.0.1", "localhost"]
        .iter()
        .any(|name| host.strip_prefix(name).is_some_and(|rest| rest.strip_prefix(':') == Some(&port.to_string()[..])))
}
