//! The invented woodlot: photos, their truth, and readings made from the truth.

use crate::outcome::Outcome;
use crate::{say, writing};
use anyhow::Context as _;
use exchange::{Series, Source, Widths, stump_of};
use practice::{LotStump, MEMORIES, Truth, woodlot};
use std::path::Path;
use wood::{
    Caution, Facts, Mm, MmPerPx, PhotoId, Pith, PithSource, Point, Px, Remembered, Scale,
    ScaleSource, Scope, Stump, Year,
};

/// Writes `STEM.jpg`, `STEM.truth.json` and `STEM.stump.json` of each stump.
///
/// # Errors
/// When a file cannot be written, or stdout is gone.
pub(super) fn draw(folder: &Path) -> anyhow::Result<Outcome> {
    writing::folder(folder)?;
    let all = woodlot();
    let bar = say::progress(all.len(), true);
    for stump in &all {
        let name = format!("{}.jpg", stump.stem);
        bar.set_message(format!("drawing {name}"));
        let face = practice::render(&stump.recipe);
        let photo = practice::jpeg(&face.rgb, stump.recipe.troubles.jpeg_quality);
        let source = Source::of(&name, &photo);
        let known = known(stump, &face.truth, &source, face.rgb.dimensions());
        let write = |ending: &str, bytes: &[u8]| {
            writing::replace(&folder.join(format!("{}.{ending}", stump.stem)), bytes)
        };
        write("jpg", &photo)?;
        let json = |text: serde_json::Result<Vec<u8>>| text.context("cannot write JSON");
        write("truth.json", &json(serde_json::to_vec(&face.truth))?)?;
        write("stump.json", &json(serde_json::to_vec(&known))?)?;
        bar.inc(1);
        let line = format!(
            "{}: {}, {} rings{}",
            folder.join(&name).display(),
            stump.species,
            face.truth.rings,
            stump.read_short_at.map_or(String::new(), |ring| format!(
                "; its reading runs ring {ring} together with the next, on purpose"
            ))
        );
        bar.suspend(|| say::data(&line))?;
    }
    bar.finish_and_clear();
    for memory in MEMORIES {
        say::note(&format!(
            "to remember: stumpbook woodlot remember BOOK {} \"{}\"",
            memory.year, memory.what
        ));
    }
    Ok(Outcome::Read)
}

/// The stump as it would be if every ring were read right, but for the one that
/// is read short on purpose.
fn known(stump: &LotStump, truth: &Truth, source: &Source, size: (u32, u32)) -> Stump {
    let mut widths: Vec<f64> = truth.widths_mm.clone();
    let mut outlines = truth.outlines.clone();
    if let Some(at) = stump.read_short_at.map(|ring| ring as usize - 1)
        && at + 1 < widths.len()
    {
        // The boundary between the two rings was not seen.
        let lost = widths.remove(at);
        widths[at] += lost;
        outlines.remove(at);
    }
    let series = Series {
        name: stump.stem.to_owned(),
        facts: Facts {
            species: Some(stump.species.to_owned()),
            felled: Some(stump.felled),
            cut_height_mm: Some(stump.cut_height),
            across_inside_bark_mm: Some(Mm(truth.across_inside_bark_mm.round())),
            note: Some("an invented stump of the invented woodlot Cold Hollow".to_owned()),
            remembered: stump
                .memory
                .iter()
                .map(|memory| Remembered {
                    year: Year(memory.year),
                    what: memory.what.to_owned(),
                })
                .collect(),
            ..Facts::default()
        },
        scope: Some(Scope::WholeFace),
        // Dated from the bark inward, as a reading is.
        first_year: Some(Year(
            i32::from(stump.felled.year()) - widths.len() as i32 + 1,
        )),
        widths: Widths::Mm(widths.into_iter().map(|w| Some(Mm(w))).collect()),
        confidence: Vec::new(),
        from_photo: false,
    };
    let mut made = stump_of(&series, source);
    let reading = &mut made.reading;
    reading.photo = PhotoId {
        file: source.file.clone(),
        sha256: source.sha256.clone(),
        width_px: size.0,
        height_px: size.1,
    };
    reading.pith = Some(Pith {
        x_px: Px(truth.pith[0]),
        y_px: Px(truth.pith[1]),
        from: PithSource::Seen,
        uncertainty_px: Px(1.0),
    });
    reading.scale = Some(Scale {
        mm_per_px: MmPerPx(truth.mm_per_px),
        from: ScaleSource::Across,
        uncertainty: 0.01,
    });
    reading.bark_edge_px = points(&truth.bark_edge);
    for (ring, outline) in reading.rings.iter_mut().zip(&outlines) {
        let px = |mm: Option<Mm>| Px(mm.map_or(0.0, |mm| mm.0 / truth.mm_per_px));
        ring.radius_px = px(ring.radius_mm);
        ring.width_px = px(ring.width_mm);
        ring.outline_px = points(outline);
    }
    reading
        .cautions
        .retain(|caution| caution.about != "imported");
    reading.cautions.push(Caution {
        about: "drawn-stump".to_owned(),
        text: "this is a drawn practice stump; its rings are the known ones and were not read from the photo"
            .to_owned(),
    });
    made
}

fn points(outline: &[Option<[f64; 2]>]) -> Vec<Option<Point>> {
    outline
        .iter()
        .map(|place| place.map(|[x, y]| Point::new(x, y)))
        .collect()
}
