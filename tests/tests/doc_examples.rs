//! Every command that the documents show is run here, in a folder like the one that
//! the document describes, and what the document shows as its output is compared.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use crate::drawn;
use acceptance::{folder, root, stumpbook, stumpbook_path};
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

/// An indented block of a document: its lines without the indent.
struct Block {
    lines: Vec<String>,
}

/// The indented blocks of a document, in order.
fn blocks(document: &str) -> Vec<Block> {
    let text = fs::read_to_string(root().join(document)).unwrap();
    let mut blocks: Vec<Block> = Vec::new();
    let mut open = false;
    let mut before = "";
    for line in text.lines() {
        match line.strip_prefix("    ") {
            // A list goes on with an indent too: a block stands below an empty line.
            Some(code) if open || before.is_empty() => {
                if !open {
                    blocks.push(Block { lines: Vec::new() });
                }
                open = true;
                blocks.last_mut().unwrap().lines.push(code.to_owned());
            }
            _ => open = false,
        }
        before = line;
    }
    blocks
}

impl Block {
    /// The commands of a block, continued lines joined, remarks behind them cut off.
    fn commands(&self) -> Vec<String> {
        let mut joined: Vec<String> = Vec::new();
        let mut goes_on = false;
        for line in &self.lines {
            let part = line.trim_end_matches('\\').trim();
            match joined.last_mut() {
                Some(last) if goes_on => *last = format!("{last} {part}"),
                _ => joined.push(part.to_owned()),
            }
            goes_on = line.ends_with('\\');
        }
        joined
            .iter()
            .map(|line| line.replace("cargo run --release -- ", "stumpbook "))
            .filter(|line| line.starts_with("stumpbook "))
            .map(|line| line.split("    ").next().unwrap_or_default().to_owned())
            .collect()
    }
}

/// The words of a command line; double quotes hold words together.
fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.push(String::new()),
            letter => words.last_mut().unwrap().push(letter),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// Runs a command in a folder; what it printed.
fn run(line: &str, place: &Path) -> String {
    let words = words(line);
    if words.get(1).is_some_and(|word| word == "desk") {
        return serve(&words[1..], place);
    }
    let output = stumpbook()
        .args(&words[1..])
        .current_dir(place)
        .output()
        .unwrap();
    let talk = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{line}\n{talk}");
    // The documents show paths in the folder that they are about.
    let here = format!("{}/", fs::canonicalize(place).unwrap().display());
    String::from_utf8(output.stdout).unwrap().replace(&here, "")
}

/// Starts the desk, which runs until it is stopped, and waits for its address.
fn serve(arguments: &[String], place: &Path) -> String {
    let mut desk = Command::new(stumpbook_path())
        .args(arguments)
        .args(["--no-open", "--port", "0"])
        .current_dir(place)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(desk.stdout.take().unwrap()).lines();
    let address = lines.find_map(|line| line.ok().filter(|line| line.contains("http://")));
    desk.kill().unwrap();
    desk.wait().unwrap();
    address.unwrap_or_else(|| panic!("the desk gave no address: {arguments:?}"))
}

/// Runs all commands of a document; what they printed, and how many there were.
fn run_all(document: &str, place: &Path, left_out: &[&str]) -> (String, usize) {
    let commands: Vec<String> = blocks(document).iter().flat_map(Block::commands).collect();
    let mut printed = String::new();
    let mut count = 0;
    for command in commands {
        if left_out.iter().any(|part| command.contains(part)) {
            continue;
        }
        printed.push_str(&run(&command, place));
        printed.push('\n');
        count += 1;
    }
    (printed, count)
}

/// Compares each shown output that begins with `start` with what was printed, word by
/// word; `...` stands for what is left out.
fn check_shown(document: &str, start: &str, printed: &str) {
    let printed: Vec<&str> = printed.split_whitespace().collect();
    let blocks = blocks(document);
    let shown = blocks
        .iter()
        .find(|block| {
            block
                .lines
                .first()
                .is_some_and(|line| line.starts_with(start))
        })
        .unwrap_or_else(|| panic!("{document} shows no output that begins with {start}"));
    let text = shown.lines.join("\n");
    for piece in text.split("...") {
        let piece: Vec<&str> = piece.split_whitespace().collect();
        let found = piece.is_empty() || printed.windows(piece.len()).any(|words| words == piece);
        assert!(
            found,
            "{document} shows what was not printed:\n{}\n\nprinted:\n{}",
            piece.join(" "),
            printed.join(" ")
        );
    }
}

fn copy(from: &str, to: &Path) {
    fs::copy(root().join(from), to).unwrap_or_else(|error| panic!("{from}: {error}"));
}

