//! The sheet, the widths and the pictures, made from the page.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::{Answer, At};
use serde_json::{Value, json};

async fn make(at: &At, file: &str, what: &str) -> Answer {
    let body = json!({"what": what, "units": "inch", "paper": "letter", "title": "The yard oak"});
    at.post(&format!("/api/stumps/{file}/output"))
        .body(body.to_string().as_bytes())
        .send()
        .await
}

#[tokio::test]
async fn everything_is_made_opened_and_downloaded() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let rings = view["stump"]["reading"]["rings"].as_array().unwrap().len();
    for (what, name, media, start) in [
        ("sheet-pdf", "face-sheet.pdf", "application/pdf", "%PDF-"),
        (
            "sheet-html",
            "face-sheet.html",
            "text/html; charset=utf-8",
            "<!",
        ),
        ("csv", "face-rings.csv", "text/csv; charset=utf-8", ""),
        ("json", "face-rings.json", "application/json", ""),
        ("ring-map", "face-ringmap.png", "image/png", "\u{fffd}PNG"),
        ("unrolled", "face-unrolled.png", "image/png", "\u{fffd}PNG"),
        ("growth", "face-growth.png", "image/png", "\u{fffd}PNG"),
        ("decades", "face-decades.png", "image/png", "\u{fffd}PNG"),
    ] {
        let answer = make(&at, "face.jpg", what).await;
        assert_eq!(answer.status, StatusCode::OK, "{what}: {}", answer.text());
        let made = answer.json();
        assert_eq!(made["name"], name);
        let address = made["address"].as_str().unwrap();
        // Opened as a plain link: without the key.
        let opened = at.get(address).key("").send().await;
        assert_eq!(opened.status, StatusCode::OK, "{what}");
        assert_eq!(opened.header("content-type"), media);
        assert!(opened.header("content-disposition").starts_with("inline"));
        assert!(
            opened
                .header("content-security-policy")
                .starts_with("default-src 'none'")
        );
        assert!(!opened.header("content-security-policy").contains("script"));
        assert!(opened.text().starts_with(start), "{what}");
        assert_eq!(made["bytes"], opened.bytes.len());
        let saved = at.get(&format!("{address}?download")).key("").send().await;
        assert!(
            saved
                .header("content-disposition")
                .starts_with("attachment")
        );
        assert!(saved.header("content-disposition").ends_with(name));
        if what == "csv" {
            assert!(opened.text().lines().count() > rings, "a line a ring");
        }
        if what == "sheet-html" {
            assert!(opened.text().contains("The yard oak"));
        }
        if what == "json" {
            assert!(serde_json::from_slice::<Value>(&opened.bytes).is_ok());
        }
    }
}

#[tokio::test]
async fn an_address_that_was_not_given_out_opens_nothing() {
    let at = At::with_face().await;
    let made = make(&at, "face.jpg", "csv").await.json();
    let address = made["address"].as_str().unwrap().to_owned();
    let guess = address.replace(
        address.split('/').nth(2).unwrap(),
        "0123456789abcdef0123456789abcdef",
    );
    assert_eq!(at.get(&guess).send().await.status, StatusCode::NOT_FOUND);
    let foreign = at
        .get(&address)
        .header("host", "stump.example")
        .send()
        .await;
    assert_eq!(foreign.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_photo_without_rings_has_a_sheet_and_no_chart() {
    let at = At::empty();
    let gray = image::RgbImage::from_pixel(400, 300, image::Rgb([120, 120, 120]));
    gray.save(at.path("gray.png")).unwrap();
    let sheet = make(&at, "gray.png", "sheet-pdf").await;
    assert_eq!(sheet.status, StatusCode::OK, "{}", sheet.text());
    for what in ["growth", "unrolled", "csv"] {
        let answer = make(&at, "gray.png", what).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{what}");
        assert!(answer.json()["advice"].as_str().unwrap().len() > 10);
    }
}
