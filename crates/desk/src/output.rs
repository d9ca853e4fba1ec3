//! What a person takes away from a stump: the sheet, the ring widths, the
//! pictures. Each is made by the crate that also makes it on the command line.

use crate::error::ApiError;
use exchange::{Entry, Format};
use image::RgbImage;
use report::picture::{Frame, png, ring_map, unrolled};
use report::{Paper, PaperColor, ReportError, Sheet, SheetInput};
use serde::Deserialize;
use std::path::Path;
use wood::{Stump, Units};

/// PNG charts are drawn at twice the size of their SVG, for paper.
const CHART_SCALE: f32 = 2.0;

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum OutputRequest {
    SheetPdf,
    SheetHtml,
    Csv,
    Json,
    RingMap,
    Unrolled,
    Growth,
    Decades,
}

/// How it is to be made.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct OutputOptions {
    /// The units of every length.
    pub(crate) units: Units,
    /// `letter` or `a4`, for the sheet.
    pub(crate) paper: PaperName,
    /// The tree's name on the sheet; its species or the photo's name without one.
    #[serde(default)]
    pub(crate) title: Option<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum PaperName {
    Letter,
    A4,
}

/// A file that was made.
#[derive(Debug, Clone)]
pub(crate) struct Output {
    /// Its name for a download.
    pub(crate) name: String,
    /// Its media type.
    pub(crate) media: &'static str,
    pub(crate) bytes: Vec<u8>,
    /// What the format could not hold, in sentences.
    pub(crate) notes: Vec<String>,
}

impl OutputRequest {
    /// Makes the file for a photo named `file`.
    ///
    /// # Errors
    /// When the stump has nothing of the kind, or it cannot be made.
    pub(crate) fn make(
        self,
        file: &str,
        stump: &Stump,
        photo: &RgbImage,
        options: &OutputOptions,
    ) -> Result<Output, ApiError> {
        let stem = Path::new(file).file_stem().map_or_else(
            || file.to_owned(),
            |stem| stem.to_string_lossy().into_owned(),
        );
        let output = |ending: &str, media, bytes| {
            Ok(Output {
                name: format!("{stem}{ending}"),
                media,
                bytes,
                notes: Vec::new(),
            })
        };
        let reading = &stump.reading;
        match self {
            Self::SheetPdf => {
                let pdf = sheet(stump, photo, options)?
                    .pdf(options.paper.into(), PaperColor::White)
                    .map_err(|error| no_report(&error))?;
                output("-sheet.pdf", "application/pdf", pdf)
            }
            Self::SheetHtml => {
                let html = sheet(stump, photo, options)?
                    .html()
                    .map_err(|error| no_report(&error))?;
                output("-sheet.html", "text/html; charset=utf-8", html.into_bytes())
            }
            Self::Csv => export(&stem, stump, Format::Csv),
            Self::Json => export(&stem, stump, Format::Json),
            Self::RingMap => {
                let map = ring_map(photo, reading, Frame::Captioned)
                    .and_then(|map| png(&map))
                    .map_err(|error| no_report(&error))?;
                output("-ringmap.png", "image/png", map)
            }
            Self::Unrolled => {
                let picture = unrolled(photo, reading, Frame::Captioned)
                    .map_err(|error| no_report(&error))?
                    .ok_or_else(no_rings)?;
                let bytes = png(&picture).map_err(|error| no_report(&error))?;
                output("-unrolled.png", "image/png", bytes)
            }
            Self::Growth => {
                // A heart that was not read is no year: its bar would flatten all others.
                let years = growth::years_of_growth(reading, &stump.facts);
                if years.is_empty() {
                    return Err(no_rings());
                }
                let svg = chart::increments_svg(years, options.units)
                    .map_err(|error| no_chart(&error))?;
                output("-growth.png", "image/png", chart_png(&svg)?)
            }
            Self::Decades if reading.decades.is_empty() => Err(no_rings()),
            Self::Decades => {
                let svg = chart::decades_svg(&reading.decades, options.units)
                    .map_err(|error| no_chart(&error))?;
                output("-decades.png", "image/png", chart_png(&svg)?)
            }
        }
    }
}

impl From<PaperName> for Paper {
    fn from(name: PaperName) -> Self {
        match name {
            PaperName::Letter => Self::Letter,
            PaperName::A4 => Self::A4,
        }
    }
}

fn sheet<'a>(
    stump: &'a Stump,
    photo: &'a RgbImage,
    options: &'a OutputOptions,
) -> Result<Sheet<'a>, ApiError> {
    let title = options.title.as_deref().map(str::trim);
    Sheet::new(SheetInput {
        stump,
        photo: Some(photo),
        title: title.filter(|title| !title.is_empty()),
        units: options.units,
    })
    .map_err(|error| no_report(&error))
}

fn export(stem: &str, stump: &Stump, format: Format) -> Result<Output, ApiError> {
    let entry = Entry {
        name: stem.to_owned(),
        stump: stump.clone(),
    };
    let written = exchange::write(&[entry], format)
        .map_err(|error| ApiError::invalid(error.to_string(), error.advice()))?;
    let (ending, media) = match format {
        Format::Csv => ("csv", "text/csv; charset=utf-8"),
        _ => ("json", "application/json"),
    };
    Ok(Output {
        name: format!("{stem}-rings.{ending}"),
        media,
        bytes: written.text.into_bytes(),
        notes: written.notices.iter().map(ToString::to_string).collect(),
    })
}

fn chart_png(svg: &str) -> Result<Vec<u8>, ApiError> {
    chart::png(svg, CHART_SCALE).map_err(|error| no_chart(&error))
}

fn no_rings() -> ApiError {
    ApiError::invalid(
        "no rings were read on this photo, so there is nothing to draw",
        "make the sheet: it says why, and how to take the photo again",
    )
}

fn no_report(error: &ReportError) -> ApiError {
    ApiError::invalid(error.to_string(), error.advice())
}

fn no_chart(error: &chart::ChartError) -> ApiError {
    ApiError::invalid(
        format!("a chart could not be drawn: {error}"),
        error.advice(),
    )
}
