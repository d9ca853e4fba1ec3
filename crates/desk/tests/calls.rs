//! Every call to the desk, without a socket or a browser.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::{At, face_jpeg};
use serde_json::{Value, json};
use std::fs;

fn rings(view: &Value) -> usize {
    view["stump"]["reading"]["rings"].as_array().unwrap().len()
}

/// A place halfway between two rings, at the first step of angle.
fn between(view: &Value, inner: usize, outer: usize) -> Value {
    let place = |ring: usize, axis: usize| {
        view["stump"]["reading"]["rings"][ring]["outline_px"][0][axis]
            .as_f64()
            .unwrap()
    };
    let middle = |axis| (place(inner, axis) + place(outer, axis)) / 2.0;
    json!([middle(0), middle(1)])
}

#[tokio::test]
async fn nothing_is_answered_without_a_key() {
    let at = At::with_face().await;
    for path in [
        "/api/folder",
        "/api/species",
        "/api/stumps/face.jpg",
        "/api/stumps/face.jpg/photo",
        "/api/stumps/face.jpg/thumb",
        "/api/stumps/face.jpg/unrolled",
        "/api/stumps/face.jpg/field",
        "/api/stumps/face.jpg/intensity",
        "/api/stumps/face.jpg/watch?tab=a",
        "/api/stumps/face.jpg/progress",
    ] {
        let answer = at.get(path).key("").send().await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{path}");
        let guess = at.get(path).key("0123456789abcdef").send().await;
        assert_eq!(guess.status, StatusCode::UNAUTHORIZED, "{path}");
    }
    for path in [
        "/api/photos?name=a.jpg",
        "/api/stumps/face.jpg/edit",
        "/api/stumps/face.jpg/undo",
        "/api/stumps/face.jpg/redo",
        "/api/stumps/face.jpg/stop",
        "/api/stumps/face.jpg/output",
        "/api/stumps/face.jpg/start-entry",
    ] {
        let answer = at.post(path).key("").body(b"{}").send().await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{path}");
    }
    assert_eq!(at.get("/api/folder").send().await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_printed_key_opens_one_browser_and_is_spent() {
    let at = At::empty();
    let printed = at.printed_key();
    let first = at.post("/api/enter").key(&printed).send().await;
    assert_eq!(first.status, StatusCode::OK);
    let own = first.json()["key"].as_str().unwrap().to_owned();
    assert_eq!(
        at.get("/api/folder").key(&own).send().await.status,
        StatusCode::OK
    );
    let second = at.post("/api/enter").key(&printed).send().await;
    assert_eq!(second.status, StatusCode::UNAUTHORIZED);
    assert_ne!(at.printed_key(), printed, "the next browser needs another");
}

#[tokio::test]
async fn a_foreign_host_or_origin_is_refused_even_with_the_key() {
    let at = At::with_face().await;
    for (name, value) in [
        ("host", "stump.example"),
        ("host", "127.0.0.1:80"),
        ("host", "127.0.0.1.stump.example:4000"),
        ("origin", "http://stump.example"),
        ("origin", "https://127.0.0.1:4000"),
        ("origin", "null"),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
    ] {
        for path in ["/api/folder", "/"] {
            let answer = at.get(path).header(name, value).send().await;
            assert_eq!(
                answer.status,
                StatusCode::FORBIDDEN,
                "{path} {name}: {value}"
            );
        }
    }
}

#[tokio::test]
async fn every_answer_forbids_what_comes_from_elsewhere() {
    let at = At::with_face().await;
    for path in [
        "/",
        "/desk.js",
        "/nothing",
        "/api/folder",
        "/api/nothing",
        "/regular.ttf",
    ] {
        let answer = at.get(path).send().await;
        let policy = answer.header("content-security-policy");
        assert!(policy.starts_with("default-src 'none'"), "{path}: {policy}");
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff");
        assert_eq!(answer.header("referrer-policy"), "no-referrer");
        assert_eq!(answer.header("access-control-allow-origin"), "");
    }
}

#[tokio::test]
async fn the_page_names_nothing_outside_itself() {
    let at = At::empty();
    let page = at.get("/").send().await.text();
    assert!(page.contains("Stumpbook"));
    for path in [
        "/",
        "/desk.css",
        "/desk.js",
        "/api.js",
        "/unrolled.js",
        "/photo.js",
    ] {
        let text = at.get(path).send().await.text();
        let outside = text
            .split(['"', '\'', '(', ' '])
            .find(|word| word.starts_with("http") && !word.contains("www.w3.org"));
        assert_eq!(outside, None, "{path}");
    }
    let again = at.get("/desk.js").send().await;
    let tag = again.header("etag").to_owned();
    let known = at
        .get("/desk.js")
        .header("if-none-match", &tag)
        .send()
        .await;
    assert_eq!(known.status, StatusCode::NOT_MODIFIED);
}

#[tokio::test]
async fn no_name_leads_out_of_the_folder() {
    let at = At::with_face().await;
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("away.jpg"), face_jpeg()).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(outside.path().join("away.jpg"), at.path("link.jpg")).unwrap();
    let whole = format!("{}/away.jpg", outside.path().display()).replace('/', "%2F");
    for name in [
        "link.jpg",
        "..%2Faway.jpg",
        "%2E%2E",
        "..%5Caway.jpg",
        ".%2Fface.jpg",
        &whole,
        "face.stump.json",
    ] {
        for tail in ["", "/photo", "/thumb", "/unrolled", "/watch?tab=a"] {
            let path = format!("/api/stumps/{name}{tail}");
            let answer = at.get(&path).send().await;
            assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        }
        let path = format!("/api/stumps/{name}/edit");
        let body = br#"{"revision":1,"edit":{"do":"clear-bark"}}"#;
        let answer = at.post(&path).body(body).send().await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
    }
    for path in [
        "/../Cargo.toml",
        "/..%2f..%2fetc%2fpasswd",
        "/assets/desk.js",
    ] {
        assert_eq!(
            at.get(path).send().await.status,
            StatusCode::NOT_FOUND,
            "{path}"
        );
    }
    let listed = at.get("/api/folder").send().await.json();
    assert_eq!(listed["stumps"].as_array().unwrap().len(), 1, "{listed}");
}

#[tokio::test]
async fn marks_are_saved_undone_and_redone() {
    let at = At::with_face().await;
    let plain = at.view("face.jpg").await;
    let count = rings(&plain);
    assert!(count > 15, "{count}");
    let mut views = vec![plain.clone()];
    let steps = [
        json!({"do": "add", "at": between(&plain, 8, 9)}),
        json!({"do": "remove", "ring": 5}),
        json!({"do": "keep", "ring": 12}),
        json!({"do": "split", "ring": 15}),
        json!({"do": "fact", "name": "felled", "text": "2025-11-08"}),
        json!({"do": "remember", "year": 2012, "what": "a dry year"}),
    ];
    for step in &steps {
        let now = views.last().unwrap();
        let next = at.edit("face.jpg", now, step).await;
        assert_eq!(next.status, StatusCode::OK, "{step}: {}", next.text());
        let next = next.json();
        assert_eq!(
            next["stump"],
            at.on_disk("face"),
            "{step}: what is shown is saved"
        );
        views.push(next);
    }
    assert_eq!(rings(&views[1]), count + 1);
    assert_eq!(rings(&views[2]), count);
    assert_eq!(rings(&views[3]), count);
    assert_eq!(rings(&views[4]), count + 1);
    assert_eq!(
        views[6]["stump"]["facts"]["remembered"][0]["what"],
        "a dry year"
    );
    let last = views[6]["stump"]["reading"]["rings"]
        .as_array()
        .unwrap()
        .last()
        .unwrap();
    assert_eq!(last["year"], 2025);

    for step in (0..steps.len()).rev() {
        let now = at.turn("face.jpg", "undo").await;
        assert_eq!(now["stump"], views[step]["stump"], "undone to step {step}");
        assert_eq!(now["stump"], at.on_disk("face"));
    }
    for view in &views[1..] {
        let now = at.turn("face.jpg", "redo").await;
        assert_eq!(now["stump"], view["stump"]);
    }
    assert!(
        at.get("/api/folder").send().await.json()["stumps"][0]["missing"]
            .as_array()
            .unwrap()
            .contains(&json!("height of cut"))
    );
}

#[tokio::test]
async fn a_mark_moved_removed_or_joined_does_what_it_says() {
    let at = At::with_face().await;
    let plain = at.view("face.jpg").await;
    let count = rings(&plain);
    // Moved outward by a third of the way to the next ring, and it stays there.
    let to = {
        let place = |ring: usize, axis: usize| {
            plain["stump"]["reading"]["rings"][ring]["outline_px"][30][axis]
                .as_f64()
                .unwrap()
        };
        json!([
            0.6 * place(9, 0) + 0.4 * place(10, 0),
            0.6 * place(9, 1) + 0.4 * place(10, 1)
        ])
    };
    let moved = at
        .edit(
            "face.jpg",
            &plain,
            &json!({"do": "move", "ring": 10, "to": to}),
        )
        .await
        .json();
    assert_eq!(rings(&moved), count);
    let radius = |view: &Value| {
        view["stump"]["reading"]["rings"][9]["radius_px"]
            .as_f64()
            .unwrap()
    };
    assert!(radius(&moved) > radius(&plain) + 2.0);
    let joined = at
        .edit(
            "face.jpg",
            &moved,
            &json!({"do": "join", "ring": 3, "with": 4, "at": null, "also": null}),
        )
        .await
        .json();
    assert_eq!(rings(&joined), count - 1);
    assert_eq!(
        joined["stump"]["marks"]["joined"].as_array().unwrap().len(),
        1
    );
    // Removing the joined ring takes the join back and keeps the line away.
    let gone = at
        .edit("face.jpg", &joined, &json!({"do": "remove", "ring": 3}))
        .await
        .json();
    assert_eq!(
        gone["stump"]["marks"]["joined"].as_array().unwrap().len(),
        0
    );
    for wrong in [
        json!({"do": "remove", "ring": 999}),
        json!({"do": "remove", "ring": rings(&gone)}),
        json!({"do": "join", "ring": 3, "with": 5, "at": null, "also": null}),
        json!({"do": "move", "ring": 3, "to": between(&gone, 8, 9)}),
        json!({"do": "add", "at": [1e9, 0.0]}),
        json!({"do": "pith", "at": [-1e6, 3.0]}),
        json!({"do": "unreadable", "area": [[1.0, 1.0]]}),
        json!({"do": "tape", "from": [10.0, 10.0], "to": [400.0, 10.0], "length": "12"}),
        json!({"do": "tape", "from": [10.0, 10.0], "to": [12.0, 10.0], "length": "12in"}),
        json!({"do": "fact", "name": "felled", "text": "2031-02-31"}),
        json!({"do": "fact", "name": "felled", "text": "2931"}),
        json!({"do": "fact", "name": "species", "text": "wite oak"}),
        json!({"do": "fact", "name": "cut-height", "text": "12"}),
        json!({"do": "guess"}),
    ] {
        let answer = at.edit("face.jpg", &gone, &wrong).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        let body = answer.json();
        assert!(!body["error"].as_str().unwrap().is_empty(), "{wrong}");
        assert!(!body["advice"].as_str().unwrap().is_empty(), "{wrong}");
    }
    assert_eq!(
        at.view("face.jpg").await["stump"],
        gone["stump"],
        "nothing wrong was taken"
    );
}

#[tokio::test]
async fn pith_bark_tape_and_paint_are_kept_by_the_reading() {
    let at = At::with_face().await;
    let plain = at.view("face.jpg").await;
    let pith = &plain["stump"]["reading"]["pith"];
    let (x, y) = (
        pith["x_px"].as_f64().unwrap(),
        pith["y_px"].as_f64().unwrap(),
    );
    let mut view = plain.clone();
    for step in [
        json!({"do": "tape", "from": [20.0, 30.0], "to": [520.0, 30.0], "length": "10in"}),
        json!({"do": "unreadable", "area": [[x + 60.0, y], [x + 90.0, y], [x + 90.0, y + 20.0]]}),
        json!({"do": "bark", "at": plain["stump"]["reading"]["bark_edge_px"][40]}),
        json!({"do": "pith", "at": [x + 2.0, y - 1.0]}),
    ] {
        let next = at.edit("face.jpg", &view, &step).await;
        assert_eq!(next.status, StatusCode::OK, "{step}: {}", next.text());
        view = next.json();
        assert_eq!(view["stump"], at.on_disk("face"));
    }
    let reading = &view["stump"]["reading"];
    assert_eq!(reading["pith"]["from"], "given");
    assert!((reading["pith"]["x_px"].as_f64().unwrap() - x - 2.0).abs() < 1e-9);
    assert_eq!(reading["scale"]["from"], "tape");
    assert!((reading["scale"]["mm_per_px"].as_f64().unwrap() - 0.508).abs() < 1e-9);
    assert_eq!(
        view["stump"]["marks"]["unreadable"]
            .as_array()
            .unwrap()
            .len(),
        1
    );
    assert_eq!(view["stump"]["marks"]["bark"].as_array().unwrap().len(), 1);
    assert!(view["unrolled"]["version"].as_u64() > plain["unrolled"]["version"].as_u64());
    // Undone, the straightening before is at hand again.
    let undone = at.turn("face.jpg", "undo").await;
    assert!(undone["unrolled"]["version"].as_u64() < view["unrolled"]["version"].as_u64());
    for _ in 0..3 {
        at.turn("face.jpg", "undo").await;
    }
    assert_eq!(at.view("face.jpg").await["stump"], plain["stump"]);
}

/// Undo goes back beyond the time the desk was started, and no export or
/// entry holds what was taken back.
#[tokio::test]
async fn steps_outlast_the_desk() {
    let at = At::with_face().await;
    let plain = at.view("face.jpg").await;
    let note = |text: &str| json!({"do": "fact", "name": "note", "text": text});
    let mut view = plain.clone();
    for step in [note("by the neighbor's gate"), note("by the gate")] {
        view = at.edit("face.jpg", &view, &step).await.json();
    }
    at.turn("face.jpg", "undo").await;
    let at = at.restarted();
    let again = at.view("face.jpg").await;
    assert_eq!(again["undo"], "the note set");
    assert_eq!(again["redo"], "the note set");
    let undone = at.turn("face.jpg", "undo").await;
    assert_eq!(undone["stump"], plain["stump"]);
    assert!(!at.on_disk("face").to_string().contains("neighbor"));
    at.turn("face.jpg", "redo").await;
    let redone = at.turn("face.jpg", "redo").await;
    assert_eq!(redone["stump"]["facts"]["note"], "by the gate");
    let listed = at.get("/api/folder").send().await.json();
    assert_eq!(listed["stumps"].as_array().unwrap().len(), 1);
}

/// A pith moved by mistake: the long reading is stopped, and all is as before.
#[tokio::test]
async fn a_long_reading_reports_its_progress_and_can_be_stopped() {
    let at = At::with_face().await;
    let plain = at.view("face.jpg").await;
    let before = at.on_disk("face");
    let move_pith = json!({"do": "pith", "at": [100.0, 100.0]});
    let stop = async {
        loop {
            let progress = at.get("/api/stumps/face.jpg/progress").send().await.json();
            if progress["running"] == true {
                assert!(progress["percent"].as_u64().unwrap() <= 100);
                let answer = at.post("/api/stumps/face.jpg/stop").send().await;
                assert_eq!(answer.status, StatusCode::NO_CONTENT);
                return;
            }
            tokio::task::yield_now().await;
        }
    };
    let (edited, ()) = tokio::join!(at.edit("face.jpg", &plain, &move_pith), stop);
    assert_eq!(edited.status, StatusCode::GONE, "{}", edited.text());
    assert_eq!(at.on_disk("face"), before);
    let now = at.view("face.jpg").await;
    assert_eq!(now["stump"], plain["stump"]);
    assert_eq!(now["undo"], Value::Null);
    let progress = at.get("/api/stumps/face.jpg/progress").send().await.json();
    assert_eq!(progress["running"], false);
}

#[tokio::test]
async fn two_tabs_are_noticed_and_the_later_mark_is_refused() {
    let at = At::with_face().await;
    let one = at.view("face.jpg").await;
    let watch = async |tab: &str| {
        at.get(&format!("/api/stumps/face.jpg/watch?tab={tab}"))
            .send()
            .await
            .json()
    };
    assert_eq!(watch("a").await["others"], 0);
    assert_eq!(watch("b").await["others"], 1);
    let two = at
        .edit("face.jpg", &one, &json!({"do": "keep", "ring": 4}))
        .await
        .json();
    assert_eq!(watch("a").await["revision"], two["revision"]);
    let late = at
        .edit("face.jpg", &one, &json!({"do": "remove", "ring": 9}))
        .await;
    assert_eq!(late.status, StatusCode::CONFLICT);
    assert!(
        late.json()["error"]
            .as_str()
            .unwrap()
            .contains("changed elsewhere")
    );
    assert_eq!(at.view("face.jpg").await["stump"], two["stump"]);
    at.post("/api/stumps/face.jpg/watch?tab=a").send().await;
    assert_eq!(
        watch("b").await["others"],
        0,
        "a tab that left is not counted"
    );
}

#[tokio::test]
async fn what_another_program_wrote_is_taken_over() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let mut stump = at.on_disk("face");
    stump["facts"]["note"] = json!("by the spring");
    fs::write(at.path("face.stump.json"), stump.to_string()).unwrap();
    let late = at
        .edit("face.jpg", &view, &json!({"do": "keep", "ring": 4}))
        .await;
    assert_eq!(late.status, StatusCode::CONFLICT);
    let now = at.view("face.jpg").await;
    assert_eq!(now["stump"]["facts"]["note"], "by the spring");
    let kept = at
        .edit("face.jpg", &now, &json!({"do": "keep", "ring": 4}))
        .await;
    assert_eq!(kept.status, StatusCode::OK);
    assert_eq!(at.on_disk("face")["facts"]["note"], "by the spring");
}

