//! What was typed, checked once and ready to use.

use super::labels::Labels;
use super::merge_facts::{Change, GivenFacts, GivenMarks};
use super::shard::Shard;
use crate::args::{CountArgs, WoodFactArg};
use crate::error::CommandError;
use crate::given;
use std::path::{Path, PathBuf};
use wood::{Hemisphere, Marks, Measure, Point, Px, Strip, Tape, Units, WoodClass};

/// What is printed for each photo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Form {
    /// A few lines for a person.
    Summary,
    /// The whole reading, one line.
    Json,
}

/// A checked request.
#[derive(Debug)]
pub(crate) struct Request {
    pub(crate) photos: Vec<PathBuf>,
    /// The photos are pictures of one strip, to be joined.
    pub(crate) join: bool,
    pub(crate) facts: GivenFacts,
    pub(crate) labels: Labels,
    pub(crate) marks: GivenMarks,
    pub(crate) form: Form,
    pub(crate) units: Units,
    pub(crate) out: Option<PathBuf>,
    pub(crate) jobs: usize,
    pub(crate) limits: photo::Limits,
    pub(crate) shard: Option<Shard>,
    pub(crate) results: Option<PathBuf>,
    pub(crate) again: bool,
}

impl Request {
    /// Checks what was typed.
    ///
    /// # Errors
    /// Wrong usage with the accepted form, or a marks file that cannot be read.
    pub(crate) fn check(args: CountArgs) -> Result<Self, CommandError> {
        let length = |option: &str, measure, text: Option<&str>, example: &str| {
            change(text, |text| given::length(option, measure, text, example))
        };
        let facts = GivenFacts {
            species: change(args.species.as_deref(), |text| {
                given::species("--species", text)
            })?,
            wood: args.wood.map_or(Change::Keep, wood_change),
            felled: change(args.felled.as_deref(), |text| {
                given::felled("--felled", text)
            })?,
            hemisphere: match (args.southern, args.northern) {
                (true, _) => Some(Hemisphere::Southern),
                (_, true) => Some(Hemisphere::Northern),
                _ => None,
            },
            cut_height: length(
                "--cut-height",
                Measure::CutHeight,
                args.cut_height.as_deref(),
                "8in",
            )?,
            across: length("--across", Measure::Across, args.across.as_deref(), "24in")?,
            hollow: length(
                "--hollow",
                Measure::Hollow,
                args.hollow.as_deref(),
                "3in, the radius from the middle to the first sound ring",
            )?,
            card_bar: length(
                "--card-bar",
                Measure::CardBar,
                args.card_bar.as_deref(),
                "98.5mm, the length of the thick black bar below the codes",
            )?,
        };
        let marks = GivenMarks {
            pith: change(args.pith.as_deref(), pith)?,
            tape: change(args.tape.as_deref(), tape)?,
            strip: change(args.strip.as_deref(), strip)?,
            file: match &args.marks {
                Some(path) => marks_file(path)?,
                None => Marks::default(),
            },
        };
        let mut limits = photo::Limits::default();
        if let Some(text) = &args.max_pixels {
            limits.max_pixels = max_pixels(text)?;
        }
        Ok(Self {
            photos: args.photos,
            join: args.join,
            facts,
            labels: Labels::check(args.labels)?,
            marks,
            form: if args.json { Form::Json } else { Form::Summary },
            units: args.units.into(),
            out: args.out,
            jobs: jobs(args.jobs.as_deref())?,
            limits,
            shard: args.shard.as_deref().map(Shard::parse).transpose()?,
            results: args.results,
            again: args.again,
        })
    }

    /// Marks belong to one photo, so they make no sense for several.
    ///
    /// # Errors
    /// Wrong usage, when marks were given and there are several photos.
    pub(crate) fn check_alone(&self, photos: usize) -> Result<(), CommandError> {
        if photos > 1 && self.marks.any() {
            return Err(CommandError::usage(
                format!(
                    "--pith, --tape, --strip and --marks belong to one photo, but there are {photos}"
                ),
                "give one photo at a time, as in stumpbook count oak.jpg --pith 1200,1266",
            ));
        }
        Ok(())
    }
}

