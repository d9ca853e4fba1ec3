//! A strip drawn on the photo, counted by the program and by hand.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::{At, done};
use serde_json::{Value, json};

/// A strip from the pith of the face straight to the right, to its bark.
fn strip(view: &Value) -> Value {
    let reading = &view["stump"]["reading"];
    let pith = json!([reading["pith"]["x_px"], reading["pith"]["y_px"]]);
    json!({"do": "strip", "from": pith, "to": reading["bark_edge_px"][0], "width": 90.0, "by-hand": null})
}

/// The place so far along the strip of a view.
fn along(view: &Value, at: f64) -> Value {
    let strip = &view["stump"]["marks"]["strip"];
    let end = |name: &str, axis: usize| strip[name][axis].as_f64().unwrap();
    let share = at / view["strip"]["length_px"].as_f64().unwrap();
    let place =
        [0, 1].map(|axis| end("from", axis) + share * (end("to", axis) - end("from", axis)));
    json!(place)
}

fn count(view: &Value) -> u64 {
    view["stump"]["reading"]["count"]["best"]
        .as_u64()
        .unwrap_or(0)
}

async fn refused(at: &At, view: &Value, edit: Value, because: &str) {
    let answer = at.edit("face.jpg", view, &edit).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{edit}");
    let message = answer.json()["error"].as_str().unwrap().to_owned();
    assert!(message.contains(because), "{message}");
}

#[tokio::test]
async fn a_strip_is_counted_by_the_program_and_then_by_hand() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    assert_eq!(view["strip"], Value::Null);
    let whole = count(&view);
    let view = done(&at, &view, strip(&view)).await;
    assert!(count(&view).abs_diff(whole) <= 1);
    assert_eq!(view["counted_along"], "counted along one strip");
    let proposed = view["strip"]["proposed"].as_array().unwrap().len() as u64;
    assert!(proposed.abs_diff(whole) <= 1, "{proposed} proposed");
    let picture = at.get("/api/stumps/face.jpg/strip").send().await;
    assert_eq!(picture.header("content-type"), "image/jpeg");
    let drawn = image::load_from_memory(&picture.bytes).unwrap();
    assert_eq!(drawn.height(), 90);
    assert!(f64::from(drawn.width()) > view["strip"]["length_px"].as_f64().unwrap());

    let view = done(&at, &view, json!({"do": "count-strip", "by-hand": true})).await;
    assert_eq!(count(&view), 0);
    assert_eq!(view["unrolled"], Value::Null);
    // Set, moved, taken away; each is on disk at once.
    let view = done(
        &at,
        &view,
        json!({"do": "set-ring", "at": along(&view, 30.0)}),
    )
    .await;
    let view = done(
        &at,
        &view,
        json!({"do": "set-ring", "at": along(&view, 50.0)}),
    )
    .await;
    assert_eq!(count(&view), 2);
    assert_eq!(view["counted_along"], "counted by hand along one strip");
    let shift = json!({"do": "shift-ring", "from": along(&view, 50.0), "to": along(&view, 44.0)});
    let view = done(&at, &view, shift).await;
    let radius = view["stump"]["reading"]["rings"][1]["radius_px"].as_f64();
    assert!((radius.unwrap() - 44.0).abs() < 0.1, "{radius:?}");
    let rings = |at: &At| at.on_disk("face")["marks"]["strip"]["rings"].clone();
    assert_eq!(rings(&at).as_array().unwrap().len(), 2);
    let view = done(
        &at,
        &view,
        json!({"do": "take-ring", "at": along(&view, 44.0)}),
    )
    .await;
    assert_eq!(count(&view), 1);
    // All that is proposed from the ring that was set outward, and no further back.
    let end = view["strip"]["length_px"].as_f64().unwrap();
    let view = done(
        &at,
        &view,
        json!({"do": "accept-rings", "to": along(&view, end)}),
    )
    .await;
    assert!(count(&view) > 5, "{}", count(&view));
    let before = count(&view);
    let view = at.turn("face.jpg", "undo").await;
    assert_eq!(count(&view), 1);
    let view = at.turn("face.jpg", "redo").await;
    assert_eq!(count(&view), before);
    // The desk ends; nothing is lost.
    let at = at.restarted();
    assert_eq!(count(&at.view("face.jpg").await), before);
    let view = at.view("face.jpg").await;
    let view = done(
        &at,
        &view,
        json!({"do": "take-back", "mark": "strip", "index": 0}),
    )
    .await;
    assert_eq!(count(&view), whole);
}

