//! `stumpbook facts`: what is saved for a photo, and marks dropped from it.

use crate::args::FactsArgs;
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::{count, say, stumps};
use std::path::Path;
use wood::{Facts, Hemisphere, Marks, Point, RingMarkKind, Stump, Units};

/// Lists facts and marks; drops the marks asked for and reads the photo again.
///
/// # Errors
/// When the photo was not counted, there is no mark of that number, or nothing
/// can be written.
pub(crate) fn run(args: &FactsArgs) -> anyhow::Result<Outcome> {
    let path = stumps::entry_of(&args.photo)?;
    let mut stump = entry::load_stump(&path)
        .map_err(CommandError::from)?
        .ok_or_else(|| {
            CommandError::failed(
                format!("cannot read {}: no such file", path.display()),
                "check the name and the folder it is in",
            )
        })?;
    if args.drop.is_empty() {
        say::data(&listed(&path, &stump, args.units.into()))?;
        return Ok(Outcome::Read);
    }
    let numbers = numbers(&args.drop, marks(&stump.marks, args.units.into()).len())?;
    stump.marks = without(&stump.marks, &numbers);
    entry::save(&path, &stump).map_err(CommandError::from)?;
    let dropped = match numbers.len() {
        1 => "1 mark dropped".to_owned(),
        many => format!("{many} marks dropped"),
    };
    let photo = path.with_file_name(&stump.reading.photo.file);
    if !photo.is_file() {
        say::data(&format!("{}: {dropped}", path.display()))?;
        return Err(CommandError::failed(
            format!("{} is not there, so it was not read again", photo.display()),
            format!(
                "put the photo back and count it: stumpbook count \"{}\"",
                photo.display()
            ),
        )
        .into());
    }
    say::note(&format!(
        "{}: {dropped}; reading the photo again",
        path.display()
    ));
    count::photo(&photo)
}

/// The numbers of the marks to drop, from 1.
fn numbers(typed: &[String], marks: usize) -> Result<Vec<usize>, CommandError> {
    if typed.iter().any(|text| text == "all") {
        return Ok((1..=marks).collect());
    }
    typed
        .iter()
        .map(|text| {
            text.parse()
                .ok()
                .filter(|number| (1..=marks).contains(number))
                .ok_or_else(|| {
                    CommandError::usage(
                        match marks {
                            0 => format!("--drop: there is no mark {text}: no marks are saved"),
                            _ => format!("--drop: there is no mark {text}: they are 1 to {marks}"),
                        },
                        "stumpbook facts PHOTO lists the marks with their numbers",
                    )
                })
        })
        .collect()
}

fn listed(path: &Path, stump: &Stump, units: Units) -> String {
    let mut lines = vec![path.display().to_string()];
    let facts = facts(&stump.facts, units);
    if facts.is_empty() {
        lines.push("  no facts are saved".to_owned());
    }
    let width = facts.iter().map(|fact| fact.0.len()).max().unwrap_or(0);
    for (name, value, clear) in &facts {
        let clear = if clear.is_empty() {
            "changed at the desk".to_owned()
        } else {
            format!("{clear} clears it")
        };
        lines.push(format!("  {name:<width$}  {value}  ({clear})"));
    }
    let marks = marks(&stump.marks, units);
    if marks.is_empty() {
        lines.push("  no marks are saved".to_owned());
    }
    for (index, mark) in marks.iter().enumerate() {
        lines.push(format!("  mark {:>2}  {mark}", index + 1));
    }
    if !marks.is_empty() {
        lines.push("  --drop N drops the mark of that number".to_owned());
    }
    lines.join("\n")
}

/// Each fact with its value and the option of `count` that clears it.
fn facts(facts: &Facts, units: Units) -> Vec<(&'static str, String, &'static str)> {
    let lengths = [
        ("cut height", facts.cut_height_mm, "--cut-height none"),
        ("across", facts.across_inside_bark_mm, "--across none"),
        ("hollow", facts.hollow_radius_mm, "--hollow none"),
        ("card bar", facts.card_bar_mm, "--card-bar none"),
    ];
    let southern = (facts.hemisphere == Hemisphere::Southern).then(|| "southern".to_owned());
    let mut all = vec![
        ("species", facts.species.clone(), "--species none"),
        (
            "wood",
            facts.wood.map(|class| class.to_string()),
            "--wood none",
        ),
        (
            "felled",
            facts.felled.map(|date| date.to_string()),
            "--felled none",
        ),
        ("hemisphere", southern, "--northern"),
    ];
    all.extend(lengths.map(|(name, mm, clear)| (name, mm.map(|mm| units.show(mm)), clear)));
    all.push(("note", facts.note.clone(), ""));
    for one in &facts.remembered {
        all.push(("remembered", Some(format!("{} {}", one.year, one.what)), ""));
    }
    all.into_iter()
        .filter_map(|(name, value, clear)| Some((name, value?, clear)))
        .collect()
}

