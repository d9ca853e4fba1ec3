//! How long a mark takes on a 12 megapixel photo: the whole call (parse, edit,
//! read again, save to disk, JSON) and the reading in it alone, median and
//! 95th percentile. `cargo bench -p desk --profile chores`.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a measurement prints its figures and ends where it cannot go on"
)]

use axum::body::Body;
use axum::http::Request;
use desk::{Desk, Hosts, Keys, app};
use http_body_util::BodyExt as _;
use practice::{Recipe, Widths};
use serde_json::{Value, json};
use std::sync::Arc;
use std::time::Instant;
use tower::ServiceExt as _;
use wood::WoodClass;

/// Marks of each kind.
const TIMES: usize = 40;

fn main() {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap();
    runtime.block_on(measure());
}

async fn measure() {
    let folder = tempfile::tempdir().unwrap();
    let made = practice::render(&Recipe {
        seed: 12,
        wood: WoodClass::Conifer,
        rings: 110,
        width_px: 4000,
        height_px: 3000,
        radius_share: 0.88,
        widths: Widths::default(),
        ..Recipe::default()
    });
    std::fs::write(
        folder.path().join("face.jpg"),
        practice::jpeg(&made.rgb, 90),
    )
    .unwrap();
    let keys = Keys::new().unwrap();
    let key = keys.enter(&keys.entry()).unwrap().unwrap();
    let desk = Desk::new(folder.path(), keys, Hosts::new(4000, &[])).unwrap();
    let at = At {
        router: app(Arc::new(desk)),
        key,
    };
    let start = Instant::now();
    let mut view = at.ask("GET", "", Value::Null).await;
    println!(
        "12 megapixels, {} rings; opening and first reading {:.0} ms",
        view["stump"]["reading"]["rings"].as_array().unwrap().len(),
        start.elapsed().as_secs_f64() * 1000.0
    );
    let mut undone = Vec::new();
    for kind in ["keep", "remove", "add", "split", "fact", "bark", "paint"] {
        let mut whole = Vec::new();
        let mut reading = Vec::new();
        for nth in 0..TIMES {
            let ring = 4 + nth;
            let (path, body) = match kind {
                "fact" => (
                    "/edit",
                    json!({"revision": view["revision"], "edit":
                        {"do": "fact", "name": "felled", "text": format!("{}", 1980 + nth)}}),
                ),
                "bark" => {
                    let edge = &view["stump"]["reading"]["bark_edge_px"][3 * nth];
                    let Some((x, y)) = edge[0].as_f64().zip(edge[1].as_f64()) else {
                        continue;
                    };
                    let pith = &view["stump"]["reading"]["pith"];
                    let inward =
                        |at: f64, axis: &str| at + 0.03 * (pith[axis].as_f64().unwrap() - at);
                    let at = [inward(x, "x_px"), inward(y, "y_px")];
                    (
                        "/edit",
                        json!({"revision": view["revision"], "edit": {"do": "bark", "at": at}}),
                    )
                }
                "paint" => {
                    let rings = &view["stump"]["reading"]["rings"];
                    let (low, high) = (&rings[20]["outline_px"], &rings[60]["outline_px"]);
                    let (step, next) = (3 * nth, (3 * nth + 6) % 120);
                    let area = [&low[step], &high[step], &high[next], &low[next]];
                    if area.iter().any(|place| place.is_null()) {
                        continue;
                    }
                    (
                        "/edit",
                        json!({"revision": view["revision"], "edit": {"do": "unreadable", "area": area}}),
                    )
                }
                "add" => {
                    let rings = &view["stump"]["reading"]["rings"];
                    // A direction in which both are within the photo.
                    let Some(at) = (0..120).find_map(|step| {
                        let middle = |axis: usize| {
                            let place =
                                |ring: usize| rings[ring]["outline_px"][step][axis].as_f64();
                            Some(0.5 * (place(ring)? + place(ring + 1)?))
                        };
                        Some([middle(0)?, middle(1)?])
                    }) else {
                        continue;
                    };
                    (
                        "/edit",
                        json!({"revision": view["revision"], "edit": {"do": "add", "at": at}}),
                    )
                }
                other => (
                    "/edit",
                    json!({"revision": view["revision"], "edit": {"do": other, "ring": ring}}),
                ),
            };
            let start = Instant::now();
            let next = at.ask("POST", path, body).await;
            if next["error"].is_string() {
                println!("{kind}: {next}");
                continue;
            }
            whole.push(start.elapsed().as_secs_f64() * 1000.0);
            reading.push(next["reading_ms"].as_f64().unwrap());
            // Taken back each time, so that every mark is made on the same face.
            let start = Instant::now();
            let body = json!({"revision": next["revision"]});
            view = at.ask("POST", "/undo", body).await;
            undone.push(start.elapsed().as_secs_f64() * 1000.0);
        }
        println!(
            "{kind:<8} {:>3} marks   whole call: fastest {:>6.1}, median {:>6.1}, 95th percentile {:>6.1} ms   reading alone: {:>6.1}, {:>6.1} ms",
            whole.len(),
            share(&mut whole, 0.0),
            share(&mut whole, 0.5),
            share(&mut whole, 0.95),
            share(&mut reading, 0.5),
            share(&mut reading, 0.95),
        );
    }
    println!(
        "undo     {:>3} steps   whole call: median {:>6.1} ms, 95th percentile {:>6.1} ms",
        undone.len(),
        share(&mut undone, 0.5),
        share(&mut undone, 0.95),
    );
    for _ in 0..3 {
        let pith = &view["stump"]["reading"]["pith"];
        let at_px = [
            pith["x_px"].as_f64().unwrap() + 1.0,
            pith["y_px"].as_f64().unwrap(),
        ];
        let start = Instant::now();
        let body = json!({"revision": view["revision"], "edit": {"do": "pith", "at": at_px}});
        view = at.ask("POST", "/edit", body).await;
        println!(
            "pith     the whole face is read again: {:.0} ms",
            start.elapsed().as_secs_f64() * 1000.0
        );
    }
    by_hand(&at, view).await;
}

