//! The radial intensity profile at the courses of the unrolled stump.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

mod desk_at;

use axum::http::StatusCode;
use desk_at::At;
use serde_json::{Value, json};

fn numbers(list: &Value) -> Vec<f64> {
    let each = list.as_array().unwrap().iter();
    each.map(|value| value.as_f64().unwrap_or(f64::NAN))
        .collect()
}

/// The mean lightness between two courses.
fn between(profile: &Value, from: f64, to: f64) -> f64 {
    let courses = numbers(&profile["courses"]);
    let lightness = numbers(&profile["lightness"]);
    let within: Vec<f64> = courses
        .iter()
        .zip(&lightness)
        .filter(|(course, value)| (from..to).contains(*course) && !value.is_nan())
        .map(|(_, value)| *value)
        .collect();
    within.iter().sum::<f64>() / within.len() as f64
}

#[tokio::test]
async fn each_year_of_a_conifer_is_light_first_and_dark_before_its_boundary() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let courses = numbers(&view["unrolled"]["courses"]);
    let profile = at.get("/api/stumps/face.jpg/intensity").send().await.json();
    assert_eq!(profile["revision"], view["revision"]);
    let places = numbers(&profile["courses"]);
    assert!(places.windows(2).all(|pair| pair[0] <= pair[1]));
    assert!(places.last().unwrap() > courses.last().unwrap());
    let light_first = courses.windows(2).filter(|pair| {
        let wide = pair[1] - pair[0];
        let early = between(&profile, pair[0] + 0.15 * wide, pair[0] + 0.5 * wide);
        let late = between(&profile, pair[0] + 0.75 * wide, pair[0] + 0.97 * wide);
        early > late + 1.0
    });
    let right = light_first.count();
    assert!(
        right + 2 >= courses.len() - 1,
        "{right} of {}",
        courses.len()
    );
}

#[tokio::test]
async fn the_profile_follows_a_mark() {
    let at = At::with_face().await;
    let view = at.view("face.jpg").await;
    let removal = json!({ "do": "remove", "ring": 9 });
    let answer = at.edit("face.jpg", &view, &removal).await;
    assert_eq!(answer.status, StatusCode::OK);
    let profile = at.get("/api/stumps/face.jpg/intensity").send().await.json();
    assert_eq!(profile["revision"], answer.json()["revision"]);
    assert_ne!(profile["revision"], view["revision"]);
}