/// Each mark in words, in the order in which [`without`] counts them.
fn marks(marks: &Marks, units: Units) -> Vec<String> {
    let at = |point: &Point| format!("{:.0},{:.0}", point.x_px, point.y_px);
    let mut all = Vec::new();
    all.extend(
        marks
            .pith
            .iter()
            .map(|pith| format!("pith at {}", at(pith))),
    );
    all.extend(marks.tape.iter().map(|tape| {
        format!(
            "tape from {} to {}: {}",
            at(&tape.from),
            at(&tape.to),
            units.show(tape.length_mm)
        )
    }));
    all.extend(marks.rings.iter().map(|ring| match ring.kind {
        RingMarkKind::Boundary => format!("a year ends at {}", at(&ring.at)),
        RingMarkKind::NoBoundary => format!("no year ends at {}", at(&ring.at)),
    }));
    all.extend(
        marks
            .bark
            .iter()
            .map(|place| format!("bark edge at {}", at(place))),
    );
    all.extend(marks.joined.iter().map(|line| {
        let places: Vec<String> = line.iter().map(at).collect();
        format!("one ring through {}", places.join(" and "))
    }));
    all.extend(marks.unreadable.iter().map(|area| {
        let first = area.first().map(at).unwrap_or_default();
        format!(
            "unreadable part with {} corners, the first at {first}",
            area.len()
        )
    }));
    all.extend(marks.strip.iter().map(|strip| {
        let counted = if strip.by_hand {
            format!(", counted by hand: {} set", strip.rings.len())
        } else {
            String::new()
        };
        format!(
            "strip from {} to {}{counted}",
            at(&strip.from),
            at(&strip.to)
        )
    }));
    all
}

/// The marks without those of the given numbers, counted as [`marks`] lists them.
fn without(marks: &Marks, numbers: &[usize]) -> Marks {
    let mut number = 0;
    let mut stays = || {
        number += 1;
        !numbers.contains(&number)
    };
    Marks {
        pith: marks.pith.filter(|_| stays()),
        tape: marks.tape.filter(|_| stays()),
        rings: marks.rings.iter().filter(|_| stays()).copied().collect(),
        bark: marks.bark.iter().filter(|_| stays()).copied().collect(),
        joined: marks.joined.iter().filter(|_| stays()).cloned().collect(),
        unreadable: marks
            .unreadable
            .iter()
            .filter(|_| stays())
            .cloned()
            .collect(),
        strip: marks.strip.clone().filter(|_| stays()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::{Mm, RingMark, Strip, Tape};

    fn some() -> Marks {
        let at = |x| Point::new(x, 5.0);
        Marks {
            pith: Some(at(1.0)),
            tape: Some(Tape {
                from: at(2.0),
                to: at(3.0),
                length_mm: Mm(25.4),
            }),
            rings: vec![
                RingMark {
                    kind: RingMarkKind::Boundary,
                    at: at(4.0),
                },
                RingMark {
                    kind: RingMarkKind::NoBoundary,
                    at: at(5.0),
                },
            ],
            bark: vec![at(6.0)],
            joined: vec![vec![at(7.0), at(8.0)]],
            unreadable: vec![vec![at(9.0), at(10.0), at(11.0)]],
            strip: Some(Strip {
                from: at(12.0),
                to: at(90.0),
                width_px: None,
                by_hand: true,
                rings: vec![at(20.0), at(40.0)],
            }),
        }
    }

    #[test]
    fn the_number_in_the_list_is_the_mark_that_is_dropped() {
        let all = marks(&some(), Units::Inch);
        assert_eq!(all.len(), 8);
        assert!(all[1].ends_with(": 1 in"), "{}", all[1]);
        for number in 1..=all.len() {
            let left = marks(&without(&some(), &[number]), Units::Inch);
            let mut expected = all.clone();
            expected.remove(number - 1);
            assert_eq!(left, expected, "without {number}");
        }
        assert_eq!(
            without(&some(), &[1, 2, 3, 4, 5, 6, 7, 8]),
            Marks::default()
        );
    }

    #[test]
    fn a_number_that_is_not_in_the_list_is_refused() {
        let typed = |text: &str| vec![text.to_owned()];
        assert_eq!(numbers(&typed("2"), 3).unwrap(), [2]);
        assert_eq!(numbers(&typed("all"), 3).unwrap(), [1, 2, 3]);
        for text in ["0", "4", "-1", "x"] {
            assert!(numbers(&typed(text), 3).is_err(), "{text}");
        }
        assert!(
            numbers(&typed("1"), 0)
                .unwrap_err()
                .to_string()
                .contains("no marks")
        );
    }
}
