//! Once through a real socket: this machine only, any free port, and a clean end with a tab open.

use crate::asking::Asked;
use desk::server::visit::address_for_once;
use desk::server::wanted::Wanted;
use desk::server::{Opened, serve};
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;

/// Asks as a browser does that keeps a cookie; gives the first line, and what comes after.
fn ask(host: &str, path: &str, cookie: &str) -> (String, BufReader<TcpStream>) {
    let mut stream = TcpStream::connect(host).expect("the server answers");
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\n\r\n").expect("the server listens");
    let (mut line, mut stream) = (String::new(), BufReader::new(stream));
    stream.read_line(&mut line).expect("an answer");
    (line, stream)
}

/// The lines of a head.
fn head(stream: &mut BufReader<TcpStream>) -> Vec<String> {
    let lines = stream.by_ref().lines().map(|line| line.expect("a line of the head"));
    lines.take_while(|line| !line.is_empty()).collect()
}

/// The cookie that an address gives.
fn cookie(host: &str, address: &str) -> String {
    let path = address.strip_prefix("http://").and_then(|a| a.strip_prefix(host)).expect("an address on this host");
    let (line, mut stream) = ask(host, path, "");
    assert_eq!(line, "HTTP/1.1 303 See Other\r\n");
    let head = head(&mut stream);
    let set = head.iter().find_map(|line| line.strip_prefix("set-cookie: ")).expect("a cookie");
    set.split(';').next().expect("its name and value").to_owned()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_a_stream_of_news_and_a_clean_end() {
    let asked = Asked::new();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let (said, address) = std::sync::mpsc::channel();
    let desk = asked.desk.clone();
    let ready = move |opened: &Opened| said.send(opened.address()).expect("the test listens");
    let server = tokio::spawn(async move {
        serve(desk, Wanted::Only(0), ready, async {
            let _ = stopped.await;
        })
        .await
    });
    let talk = tokio::task::spawn_blocking(move || {
        let address = address.recv().expect("the address is said");
        let host = address.trim_start_matches("http://").split('/').next().expect("a host").to_owned();
        assert!(host.starts_with("127.0.0.1:"), "{address}");
        assert_eq!(ask(&host, "/", "").0, "HTTP/1.1 403 Forbidden\r\n");
        let cookie = cookie(&host, &address);
        assert_eq!(ask(&host, "/", &cookie).0, "HTTP/1.1 200 OK\r\n");
        let once = address_for_once(&address).expect("the desk is open");
        assert_eq!(self::cookie(&host, &once), cookie);
        let (_, mut news) = ask(&host, "/api/events", &cookie);
        head(&mut news);
        news
    });
    let mut news = talk.await.expect("the talk went well");
    asked.desk.tell(desk::server::news::News::Shelf);
    stop.send(()).expect("the server waits for its end");
    server.await.expect("no panic").expect("a clean end");
    let mut rest = String::new();
    news.read_to_string(&mut rest).expect("the stream ends");
    assert!(rest.contains("data: {\"shelf\":true}"), "{rest}");
}

#[tokio::test]
async fn a_port_that_is_taken_is_said() {
    let asked = Asked::new();
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
    let port = taken.local_addr().expect("its address").port();
    let outcome = serve(asked.desk.clone(), Wanted::Only(port), |_| (), std::future::pending()).await;
    let text = outcome.expect_err("the port is taken").text().unwrap_or_default().to_owned();
    assert_eq!(text, format!("port {port} is taken by another program: without --port a free one is found"));
}
