//! Real photos with hand-marked rings, where their folder is there: read
//! without any help, counted as a whole and along each marked radius.
//!
//! The weights that ship were learned from these photos, so each photo is read
//! by weights of its fold, which never saw it.

use super::matching::{self, Line};
use crate::marked::{self, FOLDS, MarkedPhoto, MarkedRadius};
use anyhow::{Context as _, anyhow, bail};
use clap::Args;
use serde::{Deserialize, Serialize};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;
use wood::{Facts, Marks, Point, Reading};

/// Options of the hidden chore that reads the photos of one fold.
#[derive(Debug, Args)]
pub(crate) struct FoldOptions {
    /// Folder of the marked photos
    #[arg(long)]
    photos: PathBuf,
    /// Folder of weights by fold
    #[arg(long)]
    weights: PathBuf,
    /// Which fold
    #[arg(long)]
    fold: u64,
    /// File to write what came out to
    #[arg(long)]
    json: PathBuf,
}

/// What came of the real photos; `None` where their folder is missing.
#[derive(Debug, Serialize)]
pub(crate) struct Real(Option<Vec<Photo>>);

#[derive(Debug, Serialize, Deserialize)]
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
    /// The count by hand was mostly estimated: only the radii are compared.
    estimated: bool,
    pith_error_px: Option<f64>,
    pith_error_percent: Option<f64>,
    radii: Vec<Radius>,
    seconds: f64,
}

#[derive(Debug, Serialize, Deserialize)]
struct Radius {
    angle_deg: f64,
    /// Rings marked by hand.
    marked: usize,
    /// Rings of the reading that cross the stretches in which all are marked.
    found: usize,
    matched: usize,
    f1: f64,
}

/// Reads every photo of the folder, each with the weights of its fold.
///
/// # Errors
/// When the marks cannot be understood or a photo cannot be opened.
pub(crate) fn measure(root: &Path) -> anyhow::Result<Real> {
    let weights = root.join("crates/sight/training/folds");
    let Some(photos) = marked::folder(root) else {
        return Ok(Real(None));
    };
    let place = tempfile::tempdir().context("cannot make a folder for the work")?;
    let mut all: Vec<Photo> = Vec::new();
    for fold in 0..FOLDS {
        let json = place.path().join(format!("{fold}.json"));
        let status = Command::new(std::env::current_exe()?)
            .arg("real-photos")
            .arg("--photos")
            .arg(&photos)
            .arg("--weights")
            .arg(&weights)
            .args(["--fold", &fold.to_string()])
            .arg("--json")
            .arg(&json)
            .status()
            .context("cannot start the reading of a fold")?;
        if !status.success() {
            bail!("the photos of fold {fold} could not be read");
        }
        let text = std::fs::read_to_string(&json)
            .with_context(|| format!("cannot read {}", json.display()))?;
        let found: Vec<Photo> = serde_json::from_str(&text)?;
        all.extend(found);
    }
    all.sort_by(|a, b| (a.should_refuse, &a.photo).cmp(&(b.should_refuse, &b.photo)));
    Ok(Real(Some(all)))
}

/// Reads the photos of one fold and writes what came out.
///
/// # Errors
/// When weights or photos cannot be read or the file not be written.
pub(crate) fn measure_fold(options: &FoldOptions) -> anyhow::Result<()> {
    marked::install_weights(&options.weights, options.fold)?;
    let photos: anyhow::Result<Vec<Photo>> = marked::load(&options.photos)?
        .iter()
        .filter(|marked| marked.fold() == options.fold)
        .map(|marked| measure_one(&options.photos, marked))
        .collect();
    let text = serde_json::to_string(&photos?)?;
    std::fs::write(&options.json, text)
        .with_context(|| format!("cannot write {}", options.json.display()))
}

fn measure_one(folder: &Path, marked: &MarkedPhoto) -> anyhow::Result<Photo> {
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
        photo: marked.name().to_owned(),
        should_refuse: marked.should_refuse(),
        refused: !reading.readable,
        reason: reading.refusal.as_ref().map(|r| r.detail.clone()),
        best: reading.count.as_ref().map(|count| count.best),
        low: reading.count.as_ref().map(|count| count.low),
        high: reading.count.as_ref().map(|count| count.high),
        scope: reading.scope.map(|scope| format!("{scope:?}")),
        hand: marked.hand_count(),
        estimated: marked.count_is_estimate,
        pith_error_px,
        pith_error_percent: pith_error_px
            .filter(|_| radius_px > 0.0)
            .map(|px| 100.0 * px / radius_px),
        radii: pith.map_or_else(Vec::new, |pith| {
            let radii = marked.rays.iter();
            radii.map(|radius| along(radius, pith, &reading)).collect()
        }),
        seconds,
    })
}

