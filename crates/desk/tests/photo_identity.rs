//! An entry belongs to one photo: another photo of the same name never gets
//! its marks, and nothing is lost.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::{At, face_jpeg, other_face_jpeg};
use serde_json::json;
use std::fs;

/// A folder in which `image.jpg` was marked and then replaced by another photo.
async fn replaced() -> At {
    let at = At::empty();
    fs::write(at.path("image.jpg"), face_jpeg()).unwrap();
    let mut view = at.view("image.jpg").await;
    for step in [
        json!({"do": "remove", "ring": 5}),
        json!({"do": "fact", "name": "species", "text": "white oak"}),
    ] {
        let answer = at.edit("image.jpg", &view, &step).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
        view = answer.json();
    }
    fs::write(at.path("image.jpg"), other_face_jpeg()).unwrap();
    at
}

#[tokio::test]
async fn another_photo_of_the_same_name_gets_no_marks_and_the_running_desk_sees_it() {
    let at = replaced().await;
    let before = at.on_disk("image");
    let watched = at
        .get("/api/stumps/image.jpg/watch?tab=a")
        .send()
        .await
        .json();
    assert_eq!(watched["photo_changed"], true);
    for at in [
        at.get("/api/stumps/image.jpg"),
        at.get("/api/stumps/image.jpg/photo"),
    ] {
        let answer = at.send().await;
        assert_eq!(answer.status, StatusCode::PRECONDITION_FAILED);
        let body = answer.json();
        let message = body["error"].as_str().unwrap();
        assert!(message.contains("720 by 720"), "{message}");
        assert!(message.contains("500 by 480"), "{message}");
    }
    assert_eq!(at.on_disk("image"), before, "the old entry is as it was");
}

#[tokio::test]
async fn a_new_entry_is_started_and_the_old_one_stays_under_another_name() {
    let at = replaced().await;
    let before = at.on_disk("image");
    let start = at
        .post("/api/stumps/image.jpg/start-entry")
        .body(br#"{"from":"nothing"}"#)
        .send()
        .await;
    assert_eq!(start.status, StatusCode::OK, "{}", start.text());
    let view = start.json();
    assert_eq!(view["size_px"], json!([500, 480]));
    assert_eq!(view["stump"]["marks"]["rings"], json!([]));
    assert_eq!(view["stump"]["facts"]["species"], json!(null));
    assert_eq!(view["undo"], json!(null), "no step of the other photo");
    assert_eq!(at.on_disk("image-earlier"), before);
    assert!(at.path("image-earlier.stump.undo").exists());
    let again = at.view("image.jpg").await;
    assert_eq!(again["stump"], view["stump"]);
    let twice = at
        .post("/api/stumps/image.jpg/start-entry")
        .body(br#"{"from":"nothing"}"#)
        .send()
        .await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn the_same_stump_photographed_again_keeps_its_facts_and_no_marks() {
    let at = replaced().await.restarted();
    let start = at
        .post("/api/stumps/image.jpg/start-entry")
        .body(br#"{"from":"facts"}"#)
        .send()
        .await;
    assert_eq!(start.status, StatusCode::OK, "{}", start.text());
    let view = start.json();
    assert_eq!(view["stump"]["facts"]["species"], "white oak");
    assert_eq!(view["stump"]["marks"]["rings"], json!([]));
}

/// Nothing was entered, so there is nothing to lose: the photo is read again.
#[tokio::test]
async fn a_photo_replaced_before_anything_was_entered_is_simply_read() {
    let at = At::empty();
    fs::write(at.path("image.jpg"), face_jpeg()).unwrap();
    at.view("image.jpg").await;
    fs::write(at.path("image.jpg"), other_face_jpeg()).unwrap();
    let view = at.view("image.jpg").await;
    assert_eq!(view["size_px"], json!([500, 480]));
    assert_eq!(view["stump"], at.on_disk("image"));
}

#[tokio::test]
async fn an_upload_never_takes_the_name_of_an_entry_left_behind() {
    let at = At::empty();
    fs::write(at.path("nw.jpg"), face_jpeg()).unwrap();
    let view = at.view("nw.jpg").await;
    let note = json!({"do": "fact", "name": "note", "text": "by the gate"});
    at.edit("nw.jpg", &view, &note).await;
    fs::rename(at.path("nw.jpg"), at.path("elsewhere")).unwrap();
    let added = at
        .post("/api/photos?name=nw.jpg")
        .body(other_face_jpeg())
        .send()
        .await;
    assert_eq!(added.json()["file"], "nw-2.jpg");
    let view = at.view("nw-2.jpg").await;
    assert_eq!(view["stump"]["facts"]["note"], json!(null));
    assert_eq!(view["size_px"], json!([500, 480]));
}
