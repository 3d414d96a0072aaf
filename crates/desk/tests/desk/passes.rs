//! Other people on this machine can reach the port too: without the pass they get nothing.

use crate::asking::{Asked, PASS, PORT, with_pass};
use axum::body::Body;
use axum::http::{Method, Request, StatusCode};
use desk::server::pass::Port;

/// As a browser asks that has been here or not, by an address that was typed.
fn typed(path: &str, cookie: Option<&str>) -> Request<Body> {
    let builder = Request::builder().uri(path).header("host", format!("127.0.0.1:{PORT}")).header("sec-fetch-site", "none");
    let builder = cookie.into_iter().fold(builder, |builder, cookie| builder.header("cookie", cookie));
    builder.body(Body::empty()).expect("a request")
}

/// What stands behind the port in an address.
fn path(address: &str) -> &str {
    address.strip_prefix(&format!("http://127.0.0.1:{PORT}")).expect("our own address")
}

#[tokio::test]
async fn without_the_pass_there_is_no_answer() {
    let asked = Asked::new();
    let wrong = PASS.cookie(Port(PORT)).replace('=', "=0");
    for cookie in [None, Some("a=b"), Some(wrong.as_str())] {
        for page in ["/", "/assets/0/main.js", "/nothing", "/?pass=0123", "/?ticket=0123", "/?pass="] {
            let answer = asked.send(typed(page, cookie)).await;
            assert_eq!(
                (answer.status, &answer.headers["content-type"]),
                (StatusCode::FORBIDDEN, &"text/html; charset=utf-8".parse().expect("a value"))
            );
            let text = String::from_utf8(answer.body).expect("a page of text");
            assert!(text.contains("It was printed when Undersong was started"), "{text}");
            assert!(answer.headers.get("set-cookie").is_none(), "{page}");
        }
        for address in ["/api/shelf", "/api/tunes/door.abc", "/api/events", "/api/ticket", "/api/nothing"] {
            let answer = asked.send(typed(address, cookie)).await;
            assert_eq!((answer.status, answer.error()), (StatusCode::FORBIDDEN, "Undersong does not know this tab".into()), "{address}");
        }
    }
    let own = format!("127.0.0.1:{PORT}");
    let binning =
        Request::builder().method(Method::DELETE).uri("/api/tunes/door.abc").header("host", &own).header("origin", format!("http://{own}"));
    assert_eq!(asked.send(binning.body(Body::empty()).expect("a request")).await.status, StatusCode::FORBIDDEN);
    assert_eq!(asked.names(), ["door.abc"]);
}

#[tokio::test]
async fn the_pass_is_changed_for_a_cookie() {
    let asked = Asked::new();
    let once = PASS.address_for_once(Port(PORT)).expect("a ticket");
    for address in [PASS.address(Port(PORT)), PASS.address(Port(PORT)), once.clone()] {
        let answer = asked.send(typed(path(&address), None)).await;
        assert_eq!((answer.status, &answer.headers["location"]), (StatusCode::SEE_OTHER, &"/".parse().expect("a value")));
        let set = answer.headers["set-cookie"].to_str().expect("plain letters");
        assert_eq!(set, format!("{}; HttpOnly; SameSite=Strict; Path=/", PASS.cookie(Port(PORT))));
        assert!(!answer.headers["referrer-policy"].is_empty());
        assert_eq!(asked.send(typed("/", set.split(';').next())).await.status, StatusCode::OK);
    }
    assert_eq!(asked.send(typed(path(&once), None)).await.status, StatusCode::FORBIDDEN, "a ticket is good for once");
    let foreign = Request::builder().uri(path(&PASS.address(Port(PORT)))).header("host", format!("127.0.0.1:{PORT}"));
    let foreign = foreign.header("sec-fetch-site", "cross-site").body(Body::empty()).expect("a request");
    assert!(asked.send(foreign).await.headers.get("set-cookie").is_none());
}

#[tokio::test]
async fn who_has_the_pass_may_ask_for_an_address_that_is_good_for_once() {
    let asked = Asked::new();
    let answer = asked.post("/api/ticket", &serde_json::json!({})).await.json();
    let address = answer["address"].as_str().expect("an address").to_owned();
    assert_eq!(asked.send(typed(path(&address), None)).await.status, StatusCode::SEE_OTHER);
    // The pass alone is not enough: a page of another site has no right to ask.
    let own = with_pass(Method::POST, "/api/ticket").header("host", format!("127.0.0.1:{PORT}")).header("origin", "http://127.0.0.1:1");
    assert_eq!(asked.send(own.body(Body::empty()).expect("a request")).await.status, StatusCode::FORBIDDEN);
}
