//! The woodlot's sheet, to print.

use super::check::Report;
use super::list::length;
use super::sync;
use super::years::{bars, named, remembered_years, sentences, trees};
use crate::args::{PaperArg, UnitsArg};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::{say, writing};
use chart::{AgreementRow, Stretch, agreement_svg, years_svg};
use report::{Column, Paper, Table, WoodlotSheet};
use std::path::{Path, PathBuf};
use wood::{Mm, Scope};
use woodlot::{
    Book, CheckCriteria, Detrending, StandingQuestion, StoredStump, Verdict, curves, standing_age,
    years,
};

/// Makes the sheet of a book.
pub(super) fn run(
    path: &Path,
    (paper, units): (PaperArg, UnitsArg),
    out: Option<PathBuf>,
) -> anyhow::Result<Outcome> {
    let mut book = Book::open(path).map_err(CommandError::from)?;
    let stumps = sync::stumps(&mut book).map_err(CommandError::from)?;
    if stumps.is_empty() {
        return Err(CommandError::failed(
            format!("there is no stump in {}", path.display()),
            "add stumps first: stumpbook woodlot add BOOK FOLDER",
        )
        .into());
    }
    let title = book.name().map_err(CommandError::from)?;
    let trees = trees(&stumps);
    let found = years(&trees, Detrending::NegativeExponential);
    let remembered = remembered_years(&mut book, &found, &trees)?;
    let compared = Report::of(&stumps);
    let span = found.years.first().zip(found.years.last());
    let span = span.map_or_else(String::new, |(first, last)| {
        format!(", {} to {}", first.year, last.year)
    });
    let sheet = WoodlotSheet {
        title: &title,
        subtitle: format!("{} stumps{span}", stumps.len()),
        years_svg: years_svg(&bars(&found), &named(&remembered)).ok(),
        years: sentences(&found, &remembered),
        agreement_svg: agreement_svg(&agreement(&compared)).ok(),
        check: verdicts(&compared),
        tables: vec![tree_table(&stumps, units), standing_table(&stumps, units)],
    };
    let paper = match paper {
        PaperArg::Letter => Paper::Letter,
        PaperArg::A4 => Paper::A4,
    };
    let pdf = sheet.pdf(paper).map_err(|error| {
        let what = format!("cannot make the sheet of {}: {error}", path.display());
        CommandError::failed(what, error.advice())
    })?;
    if let Some(shown) = say::letters_in(&sheet.letters_not_in_font()) {
        say::note(&format!(
            "stumpbook: the sheet has ? in place of letters that its font lacks ({shown})\ntry: write them in Latin letters; stumpbook woodlot new BOOK --name names a book"
        ));
    }
    let target = out.unwrap_or_else(|| {
        let stem = path.file_stem().unwrap_or(path.as_os_str());
        path.with_file_name(format!("{}-sheet.pdf", stem.to_string_lossy()))
    });
    writing::replace(&target, &pdf)?;
    say::data(&target.display().to_string())?;
    Ok(Outcome::Read)
}

/// The stumps as rows of the chart.
fn agreement(compared: &Report<'_>) -> Vec<AgreementRow> {
    let stretch = |window: &woodlot::Window| Stretch {
        from_year: window.from_year,
        to_year: window.to_year,
        r: window.r,
        departs: window.weak,
    };
    compared
        .checked
        .iter()
        .map(|one| AgreementRow {
            name: one.name.clone(),
            stretches: one.windows.iter().map(stretch).collect(),
        })
        .collect()
}

fn verdicts(compared: &Report<'_>) -> Vec<String> {
    let criteria = CheckCriteria::default();
    let (agree, odd): (Vec<_>, Vec<_>) = compared
        .checked
        .iter()
        .partition(|one| one.verdict(&criteria) == Verdict::Agrees);
    let mut sentences: Vec<String> = odd.iter().map(|one| compared.verdict(one)).collect();
    if !agree.is_empty() {
        let names: Vec<&str> = agree.iter().map(|one| one.name.as_str()).collect();
        sentences.push(format!(
            "These agree with the others: {}.",
            names.join(", ")
        ));
    }
    let left_out = compared.left_out();
    if !left_out.is_empty() {
        sentences.push(format!("Not compared: {}.", left_out.join(", ")));
    }
    sentences
}