#[tokio::test]
async fn what_cannot_be_on_a_strip_is_refused_and_changes_nothing() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let edit = |what: &str, place: Value| json!({"do": what, "at": place});
    refused(
        &at,
        &view,
        edit("set-ring", json!([300.0, 300.0])),
        "no strip is drawn",
    )
    .await;
    let short = json!({"do": "strip", "from": [300.0, 300.0], "to": [310.0, 300.0], "width": null, "by-hand": true});
    refused(&at, &view, short, "only 10 pixels long").await;
    let outside = json!({"do": "strip", "from": [300.0, 300.0], "to": [9000.0, 300.0], "width": null, "by-hand": true});
    refused(&at, &view, outside, "far off the face").await;
    let view = done(&at, &view, strip(&view)).await;
    refused(
        &at,
        &view,
        edit("set-ring", along(&view, 40.0)),
        "the program counts",
    )
    .await;
    let view = done(&at, &view, json!({"do": "count-strip", "by-hand": true})).await;
    refused(
        &at,
        &view,
        edit("take-ring", along(&view, 40.0)),
        "no ring is set",
    )
    .await;
    let view = done(&at, &view, edit("set-ring", along(&view, 40.0))).await;
    refused(
        &at,
        &view,
        edit("set-ring", along(&view, 40.4)),
        "set there already",
    )
    .await;
    refused(
        &at,
        &view,
        edit("set-ring", json!([5.0, 5.0])),
        "outside the strip",
    )
    .await;
    refused(
        &at,
        &view,
        json!({"do": "split", "ring": 1}),
        "counted no rings",
    )
    .await;
    assert_eq!(count(&at.view("face.jpg").await), 1);
}

#[tokio::test]
async fn what_is_said_of_the_ends_moves_with_them_and_rings_left_outside_go() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let mut drawn = strip(&view);
    drawn["by-hand"] = json!(true);
    let mut view = done(&at, &view, drawn.clone()).await;
    for place in [40.0, 200.0] {
        view = done(
            &at,
            &view,
            json!({"do": "set-ring", "at": along(&view, place)}),
        )
        .await;
    }
    view = done(&at, &view, json!({"do": "pith", "at": drawn["from"]})).await;
    view = done(&at, &view, json!({"do": "bark", "at": drawn["to"]})).await;
    drawn["to"] = along(&view, 100.0);
    drawn["by-hand"] = Value::Null;
    view = done(&at, &view, drawn.clone()).await;
    let marks = &view["stump"]["marks"];
    assert_eq!(marks["strip"]["rings"].as_array().unwrap().len(), 1);
    assert_eq!(marks["strip"]["by_hand"], true);
    assert_eq!(marks["bark"], json!([drawn["to"]]));
    assert_eq!(marks["pith"], drawn["from"]);
    assert!(view["done"].as_str().unwrap().contains("taken away"));
}

#[tokio::test]
async fn a_photo_that_is_refused_is_counted_by_hand_and_has_a_sheet() {
    let at = At::empty();
    // Nothing to see: no rings are read on it.
    let gray = image::RgbImage::from_fn(400, 300, |x, y| {
        image::Rgb([120 + ((x * 7 + y * 13) % 9) as u8; 3])
    });
    std::fs::write(at.path("face.jpg"), practice::jpeg(&gray, 90)).unwrap();
    let view = at.view("face.jpg").await;
    assert_eq!(view["stump"]["reading"]["readable"], false);
    let drawn = json!({"do": "strip", "from": [60.0, 150.0], "to": [360.0, 150.0], "width": null, "by-hand": true});
    let mut view = done(&at, &view, drawn).await;
    assert_eq!(view["stump"]["reading"]["refusal"]["reason"], "not-counted");
    for ring in 1..=10 {
        let at_ring = along(&view, f64::from(ring) * 28.0);
        view = done(&at, &view, json!({"do": "set-ring", "at": at_ring})).await;
    }
    let felled = json!({"do": "fact", "name": "felled", "text": "2025"});
    let view = done(&at, &view, felled).await;
    assert_eq!(count(&view), 10);
    let options = json!({"what": "sheet-html", "units": "inch", "paper": "letter"});
    let made = at
        .post("/api/stumps/face.jpg/output")
        .body(options.to_string().as_bytes())
        .send()
        .await;
    let address = made.json()["address"].as_str().unwrap().to_owned();
    let sheet = at.get(&address).send().await.text();
    assert!(sheet.contains("counted by hand along one strip"));
}
