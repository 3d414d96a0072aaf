//! Who may ask: only pages this server itself has sent to this machine. Every answer says what a page of ours may do, which is little.
//!
//! A name that was made to point at this machine is told by its Host; a foreign page that posts here by its Origin or its Sec-Fetch-Site.

use super::refusal::Refusal;
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

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

/// The port this server answers on.
#[derive(Clone, Copy, Debug)]
pub struct Port(pub u16);

/// Lets a request through or refuses it, and adds to every answer what a page may do.
pub async fn guard(State(port): State<Port>, request: Request, next: Next) -> Response {
    let refused = refuses(port, request.method(), request.headers());
    let mut response = match refused {
        Some(refusal) => refusal.into_response(),
        None => next.run(request).await,
    };
    for (name, value) in SAID {
        response.headers_mut().entry(name).or_insert(HeaderValue::from_static(value));
    }
    response
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