fn column(name: &'static str, share: f64) -> Column {
    Column { name, share }
}

/// One line a tree.
fn tree_table(stumps: &[StoredStump], units: UnitsArg) -> Table {
    let dash = || "\u{2013}".to_owned();
    let rows = stumps.iter().map(|kept| {
        let (facts, reading) = (&kept.stump.facts, &kept.stump.reading);
        let bark = reading.scope != Some(Scope::RingsInView);
        let radius = reading.rings.last().and_then(|ring| ring.radius_mm);
        let across = facts
            .across_inside_bark_mm
            .or(radius.filter(|_| bark).map(|radius| radius * 2.0));
        let width = reading.figures.as_ref().and_then(|f| f.mean_width_mm);
        let pace = width.map(|width| match units {
            UnitsArg::Inch => format!("{:.1}", 1.0 / width.inches().max(1e-9)),
            UnitsArg::Metric => format!("{:.2}", width.0),
        });
        vec![
            kept.name.clone(),
            facts.tag.clone().unwrap_or_else(dash),
            facts.species.clone().unwrap_or_else(dash),
            facts.felled.map_or_else(dash, |felled| felled.to_string()),
            reading.count.as_ref().map_or_else(dash, |count| {
                if count.low == count.high {
                    count.best.to_string()
                } else {
                    format!("{} ({} to {})", count.best, count.low, count.high)
                }
            }),
            reading.age.as_ref().map_or_else(dash, |age| {
                format!("{} ({} to {})", age.best, age.low, age.high)
            }),
            across.map_or_else(dash, |across| length(across, units)),
            pace.unwrap_or_else(dash),
        ]
    });
    Table {
        title: "The trees",
        columns: vec![
            column("Stump", 1.5),
            column("Tag", 0.6),
            column("Species", 1.5),
            column("Felled", 1.0),
            column("Rings", 1.2),
            column("Age", 1.3),
            column("Across", 0.8),
            column(
                match units {
                    UnitsArg::Inch => "Rings/inch",
                    UnitsArg::Metric => "mm a year",
                },
                0.9,
            ),
        ],
        rows: rows.collect(),
        note: format!(
            "Across: inside the bark. Ranges are set to hold the true value on 9 of 10 trees.{}",
            along_strips(stumps)
        ),
    }
}

/// Which trees were counted along one strip, as sentences; empty where none was.
fn along_strips(stumps: &[StoredStump]) -> String {
    let each = stumps.iter().filter_map(|kept| {
        let along = kept.stump.reading.counted_along()?;
        Some(format!(" {}: {along}.", kept.name))
    });
    each.collect()
}

/// Likely ages of standing trees of round sizes, by species.
fn standing_table(stumps: &[StoredStump], units: UnitsArg) -> Table {
    let sizes: Vec<Mm> = match units {
        UnitsArg::Inch => [6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 18.0, 20.0].map(Mm::from_inches),
        UnitsArg::Metric => [150.0, 200.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0].map(Mm),
    }
    .to_vec();
    let (all, _) = curves(stumps.iter().map(|kept| (kept.name.as_str(), &kept.stump)));
    let mut species: Vec<&str> = all.iter().map(|curve| curve.species.as_str()).collect();
    species.sort_unstable();
    species.dedup();
    let mut rows = Vec::new();
    for species in species {
        for size in &sizes {
            let question = StandingQuestion {
                species,
                breast_height: *size,
            };
            if let Ok(age) = standing_age(&all, &question) {
                rows.push(vec![
                    species.to_owned(),
                    length(*size, units),
                    format!("{:.0}", age.best.0),
                    format!("{:.0} to {:.0}", age.low.0, age.high.0),
                    age.stumps.to_string(),
                ]);
            }
        }
    }
    Table {
        title: "How old is a standing tree here?",
        columns: vec![
            column("Species", 2.0),
            column("Diameter at breast height", 2.0),
            column("About years", 1.2),
            column("Range", 1.6),
            column("From stumps", 1.2),
        ],
        rows,
        note: "Measure around the tree at breast height (4.5 ft) and divide by 3.14. Only species \
               with three or more stumps of that size are listed. Estimates: stumpbook woodlot \
               standing shows how well they hold."
            .to_owned(),
    }
}
