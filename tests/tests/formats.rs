//! Rings passed on and taken in again over the built program, and compared with
//! readers that are not ours where the machine has them.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]
#![allow(
    clippy::print_stderr,
    reason = "a test that is skipped where a tool is not there says so"
)]

use acceptance::{folder, root, stumpbook};
use exchange::{Entry, Series};
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn run(args: &[&str]) -> Output {
    stumpbook().args(args).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

fn samples() -> String {
    root().join("samples/cold-hollow").display().to_string()
}

/// The series in a folder of stumps, by name.
fn series(place: &Path) -> Vec<Series> {
    let mut files: Vec<_> = fs::read_dir(place)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.to_string_lossy().ends_with(".stump.json"))
        .collect();
    files.sort();
    files
        .iter()
        .map(|path| {
            let stump = serde_json::from_slice(&fs::read(path).unwrap()).unwrap();
            let file = path.file_name().unwrap().to_string_lossy().into_owned();
            let name = file.trim_end_matches(".stump.json").to_owned();
            let entry = Entry { name, stump };
            Series::of(&entry.name, &entry.stump).unwrap()
        })
        .collect()
}

#[test]
fn cold_hollow_goes_out_and_comes_in_again() {
    let made = series(Path::new(&samples()));
    assert_eq!(made.len(), 12);
    for (file, format, resolution_mm, facts) in [
        ("rings.csv", "csv", 0.0001, true),
        ("rings.json", "json", 1e-12, true),
        ("rings.rwl", "decadal", 0.01, false),
        ("fine.rwl", "decadal-0.001", 0.001, false),
        ("rings.xml", "tridas", 0.001, true),
    ] {
        let place = folder();
        let path = place.path().join(file);
        let path = path.to_str().unwrap();
        let out = run(&["export", &samples(), "--format", format, "--to", path]);
        assert!(out.status.success(), "{format}: {}", said(&out));
        assert!(out.stdout.is_empty());
        let stumps = place.path().join("stumps");
        let taken = run(&["import", path, "--out", stumps.to_str().unwrap()]);
        assert!(taken.status.success(), "{format}: {}", said(&taken));
        let back = series(&stumps);
        assert_eq!(back.len(), 12, "{format}");
        for (made, back) in made.iter().zip(&back) {
            assert_eq!(made.first_year, back.first_year, "{format} {}", made.name);
            if facts {
                assert_eq!(made.name, back.name, "{format}");
                assert_eq!(made.facts.species, back.facts.species, "{format}");
                assert_eq!(made.facts.felled, back.facts.felled, "{format}");
                assert_eq!(made.scope, back.scope, "{format}");
            }
            let (a, b) = (made.widths.numbers(), back.widths.numbers());
            assert_eq!(a.len(), b.len());
            for (a, b) in a.iter().zip(&b) {
                let difference = (a.unwrap() - b.unwrap()).abs();
                assert!(
                    difference <= 0.5 * resolution_mm + 1e-9,
                    "{format} {difference}"
                );
            }
        }
        // Bringing the same in again is no harm; another of that name is refused.
        let again = run(&["import", path, "--out", stumps.to_str().unwrap()]);
        assert!(again.status.success(), "{format}: {}", said(&again));
    }
}

/// A stump tally: one line a tree, from the folder as from the book.
#[test]
fn a_list_of_trees_has_one_line_a_tree() {
    let place = folder();
    let from = root().join("samples/cold-hollow");
    let target = place.path().join("trees.csv");
    let output = stumpbook()
        .arg("export")
        .arg(&from)
        .args(["--format", "trees", "--to"])
        .arg(&target)
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", said(&output));
    let text = std::fs::read_to_string(&target).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 13, "{text}");
    assert!(
        lines[0].starts_with("stump,tag,species,latin,place,"),
        "{text}"
    );
    assert!(lines[1].contains("white ash,Fraxinus americana"), "{text}");
    // It holds no rings, so it cannot be imported as such.
    let back = stumpbook()
        .arg("import")
        .arg(&target)
        .arg("--out")
        .arg(place.path())
        .output()
        .unwrap();
    assert_eq!(back.status.code(), Some(1));
    assert!(
        said(&back).contains("no column is named width_mm"),
        "{}",
        said(&back)
    );
}

#[test]
fn what_a_format_cannot_hold_is_reported_and_data_stays_alone_on_stdout() {
    let output = run(&["export", &samples(), "--format", "decadal"]);
    assert!(output.status.success());
    let printed = said(&output);
    // Of five more is remembered than of the others.
    for (stumps, more) in [(5, ", remembered years"), (7, "")] {
        let line = format!(
            "{stumps} stumps: this layout does not hold: species, date of felling, height of cut, width across, note{more}, how sure each ring is"
        );
        assert!(printed.contains(&line), "{printed}");
    }
    assert!(
        printed.contains("maple-spring: is called maple-sp in that file"),
        "{printed}"
    );
    let text = String::from_utf8(output.stdout).unwrap();
    assert!(text.lines().all(|line| line.len() <= 72 && line.is_ascii()));
    assert_eq!(
        text.lines().filter(|line| line.ends_with("   999")).count(),
        12
    );
}

