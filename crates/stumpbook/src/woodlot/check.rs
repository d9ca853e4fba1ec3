//! Stumps compared with each other: one plain verdict each.

use super::sync;
use super::years::trees;
use crate::columns::{Side, table};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use serde_json::json;
use std::path::Path;
use woodlot::{
    Book, CheckCriteria, Checked, Departure, Pair, Shift, StoredStump, Tree, Verdict, check,
};

/// Fewest stumps that can check each other: one against the mean of two.
const FEWEST: usize = 3;

/// Correlation of a stretch of years from which it is drawn as strong.
/// Chosen: half of the variation is shared.
const STRONG: f64 = 0.7;

/// Reports which stumps agree with the others, and where one may be misread.
pub(super) fn run(
    path: &Path,
    (statistics, pairs): (bool, bool),
    as_json: bool,
) -> anyhow::Result<Outcome> {
    let mut book = Book::open(path).map_err(CommandError::from)?;
    let stumps = sync::stumps(&mut book).map_err(CommandError::from)?;
    let report = Report::of(&stumps);
    if report.checked.len() < FEWEST {
        return Err(CommandError::failed(
            format!(
                "only {} stumps in {} have enough dated rings; comparing needs {FEWEST}",
                report.checked.len(),
                path.display()
            ),
            "add more stumps, or date those in the book: stumpbook count PHOTO --felled 2025-11-08",
        )
        .into());
    }
    if as_json {
        say::data(&report.json().to_string())?;
        return Ok(Outcome::Read);
    }
    say::data(&report.text())?;
    if statistics {
        say::data(&format!("\n{}", report.statistics()))?;
    }
    if pairs {
        say::data(&format!("\n{}", report.pair_table()))?;
    }
    Ok(Outcome::Read)
}

/// All stumps of a book, compared.
pub(super) struct Report<'a> {
    stumps: &'a [StoredStump],
    trees: Vec<Tree>,
    pub(super) checked: Vec<Checked>,
    pairs: Vec<Pair>,
    criteria: CheckCriteria,
}

impl<'a> Report<'a> {
    pub(super) fn of(stumps: &'a [StoredStump]) -> Self {
        let trees = trees(stumps);
        let criteria = CheckCriteria::default();
        let (checked, pairs) = check(&trees, &criteria);
        Self {
            stumps,
            trees,
            checked,
            pairs,
            criteria,
        }
    }

    /// Stumps that depart from the others first, then the rest; then the chart.
    fn text(&self) -> String {
        let mut lines = Vec::new();
        let odd = |one: &&Checked| one.verdict(&self.criteria) != Verdict::Agrees;
        for one in self.checked.iter().filter(odd) {
            lines.push(wrapped(&self.verdict(one)));
            lines.extend(self.opened(one));
            lines.push(String::new());
        }
        let agree: Vec<&str> = self
            .checked
            .iter()
            .filter(|one| !odd(one))
            .map(|one| one.name.as_str())
            .collect();
        if !agree.is_empty() {
            lines.push(wrapped(&format!(
                "Agree with the others: {}",
                agree.join(", ")
            )));
        }
        let left_out = self.left_out();
        if !left_out.is_empty() {
            lines.push(format!(
                "Not compared (no years, or fewer than {} rings): {}",
                self.criteria.fewest_years,
                left_out.join(", ")
            ));
        }
        lines.push(String::new());
        lines.push(self.chart());
        if agree.len() < self.checked.len() {
            lines.push("\nNothing was changed. Look at the wood, then decide.".to_owned());
        }
        lines.join("\n")
    }

    /// Stumps that could not be compared.
    pub(super) fn left_out(&self) -> Vec<&str> {
        let names = self.stumps.iter().map(|kept| kept.name.as_str());
        names
            .filter(|name| !self.checked.iter().any(|checked| checked.name == *name))
            .collect()
    }

    /// The verdict on a stump, where it departs and how far, and what would
    /// correct it.
    pub(super) fn verdict(&self, one: &Checked) -> String {
        match one.verdict(&self.criteria) {
            Verdict::Agrees => format!("{} agrees with the others.", one.name),
            Verdict::Slipped(shift) => self.slipped(one, shift),
            Verdict::Departs(departure) => format!(
                "{} departs from the others {}. No single missed or false ring explains it: one \
                 may be missed and another counted twice, or the tree had a story of its own.",
                one.name,
                self.stretch(one, departure)
            ),
            Verdict::Alone => format!(
                "{} does not follow the others in any stretch, and no missed or false ring \
                 explains it. Check its felling date and its species.",
                one.name
            ),
            Verdict::TooShort => format!(
                "{} shares fewer than {} years with the others.",
                one.name, self.criteria.fewest_years
            ),
        }
    }