/// What an option changes: `none` clears what was saved.
fn change<T>(
    text: Option<&str>,
    parse: impl FnOnce(&str) -> Result<T, CommandError>,
) -> Result<Change<T>, CommandError> {
    match text {
        None => Ok(Change::Keep),
        Some(text) if text.trim().eq_ignore_ascii_case("none") => Ok(Change::Clear),
        Some(text) => parse(text).map(Change::Set),
    }
}

fn wood_change(typed: WoodFactArg) -> Change<WoodClass> {
    match typed {
        WoodFactArg::Conifer => Change::Set(WoodClass::Conifer),
        WoodFactArg::RingPorous => Change::Set(WoodClass::RingPorous),
        WoodFactArg::SemiRingPorous => Change::Set(WoodClass::SemiRingPorous),
        WoodFactArg::DiffusePorous => Change::Set(WoodClass::DiffusePorous),
        WoodFactArg::None => Change::Clear,
    }
}

/// Numbers with commas between them, as many as wanted and all finite.
fn numbers<const N: usize>(text: &str) -> Option<[f64; N]> {
    let found: Vec<f64> = text
        .split(',')
        .map(|field| field.trim().parse::<f64>().ok().filter(|v| v.is_finite()))
        .collect::<Option<_>>()?;
    found.try_into().ok()
}

fn pith(text: &str) -> Result<Point, CommandError> {
    numbers::<2>(text).map(Point::from).ok_or_else(|| {
        CommandError::usage(
            format!("--pith: \"{text}\" is not a place: write X,Y in pixels"),
            "--pith 1200,1266",
        )
    })
}

fn tape(text: &str) -> Result<Tape, CommandError> {
    const EXAMPLE: &str = "--tape 210,80,1830,95=24in";
    let form = || {
        CommandError::usage(
            format!("--tape: \"{text}\" is not two places and a length: write X1,Y1,X2,Y2=LEN"),
            EXAMPLE,
        )
    };
    let (places, reads) = text.split_once('=').ok_or_else(form)?;
    let [x1, y1, x2, y2] = numbers::<4>(places).ok_or_else(form)?;
    let length_mm = given::length("--tape", Measure::Tape, reads, "210,80,1830,95=24in")?;
    let (from, to) = (Point::new(x1, y1), Point::new(x2, y2));
    if from.distance(to).0 < 10.0 {
        return Err(CommandError::usage(
            "--tape: the two places are less than 10 pixels apart, too near to measure by",
            EXAMPLE,
        ));
    }
    Ok(Tape {
        from,
        to,
        length_mm,
    })
}

fn strip(text: &str) -> Result<Strip, CommandError> {
    const EXAMPLE: &str = "--strip 1200,1266,2350,1310";
    let (ends, width_px) = match numbers::<5>(text) {
        Some([x1, y1, x2, y2, width]) => (Some([x1, y1, x2, y2]), Some(Px(width))),
        None => (numbers::<4>(text), None),
    };
    let [x1, y1, x2, y2] = ends.ok_or_else(|| {
        CommandError::usage(
            format!(
                "--strip: \"{text}\" is not two places: write X1,Y1,X2,Y2 or X1,Y1,X2,Y2,WIDTH"
            ),
            EXAMPLE,
        )
    })?;
    let strip = Strip::to_read(Point::new(x1, y1), Point::new(x2, y2), width_px);
    if strip.length() < Strip::SHORTEST {
        return Err(CommandError::usage(
            format!(
                "--strip: the two ends are less than {:.0} pixels apart, too near to hold rings",
                Strip::SHORTEST.0
            ),
            EXAMPLE,
        ));
    }
    if width_px.is_some_and(|width| width < Strip::NARROWEST) {
        return Err(CommandError::usage(
            format!(
                "--strip: a width of less than {:.0} pixels shows no rings",
                Strip::NARROWEST.0
            ),
            "--strip 1200,1266,2350,1310,180",
        ));
    }
    Ok(strip)
}

