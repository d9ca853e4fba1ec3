//! The figures of rendered faces as a table.

use super::matching;
use super::rendered::Measured;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use wood::WoodClass;

/// Figures over some faces; shares in percent of the faces that can be read.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Totals {
    pub(crate) faces: usize,
    pub(crate) exact: f64,
    pub(crate) within_one: f64,
    pub(crate) f1: f64,
    /// Median over faces of how far outside the true boundaries the found ones lie, in ring widths.
    pub(crate) shift: f64,
    /// Share of readings whose range holds the truth.
    pub(crate) held: f64,
    /// Mean width of the range, in rings.
    pub(crate) range: f64,
    /// Median and worst, in percent of the face's radius.
    pub(crate) pith_median: f64,
    pub(crate) pith_worst: f64,
    /// Faces that could be read but were refused.
    pub(crate) refused: usize,
    /// Share read as the right wood class.
    pub(crate) right_wood: f64,
    pub(crate) seconds: f64,
}

impl Totals {
    pub(crate) fn of<'a>(faces: impl Iterator<Item = &'a Measured>) -> Self {
        let all: Vec<&Measured> = faces.filter(|face| face.readable).collect();
        let read: Vec<&&Measured> = all.iter().filter(|face| !face.refused).collect();
        let share = |count: usize, of: usize| 100.0 * count as f64 / of.max(1) as f64;
        let off_by_at_most = |most: i64| {
            all.iter()
                .filter(|face| face.off().is_some_and(|off| off.abs() <= most))
                .count()
        };
        let sum = |of: fn(&Measured) -> usize| all.iter().map(|face| of(face)).sum::<usize>();
        let ranges: Vec<f64> = read
            .iter()
            .filter_map(|face| Some(f64::from(face.high?) - f64::from(face.low?)))
            .collect();
        let mut pith: Vec<f64> = read.iter().filter_map(|f| f.pith_error_percent).collect();
        pith.sort_by(f64::total_cmp);
        let mut seconds: Vec<f64> = all.iter().map(|face| face.seconds).collect();
        seconds.sort_by(f64::total_cmp);
        let mut shifts: Vec<f64> = read.iter().filter_map(|face| face.shift).collect();
        shifts.sort_by(f64::total_cmp);
        Self {
            faces: all.len(),
            shift: middle(&shifts),
            exact: share(off_by_at_most(0), all.len()),
            within_one: share(off_by_at_most(1), all.len()),
            f1: matching::f1(
                sum(|face| face.matched),
                sum(|face| face.true_boundaries),
                sum(|face| face.found_boundaries),
            ),
            held: share(
                read.iter().filter(|face| face.held() == Some(true)).count(),
                read.len(),
            ),
            range: ranges.iter().sum::<f64>() / ranges.len().max(1) as f64,
            pith_median: middle(&pith),
            pith_worst: pith.last().copied().unwrap_or(f64::NAN),
            refused: all.len() - read.len(),
            right_wood: share(
                read.iter()
                    .filter(|face| face.read_as == Some(face.wood))
                    .count(),
                read.len(),
            ),
            seconds: middle(&seconds),
        }
    }

    fn row(&self, name: &str) -> String {
        format!(
            "{name:<28}{:>6}{:>8.1}{:>9.1}{:>8.3}{:>7.2}{:>8.1}{:>8.1}{:>8.2}{:>8.1}{:>9}{:>7.0}{:>8.2}",
            self.faces,
            self.exact,
            self.within_one,
            self.f1,
            self.shift,
            self.held,
            self.range,
            self.pith_median,
            self.pith_worst,
            self.refused,
            self.right_wood,
            self.seconds
        )
    }
}

fn middle(sorted: &[f64]) -> f64 {
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
}

