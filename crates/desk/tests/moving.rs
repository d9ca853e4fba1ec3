//! Photos renamed and removed, with everything that belongs to them, and back.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::{Answer, At, face_jpeg};
use serde_json::json;
use std::fs;

async fn marked() -> At {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let answer = at
        .edit("face.jpg", &view, &json!({"do": "keep", "ring": 4}))
        .await;
    assert_eq!(answer.status, StatusCode::OK);
    at
}

async fn rename(at: &At, file: &str, to: &str) -> Answer {
    at.post(&format!("/api/stumps/{file}/rename"))
        .body(json!({"to": to}).to_string().as_bytes())
        .send()
        .await
}

fn files(at: &At) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(at.path("."))
        .unwrap()
        .map(|found| found.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[tokio::test]
async fn a_photo_is_renamed_with_its_entry_and_its_steps_and_back() {
    let at = marked().await;
    let before = at.view("face.jpg").await;
    let answer = rename(&at, "face.jpg", "The yard oak").await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    assert_eq!(answer.json()["file"], "The-yard-oak.jpg");
    assert_eq!(
        files(&at),
        [
            "The-yard-oak.jpg",
            "The-yard-oak.stump.json",
            "The-yard-oak.stump.undo"
        ]
    );
    // Another photo of the old name does not make the entry another photo's.
    fs::write(at.path("face.jpg"), face_jpeg()).unwrap();
    let view = at.view("The-yard-oak.jpg").await;
    assert_eq!(view["stump"]["marks"], before["stump"]["marks"]);
    assert_eq!(view["undo"], "ring 4 kept");
    let taken = rename(&at, "The-yard-oak.jpg", "face").await;
    assert_eq!(taken.status, StatusCode::UNPROCESSABLE_ENTITY);
    let blocked = at.post("/api/undo-move").send().await;
    assert_eq!(blocked.status, StatusCode::UNPROCESSABLE_ENTITY);
    fs::remove_file(at.path("face.jpg")).unwrap();
    let back = at.post("/api/undo-move").send().await;
    assert_eq!(back.json()["file"], "face.jpg", "{}", back.text());
    let again = at.view("face.jpg").await;
    assert_eq!(again["stump"], before["stump"]);
}

#[tokio::test]
async fn a_photo_is_removed_with_what_was_entered_and_brought_back() {
    let at = marked().await;
    let before = at.view("face.jpg").await;
    let removed = at.post("/api/stumps/face.jpg/remove").send().await;
    assert_eq!(removed.status, StatusCode::OK, "{}", removed.text());
    assert_eq!(files(&at), ["removed"]);
    assert!(at.path("removed/face.stump.undo").exists());
    let gone = at.get("/api/stumps/face.jpg").send().await;
    assert_eq!(gone.status, StatusCode::NOT_FOUND);
    let back = at.post("/api/undo-move").send().await;
    assert_eq!(back.status, StatusCode::OK, "{}", back.text());
    assert_eq!(at.view("face.jpg").await["stump"], before["stump"]);
    let nothing = at.post("/api/undo-move").send().await;
    assert_eq!(nothing.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn no_name_leads_out_of_the_folder() {
    let at = marked().await;
    let answer = rename(&at, "face.jpg", "../../away").await;
    assert_eq!(answer.json()["file"], "away.jpg");
    assert!(at.path("away.jpg").exists());
}
