//! Who may ask, and what a page may do.

use crate::asking::{Asked, PORT, request, with_pass};
use axum::body::Body;
use axum::http::{Method, Request, StatusCode};
use desk::server::assets::{ASSETS, EDITION};

async fn status(asked: &Asked, request: Request<Body>) -> u16 {
    asked.send(request).await.status.as_u16()
}

#[tokio::test]
async fn another_host_is_refused() {
    let asked = Asked::new();
    for host in ["example.org", "127.0.0.1", "127.0.0.1:1", "localhost:47110", "127.0.0.1:4711.example.org", "localhost", "[::1]:4711", ""]
    {
        let request = with_pass(Method::GET, "/api/shelf").header("host", host).body(Body::empty()).expect("a request");
        assert_eq!(status(&asked, request).await, 421, "{host}");
    }
    let none = with_pass(Method::GET, "/").body(Body::empty()).expect("a request");
    assert_eq!(status(&asked, none).await, 421);
    let two = with_pass(Method::GET, "/").header("host", format!("127.0.0.1:{PORT}")).header("host", "example.org");
    assert_eq!(status(&asked, two.body(Body::empty()).expect("a request")).await, 421);
    let named = with_pass(Method::GET, "/").header("host", format!("localhost:{PORT}")).body(Body::empty()).expect("a request");
    assert_eq!(status(&asked, named).await, 200);
}

#[tokio::test]
async fn another_page_may_neither_change_nor_read() {
    let asked = Asked::new();
    let host = format!("127.0.0.1:{PORT}");
    let changing = |headers: &[(&str, &str)]| {
        let builder = with_pass(Method::DELETE, "/api/tunes/door.abc").header("host", &host);
        let builder = headers.iter().fold(builder, |b, (name, value)| b.header(*name, *value));
        builder.body(Body::empty()).expect("a request")
    };
    for headers in [
        &[][..],
        &[("origin", "http://example.org")],
        &[("origin", "null")],
        &[("origin", "https://127.0.0.1:4711")],
        &[("origin", "http://127.0.0.1:4712")],
        &[("origin", "http://127.0.0.1:4711"), ("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site")],
        &[("sec-fetch-site", "none")],
        &[("origin", "http://example.org"), ("sec-fetch-site", "same-origin")],
    ] {
        assert_eq!(status(&asked, changing(headers)).await, 403, "{headers:?}");
    }
    let reading = with_pass(Method::GET, "/api/shelf").header("host", &host).header("sec-fetch-site", "cross-site");
    assert_eq!(status(&asked, reading.body(Body::empty()).expect("a request")).await, 403);
    assert_eq!(asked.names(), ["door.abc"]);
    for headers in [&[("origin", "http://127.0.0.1:4711")][..], &[("sec-fetch-site", "same-origin")]] {
        assert_ne!(status(&asked, changing(headers)).await, 403, "{headers:?}");
    }
}

#[tokio::test]
async fn every_answer_says_what_a_page_may_do() {
    let asked = Asked::new();
    let refused = with_pass(Method::GET, "/").header("host", "example.org").body(Body::empty()).expect("a request");
    for answer in [asked.get("/").await, asked.get("/api/shelf").await, asked.get("/nothing").await, asked.send(refused).await] {
        let policy = answer.headers["content-security-policy"].to_str().expect("plain letters");
        assert!(policy.starts_with("default-src 'none'; script-src 'self'; style-src 'self';") && !policy.contains("unsafe"), "{policy}");
        assert_eq!(
            (&answer.headers["x-content-type-options"], &answer.headers["referrer-policy"]),
            (&"nosniff".parse().expect("a value"), &"no-referrer".parse().expect("a value"))
        );
    }
}

