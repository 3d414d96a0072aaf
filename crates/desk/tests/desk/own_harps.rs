//! A harp of her own by the form, and the tunes an empty folder is offered.

use crate::asking::Asked;
use axum::http::StatusCode;
use serde_json::json;

#[tokio::test]
async fn a_harp_is_kept_changed_and_read_again() {
    let asked = Asked::new();
    let form = json!({"name": "Marta's", "lowest": "C3", "strings": 26, "tuning": "Bb", "levers": ["B4", "F"], "pedals": false});
    let made = asked.post("/api/harps", &json!({"form": form, "file": null})).await;
    assert_eq!(made.status, StatusCode::OK, "{}", String::from_utf8_lossy(&made.body));
    let file = made.json()["file"].as_str().expect("a file").to_owned();
    let shown = asked.get(&format!("/api/harps/{}", file.replace(' ', "%20").replace('\'', "%27"))).await.json();
    assert_eq!(shown["form"]["strings"], json!(26));
    assert_eq!(shown["form"]["levers"], json!(["F", "B4"]));
    let mut larger = form.clone();
    larger["strings"] = json!(27);
    let again = asked.post("/api/harps", &json!({"form": larger, "file": file})).await;
    assert_eq!(again.json()["file"], json!(file), "the same file");
    assert_eq!(asked.choose("harp", json!(file)).await.status, StatusCode::OK);
    assert_eq!(asked.tune().await["harp_names"][&file], json!("Marta's"));
    let shelf = asked.get("/api/shelf").await.json();
    assert_eq!(shelf["harp_names"][&file], json!("Marta's"));
}

#[tokio::test]
async fn what_is_no_harp_is_refused_and_nothing_is_written() {
    let asked = Asked::new();
    let before = std::fs::read_dir(asked.folder.path()).expect("the folder").count();
    let form = json!({"name": "mine", "lowest": "C3", "strings": 26, "tuning": "", "levers": [], "pedals": false});
    let wrong = [
        ("strings", json!(60), "a harp of 60 strings: expected 15 to 47"),
        ("name", json!(" "), "needs a name"),
        ("levers", json!(["X"]), "no letter"),
        ("lowest", json!("H2"), "is no string"),
    ];
    for (field, value, said) in wrong {
        let mut form = form.clone();
        form[field] = value;
        let refused = asked.post("/api/harps", &json!({"form": form, "file": null})).await;
        assert!(refused.status.is_client_error() && refused.error().contains(said), "{field}: {}", refused.error());
    }
    assert_eq!(std::fs::read_dir(asked.folder.path()).expect("the folder").count(), before);
    assert_eq!(asked.get("/api/harps/no-such.toml").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_demo_tunes_come_in_beside_what_is_there() {
    let asked = Asked::new();
    let put = asked.post("/api/demo", &json!({})).await;
    assert_eq!(put.json()["ids"].as_array().map(Vec::len), Some(4));
    let shelf = asked.get("/api/shelf").await.json();
    let titles: Vec<&str> = shelf["tunes"].as_array().expect("tunes").iter().filter_map(|t| t["title"].as_str()).collect();
    assert!(titles.len() == 5 && titles.contains(&"The Bakery Door"), "{titles:?}");
}