fn marks_file(path: &Path) -> Result<Marks, CommandError> {
    let text =
        std::fs::read_to_string(path).map_err(|error| CommandError::cannot_read(path, &error))?;
    let wrong = |error: serde_json::Error| {
        CommandError::failed(
            format!(
                "cannot read {}: these are no marks: {error}",
                path.display()
            ),
            "give a file like {\"pith\":[1200,1266],\"rings\":[{\"kind\":\"boundary\",\"at\":[1300,1266]}]}, or an earlier .stump.json; docs/formats.md describes them all",
        )
    };
    let value: serde_json::Value = serde_json::from_str(&text).map_err(wrong)?;
    // An earlier .stump.json holds its marks under their own name.
    let marks = match value.get("marks") {
        Some(inside) if value.get("format").is_some() => inside.clone(),
        _ => value,
    };
    serde_json::from_value(marks).map_err(wrong)
}

fn jobs(text: Option<&str>) -> Result<usize, CommandError> {
    /// More threads than this only cost memory.
    const MOST: usize = 256;
    match text {
        None => Ok(std::thread::available_parallelism().map_or(1, usize::from)),
        Some(text) => text
            .parse()
            .ok()
            .filter(|jobs| (1..=MOST).contains(jobs))
            .ok_or_else(|| {
                CommandError::usage(
                    format!("--jobs: \"{text}\" is not a number of cores from 1 to {MOST}"),
                    "--jobs 2",
                )
            }),
    }
}

/// A number of pixels, where K, M and G stand for thousand, million, thousand million.
fn max_pixels(text: &str) -> Result<u64, CommandError> {
    let (digits, times) = match text.to_ascii_uppercase().chars().last() {
        Some('K') => (&text[..text.len() - 1], 1_000),
        Some('M') => (&text[..text.len() - 1], 1_000_000),
        Some('G') => (&text[..text.len() - 1], 1_000_000_000),
        _ => (text, 1),
    };
    digits
        .parse::<u64>()
        .ok()
        .and_then(|number| number.checked_mul(times))
        .filter(|pixels| *pixels > 0)
        .ok_or_else(|| {
            CommandError::usage(
                format!("--max-pixels: \"{text}\" is not a number of pixels"),
                "--max-pixels 200M",
            )
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pixels_are_counted_in_thousands_and_millions() {
        for (text, pixels) in [
            ("200M", 200_000_000),
            ("5k", 5_000),
            ("1G", 1_000_000_000),
            ("77", 77),
        ] {
            assert_eq!(max_pixels(text).unwrap(), pixels, "{text}");
        }
        for text in ["", "M", "0", "-1", "2.5M", "99999999999G", "é"] {
            assert!(max_pixels(text).is_err(), "{text}");
        }
    }

    #[test]
    fn none_clears_and_nothing_keeps() {
        let parsed = |text| change(text, |text| given::felled("--felled", text)).unwrap();
        assert_eq!(parsed(None), Change::Keep);
        assert_eq!(parsed(Some("None")), Change::Clear);
        assert_eq!(parsed(Some("2025")), Change::Set("2025".parse().unwrap()));
    }

    #[test]
    fn a_tape_is_two_places_and_a_length() {
        let tape = tape("210,80,1830,95=24in").unwrap();
        assert_eq!(tape.to, Point::new(1830.0, 95.0));
        assert!((tape.length_mm.0 - 609.6).abs() < 1e-9);
        for text in [
            "",
            "1,2,3,4",
            "1,2,3=24in",
            "1,2,3,4=24",
            "1,2,3,4=24in",
            "a,b,c,d=1in",
            "0,0,inf,0=1in",
        ] {
            let error = super::tape(text).unwrap_err();
            assert!(error.advice().contains("--tape 210,80"), "{text}");
        }
    }
}