/// A strip drawn, shown and counted by hand.
async fn by_hand(at: &At, view: Value) {
    let reading = &view["stump"]["reading"];
    let pith = [&reading["pith"]["x_px"], &reading["pith"]["y_px"]].map(|at| at.as_f64().unwrap());
    let edge = reading["bark_edge_px"].as_array().unwrap();
    let end = edge.iter().find(|place| !place.is_null()).unwrap();
    let end = [0, 1].map(|axis| end[axis].as_f64().unwrap());
    let edit = |view: &Value, edit: Value| json!({"revision": view["revision"], "edit": edit});
    let start = Instant::now();
    let strip = json!({"do": "strip", "from": pith, "to": end, "width": null, "by-hand": true});
    let mut view = at.ask("POST", "/edit", edit(&view, strip)).await;
    println!(
        "strip    drawn, and the rings along it proposed: {:.0} ms",
        start.elapsed().as_secs_f64() * 1000.0
    );
    let mut whole = Vec::new();
    for nth in 1..=TIMES {
        let share = nth as f64 / (TIMES + 1) as f64;
        let place = [0, 1].map(|axis| pith[axis] + share * (end[axis] - pith[axis]));
        let start = Instant::now();
        let set = edit(&view, json!({"do": "set-ring", "at": place}));
        view = at.ask("POST", "/edit", set).await;
        whole.push(start.elapsed().as_secs_f64() * 1000.0);
    }
    println!(
        "by hand  {:>3} rings   whole call: fastest {:>6.1}, median {:>6.1}, 95th percentile {:>6.1} ms",
        whole.len(),
        share(&mut whole, 0.0),
        share(&mut whole, 0.5),
        share(&mut whole, 0.95),
    );
}

/// The value under which a share of all lie.
fn share(values: &mut [f64], share: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let at = ((values.len() as f64 * share).ceil() as usize).clamp(1, values.len().max(1));
    values.get(at - 1).copied().unwrap_or(f64::NAN)
}

struct At {
    router: axum::Router,
    key: String,
}

impl At {
    async fn ask(&self, method: &str, tail: &str, body: Value) -> Value {
        let request = Request::builder()
            .method(method)
            .uri(format!("/api/stumps/face.jpg{tail}"))
            .header("host", "127.0.0.1:4000")
            .header("authorization", format!("Bearer {}", self.key))
            .body(Body::from(body.to_string()))
            .unwrap();
        let answer = self.router.clone().oneshot(request).await.unwrap();
        let bytes = answer.into_body().collect().await.unwrap().to_bytes();
        serde_json::from_slice(&bytes).unwrap()
    }
}
