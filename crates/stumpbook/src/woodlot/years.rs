//! The good and bad years.

use super::sync;
use crate::args::YearsArgs;
use crate::columns::{Side, table};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::{say, writing};
use chart::{RememberedYear, YearBar, png, years_svg};
use serde_json::json;
use std::path::Path;
use wood::Year;
use woodlot::{Around, Book, Detrending, Memory, StoredStump, Tree, Years, around, tree, years};

/// How many times larger than in CSS pixels a chart is drawn as PNG.
const PNG_SCALE: f32 = 2.0;

/// Reports the woodlot's years, and writes a chart of them where one is wanted.
pub(super) fn run(args: &YearsArgs) -> anyhow::Result<Outcome> {
    let mut book = Book::open(&args.book).map_err(CommandError::from)?;
    let trees = trees(&sync::stumps(&mut book).map_err(CommandError::from)?);
    let detrending = if args.spline {
        Detrending::Spline
    } else {
        Detrending::NegativeExponential
    };
    let found = years(&trees, detrending);
    if found.years.is_empty() {
        return Err(CommandError::failed(
            format!("no stump in {} has dated rings", args.book.display()),
            "count a photo again with --felled 2025-11-08, then add the stump again",
        )
        .into());
    }
    let memories = book.memories().map_err(CommandError::from)?;
    let remembered: Vec<Remembered> = memories
        .into_iter()
        .map(|memory| Remembered::of(memory, &found, &trees, detrending))
        .collect();
    if let Some(path) = &args.chart {
        chart(path, &found, &remembered)?;
    }
    if args.json {
        say::data(&as_json(&found, &remembered).to_string())?;
    } else {
        say::data(&text(&found, &remembered))?;
    }
    if let Some(path) = &args.chart {
        say::note(&format!("written: {}", path.display()));
    }
    Ok(Outcome::Read)
}

/// Something that is remembered, with the growth around it.
pub(super) struct Remembered {
    memory: Memory,
    /// Over all stumps.
    all: Around,
    /// Over the stumps it was noted for, where that is not all of them.
    own: Option<Around>,
}

impl Remembered {
    fn of(memory: Memory, found: &Years, trees: &[Tree], detrending: Detrending) -> Self {
        let own: Vec<Tree> = trees
            .iter()
            .filter(|tree| memory.stumps.contains(&tree.name))
            .cloned()
            .collect();
        let some = !own.is_empty() && own.len() < trees.len();
        Self {
            all: around(found, memory.year),
            own: some.then(|| around(&years(&own, detrending), memory.year)),
            memory,
        }
    }

    /// Which stumps it was noted for.
    fn noted_for(&self) -> String {
        let stumps = self.memory.stumps.join(", ");
        match (self.memory.of_woodlot, stumps.is_empty()) {
            (true, true) => "the woodlot".to_owned(),
            (true, false) => format!("the woodlot, {stumps}"),
            (false, _) => stumps,
        }
    }
}

/// Every stump with rings, as comparisons want it.
pub(super) fn trees(stumps: &[StoredStump]) -> Vec<Tree> {
    stumps
        .iter()
        .filter_map(|kept| tree(&kept.name, &kept.stump))
        .collect()
}

/// The years as bars of the chart.
pub(super) fn bars(found: &Years) -> Vec<YearBar> {
    let bar = |year: &woodlot::YearMean| YearBar {
        year: year.year,
        against_trend: year.mean,
        stumps: year.stumps,
    };
    found.years.iter().map(bar).collect()
}

/// What is remembered, as lines of the chart.
pub(super) fn named(remembered: &[Remembered]) -> Vec<RememberedYear> {
    let year = |one: &Remembered| RememberedYear {
        year: one.memory.year,
        what: one.memory.what.clone(),
        before: one.all.before,
        after: one.all.after,
    };
    remembered.iter().map(year).collect()
}

/// What is remembered of the woodlot and its stumps, with the growth around it.
pub(super) fn remembered_years(
    book: &mut Book,
    found: &Years,
    trees: &[Tree],
) -> Result<Vec<Remembered>, CommandError> {
    let memories = book.memories().map_err(CommandError::from)?;
    let detrending = Detrending::NegativeExponential;
    Ok(memories
        .into_iter()
        .map(|memory| Remembered::of(memory, found, trees, detrending))
        .collect())
}

/// The good and bad years, and what is remembered, for the printed page.
pub(super) fn sentences(found: &Years, remembered: &[Remembered]) -> Vec<String> {
    let list = |years: &[Year]| {
        let years: Vec<String> = years.iter().map(ToString::to_string).collect();
        if years.is_empty() {
            "none".to_owned()
        } else {
            years.join(", ")
        }
    };
    let mut sentences = vec![format!(
        "Most trees grew well in: {}. Most grew badly in: {}.",
        list(&found.good),
        list(&found.bad)
    )];
    for (number, one) in (1..).zip(remembered) {
        let change = one.all.change_percent.map_or_else(String::new, |change| {
            format!(": growth changed by {change:+.0} % in the ten years after")
        });
        sentences.push(format!(
            "{number}: {} in {}{change}.",
            one.memory.what, one.memory.year
        ));
    }
    sentences
}