#[tokio::test]
async fn no_path_leads_out_of_the_folder() {
    let asked = Asked::new();
    let outside = asked.folder.path().parent().expect("a folder above").join("outside-of-the-desk.abc");
    std::fs::create_dir_all(asked.folder.path().join("inner")).expect("a folder in the folder");
    std::fs::write(asked.folder.path().join("inner/deep.abc"), crate::asking::TUNE).expect("a tune in it");
    for id in [
        "..%2Foutside-of-the-desk.abc",
        "%2e%2e%2foutside-of-the-desk.abc",
        "..%5Coutside.abc",
        "..%252Foutside-of-the-desk.abc",
        "inner%2Fdeep.abc",
        "%2Fetc%2Fpasswd",
        ".%2Fdoor.abc",
        "door.abc%00.abc",
        "door.abc.undersong.toml",
        "..",
        "%2e%2e",
        "C%3A%5Cdoor.abc",
        "%ff.abc",
    ] {
        for (method, rest) in
            [(Method::GET, ""), (Method::GET, "/text"), (Method::GET, "/page"), (Method::DELETE, ""), (Method::POST, "/undo")]
        {
            let answer = asked.ask(method, &format!("/api/tunes/{id}{rest}"), Body::empty()).await;
            assert!(
                matches!(answer.status, StatusCode::NOT_FOUND | StatusCode::BAD_REQUEST | StatusCode::METHOD_NOT_ALLOWED),
                "{id}{rest}: {}",
                answer.status
            );
        }
    }
    for name in ["..%2FCargo.toml", "%2e%2e%2fCargo.toml", "..%2Fassets.rs"] {
        assert_eq!(asked.get(&format!("/assets/{EDITION}/{name}")).await.status, StatusCode::NOT_FOUND, "{name}");
        assert_eq!(asked.get(&format!("/api/sample/{name}.wav")).await.status, StatusCode::NOT_FOUND, "{name}");
    }
    assert!(!outside.exists());
}

#[cfg(unix)]
#[tokio::test]
async fn a_link_out_of_the_folder_is_no_tune() {
    let asked = Asked::new();
    let elsewhere = tempfile::tempdir().expect("another folder");
    let target = elsewhere.path().join("secret.abc");
    std::fs::write(&target, crate::asking::TUNE).expect("a tune elsewhere");
    std::os::unix::fs::symlink(&target, asked.folder.path().join("link.abc")).expect("a link");
    assert_eq!(asked.get("/api/tunes/link.abc/text").await.status, StatusCode::NOT_FOUND);
    assert_eq!(asked.get("/api/shelf").await.json()["tunes"].as_array().map(Vec::len), Some(1));
}

#[tokio::test]
async fn the_page_and_its_assets_are_there() {
    let asked = Asked::new();
    for (name, _) in ASSETS {
        let asset = asked.get(&format!("/assets/{EDITION}/{name}")).await;
        assert_eq!(
            (asset.status, &asset.headers["cache-control"]),
            (StatusCode::OK, &"private, max-age=31536000, immutable".parse().expect("a value"))
        );
        for other in [format!("/assets/{name}"), format!("/assets/0{EDITION}/{name}")] {
            assert_eq!(asked.get(&other).await.status, StatusCode::NOT_FOUND, "{other}");
        }
    }
    let page = asked.get("/").await;
    assert_eq!((page.status, page.headers["content-type"].to_str().ok()), (StatusCode::OK, Some("text/html; charset=utf-8")));
    assert_eq!(page.headers["cache-control"], "no-store");
    let text = String::from_utf8(page.body).expect("a page of text");
    for (name, _) in ASSETS.iter().filter(|(name, _)| name.ends_with(".js") && *name != "guide.js") {
        assert!(text.contains(&format!("<link rel=\"modulepreload\" href=\"/assets/{EDITION}/{name}\">")), "{name} is asked for late");
    }
    assert_eq!(asked.send(request(Method::POST, "/").body(Body::empty()).expect("a request")).await.status, StatusCode::METHOD_NOT_ALLOWED);
}
