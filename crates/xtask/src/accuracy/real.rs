//! Real photos with hand-marked truth, where their folder is there: read
//! without any help, counted as a whole and along each marked radius.

use super::matching::{self, Line};
use anyhow::{Context as _, anyhow};
use serde::{Deserialize, Serialize};
use std::fmt::Write as _;
use std::path::Path;
use std::time::Instant;
use wood::{Facts, Marks, Point, Reading};

/// A photo in `truth.json`; `rays` there are radii from the hand-marked pith.
#[derive(Debug, Deserialize)]
struct Marked {
    photo: String,
    file: String,
    pith: Option<[f64; 2]>,
    #[serde(default)]
    rays: Vec<MarkedRadius>,
    count_low: Option<u32>,
    count_best: Option<u32>,
    count_high: Option<u32>,
    expect: Option<String>,
}

#[derive(Debug, Deserialize)]
struct MarkedRadius {
    angle_deg: f64,
    boundaries_px: Vec<f64>,
    /// A stretch in which nothing could be marked.
    unreadable_px: Option<[f64; 2]>,
    /// Low, best and high number of rings in that stretch.
    inner_unmarked_estimate: Option<[u32; 3]>,
}

/// What came of the real photos; `None` where their folder is missing.
#[derive(Debug, Serialize)]
pub(crate) struct Real(Option<Vec<Photo>>);

#[derive(Debug, Serialize)]
struct Photo {
    photo: String,
    should_refuse: bool,
    refused: bool,
    reason: Option<String>,
    best: Option<u32>,
    low: Option<u32>,
    high: Option<u32>,
    scope: Option<String>,
    hand: Option<[u32; 3]>,
    pith_error_px: Option<f64>,
    pith_error_percent: Option<f64>,
    radii: Vec<Radius>,
    seconds: f64,
}

#[derive(Debug, Serialize)]
struct Radius {
    angle_deg: f64,
    /// Rings marked by hand, with the estimate for the unreadable stretch.
    marked: usize,
    /// Rings of the reading that cross this radius.
    found: usize,
    f1: f64,
}

/// Reads every photo of the folder.
///
/// # Errors
/// When the truth cannot be understood or a photo cannot be opened.
pub(crate) fn measure(folder: &Path) -> anyhow::Result<Real> {
    let truth = folder.join("truth.json");
    if !truth.is_file() {
        return Ok(Real(None));
    }
    let text = std::fs::read_to_string(&truth)
        .with_context(|| format!("cannot read {}", truth.display()))?;
    let marked: Vec<Marked> = serde_json::from_str(&text)
        .with_context(|| format!("cannot understand {}", truth.display()))?;
    let photos: anyhow::Result<Vec<Photo>> = marked
        .iter()
        .map(|marked| measure_one(folder, marked))
        .collect();
    Ok(Real(Some(photos?)))
}

fn measure_one(folder: &Path, marked: &Marked) -> anyhow::Result<Photo> {
    let path = folder.join(&marked.file);
    let bytes = std::fs::read(&path).with_context(|| format!("cannot read {}", path.display()))?;
    let start = Instant::now();
    let face = photo::open(&bytes, &photo::Limits::default())
        .map_err(|error| anyhow!("cannot open {}: {error}", path.display()))?;
    let reading = reader::read(&marked.file, &face, &Facts::default(), &Marks::default());
    let seconds = start.elapsed().as_secs_f64();
    let pith = marked.pith.map(Point::from);
    let pith_error_px = pith
        .zip(reading.pith.as_ref())
        .map(|(truth, found)| truth.distance(found.point()).0);
    let radius_px = marked
        .rays
        .iter()
        .filter_map(|radius| radius.boundaries_px.last().copied())
        .fold(0.0, f64::max);
    Ok(Photo {
        photo: marked.photo.clone(),
        should_refuse: marked.expect.is_some(),
        refused: !reading.readable,
        reason: reading.refusal.as_ref().map(|r| r.detail.clone()),
        best: reading.count.as_ref().map(|count| count.best),
        low: reading.count.as_ref().map(|count| count.low),
        high: reading.count.as_ref().map(|count| count.high),
        scope: reading.scope.map(|scope| format!("{scope:?}")),
        hand: hand_count(marked),
        pith_error_px,
        pith_error_percent: pith_error_px
            .filter(|_| radius_px > 0.0)
            .map(|px| 100.0 * px / radius_px),
        radii: pith.map_or_else(Vec::new, |pith| {
            marked
                .rays
                .iter()
                .map(|radius| along(radius, pith, &reading))
                .collect()
        }),
        seconds,
    })
}

