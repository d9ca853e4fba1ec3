//! How long each stage of a reading takes, at each size of photo: `cargo bench
//! -p bench --profile chores`; a part of it by its name, as in `-- 12/see`.
//!
//! What a stage is given was made by the stages before it, outside the time.

#![allow(
    clippy::unwrap_used,
    missing_docs,
    reason = "a measurement ends where it cannot go on; the macros of criterion make undocumented items"
)]

use bench::{SIZES, photo_of};
use boundary::{Request, find_boundaries};
use criterion::{
    BenchmarkGroup, Criterion, criterion_group, criterion_main, measurement::WallTime,
};
use photo::{Limits, find_card, open};
use profile::{
    Directions, Fineness, PithParams, Span, StraightenParams, find_bark_edge, find_pith, flatten,
    radial_profile, straighten, straighten_along, unroll,
};
use sight::{see_rings, see_scene, strip};
use std::hint::black_box;
use std::time::Duration;
use wood::{Facts, Marks, Units};

fn stages(criterion: &mut Criterion) {
    for megapixels in SIZES {
        let bytes = photo_of(megapixels);
        let mut group = criterion.benchmark_group(megapixels.to_string());
        group
            .sample_size(10)
            .warm_up_time(Duration::from_millis(200))
            .measurement_time(Duration::from_secs(2));
        of_one(&mut group, &bytes);
        group.finish();
    }
}

fn of_one(group: &mut BenchmarkGroup<'_, WallTime>, bytes: &[u8]) {
    let limits = Limits::default();
    let params = StraightenParams::default();
    let face = open(bytes, &limits).unwrap();
    let (width, height) = face.rgb.dimensions();
    let find = |directions: &Directions| {
        find_pith(
            directions,
            f64::from(width),
            f64::from(height),
            &PithParams::default(),
        )
    };
    let directions = Directions::of(&face.lightness);
    let scene = see_scene(&face);
    let pith = scene.pith.0;
    let reach = Some(scene.reach_from(pith));
    let outside = |place| !scene.is_near(place);
    let fineness = Fineness::COARSE;
    let unrolled = unroll(&face, pith, reach, Span::CIRCLE, fineness, &outside);
    let first = straighten(&unrolled, &directions, &params);
    let shown = strip(&face, &unrolled, &first);
    let seen = see_rings(&shown, 1);
    let spacing = seen.usual_spacing();
    let flat = flatten(&unrolled, spacing);
    let lines = seen.lines(true);
    let level = straighten_along(&unrolled, &flat, &first, &lines, &params);
    let reading = reader::read("face.jpg", &face, &Facts::default(), &Marks::default());

    group.bench_function("decode", |b| b.iter(|| open(black_box(bytes), &limits)));
    group.bench_function("card", |b| b.iter(|| find_card(&face)));
    group.bench_function("directions", |b| b.iter(|| Directions::of(&face.lightness)));
    group.bench_function("pith", |b| b.iter(|| find(&directions)));
    group.bench_function("see-scene", |b| b.iter(|| see_scene(&face)));
    group.bench_function("unroll", |b| {
        b.iter(|| unroll(&face, pith, reach, Span::CIRCLE, fineness, &outside));
    });
    group.bench_function("straighten", |b| {
        b.iter(|| straighten(&unrolled, &directions, &params));
    });
    group.bench_function("flatten", |b| b.iter(|| flatten(&unrolled, spacing)));
    group.bench_function("straighten-along", |b| {
        b.iter(|| straighten_along(&unrolled, &flat, &first, &lines, &params));
    });
    group.bench_function("strip", |b| b.iter(|| strip(&face, &unrolled, &level)));
    group.bench_function("see-rings", |b| b.iter(|| see_rings(&shown, 1)));
    group.bench_function("see-rings-pooled-by-2", |b| b.iter(|| see_rings(&shown, 2)));
    group.bench_function("bark-edge", |b| {
        b.iter(|| find_bark_edge(&seen.wood, &seen.wood, &seen.ends, &level));
    });
    group.bench_function("levelness", |b| {
        b.iter(|| level.levelness(spacing, &params))
    });
    let levelness = level.levelness(spacing, &params);
    group.bench_function("radial-profile", |b| {
        b.iter(|| radial_profile(&level, &levelness));
    });
    group.bench_function("boundaries", |b| {
        b.iter(|| {
            find_boundaries(&Request {
                seen: &seen,
                from: 4.0,
                bark: None,
                to: 0.9 * seen.courses.len() as f64,
                required: &[],
                forbidden: &[],
            })
        });
    });
    group.bench_function("growth", |b| {
        b.iter(|| {
            (
                growth::figures(&reading.rings),
                growth::decades(&reading.rings),
                growth::events(&reading.rings, &growth::EventCriteria::default()),
            )
        });
    });
    group.bench_function("charts", |b| {
        b.iter(|| {
            (
                chart::against_trend_svg(&reading.rings),
                chart::decades_svg(&reading.decades, Units::Metric),
            )
        });
    });
    group.bench_function("read", |b| {
        b.iter(|| reader::read("face.jpg", &face, &Facts::default(), &Marks::default()));
    });
}

criterion_group!(benches, stages);
criterion_main!(benches);