#[test]
fn malformed_files_are_reported_with_line_and_column() {
    let place = folder();
    let out = place.path().join("stumps").display().to_string();
    for (file, text, place_named) in [
        (
            "a.csv",
            "stump,year,width_mm\noak,1990,wide\n",
            "line 2, column 3",
        ),
        (
            "a.rwl",
            "OAK     1990   1x0   999\nOAK     1991   100   999\n",
            "line 2, column 9",
        ),
        (
            "b.rwl",
            "GOOD    1990   100   999\nOAK     1991   1x0   999\n",
            "line 2, column 16",
        ),
        (
            "a.xml",
            "<tridas><project>\n <object></project></tridas>",
            "line 2, column 10",
        ),
        (
            "a.json",
            "{\"format\": 1,\n \"stumps\": [}",
            "line 2, column 13",
        ),
    ] {
        let path = place.path().join(file);
        fs::write(&path, text).unwrap();
        let output = run(&["import", path.to_str().unwrap(), "--out", &out]);
        let printed = said(&output);
        if file == "a.rwl" {
            // A first line that is none is taken for a heading, and reported.
            assert!(
                printed.contains("line 1 is taken for a heading"),
                "{printed}"
            );
            continue;
        }
        assert_eq!(output.status.code(), Some(1), "{file}");
        assert!(
            printed.contains(place_named) && printed.contains("try: "),
            "{file}: {printed}"
        );
        assert!(printed.contains(file), "{printed}");
    }
    let unknown = place.path().join("rings.dat");
    fs::write(&unknown, "1").unwrap();
    let output = run(&["import", unknown.to_str().unwrap(), "--out", &out]);
    assert_eq!(output.status.code(), Some(2));
    assert!(said(&output).contains("--format"));
}

#[test]
fn an_import_never_writes_over_another_stump() {
    let place = folder();
    let table = place.path().join("rings.csv");
    let out = place.path().join("stumps");
    let taken = |text: &str| {
        fs::write(&table, text).unwrap();
        run(&[
            "import",
            table.to_str().unwrap(),
            "--out",
            out.to_str().unwrap(),
        ])
    };
    let first = taken("stump,year,width_mm\n../oak,1990,1\n../oak,1991,2\n");
    assert!(first.status.success(), "{}", said(&first));
    let kept = out.join("-oak.stump.json");
    let before = fs::read(&kept).unwrap();
    let second = taken("stump,year,width_mm\n../oak,1990,9\n");
    assert_eq!(second.status.code(), Some(1));
    assert!(
        said(&second).contains("is there already"),
        "{}",
        said(&second)
    );
    assert_eq!(fs::read(&kept).unwrap(), before);
}

/// CSV as Python's csv module reads it.
#[test]
fn python_reads_the_table_as_it_was_meant() {
    let place = folder();
    let stump = fs::read_to_string(root().join("samples/cold-hollow/oak-bend.stump.json")).unwrap();
    let name = "oak, \"bend\" 🌳 אלון";
    fs::write(place.path().join(format!("{name}.stump.json")), stump).unwrap();
    let table = place.path().join("rings.csv");
    let out = run(&[
        "export",
        place.path().to_str().unwrap(),
        "--to",
        table.to_str().unwrap(),
    ]);
    assert!(out.status.success(), "{}", said(&out));
    let script = "import csv, sys\n\
        rows = list(csv.DictReader(open(sys.argv[1], encoding='utf-8-sig', newline=''), strict=True))\n\
        print({row['stump'] for row in rows}.pop())\n\
        print(len(rows), rows[0]['year'], rows[-1]['year'], '%.3f' % sum(float(r['width_mm']) for r in rows))\n";
    let Ok(python) = Command::new("python3")
        .env("PYTHONIOENCODING", "utf-8")
        .args(["-c", script])
        .arg(&table)
        .output()
    else {
        eprintln!("skipped: no python3 here");
        return;
    };
    assert!(python.status.success(), "{}", said(&python));
    let bend = &series(place.path())[0];
    let sum: f64 = bend.widths.numbers().into_iter().flatten().sum();
    assert_eq!(
        String::from_utf8(python.stdout).unwrap(),
        format!("{name}\n88 1938 2025 {sum:.3}\n")
    );
}

