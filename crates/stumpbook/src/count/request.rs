//! What was typed, checked once and ready to use.

use super::labels::Labels;
use super::shard::Shard;
use super::told::Told;
use crate::args::{CountArgs, UnitsArg, WoodArg};
use crate::trouble::Trouble;
use jiff::Timestamp;
use std::path::{Path, PathBuf};
use std::str::FromStr;
use wood::{Felled, Length, Marks, Mm, Point, Tape, Units, WoodClass};

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
    pub(crate) told: Told,
    pub(crate) labels: Labels,
    pub(crate) marks: Marks,
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
    pub(crate) fn check(args: CountArgs) -> Result<Self, Trouble> {
        let told = Told {
            species: args.species.as_deref().map(species).transpose()?,
            wood: args.wood.map(wood_class),
            felled: args.felled.as_deref().map(felled).transpose()?,
            southern: args.southern,
            cut_height: length("--cut-height", args.cut_height.as_deref(), "8in")?,
            across: length("--across", args.across.as_deref(), "24in")?,
            hollow: length("--hollow", args.hollow.as_deref(), "3in")?,
            card_bar: card_bar(args.card_bar.as_deref())?,
        };
        let mut marks = match &args.marks {
            Some(path) => marks_file(path)?,
            None => Marks::default(),
        };
        if let Some(text) = &args.tape {
            marks.tape = Some(tape(text)?);
        }
        if let Some(text) = &args.pith {
            marks.pith = Some(pith(text)?);
        }
        let mut limits = photo::Limits::default();
        if let Some(text) = &args.max_pixels {
            limits.max_pixels = max_pixels(text)?;
        }
        Ok(Self {
            photos: args.photos,
            told,
            labels: Labels::check(args.labels)?,
            marks,
            form: if args.json { Form::Json } else { Form::Summary },
            units: match args.units {
                UnitsArg::Inch => Units::Inch,
                UnitsArg::Metric => Units::Metric,
            },
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
    pub(crate) fn check_alone(&self, photos: usize) -> Result<(), Trouble> {
        if photos > 1 && self.marks != Marks::default() {
            return Err(Trouble::usage(
                format!("--pith, --tape and --marks speak of one photo, but there are {photos}"),
                "give one photo at a time, as in stumpbook count oak.jpg --pith 1200,1266",
            ));
        }
        Ok(())
    }
}

/// The wood class that was typed.
pub(crate) fn wood_class(typed: WoodArg) -> WoodClass {
    match typed {
        WoodArg::Conifer => WoodClass::Conifer,
        WoodArg::RingPorous => WoodClass::RingPorous,
        WoodArg::SemiRingPorous => WoodClass::SemiRingPorous,
        WoodArg::DiffusePorous => WoodClass::DiffusePorous,
    }
}

fn species(text: &str) -> Result<&'static wood::Species, Trouble> {
    wood::find_species(text).map_err(|unknown| {
        Trouble::usage(
            format!(
                "--species: no species \"{text}\" is known here; the nearest names are {}",
                unknown.nearest.join(", ")
            ),
            format!(
                "--species \"{}\", or say how the wood shows its years with --wood ring-porous",
                unknown.nearest.first().unwrap_or(&"white oak")
            ),
        )
    })
}

fn felled(text: &str) -> Result<Felled, Trouble> {
    let felled = Felled::from_str(text)
        .map_err(|error| Trouble::usage(format!("--felled: {error}"), "--felled 2025-11-08"))?;
    // One day of grace: it may be tomorrow already where the tree stood.
    let tomorrow = Timestamp::now().as_second().saturating_add(24 * 60 * 60);
    let latest = Timestamp::from_second(tomorrow)
        .map(|time| jiff::tz::TimeZone::UTC.to_datetime(time).date());
    if let Ok(latest) = latest
        && felled.starts_after(latest)
    {
        return Err(Trouble::usage(
            format!("--felled: {felled} is still to come"),
            "--felled 2025-11-08, 2025-11 or 2025",
        ));
    }
    Ok(felled)
}

fn length(option: &str, text: Option<&str>, example: &str) -> Result<Option<Mm>, Trouble> {
    text.map(|text| {
        Length::from_str(text).map(Length::mm).map_err(|error| {
            Trouble::usage(format!("{option}: {error}"), format!("{option} {example}"))
        })
    })
    .transpose()
}

/// The measured length of the card's bar; a print that far off is no print of ours.
fn card_bar(text: Option<&str>) -> Result<Option<Mm>, Trouble> {
    let measured = length("--card-bar", text, "98.5mm")?;
    let share = |bar: Mm| bar.0 / wood::CARD_BAR_MM;
    if let Some(bar) = measured
        && !(0.5..=2.0).contains(&share(bar))
    {
        return Err(Trouble::usage(
            format!(
                "--card-bar: a bar of {:.0} mm is none of the scale card's, which is printed 100 mm long",
                bar.0
            ),
            "measure the thick black bar below the codes, as in --card-bar 98.5mm or --card-bar 3.88in",
        ));
    }
    Ok(measured)
}

/// Numbers with commas between them, as many as wanted and all finite.
fn numbers<const N: usize>(text: &str) -> Option<[f64; N]> {
    let found: Vec<f64> = text
        .split(',')
        .map(|field| field.trim().parse::<f64>().ok().filter(|v| v.is_finite()))
        .collect::<Option<_>>()?;
    found.try_into().ok()
}

fn pith(text: &str) -> Result<Point, Trouble> {
    numbers::<2>(text).map(Point::from).ok_or_else(|| {
        Trouble::usage(
            format!("--pith: \"{text}\" is not a place: write X,Y in pixels"),
            "--pith 1200,1266",
        )
    })
}

fn tape(text: &str) -> Result<Tape, Trouble> {
    const EXAMPLE: &str = "--tape 210,80,1830,95=24in";
    let form = || {
        Trouble::usage(
            format!("--tape: \"{text}\" is not two places and a length: write X1,Y1,X2,Y2=LEN"),
            EXAMPLE,
        )
    };
    let (places, reads) = text.split_once('=').ok_or_else(form)?;
    let [x1, y1, x2, y2] = numbers::<4>(places).ok_or_else(form)?;
    let length_mm = Length::from_str(reads)
        .map_err(|error| Trouble::usage(format!("--tape: {error}"), EXAMPLE))?
        .mm();
    let (from, to) = (Point::new(x1, y1), Point::new(x2, y2));
    if from.distance(to).0 < 10.0 {
        return Err(Trouble::usage(
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

fn marks_file(path: &Path) -> Result<Marks, Trouble> {
    let text = std::fs::read_to_string(path).map_err(|error| Trouble::cannot_read(path, &error))?;
    let wrong = |error: serde_json::Error| {
        Trouble::failed(
            format!(
                "cannot read {}: these are no marks: {error}",
                path.display()
            ),
            "give a file like {\"pith\":[1200,1266],\"rings\":[{\"kind\":\"boundary\",\"at\":[1300,1266]}]}, or an earlier .stump.json; docs/formats.md tells all of it",
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

fn jobs(text: Option<&str>) -> Result<usize, Trouble> {
    /// More threads than this only cost memory.
    const MOST: usize = 256;
    match text {
        None => Ok(std::thread::available_parallelism().map_or(1, usize::from)),
        Some(text) => text
            .parse()
            .ok()
            .filter(|jobs| (1..=MOST).contains(jobs))
            .ok_or_else(|| {
                Trouble::usage(
                    format!("--jobs: \"{text}\" is not a number of cores from 1 to {MOST}"),
                    "--jobs 2",
                )
            }),
    }
}

/// A number of pixels, where K, M and G stand for thousand, million, thousand million.
fn max_pixels(text: &str) -> Result<u64, Trouble> {
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
            Trouble::usage(
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
            let trouble = super::tape(text).unwrap_err();
            assert!(trouble.advice().contains("--tape 210,80"), "{text}");
        }
    }
}
