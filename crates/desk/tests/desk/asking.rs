//! A folder of its own for each test, the router over it, and questions to it.

use axum::body::Body;
use axum::http::{HeaderMap, Method, Request, StatusCode};
use desk::drawing::{Drawing, Drawn, Layout, NoPage};
use desk::save::{Disk, RealDisk};
use desk::server::desk::Desk;
use desk::server::guard::Door;
use desk::server::pass::{Pass, Port};
use desk::server::router;
use desk::shelf::Shelf;
use http_body_util::BodyExt;
use serde_json::{Value, json};
use std::path::Path;
use std::sync::{Arc, LazyLock};
use tempfile::TempDir;
use tower::ServiceExt;

pub const PORT: u16 = 4711;
pub static PASS: LazyLock<Arc<Pass>> = LazyLock::new(|| Arc::new(Pass::new().expect("the system gives randomness")));
pub const TUNE: &str = "X:1\nT:The Bakery Door\nM:4/4\nL:1/4\nQ:1/4=90\nK:G\n\"G\"G A B c|\"C\"e d c2|\"D7\"d c A F|\"G\"G4|\n";

/// Draws a group for every id of the music.
pub struct Plain;

impl Drawing for Plain {
    fn draw(&self, musicxml: &str, _: &Layout) -> Result<Drawn, NoPage> {
        let ids = musicxml.split(" id=\"m").skip(1).filter_map(|rest| rest.split('"').next());
        let groups: String = ids.map(|id| format!("<g id=\"m{id}\"><path d=\"M0 0L1 1\"/></g>")).collect();
        let measures = musicxml.matches("<measure ").count();
        Ok(Drawn {
            svgs: vec![format!("<svg xmlns=\"http://www.w3.org/2000/svg\">{groups}</svg>")],
            pages: vec![1; measures],
            boxed: Vec::new(),
        })
    }

    fn pdf(&self, _: &str, _: &Layout) -> Result<Vec<u8>, NoPage> {
        Ok(b"%PDF-1.7".to_vec())
    }
}

/// A desk over a folder.
pub struct Asked {
    pub folder: TempDir,
    pub desk: Arc<Desk>,
}

pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub body: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("no JSON: {}", String::from_utf8_lossy(&self.body)))
    }

    /// The sentence of a refusal.
    pub fn error(&self) -> String {
        self.json()["error"].as_str().expect("a refusal says why").to_owned()
    }
}

impl Asked {
    /// A folder with one tune, "door.abc".
    pub fn new() -> Asked {
        Asked::on(Box::new(RealDisk))
    }

    pub fn on(disk: Box<dyn Disk>) -> Asked {
        let folder = tempfile::tempdir().expect("a folder for the test");
        std::fs::write(folder.path().join("door.abc"), TUNE).expect("the folder takes a tune");
        Asked { desk: Asked::desk(folder.path(), disk), folder }
    }

    pub fn desk(folder: &Path, disk: Box<dyn Disk>) -> Arc<Desk> {
        Arc::new(Desk::new(Shelf::open(folder, disk).expect("the folder is there"), Arc::new(Plain)))
    }

    /// The program started again over the same folder.
    pub fn again(self) -> Asked {
        Asked { desk: Asked::desk(self.folder.path(), Box::new(RealDisk)), folder: self.folder }
    }

    pub async fn send(&self, request: Request<Body>) -> Answer {
        let door = Door { port: Port(PORT), pass: PASS.clone() };
        let response = router(self.desk.clone(), door).oneshot(request).await.expect("the router answers everything");
        let (parts, body) = response.into_parts();
        let body = body.collect().await.expect("the answer is whole").to_bytes().to_vec();
        Answer { status: parts.status, headers: parts.headers, body }
    }

    /// As our own page asks.
    pub async fn ask(&self, method: Method, path: &str, body: impl Into<Body>) -> Answer {
        self.send(request(method, path).body(body.into()).expect("a request")).await
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.ask(Method::GET, path, Body::empty()).await
    }

    pub async fn post(&self, path: &str, value: &Value) -> Answer {
        self.ask(Method::POST, path, value.to_string()).await
    }

    pub async fn put(&self, path: &str, value: &Value) -> Answer {
        self.ask(Method::PUT, path, value.to_string()).await
    }

    /// The tune as it stands.
    pub async fn tune(&self) -> Value {
        self.get("/api/tunes/door.abc").await.json()
    }

    /// Changes one choice of the tune.
    pub async fn choose(&self, name: &str, value: Value) -> Answer {
        let mut now = self.tune().await;
        now["choices"][name] = value;
        self.put("/api/tunes/door.abc/choices", &json!({"choices": now["choices"], "seen": now["revision"]})).await
    }

    /// The names in the folder.
    pub fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.folder.path()).expect("the folder can be read").flatten();
        let mut names: Vec<String> = entries.filter_map(|e| e.file_name().into_string().ok()).collect();
        names.sort();
        names
    }
}

/// A request with the pass alone.
pub fn with_pass(method: Method, path: &str) -> axum::http::request::Builder {
    Request::builder().method(method).uri(path).header("cookie", PASS.cookie(Port(PORT)))
}

/// A request with what our own page sends along.
pub fn request(method: Method, path: &str) -> axum::http::request::Builder {
    let own = format!("127.0.0.1:{PORT}");
    let builder = with_pass(method.clone(), path).header("host", &own).header("sec-fetch-site", "same-origin");
    if method == Method::GET { builder } else { builder.header("origin", format!("http://{own}")) }
}