/// The readings of Cold Hollow, without photos.
fn cold_hollow(to: &Path) {
    fs::create_dir(to).unwrap();
    for entry in fs::read_dir(root().join("samples/cold-hollow")).unwrap() {
        let entry = entry.unwrap();
        fs::copy(entry.path(), to.join(entry.file_name())).unwrap();
    }
}

#[test]
fn the_readme() {
    let place = folder();
    let here = place.path();
    fs::create_dir(here.join("samples")).unwrap();
    copy("samples/ash-landing.jpg", &here.join("ash-landing.jpg"));
    copy(
        "samples/ash-landing.jpg",
        &here.join("samples/ash-landing.jpg"),
    );
    cold_hollow(&here.join("photos"));
    let (printed, count) = run_all("README.md", here, &[]);
    assert_eq!(count, 7, "commands were lost");
    check_shown("README.md", "ash-landing.jpg", &printed);
    assert!(here.join("ash-landing-sheet.pdf").exists());
}

#[test]
fn one_tree_from_saw_to_sheet() {
    let document = "docs/user-guide.md";
    let place = folder();
    let here = place.path();
    copy("samples/ash-landing.jpg", &here.join("ash-landing.jpg"));
    copy("samples/oak-hollow.jpg", &here.join("oak-hollow.jpg"));
    let marks = blocks(document)
        .into_iter()
        .find(|block| {
            block
                .lines
                .first()
                .is_some_and(|line| line.starts_with('{'))
        })
        .expect("the guide shows a file of marks");
    fs::write(here.join("fix.json"), marks.lines.join("\n")).unwrap();
    let (printed, count) = run_all(document, here, &[]);
    assert_eq!(count, 7, "commands were lost");
    assert!(here.join("pictures/ash-landing-ringmap.png").exists());
    assert!(here.join("ash-landing-sheet.html").exists());
    // The guide says what the marks correct: 87 rings to the true 88.
    assert!(printed.contains("Rings       88"), "{printed}");
    let again = run("stumpbook count oak-hollow.jpg --across none", here);
    assert!(again.contains("Rings       87"), "{again}");
}

#[test]
fn the_stumps_of_a_woodlot() {
    let document = "docs/woodlot.md";
    let place = folder();
    let here = place.path();
    // The photos are drawn by the command that the document shows, once for all tests.
    let commands: Vec<String> = blocks(document).iter().flat_map(Block::commands).collect();
    assert!(commands.iter().any(|line| line == drawn::COLD_HOLLOW));
    drawn::cold_hollow(&here.join("cold-hollow"));
    let left_out = [drawn::COLD_HOLLOW, "count cold-hollow --again"];
    let (printed, count) = run_all(document, here, &left_out);
    assert_eq!(count, 9, "commands were lost");
    for start in ["year  before", "ash-ford departs", "left out"] {
        check_shown(document, start, &printed);
    }
    assert!(here.join("years.svg").exists() && here.join("hollow-sheet.pdf").exists());
}

#[test]
fn many_photos_and_the_desk() {
    let place = folder();
    let here = place.path();
    fs::create_dir(here.join("photos")).unwrap();
    copy(
        "samples/walnut-house.jpg",
        &here.join("photos/walnut-house.jpg"),
    );
    let many = "docs/many-photos.md";
    // The others are scripts for a cluster.
    let (_, count) = run_all(many, here, &["/data/"]);
    assert_eq!(count, 1, "commands were lost");
    let results = fs::read_to_string(here.join("results.jsonl")).unwrap();
    assert_eq!(results.lines().count(), 1);
    // A phone's address needs a network that this machine may not have.
    let (_, count) = run_all("docs/desk/README.md", here, &["--lan"]);
    assert_eq!(count, 1, "commands were lost");
}

#[test]
fn several_pictures_of_one_strip() {
    let place = folder();
    let here = place.path();
    assert_eq!(drawn::strip(3, "oak", here).len(), 3);
    let (_, count) = run_all("docs/photo-guide.md", here, &[]);
    assert_eq!(count, 1, "commands were lost");
    assert!(here.join("oak-1-joined.png").exists());
}

/// A document that gets its first example must be run here too.
#[test]
fn no_other_document_has_examples() {
    let known = [
        "docs/user-guide.md",
        "docs/woodlot.md",
        "docs/many-photos.md",
        "docs/photo-guide.md",
    ];
    for entry in fs::read_dir(root().join("docs")).unwrap() {
        let name = format!("docs/{}", entry.unwrap().file_name().to_string_lossy());
        if name.ends_with(".md") && !known.contains(&name.as_str()) {
            let commands: Vec<String> = blocks(&name).iter().flat_map(Block::commands).collect();
            assert!(commands.is_empty(), "{name}: {commands:?}");
        }
    }
}