#[tokio::test]
async fn a_damaged_entry_is_reported_and_left_as_it_is() {
    let at = At::with_face().await;
    fs::write(at.path("face.stump.json"), "{\"format\": 1, \"fac").unwrap();
    let answer = at.get("/api/stumps/face.jpg").send().await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.json()["error"].as_str().unwrap().contains("damaged"));
    let left = fs::read_to_string(at.path("face.stump.json")).unwrap();
    assert_eq!(left, "{\"format\": 1, \"fac");
    let listed = at.get("/api/folder").send().await.json();
    assert_eq!(listed["stumps"][0]["state"], "error");
}

#[tokio::test]
async fn the_unrolled_stump_is_a_picture_and_numbers_that_agree_with_the_rings() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let field = at.get("/api/stumps/face.jpg/field").send().await.bytes;
    let steps = view["unrolled"]["steps"].as_u64().unwrap() as usize;
    let stations = view["unrolled"]["stations"].as_u64().unwrap() as usize;
    let top = view["unrolled"]["top_course"].as_f64().unwrap();
    assert_eq!(field.len(), steps * stations * 4);
    let radius = |step: usize, course: f64| {
        let at = course / top * (stations - 1) as f64;
        let read = |station: usize| {
            let from = (step * stations + station) * 4;
            f64::from(f32::from_le_bytes(
                field[from..from + 4].try_into().unwrap(),
            ))
        };
        let low = (at as usize).min(stations - 2);
        read(low) + (at - low as f64) * (read(low + 1) - read(low))
    };
    let pith = &view["stump"]["reading"]["pith"];
    let ring = &view["stump"]["reading"]["rings"][9];
    let course = view["unrolled"]["courses"][9].as_f64().unwrap();
    for step in [0, 30, 77] {
        let place = &ring["outline_px"][step];
        let dx = place[0].as_f64().unwrap() - pith["x_px"].as_f64().unwrap();
        let dy = place[1].as_f64().unwrap() - pith["y_px"].as_f64().unwrap();
        let off = (dx.hypot(dy) - radius(step, course)).abs();
        assert!(off < 1.0, "{off} px off at step {step}");
    }
    for name in ["unrolled", "photo", "thumb"] {
        let picture = at.get(&format!("/api/stumps/face.jpg/{name}")).send().await;
        assert_eq!(picture.header("content-type"), "image/jpeg");
        assert!(picture.bytes.starts_with(&[0xff, 0xd8, 0xff]), "{name}");
    }
}

