//! No file of a crate imports itself in a circle of others.
//!
//! A folder is one unit to the files in it: a file may use what its own `mod.rs` (or the
//! crate's root) holds, and that names its files. All other circles are found. Items that
//! a file shows again with `pub use` are no imports of its own.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::root;
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::fs;
use std::path::Path;

/// A module of a crate, as the names that lead to it; the root has none.
type Module = Vec<String>;

/// The modules of one crate, each with its text.
type Modules = BTreeMap<Module, String>;

/// Reads every file below a folder of sources.
fn modules(folder: &Path) -> Modules {
    let mut found = Modules::new();
    gather(folder, &Module::new(), &mut found);
    found
}

fn gather(folder: &Path, above: &Module, found: &mut Modules) {
    for entry in fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
    {
        let stem = entry.file_stem().unwrap().to_string_lossy().into_owned();
        let mut module = above.clone();
        if entry.is_dir() {
            module.push(stem);
            gather(&entry, &module, found);
        } else if entry.extension().is_some_and(|ending| ending == "rs") {
            if !["lib", "main", "mod"].contains(&stem.as_str()) {
                module.push(stem);
            }
            let text = fs::read_to_string(&entry).unwrap();
            found.entry(module).or_default().push_str(&text);
        }
    }
}

/// A text without comments and without the tests at its end.
fn code(text: &str) -> String {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap();
    let lines = text.lines().map(|line| line.split("//").next().unwrap());
    lines.collect::<Vec<_>>().join("\n")
}

/// The paths that a text imports or names, each from its first name on.
fn paths(text: &str) -> Vec<Vec<String>> {
    let mut all = Vec::new();
    for statement in code(text).split(';') {
        let words: Vec<&str> = statement.split_whitespace().collect();
        let plain = words.join(" ");
        let import = plain
            .rsplit_once("use ")
            .and_then(|(before, tree)| Some((start_of_import(before)?, tree)));
        match import {
            Some((before, tree)) => {
                if !before.ends_with("pub ") {
                    expand("", tree, &mut all);
                }
                named(before, &mut all);
            }
            None => named(&plain, &mut all),
        }
    }
    all
}

/// What stands before the word `use`, if that begins an import there: not in the midst
/// of a text or an expression.
fn start_of_import(before: &str) -> Option<&str> {
    let shown = ["pub(crate) ", "pub(super) ", "pub "];
    let bare = shown.iter().find_map(|word| before.strip_suffix(word));
    let bare = bare.unwrap_or(before).trim_end();
    (bare.is_empty() || bare.ends_with(['{', '}', ']'])).then_some(before)
}

/// Every path in a tree of imports such as `crate::{a, b::{c, d}}`.
fn expand(start: &str, tree: &str, all: &mut Vec<Vec<String>>) {
    let (head, rest) = tree.split_once('{').unwrap_or((tree, ""));
    if rest.is_empty() {
        let path = format!("{start}{head}");
        let path = path.split(" as ").next().unwrap();
        all.push(
            path.split("::")
                .map(|name| name.trim().to_owned())
                .collect(),
        );
        return;
    }
    let inner = rest.rsplit_once('}').map_or(rest, |(inner, _)| inner);
    let start = format!("{start}{head}");
    let (mut depth, mut from) = (0, 0);
    for (at, letter) in inner.char_indices() {
        match letter {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                expand(&start, inner[from..at].trim(), all);
                from = at + 1;
            }
            _ => {}
        }
    }
    if !inner[from..].trim().is_empty() {
        expand(&start, inner[from..].trim(), all);
    }
}

/// Every path named in the midst of code.
fn named(text: &str, all: &mut Vec<Vec<String>>) {
    let words = text.split(|letter: char| !letter.is_alphanumeric() && !"_:".contains(letter));
    for word in words.filter(|word| word.contains("::")) {
        all.push(word.split("::").map(str::to_owned).collect());
    }
}

