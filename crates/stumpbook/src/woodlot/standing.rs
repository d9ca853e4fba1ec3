//! Trees that still stand.

use super::list::length;
use super::sync;
use crate::args::{StandingArgs, UnitsArg};
use crate::columns::{Side, table};
use crate::error::CommandError;
use crate::given;
use crate::outcome::Outcome;
use crate::say;
use serde_json::json;
use std::collections::BTreeMap;
use wood::{Measure, Mm, Species, Units, find_species};
use woodlot::{
    Book, Curve, LeftOut, Standing, StandingError, StandingQuestion, curves, growth_factor,
    left_out, standing_age, years_to_size,
};

/// What is printed when every species is taken together.
const ANY: &str = "any species";

/// Estimates the age of a standing tree, and the error that leaving out each
/// counted stump shows.
pub(super) fn run(args: &StandingArgs) -> anyhow::Result<Outcome> {
    let species = args
        .species
        .as_deref()
        .map(|text| given::species("--species", text))
        .transpose()?;
    let size = given::length;
    let diameter = args
        .diameter
        .as_deref()
        .map(|text| size("--diameter", Measure::Diameter, text, "12in"))
        .transpose()?;
    let girth = args
        .girth
        .as_deref()
        .map(|text| size("--girth", Measure::Girth, text, "38in"))
        .transpose()?;
    // A tape around the tree takes it for round.
    let diameter = diameter.or(girth.map(|girth| girth * std::f64::consts::PI.recip()));
    let reach = args
        .reach
        .as_deref()
        .map(|text| size("--reach", Measure::Diameter, text, "18in"))
        .transpose()?;
    if reach.is_some() && diameter.is_none() {
        return Err(CommandError::usage(
            "--reach needs the tree's size now",
            "--diameter 12in --reach 15in, or --girth 38in --reach 15in",
        )
        .into());
    }
    let mut book = Book::open(&args.book).map_err(CommandError::from)?;
    let stumps = sync::stumps(&mut book).map_err(CommandError::from)?;
    let (mut all, without) = curves(stumps.iter().map(|kept| (kept.name.as_str(), &kept.stump)));
    let counted = counted(&all);
    if args.any_species {
        for curve in &mut all {
            ANY.clone_into(&mut curve.species);
        }
    } else if let Some(species) = species {
        join_genus(&mut all, species);
    }
    let left = left_out(&all);
    let answer = match (species, diameter) {
        (Some(species), Some(diameter)) => {
            let asked = if args.any_species { ANY } else { species.name };
            let answer = Answer::of(&all, (species.name, asked), diameter, reach);
            Some(answer.map_err(|error| refused(&error, &counted, args.units.into()))?)
        }
        _ => None,
    };
    if args.json {
        say::data(&as_json(answer.as_ref(), &left, &without).to_string())?;
    } else {
        say::data(&text(answer.as_ref(), &left, &without, args.units))?;
    }
    Ok(Outcome::Read)
}

/// Puts all species of a genus under its name, where a genus was asked for: an
/// "ash" may be compared with white ashes and green ones.
fn join_genus(all: &mut [Curve], asked: &Species) {
    if asked.latin.contains(' ') {
        return;
    }
    for curve in all {
        let latin = find_species(&curve.species).map_or("", |species| species.latin);
        if latin.split(' ').next() == Some(asked.latin) {
            asked.name.clone_into(&mut curve.species);
        }
    }
}

/// How many usable stumps there are of each species: "white ash (3), white oak (4)".
fn counted(all: &[Curve]) -> String {
    let mut stumps: BTreeMap<&str, usize> = BTreeMap::new();
    for curve in all {
        *stumps.entry(&curve.species).or_default() += 1;
    }
    let names: Vec<String> = stumps
        .iter()
        .map(|(species, number)| format!("{species} ({number})"))
        .collect();
    names.join(", ")
}

/// Why there is no answer, with what the book has and in the units asked for.
fn refused(error: &StandingError, counted: &str, units: Units) -> CommandError {
    let message = match error {
        StandingError::TooFew { .. } if !counted.is_empty() => {
            format!("{error}; this book has {counted}")
        }
        StandingError::TooThick {
            species,
            size,
            found,
        } => format!(
            "only {found} counted stump(s) of {species} grew to {} at breast height, which is too \
             few for an answer",
            units.show(*size)
        ),
        _ => error.to_string(),
    };
    CommandError::failed(message, error.advice())
}

/// What was asked of a standing tree, and what is said.
struct Answer {
    species: &'static str,
    diameter: Mm,
    age: Standing,
    reach: Option<(Mm, Standing)>,
    rule_of_thumb: Option<f64>,
}