fn chart(path: &Path, found: &Years, remembered: &[Remembered]) -> anyhow::Result<()> {
    let svg = years_svg(&bars(found), &named(remembered))?;
    let ending = path
        .extension()
        .map(|ending| ending.to_string_lossy().to_ascii_lowercase());
    let bytes = match ending.as_deref() {
        Some("svg") => svg.into_bytes(),
        Some("png") => {
            warn_of_letters(remembered);
            png(&svg, PNG_SCALE)?
        }
        _ => {
            return Err(CommandError::usage(
                format!(
                    "--chart: {} ends neither in .svg nor in .png",
                    path.display()
                ),
                "--chart years.svg",
            )
            .into());
        }
    };
    writing::replace(path, &bytes)?;
    Ok(())
}

/// Names the letters that the picture has boxes for.
fn warn_of_letters(remembered: &[Remembered]) {
    let texts = remembered.iter().map(|one| one.memory.what.as_str());
    if let Some(shown) = say::letters(&chart::letters::missing(texts)) {
        say::note(&format!(
            "stumpbook: the chart has boxes in place of letters that its font lacks (remembered: {shown})\ntry: --chart years.svg, which a browser shows with its own fonts, or write them in Latin letters"
        ));
    }
}

fn text(found: &Years, remembered: &[Remembered]) -> String {
    let mut lines = vec![format!(
        "{} stumps, {} years; 1.00 is normal for each tree's age",
        found.used.len(),
        found.years.len()
    )];
    let list = |years: &[Year]| {
        if years.is_empty() {
            "none".to_owned()
        } else {
            let years: Vec<String> = years.iter().map(ToString::to_string).collect();
            years.join(", ")
        }
    };
    lines.push(format!("  most grew well    {}", list(&found.good)));
    lines.push(format!("  most grew badly   {}", list(&found.bad)));
    lines.push(format!("  together          {}", together(found)));
    if !found.undated.is_empty() {
        lines.push(format!("  left out, no years {}", found.undated.join(", ")));
    }
    lines.push(String::new());
    let mut rows = vec![["decade", "growth", "stumps"].map(str::to_owned).to_vec()];
    for decade in &found.decades {
        rows.push(vec![
            format!("{}s", decade.from_year),
            format!("{:.2}", decade.mean),
            format!("{:.1}", decade.stumps),
        ]);
    }
    lines.push(table(&[Side::Left, Side::Right, Side::Right], &rows));
    if !remembered.is_empty() {
        lines.push(String::new());
        lines.push("Remembered, with growth in the ten years before and after:".to_owned());
        lines.push(remembered_table(remembered));
        lines.push("A change after an event does not prove that the event caused it.".to_owned());
    }
    lines.join("\n")
}

fn together(found: &Years) -> String {
    match (found.mean_correlation, found.signal) {
        (Some(r), Some(signal)) => {
            let enough = if signal >= 0.85 {
                "the mean represents the woodlot"
            } else {
                "too few or too different stumps to represent the woodlot (rule of thumb: 0.85)"
            };
            format!("mean correlation {r:.2}, expressed signal {signal:.2}: {enough}")
        }
        (Some(r), None) => format!("mean correlation {r:.2}"),
        (None, _) => "no two stumps share 20 years".to_owned(),
    }
}

fn remembered_table(remembered: &[Remembered]) -> String {
    let heading = [
        "year",
        "before",
        "itself",
        "after",
        "change",
        "stumps",
        "what",
        "noted for",
    ];
    let mut rows = vec![heading.map(str::to_owned).to_vec()];
    for one in remembered {
        let figures = |around: &Around, year: String, last: [String; 2]| {
            let number = |value: Option<f64>| value.map_or("?".to_owned(), |v| format!("{v:.2}"));
            let change = around
                .change_percent
                .map_or("?".to_owned(), |change| format!("{change:+.0} %"));
            let mut row = vec![
                year,
                number(around.before),
                number(around.itself),
                number(around.after),
                change,
                format!("{:.1}", around.stumps),
            ];
            row.extend(last);
            row
        };
        rows.push(figures(
            &one.all,
            one.memory.year.to_string(),
            [one.memory.what.clone(), one.noted_for()],
        ));
        if let Some(own) = &one.own {
            let words = ["  on those stumps".to_owned(), String::new()];
            rows.push(figures(own, String::new(), words));
        }
    }
    let mut sides = [Side::Right; 8];
    sides[6..].fill(Side::Left);
    table(&sides, &rows)
}

fn as_json(found: &Years, remembered: &[Remembered]) -> serde_json::Value {
    json!({
        "stumps": found.used,
        "undated": found.undated,
        "mean_correlation": found.mean_correlation,
        "expressed_population_signal": found.signal,
        "good": found.good,
        "bad": found.bad,
        "years": found.years.iter().map(|year| json!({
            "year": year.year, "mean": year.mean, "spread": year.spread,
            "stumps": year.stumps, "above": year.above,
        })).collect::<Vec<_>>(),
        "decades": found.decades.iter().map(|decade| json!({
            "from_year": decade.from_year, "years": decade.years,
            "mean": decade.mean, "stumps": decade.stumps,
        })).collect::<Vec<_>>(),
        "remembered": remembered.iter().map(|one| {
            let mut event = around_json(&one.all);
            event["year"] = json!(one.memory.year);
            event["what"] = json!(one.memory.what);
            event["of_woodlot"] = json!(one.memory.of_woodlot);
            event["noted_for"] = json!(one.memory.stumps);
            event["on_those_stumps"] = json!(one.own.as_ref().map(around_json));
            event
        }).collect::<Vec<_>>(),
    })
}

fn around_json(around: &Around) -> serde_json::Value {
    json!({
        "before": around.before, "itself": around.itself, "after": around.after,
        "change_percent": around.change_percent, "stumps": around.stumps,
    })
}
