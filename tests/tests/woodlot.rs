//! The book of a woodlot and what many stumps show, over the built program.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]
#![allow(
    clippy::print_stderr,
    reason = "a test that is skipped where a tool is not there says so"
)]

use crate::drawn;
use acceptance::{folder, root, stumpbook};
use exchange::{Series, Source, Widths, stump_of};
use serde_json::Value;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use wood::{Facts, Mm, Scope, Stump, Year};

/// The stumps of Cold Hollow as they would be read without a mistake, but for
/// the one that is read short; without drawing a photo.
fn cold_hollow(place: &Path) {
    for stump in practice::woodlot() {
        let mut widths = stump.recipe.widths.explicit_mm.clone().unwrap();
        if let Some(ring) = stump.read_short_at {
            let lost = widths.remove(ring as usize - 1);
            widths[ring as usize - 1] += lost;
        }
        let facts = Facts {
            species: Some(stump.species.into()),
            felled: Some(stump.felled),
            cut_height_mm: Some(stump.cut_height),
            ..Facts::default()
        };
        write(place, stump.stem, facts, &widths, Some(2025));
    }
}

fn write(place: &Path, name: &str, facts: Facts, widths: &[f64], last_year: Option<i32>) {
    let series = Series {
        name: name.to_owned(),
        facts,
        scope: Some(Scope::WholeFace),
        first_year: last_year.map(|last| Year(last + 1 - widths.len() as i32)),
        widths: Widths::Mm(widths.iter().map(|w| Some(Mm(*w))).collect()),
        confidence: Vec::new(),
        from_photo: false,
    };
    save(
        place,
        name,
        &stump_of(&series, &Source::of(name, name.as_bytes())),
    );
}

fn save(place: &Path, name: &str, stump: &Stump) {
    let text = serde_json::to_string(stump).unwrap();
    fs::write(place.join(format!("{name}.stump.json")), text).unwrap();
}

fn lot(args: &[&str]) -> Output {
    stumpbook().arg("woodlot").args(args).output().unwrap()
}

fn good(args: &[&str]) -> String {
    let output = lot(args);
    assert!(output.status.success(), "{args:?}: {}", said(&output));
    String::from_utf8(output.stdout).unwrap()
}