impl Answer {
    fn of(
        all: &[Curve],
        (species, asked): (&'static str, &str),
        diameter: Mm,
        reach: Option<Mm>,
    ) -> Result<Self, StandingError> {
        let question = StandingQuestion {
            species: asked,
            breast_height: diameter,
        };
        let age = standing_age(all, &question)?;
        let reach = reach
            .map(|size| years_to_size(all, &question, size).map(|years| (size, years)))
            .transpose()?;
        Ok(Self {
            species,
            diameter,
            age,
            reach,
            rule_of_thumb: growth_factor(species, diameter),
        })
    }
}

fn text(
    answer: Option<&Answer>,
    left: &[LeftOut],
    without: &[(String, &'static str)],
    units: UnitsArg,
) -> String {
    let mut lines = Vec::new();
    if let Some(answer) = answer {
        lines.push(format!(
            "A standing {} of {} at breast height: about {:.0} years from seed ({:.0} to {:.0}),",
            answer.species,
            length(answer.diameter, units),
            answer.age.best.0,
            answer.age.low.0,
            answer.age.high.0
        ));
        lines.push(format!(
            "from {} counted stumps; the range should hold 9 times in 10.",
            answer.age.stumps
        ));
        if let Some((size, years)) = &answer.reach {
            lines.push(format!(
                "It will be {} across in about {:.0} years ({:.0} to {:.0}), if it grows on as they did.",
                length(*size, units),
                years.best.0,
                years.low.0,
                years.high.0
            ));
        }
        lines.extend(doubts(answer));
        if let Some(age) = answer.rule_of_thumb {
            lines.push(format!(
                "For comparison only, the rule of thumb (diameter times a growth factor, after the International Society of Arboriculture) gives {age:.0} years; it is often far off."
            ));
        }
        lines.push("Never bore or notch a living tree to learn its age.".to_owned());
        lines.push(String::new());
    }
    lines.push(left_out_text(left, units));
    if !without.is_empty() {
        lines.push(String::new());
        lines.push("Stumps that cannot be used here:".to_owned());
        lines.extend(without.iter().map(|(name, why)| format!("  {name}: {why}")));
    }
    lines.join("\n")
}

/// What makes the answer weaker than its range says.
fn doubts(answer: &Answer) -> Vec<String> {
    let all: Vec<&Standing> = [Some(&answer.age), answer.reach.as_ref().map(|(_, s)| s)]
        .into_iter()
        .flatten()
        .collect();
    let named = |pick: fn(&Standing) -> &Vec<String>| {
        let mut names: Vec<&str> = all
            .iter()
            .flat_map(|s| pick(s))
            .map(String::as_str)
            .collect();
        names.sort_unstable();
        names.dedup();
        names.join(", ")
    };
    let mut doubts = Vec::new();
    let thinner = named(|standing| &standing.thinner);
    if !thinner.is_empty() {
        doubts.push(format!(
            "Left out (never reached this size): {thinner}. This tilts the answer toward faster trees."
        ));
    }
    let beyond = named(|standing| &standing.beyond);
    if !beyond.is_empty() {
        doubts.push(format!(
            "Extended a little beyond their last ring: {beyond}."
        ));
    }
    doubts
}

fn left_out_text(left: &[LeftOut], units: UnitsArg) -> String {
    if left.is_empty() {
        return "No species has three counted stumps with scale, pith and bark, so the error cannot be estimated."
            .to_owned();
    }
    let held = left.iter().filter(|out| out.held()).count();
    let mean = left.iter().map(|out| out.error_share().abs()).sum::<f64>() / left.len() as f64;
    let mut lines = vec![format!(
        "Each counted stump asked of the others: the range held {held} of {} times; mean error {:.0} %.",
        left.len(),
        100.0 * mean
    )];
    let heading = [
        "left out",
        "species",
        "size",
        "age",
        "by the others",
        "held",
    ];
    let mut rows = vec![heading.map(str::to_owned).to_vec()];
    for out in left {
        rows.push(vec![
            out.name.clone(),
            out.species.clone(),
            length(out.breast_height, units),
            format!("{:.0}", out.age.0),
            format!(
                "{:.0} ({:.0} to {:.0})",
                out.said.best.0, out.said.low.0, out.said.high.0
            ),
            if out.held() { "yes" } else { "no" }.to_owned(),
        ]);
    }
    let sides = [
        Side::Left,
        Side::Left,
        Side::Right,
        Side::Right,
        Side::Left,
        Side::Left,
    ];
    lines.push(table(&sides, &rows));
    lines.join("\n")
}

fn as_json(
    answer: Option<&Answer>,
    left: &[LeftOut],
    without: &[(String, &'static str)],
) -> serde_json::Value {
    let standing = |s: &Standing| {
        json!({
            "best": s.best, "low": s.low, "high": s.high, "level": 0.9,
            "stumps": s.stumps, "beyond": s.beyond, "thinner": s.thinner,
        })
    };
    json!({
        "answer": answer.map(|answer| json!({
            "species": answer.species,
            "diameter_mm": answer.diameter,
            "age": standing(&answer.age),
            "reach": answer.reach.as_ref().map(|(size, years)| json!({
                "diameter_mm": size, "years": standing(years),
            })),
            "rule_of_thumb_years": answer.rule_of_thumb,
        })),
        "left_out": left.iter().map(|out| json!({
            "name": out.name, "species": out.species, "diameter_mm": out.breast_height,
            "age": out.age, "said": standing(&out.said), "held": out.held(),
            "error_share": out.error_share(),
        })).collect::<Vec<_>>(),
        "without": without.iter().map(|(name, why)| json!({"name": name, "why": why})).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_size_out_of_reach_is_said_in_the_units_asked_for() {
        let error = StandingError::TooThick {
            species: "white oak".to_owned(),
            size: Mm(1524.0),
            found: 0,
        };
        let said = |units| refused(&error, "white oak (4)", units).to_string();
        assert!(said(Units::Inch).contains("5 ft"), "{}", said(Units::Inch));
        assert!(
            said(Units::Metric).contains("1.5 m"),
            "{}",
            said(Units::Metric)
        );
    }
}
