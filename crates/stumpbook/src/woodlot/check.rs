//! Stumps against each other.

use super::sync;
use super::years::trees;
use crate::columns::{Side, table};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use serde_json::json;
use std::path::Path;
use woodlot::{Apart, Book, CheckCriteria, Checked, Kept, Pair, Shift, Tree, check};

/// Fewest stumps that can check each other: one against the mean of two.
const FEWEST: usize = 3;

/// Tells how the stumps agree, and where one of them may be misread.
pub(super) fn run(path: &Path, pairs: bool, as_json: bool) -> anyhow::Result<Outcome> {
    let mut book = Book::open(path).map_err(CommandError::from)?;
    let stumps = sync::stumps(&mut book).map_err(CommandError::from)?;
    let trees = trees(&stumps);
    let criteria = CheckCriteria::default();
    let (checked, all_pairs) = check(&trees, &criteria);
    if checked.len() < FEWEST {
        return Err(CommandError::failed(
            format!(
                "only {} stumps in {} have dated rings enough; stumps check each other from {FEWEST} on",
                checked.len(),
                path.display()
            ),
            "add more stumps, or date those that are there with stumpbook count --felled 2025-11-08",
        )
        .into());
    }
    let report = Report {
        stumps: &stumps,
        trees: &trees,
        checked: &checked,
        pairs: &all_pairs,
    };
    if as_json {
        say::data(&report.json().to_string())?;
    } else {
        say::data(&report.text(pairs))?;
    }
    Ok(Outcome::Read)
}

struct Report<'a> {
    stumps: &'a [Kept],
    trees: &'a [Tree],
    checked: &'a [Checked],
    pairs: &'a [Pair],
}

impl Report<'_> {
    fn text(&self, pairs: bool) -> String {
        let mut lines = vec![
            "Each stump against the mean of the others (t: from 3.5 on worth believing;".to_owned(),
            "parallel: share of years in which both went the same way):".to_owned(),
            String::new(),
        ];
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
        lines.push(table(&sides, &rows));
        let left_out: Vec<&str> = self
            .stumps
            .iter()
            .map(|kept| kept.name.as_str())
            .filter(|name| !self.checked.iter().any(|checked| checked.name == *name))
            .collect();
        if !left_out.is_empty() {
            lines.push(format!(
                "\nleft out, undated or too short: {}",
                left_out.join(", ")
            ));
        }
        lines.push(String::new());
        let doubtful: Vec<String> = self
            .checked
            .iter()
            .filter_map(|one| one.shift.as_ref().map(|shift| self.proposal(one, shift)))
            .collect();
        if doubtful.is_empty() {
            lines.push("No stump would fit clearly better with a ring more or less.".to_owned());
        }
        let weak: Vec<String> = self
            .checked
            .iter()
            .filter_map(|one| one.apart.as_ref().map(|apart| self.apart(one, apart)))
            .collect();
        let any = !doubtful.is_empty() || !weak.is_empty();
        lines.extend(doubtful);
        lines.extend(weak);
        if any {
            lines.push("Nothing was changed: look at the wood there, and decide.".to_owned());
        }
        if pairs {
            lines.push(String::new());
            lines.push(self.pair_table());
        }
        lines.join("\n")
    }

    /// What may be wrong with a stump, and where to look.
    fn proposal(&self, one: &Checked, shift: &Shift) -> String {
        let rings = self.rings(&one.name, shift.from_year, shift.to_year);
        let place = rings.map_or(String::new(), |(from, to)| {
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
        let opened = self.opened(&one.name, rings);
        let whole = if shift.may_be_whole {
            "\n  or every ring is shifted: then the date of felling is wrong, or rings under the bark were lost"
        } else {
            ""
        };
        format!(
            "{} seems to read {} {years}{place}:\n  t {:.1} as it is, {:.1} with the rings inside moved by {}{whole}{opened}",
            one.name,
            words(shift.rings_short()),
            shift.t_now,
            shift.t_shifted,
            moved(shift.years),
        )
    }

    /// A stretch of years in which a stump does not go with the others, though
    /// no single slip explains it.
    fn apart(&self, one: &Checked, apart: &Apart) -> String {
        let (from, to) = (apart.from_year, apart.to_year);
        let rings = self.rings(&one.name, from, to);
        let place = rings.map_or(String::new(), |(from, to)| {
            format!(" (rings {from} to {to} from the pith)")
        });
        format!(
            "{} hardly goes with the others from {from} to {to}{place}:\n  \
             r {:.2} then, {:.2} in its other years\n  \
             a ring missed and another counted twice may cancel out, or the tree had a story of its own{}",
            one.name,
            apart.r,
            apart.r_beside,
            self.opened(&one.name, rings),
        )
    }

    /// How to open the stump at the middle of those rings; nothing where its
    /// photo is not there.
    fn opened(&self, name: &str, rings: Option<(i64, i64)>) -> String {
        let ring = rings.map_or(String::new(), |(from, to)| {
            format!(" --ring {}", (from + to) / 2)
        });
        self.stumps
            .iter()
            .find(|kept| kept.name == name)
            .and_then(|kept| kept.photo.as_ref().filter(|photo| photo.is_file()))
            .map_or(String::new(), |path| {
                format!(
                    "\n  look there: stumpbook desk \"{}\"{ring}",
                    path.display()
                )
            })
    }

    /// Numbers of the rings of those years.
    fn rings(&self, name: &str, from_year: i32, to_year: i32) -> Option<(i64, i64)> {
        let tree = self.trees.iter().find(|tree| tree.name == name)?;
        let first = i64::from(tree.first_year?.0);
        let number = |year: i32| i64::from(year) - first + i64::from(tree.first_ring);
        Some((number(from_year), number(to_year)))
    }

    fn pair_table(&self) -> String {
        let heading = ["stump", "stump", "years", "r", "t", "parallel"];
        let mut rows = vec![heading.map(str::to_owned).to_vec()];
        for pair in self.pairs {
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
                "apart": one.apart.as_ref().map(|apart| json!({
                    "from_year": apart.from_year, "to_year": apart.to_year,
                    "r": apart.r, "r_beside": apart.r_beside,
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

fn row(one: &Checked) -> Vec<String> {
    let number = |value: Option<f64>, places: usize| {
        value.map_or("?".to_owned(), |value| format!("{value:.places$}"))
    };
    let weak: Vec<String> = one
        .windows
        .iter()
        .filter(|window| window.weak)
        .map(|window| format!("{}\u{2013}{}", window.from_year, window.to_year))
        .collect();
    vec![
        one.name.clone(),
        one.years.to_string(),
        number(one.r, 2),
        number(one.t, 1),
        one.parallel
            .map_or("?".to_owned(), |p| format!("{:.0} %", 100.0 * p.share)),
        weak.join(", "),
    ]
}

fn words(short: i32) -> String {
    let count = short.unsigned_abs();
    let rings = if count == 1 {
        "one ring".to_owned()
    } else {
        format!("{count} rings")
    };
    let how = if short > 0 { "short" } else { "long" };
    format!("{rings} {how}")
}

fn moved(years: i32) -> String {
    let count = years.unsigned_abs();
    let unit = if count == 1 { "year" } else { "years" };
    let way = if years > 0 { "later" } else { "earlier" };
    format!("{count} {unit} {way}")
}