/// The module that a path named in `here` leads to, if it is one of this crate.
fn target(path: &[String], here: &Module, all: &Modules) -> Option<Module> {
    let mut names = path.iter().map(String::as_str).peekable();
    let mut at = match names.peek()? {
        &"crate" => {
            names.next();
            Module::new()
        }
        &"self" => {
            names.next();
            here.clone()
        }
        &"super" => {
            let mut at = here.clone();
            while names.peek() == Some(&"super") {
                names.next();
                at.pop();
            }
            at
        }
        first => {
            let mut child = here.clone();
            child.push((*first).to_owned());
            all.get(&child)?;
            here.clone()
        }
    };
    for name in names {
        at.push(name.to_owned());
        if !all.contains_key(&at) {
            at.pop();
            break;
        }
    }
    (all.contains_key(&at) && at != *here).then_some(at)
}

/// The modules that a module imports; its own folder's `mod.rs` is not counted.
fn imports(module: &Module, all: &Modules) -> BTreeSet<Module> {
    let own_folder = module.split_last().map(|(_, above)| above.to_vec());
    let paths = paths(&all[module]);
    let targets = paths.iter().filter_map(|path| target(path, module, all));
    targets
        .filter(|to| Some(to) != own_folder.as_ref())
        .collect()
}

/// The shortest circle through each module that is on one, as a line of words.
fn circles(all: &Modules) -> Vec<String> {
    let imports: BTreeMap<&Module, BTreeSet<Module>> = all
        .keys()
        .map(|module| (module, imports(module, all)))
        .collect();
    let mut found = Vec::new();
    for start in all.keys() {
        let mut came_from: BTreeMap<&Module, &Module> = BTreeMap::new();
        let mut next = VecDeque::from([start]);
        while let Some(here) = next.pop_front() {
            for to in &imports[here] {
                let (to, _) = all.get_key_value(to).unwrap();
                if came_from.contains_key(to) {
                    continue;
                }
                came_from.insert(to, here);
                next.push_back(to);
            }
        }
        if let Some(mut at) = came_from.get(start).copied() {
            let mut names = vec![name(start)];
            while at != start {
                names.push(name(at));
                at = came_from[at];
            }
            names.push(name(start));
            names.reverse();
            found.push(names.join(" imports "));
        }
    }
    found
}

fn name(module: &Module) -> String {
    if module.is_empty() {
        "the crate's root".to_owned()
    } else {
        module.join("::")
    }
}

#[test]
fn no_file_imports_itself_in_a_circle() {
    let mut files = 0;
    for entry in fs::read_dir(root().join("crates")).unwrap() {
        let folder = entry.unwrap().path();
        let all = modules(&folder.join("src"));
        files += all.len();
        let circles = circles(&all);
        assert!(circles.is_empty(), "{}: {circles:#?}", folder.display());
    }
    assert!(files > 300, "only {files} files were found");
}

#[test]
fn a_circle_is_found_through_any_way_of_importing() {
    let one = |path: &str| path.split("::").map(str::to_owned).collect::<Module>();
    let crate_of = |files: &[(&str, &str)]| -> Modules {
        let files = files.iter();
        let mut all: Modules = files
            .map(|(name, text)| (one(name), (*text).to_owned()))
            .collect();
        all.insert(Module::new(), "mod a; mod b; pub use a::A;".to_owned());
        all
    };
    let straight = crate_of(&[
        ("a", "use crate::b::{self, B}; // use crate::a::A;"),
        (
            "b",
            "use std::fs;\n#[cfg(test)]\nmod tests { use crate::a::A; }",
        ),
    ]);
    assert_eq!(circles(&straight), Vec::<String>::new());
    let by_use = crate_of(&[
        ("a", "use crate::{b::B};"),
        ("b", "use super::a::{A, C as D};"),
    ]);
    assert_eq!(
        circles(&by_use),
        ["a imports b imports a", "b imports a imports b"]
    );
    let by_name = crate_of(&[
        ("a", "fn f() { crate::b::g() }"),
        ("b", "type A = super::a::A;"),
    ]);
    assert_eq!(circles(&by_name).len(), 2);
    let through_a_third = crate_of(&[
        ("a", "pub(crate) use crate::b;"),
        ("b", "use crate::c::C;"),
        ("c", "use crate::a;"),
    ]);
    assert_eq!(circles(&through_a_third).len(), 3);
    let own_folder = crate_of(&[
        ("a", "mod part; use part::P;"),
        ("a::part", "use super::A;"),
    ]);
    assert_eq!(circles(&own_folder), Vec::<String>::new());
}
