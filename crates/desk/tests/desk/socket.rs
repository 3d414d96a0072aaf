//! Once through a real socket: this machine only, any free port, and a clean end with a tab open.

use crate::asking::Asked;
use desk::server::serve;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;

fn ask(address: &str, path: &str) -> BufReader<TcpStream> {
    let mut stream = TcpStream::connect(address).expect("the server answers");
    write!(stream, "GET {path} HTTP/1.1\r\nHost: {address}\r\n\r\n").expect("the server listens");
    BufReader::new(stream)
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_a_stream_of_news_and_a_clean_end() {
    let asked = Asked::new();
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let (said, address) = std::sync::mpsc::channel();
    let desk = asked.desk.clone();
    let ready = move |text: &str| said.send(text.to_owned()).expect("the test listens");
    let server = tokio::spawn(async move {
        serve(desk, 0, ready, async {
            let _ = stopped.await;
        })
        .await
    });
    let talk = tokio::task::spawn_blocking(move || {
        let url = address.recv().expect("the address is said");
        let address = url.trim_start_matches("http://").trim_end_matches('/').to_owned();
        assert!(address.starts_with("127.0.0.1:"), "{address}");
        let mut line = String::new();
        ask(&address, "/").read_line(&mut line).expect("an answer");
        assert_eq!(line, "HTTP/1.1 200 OK\r\n");
        let mut news = ask(&address, "/api/events");
        let mut head = String::new();
        while head != "\r\n" {
            head.clear();
            news.read_line(&mut head).expect("the stream begins");
        }
        news
    });
    let mut news = talk.await.expect("the talk went well");
    asked.desk.tell(desk::server::events::News::Shelf);
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
    let outcome = serve(asked.desk.clone(), port, |_| (), std::future::pending()).await;
    let text = outcome.expect_err("the port is taken").text().unwrap_or_default().to_owned();
    assert!(text.starts_with(&format!("cannot answer on port {port} of this machine: ")), "{text}");
}
