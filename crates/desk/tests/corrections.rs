//! Facts that contradict each other, notes on years, and marks taken back.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::{At, done};
use serde_json::json;

#[tokio::test]
async fn a_tape_and_a_width_that_contradict_each_other_are_named() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let width = json!({"do": "fact", "name": "across", "text": "24in"});
    let view = done(&at, &view, width).await;
    assert_eq!(view["warnings"], json!([]));
    // Three inches across most of the face, as in a slip of the pen.
    let tape = |length: &str| json!({"do": "tape", "from": [60.0, 360.0], "to": [660.0, 360.0], "length": length});
    let view = done(&at, &view, tape("3in")).await;
    let warning = view["warnings"][0].as_str().unwrap();
    for part in ["3.1 in", "24.0 in", "The tape is used"] {
        assert!(warning.contains(part), "{part}: {warning}");
    }
    let view = done(&at, &view, tape("23.5in")).await;
    assert_eq!(view["warnings"], json!([]));
}

#[tokio::test]
async fn a_note_is_only_on_a_year_of_the_tree() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let felled = json!({"do": "fact", "name": "felled", "text": "2024"});
    let view = done(&at, &view, felled).await;
    for year in [1500, 2_147_483_647_i64] {
        let note = json!({"do": "remember", "year": year, "what": "a dry year"});
        let answer = at.edit("face.jpg", &view, &note).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{year}");
        let message = answer.json()["error"].as_str().unwrap().to_owned();
        assert!(message.contains("is not a year of this tree"), "{message}");
    }
    let note = json!({"do": "remember", "year": 2012, "what": "a dry year"});
    done(&at, &view, note).await;
}

#[tokio::test]
async fn an_error_names_the_accepted_forms_once() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    for (name, text, form) in [
        ("felled", "11/08/2025", "2025-11-08"),
        ("hollow", "12", "24in"),
    ] {
        let fact = json!({"do": "fact", "name": name, "text": text});
        let body = at.edit("face.jpg", &view, &fact).await.json();
        let whole = format!("{} {}", body["error"], body["advice"]);
        assert_eq!(whole.matches(form).count(), 1, "{whole}");
    }
}

#[tokio::test]
async fn one_mark_or_all_of_them_are_taken_back_and_that_can_be_undone() {
    let at = At::with_face().await;
    let plain = at.view("face.jpg").await;
    let mut view = done(
        &at,
        &plain,
        json!({"do": "fact", "name": "note", "text": "by the gate"}),
    )
    .await;
    for ring in [4, 8, 12] {
        view = done(&at, &view, json!({"do": "keep", "ring": ring})).await;
    }
    let marks = view["stump"]["marks"]["rings"].clone();
    let fewer = done(
        &at,
        &view,
        json!({"do": "take-back", "mark": "rings", "index": 1}),
    )
    .await;
    assert_eq!(
        fewer["stump"]["marks"]["rings"],
        json!([marks[0], marks[2]])
    );
    let gone = json!({"do": "take-back", "mark": "bark", "index": 0});
    let answer = at.edit("face.jpg", &fewer, &gone).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    let over = done(&at, &fewer, json!({"do": "start-over"})).await;
    assert_eq!(over["stump"]["marks"], plain["stump"]["marks"]);
    assert_eq!(over["stump"]["facts"]["note"], "by the gate");
    let back = at.turn("face.jpg", "undo").await;
    assert_eq!(back["stump"], fewer["stump"]);
}

#[tokio::test]
async fn a_stump_knows_its_neighbors_in_natural_order() {
    let at = At::empty();
    for name in ["s10.jpg", "s2.jpg", "s1.jpg"] {
        std::fs::write(at.path(name), desk_at::face_jpeg()).unwrap();
    }
    let view = at.view("s2.jpg").await;
    let expected = json!({"previous": "s1.jpg", "next": "s10.jpg", "number": 2, "of": 3});
    assert_eq!(view["neighbors"], expected);
    let listed = at.get("/api/folder").send().await.json();
    let files: Vec<&str> = listed["stumps"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["file"].as_str().unwrap())
        .collect();
    assert_eq!(files, ["s1.jpg", "s2.jpg", "s10.jpg"]);
}
