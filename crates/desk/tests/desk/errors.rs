//! Every error of every address is JSON with a sentence. The addresses are taken from the router's own text, so that none is forgotten.

use crate::asking::{Answer, Asked, request};
use axum::body::Body;
use axum::http::Method;

const ROUTER: &str = include_str!("../../src/server/mod.rs");

/// The addresses as the router has them, with what stands in braces put in.
fn addresses(id: &str) -> Vec<String> {
    let named = ROUTER.split(".route(\"").skip(1).filter_map(|rest| rest.split('"').next());
    let found: Vec<String> = named
        .map(|a| {
            ["{edition}", "{id}", "{name}", "{index}", "{kind}", "{step}", "{level}", "{number}"]
                .iter()
                .fold(a.to_owned(), |a, brace| a.replace(brace, id))
        })
        .collect();
    // As many as the router has at least: the page, its files, and what is asked about a tune.
    assert!(found.len() > 20 && !found.iter().any(|a| a.contains('{')), "{found:?}");
    found
}

/// A stream that does not end is no error.
fn is_endless(method: &Method, address: &str) -> bool {
    method == Method::GET && address.starts_with("/api/events")
}

fn check(answer: &Answer, method: &Method, address: &str) {
    if answer.status.as_u16() < 400 {
        return;
    }
    let kind = answer.headers.get("content-type").map(|kind| kind.to_str().expect("plain letters"));
    assert_eq!(kind, Some("application/json"), "{method} {address}: {}", answer.status);
    if method != Method::HEAD {
        assert!(!answer.error().is_empty(), "{method} {address}");
    }
}

#[tokio::test]
async fn every_error_is_json() {
    let asked = Asked::new();
    let mut refused = 0;
    let questions = ["", "?staff=a&figure&of=%ff&for=wall&width", "?%ff=%"];
    let bodies = [
        "",
        "{",
        "[]",
        "{\"seen\":1}",
        "{\"seen\":\"\",\"choices\":{},\"text\":\"\",\"place\":\"\",\"change\":\"\",\"usual\":{}}",
        "\u{0}",
    ];
    for id in ["none.abc", "%ff", "..%2fdoor.abc", "-1"] {
        for address in addresses(id).into_iter().chain(["/nothing".into(), "/api".into(), "//".into()]) {
            for method in [Method::GET, Method::HEAD, Method::POST, Method::PUT, Method::DELETE, Method::PATCH, Method::OPTIONS] {
                for question in questions {
                    if is_endless(&method, &address) {
                        continue;
                    }
                    // A wrong question and a wrong body each by itself.
                    for body in if method == Method::GET || !question.is_empty() { &bodies[..1] } else { &bodies } {
                        let answer = asked.ask(method.clone(), &format!("{address}{question}"), *body).await;
                        check(&answer, &method, &address);
                        refused += usize::from(answer.status.as_u16() >= 400);
                    }
                }
            }
        }
    }
    assert!(refused > 1000, "{refused}");
}

#[tokio::test]
async fn what_is_too_large_is_refused_everywhere() {
    let asked = Asked::new();
    let large = vec![b' '; formats::read::LARGEST_FILE + 100_000];
    // A recording and everything together may be larger; the limit of recordings is in `recordings`.
    let small = |a: &String| !a.ends_with("/recording") && !a.ends_with("/import");
    for address in addresses("door.abc").into_iter().filter(small) {
        for method in [Method::POST, Method::PUT] {
            let answer = asked.send(request(method.clone(), &address).body(Body::from(large.clone())).expect("a request")).await;
            assert!([413, 405].contains(&answer.status.as_u16()), "{method} {address}: {}", answer.status);
            check(&answer, &method, &address);
        }
    }
}