fn along(marked: &MarkedRadius, pith: Point, reading: &Reading) -> Radius {
    let turn = marked.angle_deg / 360.0;
    let mut found: Vec<f64> = reading
        .rings
        .iter()
        .filter_map(|ring| Line::around(pith, &ring.outline_px).at(turn))
        .filter(|at| marked.is_known(*at))
        .collect();
    found.sort_by(f64::total_cmp);
    let truth = &marked.boundaries_px;
    let matched = matching::matched_to_marks(truth, &found);
    Radius {
        angle_deg: marked.angle_deg,
        marked: truth.len(),
        found: found.len(),
        matched,
        f1: matching::f1(matched, truth.len(), found.len()),
    }
}

impl Real {
    /// The figures as text.
    pub(crate) fn table(&self) -> String {
        let Some(photos) = &self.0 else {
            return "Real photos: not run (the folder of marked photos is not there)".to_owned();
        };
        let mut text = String::from("Real photos, each read by weights that never saw it:\n");
        for photo in photos {
            let _ = writeln!(text, "{}", photo.line());
        }
        let to_count: Vec<&Photo> = photos.iter().filter(|p| !p.should_refuse).collect();
        let read: Vec<&&Photo> = to_count.iter().filter(|photo| !photo.refused).collect();
        let mean = |values: &[f64]| values.iter().sum::<f64>() / values.len().max(1) as f64;
        let scores: Vec<f64> = to_count.iter().map(|photo| photo.f1()).collect();
        let mut of_read: Vec<f64> = read.iter().map(|photo| photo.f1()).collect();
        of_read.sort_by(f64::total_cmp);
        let counted: Vec<&&Photo> = to_count.iter().filter(|photo| !photo.estimated).collect();
        let right = counted.iter().filter(|photo| photo.within_hand()).count();
        let overlap = read.iter().filter(|photo| photo.range_overlaps()).count();
        let to_refuse = photos.iter().filter(|p| p.should_refuse);
        let refused = to_refuse.clone().filter(|photo| photo.refused).count();
        let _ = write!(
            text,
            "of {} that can be counted: refused {}, mean F1 {:.2} (0 where refused), median F1 of those read {:.2}\n\
             best count within the range of careful people: {right} of {}; range overlaps theirs: {overlap} of {} read\n\
             refused as they should be: {refused} of {}",
            to_count.len(),
            to_count.len() - read.len(),
            mean(&scores),
            of_read.get(of_read.len() / 2).copied().unwrap_or(0.0),
            counted.len(),
            read.len(),
            to_refuse.count()
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

    fn range_overlaps(&self) -> bool {
        let range = self.low.zip(self.high);
        self.hand
            .zip(range)
            .is_some_and(|([from, _, to], (low, high))| low <= to && from <= high)
    }

    /// Over all marked radii; 0 where the photo was refused.
    fn f1(&self) -> f64 {
        let sum = |pick: fn(&Radius) -> usize| self.radii.iter().map(pick).sum::<usize>();
        matching::f1(sum(|r| r.matched), sum(|r| r.marked), sum(|r| r.found))
    }

    fn line(&self) -> String {
        let read = match (self.best, self.low, self.high) {
            _ if self.refused => format!(
                "refused: {}",
                self.reason.as_deref().unwrap_or("no reason given")
            ),
            (Some(best), Some(low), Some(high)) => format!(
                "{best} ({low} to {high}), {}, F1 {:.2}",
                self.scope.as_deref().unwrap_or("-"),
                self.f1()
            ),
            _ => "read, but not counted".to_owned(),
        };
        let hand = match (self.should_refuse, self.hand) {
            (true, _) => "should be refused".to_owned(),
            (false, Some([low, best, high])) => format!(
                "by hand {best} ({low} to {high}{})",
                if self.estimated { ", estimated" } else { "" }
            ),
            (false, None) => "not counted by hand".to_owned(),
        };
        let pith = self.pith_error_percent.map_or_else(String::new, |percent| {
            format!(", pith off {percent:.1} % of the radius")
        });
        format!(
            "  {:<24} {hand}; {read}{pith}, {:.2} s",
            self.photo, self.seconds
        )
    }
}
