//! From a counted stump to the diameters at breast height that it had.

use growth::series::BARK_FACTOR;
use growth::{diameter_at_age, years_to_cut};
use wood::{AgePartKind, Mm, Scope, Stump, Years, find_species};

/// Breast height, in feet.
const BREAST_HEIGHT_FT: f64 = 4.5;

/// Height of the cut, in feet, at which the rule of thumb is taken to hold.
const RULE_HEIGHT_FT: f64 = 1.0;

/// Height of the cut where none was given: one foot, an ordinary stump.
const ORDINARY_CUT: Mm = Mm(304.8);

/// Years of the last growth that a curve is carried on with.
const LAST_YEARS: usize = 10;

/// The diameter at breast height of one counted tree, year by year.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The stump's name.
    pub name: String,
    /// Its species.
    pub species: String,
    /// Age from the seed and diameter at breast height outside bark, youngest
    /// first.
    pub points: Vec<(Years, Mm)>,
    /// Yearly growth of that diameter over the last ten years.
    pub last_growth: Mm,
}

impl Curve {
    /// The largest diameter it had.
    #[must_use]
    pub fn largest(&self) -> Mm {
        self.points
            .last()
            .map_or(Mm(0.0), |(_, diameter)| *diameter)
    }

    /// The age at which it had that diameter, and whether that is beyond what
    /// was counted: up to a tenth beyond, the last ten years' growth is carried
    /// on. `None` further out.
    #[must_use]
    pub fn age_at(&self, diameter: Mm) -> Option<(Years, bool)> {
        /// How far beyond its largest diameter a curve is carried on. Chosen.
        const BEYOND: f64 = 1.1;
        let mut before = (Years(0.0), Mm(0.0));
        for &(age, size) in &self.points {
            if size.0 >= diameter.0 {
                let span = size.0 - before.1.0;
                let share = if span > 0.0 {
                    (diameter.0 - before.1.0) / span
                } else {
                    1.0
                };
                return Some((Years(before.0.0 + share * (age.0 - before.0.0)), false));
            }
            before = (age, size);
        }
        let further = diameter.0 - before.1.0;
        (diameter.0 <= BEYOND * before.1.0 && self.last_growth.0 > 0.0)
            .then(|| (Years(before.0.0 + further / self.last_growth.0), true))
    }
}

/// The curves of those stumps that have one, and for the others why not.
///
/// # Method
/// Age: rings at the cut, plus the rings of a missing pith and the years to the
/// height of the cut, as the stump's own age counts them. Diameter at breast
/// height from the diameter inside bark at the cut: outside bark with a bark
/// factor of 0.90 (a judgment), then up the stem by Raile's form (1982,
/// Estimating stump volume, NC-224, form from memory), d(h) = DBH (1 + b (4.5 − h)/(h + 1)).
/// His coefficients could not be read, so b is set such that at a cut of one
/// foot the rule of thumb of Beck, Teeguarden and Hall 1966 holds, that the
/// stump's diameter inside bark is the diameter at breast height; the joining
/// of the two is our own.
#[must_use]
pub fn curves<'a>(
    stumps: impl IntoIterator<Item = (&'a str, &'a Stump)>,
) -> (Vec<Curve>, Vec<(String, &'static str)>) {
    let (mut made, mut without) = (Vec::new(), Vec::new());
    for (name, stump) in stumps {
        match curve(name, stump) {
            Ok(curve) => made.push(curve),
            Err(why) => without.push((name.to_owned(), why)),
        }
    }
    (made, without)
}

fn curve(name: &str, stump: &Stump) -> Result<Curve, &'static str> {
    let (facts, reading) = (&stump.facts, &stump.reading);
    if reading.rings.is_empty() {
        return Err("no rings were read on it");
    }
    let species = facts.species.clone().ok_or("its species is not given")?;
    match reading.scope {
        Some(Scope::WholeFace | Scope::OutsideHeart) => {}
        Some(Scope::RingsInView) => return Err("its bark is not seen"),
        None => return Err("its file does not say that its rings reach from pith to bark"),
    }
    let grown = diameter_at_age(&reading.rings);
    if grown.len() < reading.rings.len() {
        return Err("its rings have no scale");
    }
    let before = years_before_first_ring(stump, &species);
    let cut = facts.cut_height_mm.unwrap_or(ORDINARY_CUT);
    let to_breast = breast_height_factor(cut);
    let points: Vec<(Years, Mm)> = grown
        .iter()
        .map(|at| (Years(before + f64::from(at.rings)), at.diameter * to_breast))
        .collect();
    let count = points.len();
    let then = points.get(count.saturating_sub(LAST_YEARS + 1));
    let last_growth = match (then, points.last()) {
        (Some(then), Some(now)) if count > LAST_YEARS => {
            Mm((now.1.0 - then.1.0) / LAST_YEARS as f64)
        }
        (_, Some(now)) => Mm(now.1.0 / count as f64),
        _ => Mm(0.0),
    };
    Ok(Curve {
        name: name.to_owned(),
        species,
        points,
        last_growth,
    })
}

/// Years to the cut and rings lost with the pith.
fn years_before_first_ring(stump: &Stump, species: &str) -> f64 {
    let parts = stump.reading.age.as_ref().map(|age| &age.parts);
    let part = |kind: AgePartKind| {
        parts
            .and_then(|parts| parts.iter().find(|part| part.what == kind))
            .map(|part| part.best.0)
    };
    let to_cut = part(AgePartKind::CutHeight).unwrap_or_else(|| {
        let species = find_species(species).ok();
        years_to_cut(stump.facts.cut_height_mm, species).part.best.0
    });
    to_cut + part(AgePartKind::MissingPith).unwrap_or(0.0)
}

/// What a diameter inside bark at the cut is multiplied with to give the
/// diameter at breast height outside bark.
fn breast_height_factor(cut: Mm) -> f64 {
    let lean = |feet: f64| (BREAST_HEIGHT_FT - feet) / (feet + 1.0);
    // At one foot the two diameters are the same.
    let b = (1.0 / BARK_FACTOR - 1.0) / lean(RULE_HEIGHT_FT);
    let feet = (cut.inches() / 12.0).max(0.0);
    1.0 / (BARK_FACTOR * (1.0 + b * lean(feet)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_rule_of_thumb_holds_at_one_foot_and_only_bark_at_breast_height() {
        let feet = |feet: f64| breast_height_factor(Mm::from_inches(12.0 * feet));
        assert!((feet(1.0) - 1.0).abs() < 1e-12);
        assert!((feet(4.5) - 1.0 / 0.9).abs() < 1e-12);
        assert!(feet(0.2) < 1.0);
    }

    #[test]
    fn ages_between_rings_are_taken_between_and_a_little_beyond() {
        let curve = Curve {
            name: "oak".into(),
            species: "oak".into(),
            points: vec![(Years(4.0), Mm(10.0)), (Years(5.0), Mm(20.0))],
            last_growth: Mm(5.0),
        };
        assert_eq!(curve.age_at(Mm(15.0)), Some((Years(4.5), false)));
        assert_eq!(curve.age_at(Mm(5.0)), Some((Years(2.0), false)));
        assert_eq!(curve.age_at(Mm(21.0)), Some((Years(5.2), true)));
        assert_eq!(curve.age_at(Mm(23.0)), None);
    }
}