/// CSV as DuckDB and pandas guess it, where they are there.
#[test]
fn tables_are_guessed_right_by_duckdb_and_pandas() {
    let place = folder();
    let table = place.path().join("rings.csv");
    let out = run(&["export", &samples(), "--to", table.to_str().unwrap()]);
    assert!(out.status.success(), "{}", said(&out));
    let made = series(Path::new(&samples()));
    let rings: usize = made.iter().map(|one| one.widths.len()).sum();
    let sum: f64 = made
        .iter()
        .flat_map(|one| one.widths.numbers())
        .flatten()
        .sum();
    let expected = format!("{rings} 12 1914 {sum:.1}");
    let duckdb = "import sys, duckdb\n\
        q = 'select count(*), count(distinct stump), min(year), sum(width_mm), any_value(typeof(year)) from read_csv(?)'\n\
        n, stumps, year, mm, kind = duckdb.execute(q, [sys.argv[1]]).fetchone()\n\
        assert kind == 'BIGINT', kind\n\
        print(n, stumps, year, '%.1f' % mm)\n";
    let pandas = "import sys, pandas\n\
        t = pandas.read_csv(sys.argv[1])\n\
        assert str(t.year.dtype) == 'int64', t.dtypes\n\
        print(len(t), t.stump.nunique(), t.year.min(), '%.1f' % t.width_mm.sum())\n";
    for (library, script) in [("duckdb", duckdb), ("pandas", pandas)] {
        let python = |script: &str| {
            Command::new("python3")
                .args(["-c", script])
                .arg(&table)
                .output()
        };
        let there = python(&format!("import {library}"));
        if !there.is_ok_and(|output| output.status.success()) {
            eprintln!("skipped: no python3 with {library} here");
            continue;
        }
        let read = python(script).unwrap();
        assert!(read.status.success(), "{library}: {}", said(&read));
        assert_eq!(
            String::from_utf8_lossy(&read.stdout).trim(),
            expected,
            "{library}"
        );
    }
}

/// XML as Python's parser reads it.
#[test]
fn python_reads_the_xml_as_it_was_meant() {
    let place = folder();
    let file = place.path().join("rings.xml");
    let out = run(&["export", &samples(), "--to", file.to_str().unwrap()]);
    assert!(out.status.success(), "{}", said(&out));
    let script = "import sys, xml.etree.ElementTree as tree\n\
        t = '{http://www.tridas.org/1.2.2}'\n\
        for e in tree.parse(sys.argv[1]).getroot().iter(t + 'element'):\n\
        \x20   v = e.findall('.//' + t + 'value')\n\
        \x20   print(e.find(t + 'title').text, e.find(t + 'taxon').text, e.find('.//' + t + 'firstYear').text, len(v))\n";
    let Ok(python) = Command::new("python3")
        .args(["-c", script])
        .arg(&file)
        .output()
    else {
        eprintln!("skipped: no python3 here");
        return;
    };
    assert!(python.status.success(), "{}", said(&python));
    let text = String::from_utf8(python.stdout).unwrap();
    assert_eq!(text.lines().count(), 12);
    assert!(text.contains("oak-bend Quercus alba 1938 88\n"), "{text}");
}

/// XML as xmllint reads it, where it is there.
#[test]
fn xmllint_finds_the_xml_well_formed() {
    let place = folder();
    let file = place.path().join("rings.xml");
    let out = run(&["export", &samples(), "--to", file.to_str().unwrap()]);
    assert!(out.status.success(), "{}", said(&out));
    let lint = |args: &[&str]| Command::new("xmllint").args(args).arg(&file).output();
    let Ok(checked) = lint(&["--noout"]) else {
        eprintln!("skipped: no xmllint here");
        return;
    };
    assert!(checked.status.success(), "{}", said(&checked));
    let count = lint(&["--xpath", "count(//*[local-name()='measurementSeries'])"]).unwrap();
    assert_eq!(String::from_utf8_lossy(&count.stdout).trim(), "12");
}

/// The R data set `treering` (see `data/README.md`), 7980 rings from the year
/// -6000 on, one of them missing: its index taken as millimeters.
#[test]
fn eight_thousand_years_go_out_and_come_in_again() {
    use exchange::{Format, Resolution, Source, Widths, read, stump_of, write};
    use wood::{Facts, Mm, Year};
    let widths: Vec<Option<Mm>> = include_str!("../data/treering.csv")
        .lines()
        .skip(1)
        .map(|line| Some(Mm(line.rsplit(',').next().unwrap().parse().unwrap())))
        .collect();
    assert_eq!(widths.len(), 7980);
    assert_eq!(widths.iter().filter(|w| w.unwrap().0 < 1e-9).count(), 1);
    let made = Series {
        name: "treerng".into(),
        facts: Facts::default(),
        scope: None,
        first_year: Some(Year(-6000)),
        widths: Widths::Mm(widths),
        confidence: Vec::new(),
        from_photo: false,
    };
    let entry = Entry {
        name: made.name.clone(),
        stump: stump_of(&made, &Source::of("treering.csv", b"")),
    };
    for format in [
        Format::Csv,
        Format::Json,
        Format::Decadal(Resolution::Thousandth),
        Format::Tridas,
    ] {
        let text = write(std::slice::from_ref(&entry), format).unwrap().text;
        let back = read("back", text.as_bytes(), format)
            .unwrap()
            .entries
            .remove(0);
        let back = Series::of(&back.name, &back.stump).unwrap();
        assert_eq!(back.name, made.name);
        assert_eq!(back.first_year, made.first_year);
        // The index has three places, which all of them hold to the last bit.
        assert_eq!(back.widths, made.widths, "{format}");
    }
}
