//! Clients that are slow on purpose: none holds a connection, but the stream of news stays; the clock is tokio's own and leaps where nothing happens. And a page that is slow.

use crate::asking::{Asked, PASS, Plain, TUNE};
use axum::http::StatusCode;
use desk::drawing::{Drawing, Drawn, Layout, NoPage};
use desk::save::RealDisk;
use desk::server::desk::Desk;
use desk::server::guard::Door;
use desk::server::news::News;
use desk::server::pass::Port;
use desk::server::{listen, router};
use desk::shelf::Shelf;
use serde_json::json;
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::Instant;

/// A desk on a port of this machine, and a connection to it.
async fn connected(asked: &Asked) -> (TcpStream, Port) {
    let listener = TcpListener::bind("127.0.0.1:0").await.expect("a free port");
    let port = Port(listener.local_addr().expect("its address").port());
    let router = router(asked.desk.clone(), Door { port, pass: PASS.clone() });
    tokio::spawn(listen::answer(listener, router, std::future::pending()));
    (TcpStream::connect(("127.0.0.1", port.0)).await.expect("the server answers"), port)
}

/// What comes until the connection is closed, and after how long that is.
async fn until_closed(mut stream: TcpStream) -> (String, Duration) {
    let (began, mut text) = (Instant::now(), String::new());
    stream.read_to_string(&mut text).await.expect("what comes is text");
    (text, began.elapsed())
}

fn about(time: Duration, expected: Duration) -> bool {
    time >= expected && time < expected + Duration::from_secs(2)
}

#[tokio::test(start_paused = true)]
async fn a_head_that_never_ends() {
    let asked = Asked::new();
    for beginning in ["", "GET / HTTP/1.1\r\nHost: 127"] {
        let (mut stream, _) = connected(&asked).await;
        stream.write_all(beginning.as_bytes()).await.expect("the server reads");
        let (_, time) = until_closed(stream).await;
        assert!(about(time, listen::HEAD), "{beginning:?}: {time:?}");
    }
}

#[tokio::test(start_paused = true)]
async fn a_head_that_comes_a_letter_at_a_time() {
    let asked = Asked::new();
    let (mut stream, _) = connected(&asked).await;
    let began = Instant::now();
    while stream.write_all(b"x").await.is_ok() {
        assert!(began.elapsed() < 2 * listen::HEAD, "it is still read");
        tokio::time::advance(Duration::from_secs(1)).await;
    }
}

#[tokio::test(start_paused = true)]
async fn a_body_that_never_ends() {
    let asked = Asked::new();
    let (mut stream, port) = connected(&asked).await;
    let (own, cookie) = (format!("127.0.0.1:{}", port.0), PASS.cookie(port));
    let head =
        format!("POST /api/try HTTP/1.1\r\nHost: {own}\r\nOrigin: http://{own}\r\nCookie: {cookie}\r\nContent-Length: 100\r\n\r\n{{");
    stream.write_all(head.as_bytes()).await.expect("the server reads");
    let (text, time) = until_closed(stream).await;
    assert!(text.starts_with("HTTP/1.1 408 ") && text.contains("\"the request took too long to come\""), "{text}");
    assert!(about(time, listen::BODY), "{time:?}");
}

#[tokio::test(start_paused = true)]
async fn the_stream_of_news_stays() {
    let asked = Asked::new();
    let (mut stream, port) = connected(&asked).await;
    let head = format!("GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\nCookie: {}\r\n\r\n", port.0, PASS.cookie(port));
    stream.write_all(head.as_bytes()).await.expect("the server reads");
    let (mut text, began, mut part) = (String::new(), Instant::now(), [0; 512]);
    while began.elapsed() < 10 * (listen::HEAD + listen::BODY) {
        let length = stream.read(&mut part).await.expect("the stream goes on");
        assert_ne!(length, 0, "the stream ended after {:?}: {text}", began.elapsed());
        text += std::str::from_utf8(&part[..length]).expect("text");
    }
    asked.desk.tell(News::Shelf);
    while !text.contains("data: {\"shelf\":true}") {
        let length = stream.read(&mut part).await.expect("the stream goes on");
        assert_ne!(length, 0, "{text}");
        text += std::str::from_utf8(&part[..length]).expect("text");
    }
}

/// Draws as [`Plain`] does, but a tune named "Long" only when it is told to.
struct OneLong {
    begun: std::sync::mpsc::SyncSender<()>,
    told: Mutex<std::sync::mpsc::Receiver<()>>,
}

impl Drawing for OneLong {
    fn draw(&self, musicxml: &str, layout: &Layout) -> Result<Drawn, NoPage> {
        if musicxml.contains(">Long<") {
            self.begun.send(()).expect("the test listens");
            self.told.lock().expect("nobody panicked").recv().expect("the test tells it");
            return Err(NoPage::TooLong(Duration::from_secs(20)));
        }
        Plain.draw(musicxml, layout)
    }

    fn pdf(&self, musicxml: &str, layout: &Layout) -> Result<Vec<u8>, NoPage> {
        Plain.pdf(musicxml, layout)
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_page_that_takes_long_keeps_nobody_waiting_and_is_not_tried_again() {
    let (begun, begins) = std::sync::mpsc::sync_channel(1);
    let (tell, told) = std::sync::mpsc::channel();
    let mut asked = Asked::new();
    std::fs::write(asked.folder.path().join("long.abc"), TUNE.replace("T:The Bakery Door", "T:Long")).expect("the folder takes a tune");
    let shelf = Shelf::open(asked.folder.path(), Box::new(RealDisk)).expect("the folder is there");
    asked.desk = Arc::new(Desk::new(shelf, Arc::new(OneLong { begun, told: Mutex::new(told) })));
    let long = || asked.get("/api/tunes/long.abc/page");
    let others = async {
        tokio::task::spawn_blocking(move || begins.recv().expect("it is begun")).await.expect("no panic");
        let page = asked.get("/api/tunes/door.abc/page").await;
        let saved = asked.choose("octave", json!(1)).await;
        tell.send(()).expect("the long one waits");
        (page.status, saved.status)
    };
    let (answer, others) = tokio::join!(long(), others);
    assert_eq!(others, (StatusCode::OK, StatusCode::OK));
    let sentence = "this page took too long to draw (more than 20 seconds): perhaps a measure of the tune has very many notes";
    assert_eq!((answer.status, answer.error().as_str()), (StatusCode::UNPROCESSABLE_ENTITY, sentence));
    // A second time nobody tells it to end, and it would fail.
    drop(tell);
    assert_eq!(long().await.error(), sentence);
}