#[tokio::test]
async fn photos_come_in_whole_or_not_at_all() {
    let at = At::with_face().await;
    let good = face_jpeg();
    let put = async |name: &str, body: &[u8]| {
        at.post(&format!("/api/photos?name={name}"))
            .body(body)
            .send()
            .await
    };
    let first = put("..%2F..%2Foak.jpg", good).await;
    assert_eq!(first.status, StatusCode::OK, "{}", first.text());
    assert_eq!(first.json()["file"], "oak.jpg");
    assert_eq!(fs::read(at.path("oak.jpg")).unwrap(), good);
    let second = put("oak.png", good).await;
    assert_eq!(
        second.json()["file"],
        "oak-2.jpg",
        "named by its bytes, and never written over"
    );
    for (name, body, status, word) in [
        (
            "notes.jpg",
            b"felled by the brook".as_slice(),
            422,
            "not a photo",
        ),
        ("empty.jpg", b"", 422, "empty"),
        ("half.jpg", &good[..good.len() / 2], 422, "cut off"),
    ] {
        let answer = put(name, body).await;
        assert_eq!(answer.status.as_u16(), status, "{name}");
        let body = answer.json();
        assert!(
            body["error"].as_str().unwrap().contains(word),
            "{name}: {body}"
        );
        assert!(!body["advice"].as_str().unwrap().is_empty());
    }
    let huge = at
        .post("/api/photos?name=huge.jpg")
        .header("content-length", &(1_u64 << 30).to_string())
        .body(b"x")
        .send()
        .await;
    assert_eq!(huge.status, StatusCode::PAYLOAD_TOO_LARGE);
    let mut names: Vec<String> = fs::read_dir(at.path("."))
        .unwrap()
        .map(|found| found.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(
        names,
        ["face.jpg", "oak-2.jpg", "oak.jpg"],
        "nothing else is left"
    );
}

#[tokio::test]
async fn more_bytes_than_a_photo_has_are_refused_while_they_arrive() {
    let at = At::empty();
    let chunk = axum::body::Bytes::from(vec![0_u8; 1 << 20]);
    let most = desk::MOST_UPLOAD_BYTES / chunk.len() as u64 + 2;
    let answer = at
        .post("/api/photos?name=endless.jpg")
        .chunks(chunk, most as usize)
        .send()
        .await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
    assert_eq!(fs::read_dir(at.path(".")).unwrap().count(), 0);
}

#[tokio::test]
async fn a_photo_that_is_no_stump_shows_its_reason_and_gets_no_file() {
    let at = At::empty();
    let gray = image::RgbImage::from_pixel(400, 300, image::Rgb([120, 120, 120]));
    gray.save(at.path("gray.png")).unwrap();
    let view = at.view("gray.png").await;
    assert_eq!(view["stump"]["reading"]["readable"], false);
    assert!(
        view["stump"]["reading"]["refusal"]["advice"]
            .as_str()
            .unwrap()
            .len()
            > 10
    );
    assert!(!at.path("gray.stump.json").exists());
    let listed = at.get("/api/folder").send().await.json();
    assert_eq!(
        listed["stumps"][0]["state"], "refused",
        "it is not new any more"
    );
    let none = at
        .edit("gray.png", &view, &json!({"do": "keep", "ring": 1}))
        .await;
    assert_eq!(none.status, StatusCode::UNPROCESSABLE_ENTITY);
    let noted = at
        .edit(
            "gray.png",
            &view,
            &json!({"do": "fact", "name": "note", "text": "in fog"}),
        )
        .await;
    assert_eq!(noted.status, StatusCode::OK);
    assert!(
        at.path("gray.stump.json").exists(),
        "what was entered is saved"
    );
}

#[tokio::test]
async fn a_request_that_is_no_json_or_too_long_is_refused() {
    let at = At::with_face().await;
    at.view("face.jpg").await;
    for (body, status) in [
        (b"".to_vec(), 422),
        (b"{\"revision\":1}".to_vec(), 422),
        (vec![b' '; 300_000], 413),
    ] {
        let answer = at
            .post("/api/stumps/face.jpg/edit")
            .body(&body)
            .send()
            .await;
        assert_eq!(answer.status.as_u16(), status);
        assert!(answer.json()["advice"].as_str().unwrap().len() > 5);
    }
}

#[tokio::test]
async fn a_folder_that_cannot_be_written_to_can_be_looked_at_and_refuses_marks() {
    let at = At::with_face().await;
    // A folder where the new file is first written stops root too.
    let in_the_way = at.path(&format!("face.stump.json.{}.part", std::process::id()));
    std::fs::create_dir_all(in_the_way.join("x")).unwrap();
    let view = at.view("face.jpg").await;
    let note = json!({"do": "fact", "name": "note", "text": "by the gate"});
    let answer = at.edit("face.jpg", &view, &note).await;
    assert!(!answer.status.is_success(), "{}", answer.text());
    assert!(answer.text().contains("cannot write"), "{}", answer.text());
    assert!(!at.path("face.stump.json").exists());
    // Once there is room, the same mark is taken.
    std::fs::remove_dir_all(in_the_way).unwrap();
    let answer = at.edit("face.jpg", &at.view("face.jpg").await, &note).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.text());
    assert_eq!(at.on_disk("face")["facts"]["note"], "by the gate");
}
