//! A whole book of the shelf or of a set: made in the background, told when it is ready, taken home, given up.

use crate::asking::{Asked, TUNE};
use axum::http::StatusCode;
use desk::book::bound::{Book, Bound, Leaf};
use desk::drawing::{Drawing, Drawn, Layout, Leaves, NoPage};
use desk::save::RealDisk;
use desk::server::desk::Desk;
use desk::shelf::Shelf;
use serde_json::{Value, json};
use std::sync::{Arc, Condvar, Mutex};

/// Binds a book as the titles of its tunes, when it may.
#[derive(Default)]
struct Binder {
    may: Mutex<bool>,
    told: Condvar,
}

impl Drawing for Binder {
    fn draw(&self, _: &str, _: &Layout) -> Result<Drawn, NoPage> {
        Ok(Drawn::default())
    }

    fn pdf(&self, _: &str, _: &Layout) -> Result<Vec<u8>, NoPage> {
        Ok(Vec::new())
    }

    fn leaves(&self, _: &str) -> Result<Leaves, NoPage> {
        drop(self.told.wait_while(self.may.lock().expect("no test panics with it"), |may| !*may));
        Ok(Leaves { leaves: vec![Leaf(b"leaf".to_vec())], boxed: Vec::new() })
    }

    fn bind(&self, book: &Book) -> Result<Bound, NoPage> {
        let titles: Vec<&str> = book.tunes.iter().map(|tune| tune.title.as_str()).collect();
        Ok(Bound { pdf: titles.join(", ").into_bytes(), pages: titles.len() + 2, ..Bound::default() })
    }
}

/// Three tunes, one of which cannot be read; nothing is drawn before [`Shelved::go`].
struct Shelved {
    asked: Asked,
    binder: Arc<Binder>,
}

impl Shelved {
    fn new() -> Shelved {
        let asked = Asked::new();
        let binder = Arc::new(Binder::default());
        std::fs::write(asked.folder.path().join("fog.abc"), TUNE.replace("The Bakery Door", "A Fog")).expect("a tune");
        std::fs::write(asked.folder.path().join("bad.abc"), "X:1\nT:Bad\nK:C\n").expect("a text without notes");
        let shelf = Shelf::open(asked.folder.path(), Box::new(RealDisk)).expect("the folder is there");
        let desk = Arc::new(Desk::new(shelf, binder.clone()));
        Shelved { asked: Asked { desk, ..asked }, binder }
    }

    fn go(&self) {
        *self.binder.may.lock().expect("no test panics with it") = true;
        self.binder.told.notify_all();
    }

    /// How the book stands once it is told that it stands otherwise.
    async fn settled(&self, news: &mut tokio::sync::broadcast::Receiver<desk::server::news::News>) -> Value {
        loop {
            let now = self.asked.get("/api/book").await.json();
            if now["state"] != "working" {
                return now;
            }
            news.recv().await.expect("the desk tells");
        }
    }
}

#[tokio::test]
async fn a_book_is_made_told_and_taken_home() {
    let shelved = Shelved::new();
    let asked = &shelved.asked;
    assert_eq!(asked.get("/api/book").await.json(), json!({"state": "none"}));
    let mut news = asked.desk.listen();
    let begun = asked.post("/api/book", &json!({"title": " Evening ", "set": null, "order": null})).await;
    assert_eq!(begun.json()["of"], 3);
    let again = asked.post("/api/book", &json!({"title": "Another", "set": null, "order": null})).await;
    assert_eq!((again.status, again.error().as_str()), (StatusCode::CONFLICT, "a book is being made"));
    assert_eq!(asked.get("/api/book/take").await.status, StatusCode::NOT_FOUND);
    shelved.go();
    let ready = shelved.settled(&mut news).await;
    assert_eq!((&ready["state"], &ready["title"], &ready["words"]), (&json!("ready"), &json!("Evening"), &json!("2 tunes on 4 pages")));
    assert!(ready["left_out"][0].as_str().is_some_and(|line| line.starts_with("bad.abc: ")), "{ready}");
    let taken = asked.get("/api/book/take").await;
    assert_eq!(taken.headers["content-type"], "application/pdf");
    assert!(taken.headers["content-disposition"].to_str().is_ok_and(|name| name.contains("Evening.pdf")));
    assert_eq!(taken.body, b"The Bakery Door, A Fog");
}

#[tokio::test]
async fn a_set_keeps_its_order_and_a_book_is_given_up() {
    let shelved = Shelved::new();
    let asked = &shelved.asked;
    let set = json!({"set": {"title": "Two", "tunes": [{"tune": "fog.abc"}, {"tune": "door.abc"}, {"tune": "fog.abc"}]}, "order": "given"});
    let name = asked.post("/api/sets", &set).await.json()["name"].as_str().expect("a name").to_owned();
    let mut news = asked.desk.listen();
    let of = json!({"title": "", "set": name, "order": null});
    assert_eq!(asked.post("/api/book", &of).await.json()["of"], 2, "a tune that is played twice is printed once");
    asked.ask(axum::http::Method::DELETE, "/api/book", "").await;
    assert_eq!(asked.get("/api/book").await.json(), json!({"state": "none"}));
    asked.post("/api/book", &of).await;
    shelved.go();
    assert_eq!(shelved.settled(&mut news).await["state"], "ready");
    assert_eq!(asked.get("/api/book/take").await.body, b"A Fog, The Bakery Door");
}

#[tokio::test]
async fn what_cannot_be_is_said() {
    let shelved = Shelved::new();
    let asked = &shelved.asked;
    let refused =
        async |title: &str, set: Value, order: Value| asked.post("/api/book", &json!({"title": title, "set": set, "order": order})).await;
    assert_eq!(refused("A", Value::Null, json!("random")).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(refused("A", json!("none.undersong-set.toml"), Value::Null).await.status, StatusCode::NOT_FOUND);
    assert_eq!(asked.get("/api/book").await.json(), json!({"state": "none"}));
}