/// The table over wood classes, troubles and all.
pub(crate) fn rendered(faces: &[Measured]) -> String {
    let mut text = String::new();
    let _ = writeln!(
        text,
        "{:<28}{:>6}{:>8}{:>9}{:>8}{:>7}{:>8}{:>8}{:>8}{:>8}{:>9}{:>7}{:>8}",
        "",
        "faces",
        "exact %",
        "in one %",
        "F1",
        "shift",
        "held %",
        "range",
        "pith %",
        "worst %",
        "refused",
        "wood %",
        "s"
    );
    for class in WoodClass::ALL {
        let of_class = faces.iter().filter(|face| face.wood == class);
        let _ = writeln!(text, "{}", Totals::of(of_class).row(class.name()));
    }
    let mut by_trouble: BTreeMap<&str, Vec<&Measured>> = BTreeMap::new();
    for face in faces {
        for trouble in &face.troubles {
            by_trouble.entry(trouble).or_default().push(face);
        }
    }
    for (trouble, hard) in by_trouble {
        let _ = writeln!(text, "{}", Totals::of(hard.into_iter()).row(trouble));
    }
    let _ = writeln!(text, "{}", Totals::of(faces.iter()).row("all"));
    let unreadable: Vec<&Measured> = faces.iter().filter(|face| !face.readable).collect();
    if !unreadable.is_empty() {
        let refused = unreadable.iter().filter(|face| face.refused).count();
        let _ = writeln!(
            text,
            "unreadable by intent: {refused} of {} refused",
            unreadable.len()
        );
    }
    text.push_str(
        "exact, in one: share of readable faces (a refused one counts as wrong); held: range holds the truth;\n\
         F1: boundaries within a quarter ring; shift: how far outside the true boundaries, in ring widths; pith: median and worst, in % of the face's radius;\n\
         s: median time from JPEG to reading, with other faces read beside it",
    );
    text
}

/// The faces that were not counted exactly, the worst first.
pub(crate) fn not_exact(faces: &[Measured]) -> String {
    let mut text = String::from("Not exact:\n");
    for face in worst_first(faces) {
        let _ = writeln!(text, "  {}", one(face));
    }
    text
}

/// One face in a line.
pub(crate) fn one(face: &Measured) -> String {
    let read = match (face.best, face.low, face.high) {
        (Some(best), Some(low), Some(high)) => format!("read {best} ({low} to {high})"),
        _ => "refused".to_owned(),
    };
    let pith = face.pith_error_percent.map_or_else(
        || "pith not in sight".to_owned(),
        |p| format!("pith off {p:.2} %"),
    );
    format!(
        "seed {:<6} {:<17} {:>4} rings, {read}, F1 {:.2}, {pith}: {}",
        face.seed,
        face.wood.name(),
        face.rings,
        matching::f1(face.matched, face.true_boundaries, face.found_boundaries),
        face.troubles.join(", ")
    )
}

/// The faces that can be read and were not counted exactly, the worst first;
/// refused ones last, for they mislead nobody.
pub(crate) fn worst_first(faces: &[Measured]) -> Vec<&Measured> {
    let mut wrong: Vec<&Measured> = faces
        .iter()
        .filter(|face| face.readable && face.off() != Some(0))
        .collect();
    wrong.sort_by_key(|face| {
        (
            std::cmp::Reverse((face.outside(), face.off().map(i64::abs))),
            face.seed,
        )
    });
    wrong
}

/// How far outside the range the truth is, at worst: a confident wrong count
/// is the worst failure.
pub(crate) fn confident_wrong(faces: &[Measured]) -> String {
    let outside: Vec<u32> = faces.iter().filter_map(Measured::outside).collect();
    format!(
        "truth more than 3 rings outside the range: {} of {} faces read, {} of these with a range\n\
         narrower than a fifth of the count; at worst {} rings outside",
        outside.iter().filter(|&&rings| rings > 3).count(),
        outside.len(),
        faces
            .iter()
            .filter(|face| face.confident_and_wrong())
            .count(),
        outside.iter().max().copied().unwrap_or(0)
    )
}
