//! A stump that was read before is shown as it was saved, before it is unrolled.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::At;
use serde_json::{Value, json};
use std::fs;

async fn saved(at: &At) -> Value {
    let answer = at.get("/api/stumps/face.jpg/saved").send().await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    answer.json()
}

#[tokio::test]
async fn what_was_saved_is_shown_at_once_and_is_what_reading_gives() {
    let at = At::with_face().await;
    let first = saved(&at).await;
    assert_eq!(
        first["complete"], true,
        "nothing is saved yet, so it is read"
    );
    let removed = at
        .edit("face.jpg", &first, &json!({ "do": "remove", "ring": 5 }))
        .await
        .json();
    let entry = fs::read(at.path("face.stump.json")).unwrap();
    let at = at.restarted();
    let quick = saved(&at).await;
    assert_eq!(quick["complete"], false);
    assert_eq!(quick["unrolled"], Value::Null);
    assert_eq!(quick["stump"], removed["stump"]);
    assert_eq!(quick["undo"], removed["undo"]);
    let photo = at.get("/api/stumps/face.jpg/photo?small").send().await;
    assert_eq!(photo.status, StatusCode::OK);
    assert_eq!(
        saved(&at).await["complete"],
        false,
        "pictures of the photo do not wait for it"
    );
    let whole = at.view("face.jpg").await;
    assert_eq!(whole["complete"], true);
    assert_eq!(whole["stump"], quick["stump"]);
    assert_eq!(whole["revision"], quick["revision"], "nothing has changed");
    assert_eq!(whole["unrolled"]["courses"], removed["unrolled"]["courses"]);
    assert_eq!(fs::read(at.path("face.stump.json")).unwrap(), entry);
}

#[tokio::test]
async fn a_mark_on_what_was_saved_is_as_one_on_what_was_read() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let split = json!({ "do": "split", "ring": 7 });
    let wanted = at.edit("face.jpg", &view, &split).await.json();
    at.turn("face.jpg", "undo").await;
    let at = at.restarted();
    let quick = saved(&at).await;
    assert_eq!(quick["complete"], false);
    let made = at.edit("face.jpg", &quick, &split).await.json();
    assert_eq!(made["stump"], wanted["stump"]);
    assert_eq!(made["complete"], true);
}

#[tokio::test]
async fn an_older_reading_is_replaced_and_another_photos_never_shown() {
    let at = At::with_face().await;
    let read = at.view("face.jpg").await;
    let path = at.path("face.stump.json");
    // As an older version may have read it: it is shown until the rings are unrolled.
    let mut old: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
    old["reading"]["count"]["best"] = json!(3);
    fs::write(&path, old.to_string()).unwrap();
    let at = at.restarted();
    let quick = saved(&at).await;
    assert_eq!(quick["stump"]["reading"]["count"]["best"], 3);
    let whole = at.view("face.jpg").await;
    assert_eq!(whole["stump"]["reading"], read["stump"]["reading"]);
    assert!(whole["revision"].as_u64() > quick["revision"].as_u64());
    let kept: Value = serde_json::from_slice(&fs::read(&path).unwrap()).unwrap();
    assert_eq!(kept["reading"]["count"], read["stump"]["reading"]["count"]);
    // Of other bytes: it is read anew before anything is shown.
    old["reading"]["photo"]["sha256"] = json!("0".repeat(64));
    fs::write(&path, old.to_string()).unwrap();
    let at = at.restarted();
    let anew = saved(&at).await;
    assert_eq!(anew["complete"], true);
    assert_eq!(anew["stump"]["reading"], read["stump"]["reading"]);
}