    fn slipped(&self, one: &Checked, shift: &Shift) -> String {
        let departs = one.departure.as_ref().map_or_else(
            || "does not follow the others".to_owned(),
            |departure| format!("departs from the others {}", self.stretch(one, departure)),
        );
        let rings = self.rings(&one.name, shift.from_year, shift.to_year);
        let place = rings.map_or_else(String::new, |(from, to)| {
            if from == to {
                format!(" (ring {from} from the pith)")
            } else {
                format!(" (rings {from} to {to} from the pith)")
            }
        });
        let years = if shift.from_year == shift.to_year {
            format!("at {}", shift.from_year)
        } else {
            format!("between {} and {}", shift.from_year, shift.to_year)
        };
        let whole = if shift.may_be_whole {
            " Or every ring is shifted: then the felling date is wrong, or rings under the bark \
             were lost."
        } else {
            ""
        };
        format!(
            "{} {departs}. It seems to have {} {years}{place}; with that corrected its agreement \
             rises from {:.2} to {:.2}.{whole}",
            one.name,
            miscounted(shift.rings_short()),
            one.r.unwrap_or(0.0),
            shift.r_shifted,
        )
    }

    /// "from 1954 to 1983 (rings 11 to 40): agreement 0.05 there, 0.91 in other years".
    fn stretch(&self, one: &Checked, departure: &Departure) -> String {
        let (from, to) = (departure.from_year, departure.to_year);
        let rings = self.rings(&one.name, from, to);
        let rings = rings.map_or_else(String::new, |(from, to)| {
            format!(" (rings {from} to {to} from the pith)")
        });
        let beside = departure
            .r_beside
            .map_or_else(String::new, |r| format!(", {r:.2} in its other years"));
        format!(
            "from {from} to {to}{rings}: agreement {:.2} there{beside}",
            departure.r
        )
    }

    /// How to open the stump where it should be looked at; `None` where its
    /// photo is not there.
    fn opened(&self, one: &Checked) -> Option<String> {
        let (from, to) = match one.verdict(&self.criteria) {
            Verdict::Slipped(shift) => (shift.from_year, shift.to_year),
            Verdict::Departs(departure) => (departure.from_year, departure.to_year),
            Verdict::Agrees | Verdict::Alone | Verdict::TooShort => return None,
        };
        let ring = self
            .rings(&one.name, from, to)
            .map_or_else(String::new, |(from, to)| {
                format!(" --ring {}", (from + to) / 2)
            });
        let kept = self.stumps.iter().find(|kept| kept.name == one.name)?;
        let photo = kept.photo.as_ref().filter(|photo| photo.is_file())?;
        Some(format!(
            "  Look there: stumpbook desk \"{}\"{ring}",
            photo.display()
        ))
    }

    /// Numbers of the rings of those years.
    fn rings(&self, name: &str, from_year: i32, to_year: i32) -> Option<(i64, i64)> {
        let tree = self.trees.iter().find(|tree| tree.name == name)?;
        let first = i64::from(tree.first_year?.0);
        let number = |year: i32| i64::from(year) - first + i64::from(tree.first_ring);
        Some((number(from_year), number(to_year)))
    }

    /// A line of marks for each stump, one for ten years.
    fn chart(&self) -> String {
        let decade = |window: &woodlot::Window| {
            (window.from_year + window.to_year)
                .div_euclid(2)
                .div_euclid(10)
        };
        let all = self.checked.iter().flat_map(|one| &one.windows);
        let decades = all.map(decade);
        let (Some(first), Some(last)) = (decades.clone().min(), decades.max()) else {
            return "Too few shared years for a chart.".to_owned();
        };
        let mut heading = vec!["agreement".to_owned()];
        heading.extend((first..=last).map(|ten| format!("{}s", ten * 10)));
        let mut rows = vec![heading];
        for one in &self.checked {
            let mut row = vec![one.name.clone()];
            row.extend((first..=last).map(|ten| {
                let window = one.windows.iter().find(|window| decade(window) == ten);
                let mark = match window {
                    None => "",
                    Some(window) if window.weak => "-",
                    Some(window) if window.r >= STRONG => "##",
                    Some(_) => "#",
                };
                mark.to_owned()
            }));
            rows.push(row);
        }
        let mut sides = vec![Side::Right; rows[0].len()];
        sides[0] = Side::Left;
        format!(
            "{}\n## strong, # fair, - departs; each mark is {} years around that decade",
            table(&sides, &rows),
            self.criteria.window
        )
    }