fn hand_count(marked: &Marked) -> Option<[u32; 3]> {
    Some([marked.count_low?, marked.count_best?, marked.count_high?])
}

fn along(marked: &MarkedRadius, pith: Point, reading: &Reading) -> Radius {
    let turn = marked.angle_deg / 360.0;
    let mut crossings: Vec<f64> = reading
        .rings
        .iter()
        .filter_map(|ring| Line::around(pith, &ring.outline_px).at(turn))
        .collect();
    crossings.sort_by(f64::total_cmp);
    let unmarked = marked
        .inner_unmarked_estimate
        .map_or(0, |[_, best, _]| best as usize);
    let readable: Vec<f64> = crossings
        .iter()
        .copied()
        .filter(|at| {
            !marked
                .unreadable_px
                .is_some_and(|[from, to]| (from..to).contains(at))
        })
        .collect();
    Radius {
        angle_deg: marked.angle_deg,
        marked: marked.boundaries_px.len() + unmarked,
        found: crossings.len(),
        f1: matching::f1(
            matching::matched_along(&marked.boundaries_px, &readable),
            marked.boundaries_px.len(),
            readable.len(),
        ),
    }
}

impl Real {
    /// The figures as text.
    pub(crate) fn table(&self) -> String {
        let Some(photos) = &self.0 else {
            return "Real photos: not run (the folder ../shared/photos is not there)".to_owned();
        };
        let mut text = String::from("Real photos, read without help:\n");
        for photo in photos {
            let _ = writeln!(text, "{}", photo.line());
            for radius in &photo.radii {
                let _ = writeln!(
                    text,
                    "    radius at {:>4} degrees: {:>3} marked, {:>3} found, F1 {:.3}",
                    radius.angle_deg, radius.marked, radius.found, radius.f1
                );
            }
        }
        let counted: Vec<&Photo> = photos.iter().filter(|p| !p.should_refuse).collect();
        let right = counted.iter().filter(|photo| photo.within_hand()).count();
        let to_refuse: Vec<&Photo> = photos.iter().filter(|p| p.should_refuse).collect();
        let refused = to_refuse.iter().filter(|photo| photo.refused).count();
        let _ = write!(
            text,
            "best count within the hand-made range: {right} of {}; refused as they should be: {refused} of {}",
            counted.len(),
            to_refuse.len()
        );
        text
    }
}

impl Photo {
    fn within_hand(&self) -> bool {
        self.hand
            .zip(self.best)
            .is_some_and(|([low, _, high], best)| (low..=high).contains(&best))
    }

    fn line(&self) -> String {
        let read = match (self.best, self.low, self.high) {
            _ if self.refused => format!(
                "refused: {}",
                self.reason.as_deref().unwrap_or("no reason given")
            ),
            (Some(best), Some(low), Some(high)) => {
                format!(
                    "{best} ({low} to {high}), {}",
                    self.scope.as_deref().unwrap_or("-")
                )
            }
            _ => "read, but not counted".to_owned(),
        };
        let hand = match (self.should_refuse, self.hand) {
            (true, _) => "should be refused".to_owned(),
            (false, Some([low, best, high])) => format!("by hand {best} ({low} to {high})"),
            (false, None) => "not counted by hand".to_owned(),
        };
        let pith = self.pith_error_px.map_or_else(String::new, |px| {
            format!(
                ", pith off {px:.1} px ({:.2} %)",
                self.pith_error_percent.unwrap_or(f64::NAN)
            )
        });
        format!(
            "  {:<24} {hand}; {read}{pith}, {:.2} s",
            self.photo, self.seconds
        )
    }
}