fn json(args: &[&str]) -> Value {
    serde_json::from_str(&good(args)).unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// A book of Cold Hollow in a fresh folder.
fn book() -> (tempfile::TempDir, String) {
    let place = folder();
    cold_hollow(place.path());
    let book = place.path().join("hollow.book").display().to_string();
    good(&["new", &book, "--name", "Cold Hollow"]);
    good(&["add", &book, place.path().to_str().unwrap()]);
    (place, book)
}

/// The run that README and docs/woodlot.md show, from photos to reports.
#[test]
fn cold_hollow_from_photos_to_book_to_reports() {
    let place = folder();
    let drawn = place.path().join("cold-hollow");
    drawn::cold_hollow(&drawn);
    let drawn = drawn.to_str().unwrap();
    let book = place.path().join("hollow.book").display().to_string();
    good(&["new", &book, "--name", "Cold Hollow"]);
    good(&["add", &book, drawn]);
    good(&["remember", &book, "1988", "no rain from May to August"]);
    let chart = place.path().join("years.png").display().to_string();
    let years = json(&["years", &book, "--json", "--chart", &chart]);
    for dry in [1934, 1963, 1965, 1988, 2002, 2012] {
        assert!(
            years["bad"].as_array().unwrap().contains(&dry.into()),
            "{dry}"
        );
    }
    for kind in [1972, 1973, 1996, 2017] {
        assert!(
            years["good"].as_array().unwrap().contains(&kind.into()),
            "{kind}"
        );
    }
    // Noted for the five stumps that stood there: it is in their rings.
    let thinned = &years["remembered"][1];
    assert_eq!(thinned["what"], "thinned above the landing");
    assert_eq!(thinned["noted_for"].as_array().unwrap().len(), 5);
    let change = |around: &Value| around["change_percent"].as_f64().unwrap();
    assert!(change(thinned) > 10.0, "{thinned}");
    let own = &thinned["on_those_stumps"];
    assert!(change(own) > change(thinned) + 20.0, "{thinned}");
    assert!(fs::read(&chart).unwrap().starts_with(b"\x89PNG"));
    // The stump that was read short, and no other, at its ring.
    let text = good(&["check", &book]);
    // Lines are as wide as a terminal: the words are compared without them.
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let words = flat(&text);
    let verdict = "ash-ford departs from the others from 1954 to 1983";
    assert!(words.starts_with(verdict), "{text}");
    assert!(words.contains("one ring too few at 1976"), "{text}");
    assert_eq!(text.matches("departs from the others").count(), 1, "{text}");
    assert!(
        text.contains("Agree with the others: ash-corner, "),
        "{text}"
    );
    // The statistics only where they are asked for.
    assert!(!text.contains("parallel"), "{text}");
    let asked = good(&["check", &book, "--statistics"]);
    assert!(asked.contains("parallel") && asked.starts_with(text.trim_end()));
    assert!(text.contains("stumpbook desk"), "{text}");
    // Leaving each out: inside the range 8 to 10 times in 10.
    let standing = json(&["standing", &book, "--json"]);
    let left: Vec<bool> = standing["left_out"]
        .as_array()
        .unwrap()
        .iter()
        .map(|out| out["held"].as_bool().unwrap())
        .collect();
    assert_eq!(left.len(), 10);
    assert!(left.iter().filter(|held| **held).count() >= 8, "{left:?}");
    // The entries that are in the repository are these, without outlines.
    for stump in practice::woodlot() {
        let name = format!("{}.stump.json", stump.stem);
        let entry = |path: &Path| -> Stump {
            serde_json::from_str(&fs::read_to_string(path.join(&name)).unwrap()).unwrap()
        };
        let kept = entry(&root().join("samples/cold-hollow"));
        let made = entry(Path::new(drawn));
        assert_eq!(kept.facts, made.facts, "{name}");
        assert_eq!(kept.reading.rings.len(), made.reading.rings.len(), "{name}");
        for (kept, made) in kept.reading.rings.iter().zip(&made.reading.rings) {
            let difference = kept.width_mm.unwrap().0 - made.width_mm.unwrap().0;
            assert!(difference.abs() < 1e-6, "{name}");
            assert!(!made.outline_px.is_empty() && kept.outline_px.is_empty());
        }
    }
}

#[test]
fn the_short_stump_is_named_with_its_ring() {
    let (_place, book) = book();
    let check = json(&["check", &book, "--json"]);
    for one in check["stumps"].as_array().unwrap() {
        let shift = &one["shift"];
        if one["name"] != "ash-ford" {
            assert!(shift.is_null(), "{one}");
            assert_eq!(one["verdict"], "agrees", "{one}");
            continue;
        }
        assert_eq!(one["verdict"], "slipped");
        assert_eq!(one["departure"]["from_year"], 1954);
        assert_eq!(shift["rings_short"], 1);
        let ring = practice::woodlot()
            .iter()
            .find_map(|stump| stump.read_short_at)
            .unwrap();
        let (from, to) = (
            shift["from_ring"].as_u64().unwrap(),
            shift["to_ring"].as_u64().unwrap(),
        );
        assert!((from..=to).contains(&u64::from(ring)), "{shift}");
        assert!(to - from <= 3, "{shift}");
        assert!(shift["t_shifted"].as_f64() > shift["t_now"].as_f64());
    }
    assert_eq!(check["pairs"].as_array().unwrap().len(), 66);
}

/// Two mistakes that cancel out leave the count right and no single slip to
/// find; the years between them are reported all the same.
#[test]
fn a_ring_missed_and_another_doubled_further_out_show_in_the_years_between() {
    let (place, book) = book();
    let mut widths = practice::woodlot()
        .into_iter()
        .find(|stump| stump.stem == "oak-line")
        .and_then(|stump| stump.recipe.widths.explicit_mm)
        .unwrap();
    let lost = widths.remove(55);
    widths[55] += lost;
    let half = widths[92] / 2.0;
    widths[92] = half;
    widths.insert(92, half);
    let oak = Facts {
        species: Some("white oak".into()),
        felled: "2025-11".parse().ok(),
        ..Facts::default()
    };
    write(place.path(), "oak-line", oak, &widths, Some(2025));
    let text = good(&["check", &book]);
    let line = text
        .lines()
        .find(|line| line.starts_with("oak-line departs from the others"))
        .unwrap_or_else(|| panic!("{text}"));
    // From 1969, ring 56, to 2006, ring 93, give or take a window's half.
    let years: Vec<i32> = line
        .split(|letter: char| !letter.is_ascii_digit())
        .filter_map(|number| number.parse().ok())
        .collect();
    assert!((1959..=1979).contains(&years[0]), "{line}");
    assert!((1996..=2016).contains(&years[1]), "{line}");
    assert_eq!(years[2], years[0] - 1913, "{line}");
}

#[test]
fn a_woodlot_has_a_page_to_print() {
    let (place, book) = book();
    let target = place.path().join("print.pdf").display().to_string();
    let shown = good(&["sheet", &book, "--out", &target]);
    assert_eq!(shown.trim(), target);
    let pdf = fs::read(&target).unwrap();
    assert!(pdf.starts_with(b"%PDF-1."));
    // Charts, then the trees and the standing trees.
    let count = b"/Count 2";
    assert!(pdf.windows(count.len()).any(|part| part == count));
    let empty = place.path().join("empty.book").display().to_string();
    good(&["new", &empty]);
    let refused = lot(&["sheet", &empty]);
    assert_eq!(refused.status.code(), Some(1));
    assert!(
        said(&refused).contains("there is no stump"),
        "{}",
        said(&refused)
    );
}

/// Nothing is replaced in silence, neither on the printed page nor in a picture.
#[test]
fn letters_that_the_font_lacks_are_named_on_page_and_chart() {
    let (place, book) = book();
    let at = |name: &str| place.path().join(name).display().to_string();
    let (page, picture, drawing) = (at("print.pdf"), at("years.png"), at("years.svg"));
    for (args, named) in [
        (
            vec!["sheet", &book, "--out", &page],
            "years: \u{9593} (U+9593)",
        ),
        (
            vec!["years", &book, "--chart", &picture],
            "remembered: \u{9593} (U+9593)",
        ),
    ] {
        let talk = said(&lot(&args));
        assert!(!talk.contains("font"), "{talk}");
        good(&["remember", &book, "1991", "\u{9593} by the brook"]);
        let output = lot(&args);
        assert_eq!(output.status.code(), Some(0));
        let talk = said(&output);
        assert!(talk.contains(named) && talk.contains("try: "), "{talk}");
        good(&["remember", &book, "1991"]);
    }
    // A drawing keeps its text as text.
    good(&["remember", &book, "1991", "\u{9593} by the brook"]);
    let output = lot(&["years", &book, "--chart", &drawing]);
    assert!(!said(&output).contains("font"), "{}", said(&output));
    assert!(fs::read_to_string(&drawing).unwrap().contains('\u{9593}'));
}

#[test]
fn standing_trees_are_reported_with_a_range_and_refused_with_fewer_than_three() {
    let (_place, book) = book();
    let oak = json(&[
        "standing",
        &book,
        "--species",
        "Quercus alba",
        "--diameter",
        "12in",
        "--reach",
        "15in",
        "--json",
    ]);
    let age = &oak["answer"]["age"];
    let number = |value: &Value| value.as_f64().unwrap();
    assert!(number(&age["low"]) < number(&age["best"]), "{age}");
    assert!(number(&age["best"]) < number(&age["high"]), "{age}");
    assert!((60.0..=80.0).contains(&number(&age["best"])), "{age}");
    assert!(number(&oak["answer"]["reach"]["years"]["best"]) > 5.0);
    // The same tree by a tape around it: 12 in times pi.
    let girth = json(&[
        "standing",
        &book,
        "--species",
        "white oak",
        "--girth",
        "37.69911in",
        "--json",
    ]);
    let by_girth = number(&girth["answer"]["age"]["best"]);
    assert!((by_girth - number(&age["best"])).abs() < 0.01);
    // The published rule of thumb stands beside it and not in it.
    assert!((number(&oak["answer"]["rule_of_thumb_years"]) - 60.0).abs() < 1e-9);
    let pine = [
        "standing",
        &book,
        "--species",
        "eastern white pine",
        "--diameter",
        "12in",
    ];
    let refused = lot(&pine);
    assert_eq!(refused.status.code(), Some(1));
    let printed = said(&refused);
    assert!(
        printed.contains("only 2 counted") && printed.contains("try: "),
        "{printed}"
    );
    let mut rougher = pine.to_vec();
    rougher.push("--any-species");
    let printed = good(&rougher);
    assert!(printed.contains("12 counted stumps"), "{printed}");
    // Whose factors they are is said.
    let credit = "International Society of Arboriculture";
    assert!(printed.contains(credit), "{printed}");
    for (wrong, word) in [
        (["--species", "wite oak", "--diameter", "12in"], "white oak"),
        (["--species", "white oak", "--diameter", "12"], "12in"),
    ] {
        let mut args = vec!["standing", book.as_str()];
        args.extend(wrong);
        let output = lot(&args);
        assert_eq!(output.status.code(), Some(2), "{wrong:?}");
        assert!(said(&output).contains(word), "{}", said(&output));
    }
}

#[test]
fn stumps_without_date_scale_or_sense_are_taken_as_far_as_they_go() {
    let place = folder();
    let dated = Facts {
        species: Some("white oak".into()),
        ..Facts::default()
    };
    write(place.path(), "undated", dated.clone(), &[1.0; 30], None);
    write(
        place.path(),
        "дуб, \"старый\" 🌳",
        dated.clone(),
        &[1.0; 30],
        Some(2020),
    );
    write(place.path(), "אלון", dated, &[1.0; 30], Some(2020));
    // Edited by hand: broken, not a stump, a ring of no sense, a newer one.
    let whole = fs::read_to_string(place.path().join("undated.stump.json")).unwrap();
    let bad = |name: &str, text: &str| {
        fs::write(place.path().join(format!("{name}.stump.json")), text).unwrap();
    };
    bad("half", &whole[..whole.len() / 2]);
    bad("other", "{\"format\":1}");
    bad(
        "negative",
        &whole.replacen("\"width_mm\":1.0", "\"width_mm\":-1.0", 1),
    );
    bad("newer", &whole.replacen("\"format\":1", "\"format\":99", 1));
    let book = place.path().join("a.book").display().to_string();
    good(&["new", &book]);
    let added = lot(&["add", &book, place.path().to_str().unwrap()]);
    assert_eq!(added.status.code(), Some(1));
    let printed = said(&added);
    for (name, word) in [
        ("half.stump.json", "line 1, column"),
        ("other.stump.json", "missing field"),
        ("negative.stump.json", "ring 1: its width is -1 mm"),
        ("newer.stump.json", "newer Stumpbook"),
    ] {
        let line = printed
            .lines()
            .find(|line| line.contains(name))
            .unwrap_or(&printed);
        assert!(line.contains(word), "{line}");
    }
    let said_of = String::from_utf8(added.stdout).unwrap();
    assert!(
        said_of.contains("undated: added; no felling date"),
        "{said_of}"
    );
    let list = good(&["list", &book]);
    assert!(
        list.contains("дуб, \"старый\" 🌳") && list.contains("אלון"),
        "{list}"
    );
    // The same again changes nothing.
    let again = lot(&["add", &book, place.path().to_str().unwrap()]);
    assert_eq!(
        String::from_utf8_lossy(&again.stdout)
            .matches("already")
            .count(),
        3
    );
    assert!(good(&["show", &book, "дуб, \"старый\" 🌳"]).contains("30, 1991"));
    let gone = lot(&["remove", &book, "no such"]);
    assert_eq!(gone.status.code(), Some(1));
    assert!(said(&gone).contains("woodlot list"));
    good(&["remove", &book, "אלון"]);
    // Two dated stumps left at most: too few to check each other.
    let check = lot(&["check", &book]);
    assert_eq!(check.status.code(), Some(1));
    assert!(
        said(&check).contains("comparing needs 3"),
        "{}",
        said(&check)
    );
}

/// What the desk writes to a stump's file is in the next report.
#[test]
fn a_mark_made_at_the_desk_is_in_the_book_without_adding_the_stump_again() {
    let (place, book) = book();
    let file = place.path().join("oak-line.stump.json");
    let mut stump: Stump = serde_json::from_str(&fs::read_to_string(&file).unwrap()).unwrap();
    let mut remember = |year: i32, what: &str| {
        stump.facts.remembered.push(wood::Remembered {
            year: Year(year),
            what: what.into(),
        });
        fs::write(&file, serde_json::to_string(&stump).unwrap()).unwrap();
    };
    remember(1988, "a dry year, \"the worst\"");
    let output = lot(&["years", &book, "--json"]);
    assert!(
        said(&output).contains("updated in the book: oak-line"),
        "{}",
        said(&output)
    );
    let years: Value = serde_json::from_slice(&output.stdout).unwrap();
    let dry = &years["remembered"][0];
    assert_eq!(dry["what"], "a dry year, \"the worst\"");
    assert_eq!(dry["noted_for"], serde_json::json!(["oak-line"]));
    let itself = |around: &Value| around["itself"].as_f64().unwrap();
    assert!(itself(dry) < 0.8 && itself(&dry["on_those_stumps"]) < 0.9);
    // Reported once, and not each time.
    assert_eq!(said(&lot(&["list", &book])), "");
    // An export from the book has it, or says that it cannot.
    remember(1990, "barn built");
    let out = |format: &str| {
        stumpbook()
            .args(["export", &book, "--format", format])
            .output()
            .unwrap()
    };
    for format in ["csv", "decadal", "decadal-0.001"] {
        let printed = said(&out(format));
        let line = printed
            .lines()
            .find(|line| line.contains("remembered years"));
        assert!(line.is_some_and(|l| l.contains("oak-line")), "{printed}");
    }
    for format in ["json", "tridas"] {
        let output = out(format);
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        assert!(text.contains("barn built"), "{format}");
        assert!(!said(&output).contains("remembered"), "{}", said(&output));
    }
    // Half a file, and a file that is gone, leave the book as it is.
    let whole = fs::read(&file).unwrap();
    fs::write(&file, &whole[..whole.len() / 2]).unwrap();
    fs::remove_file(place.path().join("oak-bend.stump.json")).unwrap();
    let output = lot(&["list", &book]);
    assert!(output.status.success());
    assert!(
        said(&output).contains("oak-line.stump.json"),
        "{}",
        said(&output)
    );
    let list = String::from_utf8(output.stdout).unwrap();
    assert!(
        list.contains("barn built") && list.contains("oak-bend"),
        "{list}"
    );
}

#[test]
fn a_kill_at_any_moment_leaves_a_whole_book() {
    let (place, book) = book();
    let program = stumpbook().get_program().to_owned();
    let from = place.path().to_str().unwrap();
    for round in 0..12 {
        // Everything is taken out and added again, so that there is something to break.
        let names: Vec<String> = practice::woodlot()
            .iter()
            .map(|s| s.stem.to_owned())
            .collect();
        let mut args = vec!["woodlot", "remove", &book];
        args.extend(names.iter().map(String::as_str));
        stumpbook().args(&args).output().unwrap();
        let mut child = Command::new(&program)
            .args(["woodlot", "add", &book, from])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // A spin, and not a sleep, of a length that differs from round to round.
        for _ in 0..round * 2_000_000_u64 {
            std::hint::spin_loop();
        }
        let _ = child.kill();
        child.wait().unwrap();
        let listed = good(&["list", &book, "--json"]);
        let count = listed.lines().count();
        assert!(count == 0 || count == 12, "{count} stumps after a kill");
    }
    good(&["add", &book, from]);
    assert_eq!(good(&["list", &book, "--json"]).lines().count(), 12);
}

#[test]
fn two_programs_at_once_lose_nothing() {
    let place = folder();
    let book = place.path().join("a.book").display().to_string();
    good(&["new", &book]);
    let program = stumpbook().get_program().to_owned();
    let mut running = Vec::new();
    for half in 0..2 {
        let stumps = place.path().join(half.to_string());
        fs::create_dir(&stumps).unwrap();
        for number in 0..8 {
            let name = format!("{half}-{number}");
            write(&stumps, &name, Facts::default(), &[1.0; 40], Some(2020));
        }
        for _ in 0..3 {
            running.push(
                Command::new(&program)
                    .args(["woodlot", "add", &book])
                    .arg(&stumps)
                    .stdout(Stdio::null())
                    .spawn()
                    .unwrap(),
            );
        }
    }
    for mut child in running {
        assert!(child.wait().unwrap().success());
    }
    assert_eq!(good(&["list", &book, "--json"]).lines().count(), 16);
}

#[test]
fn broken_half_copied_and_foreign_books_are_reported_with_what_to_do() {
    let (place, book) = book();
    let whole = fs::read(&book).unwrap();
    let file = |name: &str, bytes: &[u8]| {
        let path = place.path().join(name);
        fs::write(&path, bytes).unwrap();
        path.display().to_string()
    };
    // Byte 63 is the lowest of SQLite's user_version, our book's format.
    let mut newer = whole.clone();
    newer[63] = 99;
    for (book, word) in [
        (file("newer.book", &newer), "newer Stumpbook"),
        (file("half.book", &whole[..whole.len() / 2]), "damaged"),
        (file("text.book", b"just words"), "not the book"),
        (file("empty.book", b""), "not the book"),
        (
            place.path().join("none.book").display().to_string(),
            "no book",
        ),
    ] {
        let output = lot(&["list", &book]);
        assert_eq!(output.status.code(), Some(1), "{book}");
        let printed = said(&output);
        assert!(
            printed.contains(word) && printed.contains("try: "),
            "{printed}"
        );
    }
    let again = lot(&["new", &book]);
    assert!(said(&again).contains("already"), "{}", said(&again));
}

/// The tables, as the sqlite3 tool sees them and docs/formats.md describes them.
#[test]
fn the_book_is_an_ordinary_sqlite_file() {
    let (_place, book) = book();
    let ask = |sql: &str| -> Option<String> {
        let output = Command::new("sqlite3").arg(&book).arg(sql).output().ok()?;
        assert!(output.status.success(), "{}", said(&output));
        Some(String::from_utf8(output.stdout).unwrap())
    };
    let Some(check) = ask("PRAGMA integrity_check; PRAGMA foreign_key_check;") else {
        eprintln!("skipped: no sqlite3 here");
        return;
    };
    assert_eq!(check, "ok\n");
    assert_eq!(
        ask("SELECT count(*), sum(count_best) FROM stump").unwrap(),
        "12|989\n"
    );
    let widths = ask("SELECT printf('%.2f', sum(width_mm)) FROM ring_width WHERE stump = 'oak-bend' AND year >= 2016").unwrap();
    let bend = practice::woodlot()
        .into_iter()
        .find(|s| s.stem == "oak-bend")
        .unwrap();
    let sum: f64 = bend
        .recipe
        .widths
        .explicit_mm
        .unwrap()
        .iter()
        .rev()
        .take(10)
        .sum();
    assert_eq!(widths.trim(), format!("{sum:.2}"));
    let formats = fs::read_to_string(root().join("docs/formats.md")).unwrap();
    let columns = ask(
        "SELECT m.name || '.' || p.name FROM sqlite_master m, pragma_table_info(m.name) p
         WHERE m.type IN ('table', 'view') ORDER BY 1",
    )
    .unwrap();
    for column in columns.lines() {
        let (table, name) = column.split_once('.').unwrap();
        let printed = formats.lines().any(|line| {
            line.starts_with(&format!("| `{table}`")) && line.contains(&format!("`{name}`"))
        });
        assert!(printed, "docs/formats.md does not describe {column}");
    }
}