    fn statistics(&self) -> String {
        let heading = ["stump", "years", "r", "t", "parallel", "weak in"];
        let mut rows = vec![heading.map(str::to_owned).to_vec()];
        rows.extend(self.checked.iter().map(row));
        let sides = [
            Side::Left,
            Side::Right,
            Side::Right,
            Side::Right,
            Side::Right,
            Side::Left,
        ];
        format!(
            "Each stump against the mean of the others (r: correlation; t: 3.5 and more is a \
             match;\nparallel: share of years in which both changed the same way):\n\n{}",
            table(&sides, &rows)
        )
    }

    fn pair_table(&self) -> String {
        let heading = ["stump", "stump", "years", "r", "t", "parallel"];
        let mut rows = vec![heading.map(str::to_owned).to_vec()];
        for pair in &self.pairs {
            rows.push(vec![
                pair.a.clone(),
                pair.b.clone(),
                pair.years.to_string(),
                format!("{:.2}", pair.r),
                format!("{:.1}", pair.t),
                format!("{:.0} %", 100.0 * pair.parallel.share),
            ]);
        }
        let sides = [
            Side::Left,
            Side::Left,
            Side::Right,
            Side::Right,
            Side::Right,
            Side::Right,
        ];
        table(&sides, &rows)
    }

    fn json(&self) -> serde_json::Value {
        let parallel =
            |p: &woodlot::ParallelVariation| json!({"share": p.share, "intervals": p.intervals});
        json!({
            "stumps": self.checked.iter().map(|one| json!({
                "name": one.name, "years": one.years, "r": one.r, "t": one.t,
                "parallel": one.parallel.as_ref().map(parallel),
                "windows": one.windows.iter().map(|w| json!({
                    "from_year": w.from_year, "to_year": w.to_year, "r": w.r, "weak": w.weak,
                })).collect::<Vec<_>>(),
                "verdict": name_of(one.verdict(&self.criteria)),
                "departure": one.departure.as_ref().map(|departure| json!({
                    "from_year": departure.from_year, "to_year": departure.to_year,
                    "r": departure.r, "r_beside": departure.r_beside,
                })),
                "shift": one.shift.as_ref().map(|shift| {
                    let rings = self.rings(&one.name, shift.from_year, shift.to_year);
                    json!({
                        "rings_short": shift.rings_short(),
                        "from_year": shift.from_year, "to_year": shift.to_year,
                        "from_ring": rings.map(|r| r.0), "to_ring": rings.map(|r| r.1),
                        "may_be_whole": shift.may_be_whole,
                        "t_now": shift.t_now, "t_shifted": shift.t_shifted, "gain": shift.gain,
                    })
                }),
            })).collect::<Vec<_>>(),
            "pairs": self.pairs.iter().map(|pair| json!({
                "a": pair.a, "b": pair.b, "years": pair.years, "r": pair.r, "t": pair.t,
                "parallel": parallel(&pair.parallel),
            })).collect::<Vec<_>>(),
        })
    }
}

/// Lines of a terminal's width, all but the first set in.
fn wrapped(text: &str) -> String {
    const WIDE: usize = 80;
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= WIDE => {
                line.push(' ');
                line.push_str(word);
            }
            Some(_) => lines.push(format!("  {word}")),
            None => lines.push(word.to_owned()),
        }
    }
    lines.join("\n")
}

/// The verdict in a word, for JSON.
fn name_of(verdict: Verdict<'_>) -> &'static str {
    match verdict {
        Verdict::Agrees => "agrees",
        Verdict::Slipped(_) => "slipped",
        Verdict::Departs(_) => "departs",
        Verdict::Alone => "alone",
        Verdict::TooShort => "too-short",
    }
}

fn row(one: &Checked) -> Vec<String> {
    let number = |value: Option<f64>, places: usize| {
        value.map_or("?".to_owned(), |value| format!("{value:.places$}"))
    };
    let weak = one.departure.as_ref().map_or_else(String::new, |d| {
        format!("{}\u{2013}{}", d.from_year, d.to_year)
    });
    vec![
        one.name.clone(),
        one.years.to_string(),
        number(one.r, 2),
        number(one.t, 1),
        one.parallel
            .map_or("?".to_owned(), |p| format!("{:.0} %", 100.0 * p.share)),
        weak,
    ]
}

/// "one ring too few", "2 rings too many".
fn miscounted(short: i32) -> String {
    let count = short.unsigned_abs();
    let rings = if count == 1 {
        "one ring".to_owned()
    } else {
        format!("{count} rings")
    };
    let how = if short > 0 { "too few" } else { "too many" };
    format!("{rings} {how}")
}
