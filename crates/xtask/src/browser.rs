//! `cargo xtask browser`, and a step of `test`: drives the desk's page in
//! Chromium and in Firefox. What is missing for it is installed where that can
//! be done, and named where not. None of it is part of what is shipped.

use crate::metadata::{self, Metadata};
use crate::say;
use anyhow::{Context as _, bail};
use clap::{Args, ValueEnum};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Options of `cargo xtask browser`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// Which browser; pictures for docs/desk are drawn in Chromium
    #[arg(long, value_enum, default_value_t = Engine::Chromium)]
    engine: Engine,
    /// Measure instead: from key to repaint at 12 megapixels, with the released program
    #[arg(long)]
    times: bool,
}

/// A browser that drives the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Engine {
    Chromium,
    Firefox,
}

impl Engine {
    /// Names under which it is found; the first is Debian's package.
    const fn names(self) -> &'static [&'static str] {
        match self {
            Self::Chromium => &["chromium", "chromium-browser", "google-chrome"],
            Self::Firefox => &["firefox-esr", "firefox"],
        }
    }

    /// Names the program in the environment, and the engine to the tests.
    const fn variable(self) -> &'static str {
        match self {
            Self::Chromium => "CHROMIUM",
            Self::Firefox => "FIREFOX",
        }
    }

    /// The program, installed from Debian's packages where it is missing and
    /// apt-get may do so.
    fn program(self) -> Option<PathBuf> {
        if let Some(given) = std::env::var_os(self.variable()) {
            return Some(given.into());
        }
        let find = || self.names().iter().find_map(|name| in_path(name));
        find().or_else(|| {
            install(self.names()[0]);
            find()
        })
    }

    fn need(self) -> anyhow::Result<PathBuf> {
        self.program().with_context(|| {
            format!(
                "there is no {self:?} to drive the page with: apt-get install {}, or name one in {}",
                self.names()[0],
                self.variable()
            )
        })
    }
}

/// What one run of the tests does.
struct Run<'a> {
    engine: Engine,
    /// The files of tests, by comma; all of them without.
    files: Option<&'a str>,
    /// Firefox, and the files of tests that run there too, by comma.
    beside: Option<(PathBuf, &'a str)>,
    /// Where pictures go.
    pictures: Option<&'a Path>,
    /// The profile in which the program is built.
    profile: &'a str,
    /// Whether it is built first; else it is there.
    builds: bool,
}

/// Drives the page, and in Chromium draws every view into docs/desk.
///
/// # Errors
/// As [`run`].
pub(crate) fn alone(options: &Options) -> anyhow::Result<()> {
    let metadata = metadata::load()?;
    let docs = metadata.workspace_root.join("docs/desk");
    let draws = options.engine == Engine::Chromium && !options.times;
    drive(
        &metadata,
        &Run {
            engine: options.engine,
            files: options.times.then_some("times"),
            beside: None,
            pictures: draws.then_some(docs.as_path()),
            profile: if options.times { "release" } else { "chores" },
            builds: true,
        },
    )
}

/// Drives the page in Chromium and beside it in Firefox, with the program that is built
/// already: in Firefox all tests, or those of fingers, zoom and files alone. Gives the
/// reason when there is no Firefox.
///
/// # Errors
/// When something is missing that cannot be installed, or a test fails.
pub(crate) fn run(metadata: &Metadata, all_in_firefox: bool) -> anyhow::Result<Option<String>> {
    let files = if all_in_firefox {
        "all"
    } else {
        "zoom,phone,outputs"
    };
    let firefox = Engine::Firefox.program();
    let left = firefox.is_none().then(|| {
        "in Firefox: there is none (apt-get install firefox-esr); Chromium passed".to_owned()
    });
    drive(
        metadata,
        &Run {
            engine: Engine::Chromium,
            files: None,
            beside: firefox.map(|program| (program, files)),
            pictures: None,
            profile: "chores",
            builds: false,
        },
    )?;
    Ok(left)
}

fn drive(metadata: &Metadata, run: &Run<'_>) -> anyhow::Result<()> {
    let root = &metadata.workspace_root;
    let browser = run.engine.need()?;
    need_node()?;
    let tests = root.join("tests/browser");
    if lacks_packages(&tests)? {
        say::line("installing the packages of tests/browser");
        done(
            Command::new("npm")
                .args(["ci", "--no-audit", "--no-fund"])
                .current_dir(&tests),
            "npm ci in tests/browser (it needs the npm registry, once)",
        )?;
    }
    if run.builds {
        done(
            Command::new(metadata::cargo())
                .args(["build", "--locked", "--profile", run.profile])
                .args(["--package", "stumpbook"])
                .current_dir(root),
            "cargo build",
        )?;
    }
    let mut node = Command::new("node");
    node.arg(tests.join("run.mjs"))
        .arg(metadata.program(run.profile))
        .arg(root.join("samples"))
        .env("ENGINE", run.engine.variable().to_lowercase())
        .env(run.engine.variable(), browser);
    if let Some(files) = run.files {
        node.env("FILES", files);
    }
    if let Some((firefox, files)) = &run.beside {
        node.env(Engine::Firefox.variable(), firefox)
            .env("FIREFOX_FILES", files);
    }
    if let Some(folder) = run.pictures {
        node.arg(folder);
    }
    done(&mut node, "the tests of the page")
}

/// Whether a package that `package.json` names is not there.
fn lacks_packages(tests: &Path) -> anyhow::Result<bool> {
    let text = std::fs::read_to_string(tests.join("package.json"))
        .context("cannot read tests/browser/package.json")?;
    let named: serde_json::Value =
        serde_json::from_str(&text).context("cannot understand tests/browser/package.json")?;
    let there = |name: &String| tests.join("node_modules").join(name).is_dir();
    Ok(["dependencies", "devDependencies"]
        .iter()
        .filter_map(|kind| named.get(kind)?.as_object())
        .any(|packages| !packages.keys().all(there)))
}

fn need_node() -> anyhow::Result<()> {
    if in_path("node").is_none() || in_path("npm").is_none() {
        install("nodejs npm");
    }
    if in_path("node").is_none() || in_path("npm").is_none() {
        bail!("there is no Node to drive the browser from: apt-get install nodejs npm");
    }
    Ok(())
}

/// Tries to install packages; whether it went well is seen by looking again.
fn install(packages: &str) {
    say::line(&format!("installing {packages}"));
    let quiet = |arguments: &[&str]| {
        let _ = Command::new("apt-get")
            .args(arguments)
            .env("DEBIAN_FRONTEND", "noninteractive")
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .status();
    };
    quiet(&["update", "-qq"]);
    let mut arguments = vec!["install", "-y", "-qq", "--no-install-recommends"];
    arguments.extend(packages.split(' '));
    quiet(&arguments);
}

fn in_path(name: &str) -> Option<PathBuf> {
    let folders = std::env::var_os("PATH")?;
    std::env::split_paths(&folders)
        .map(|folder| folder.join(name))
        .find(|path| path.is_file())
}

fn done(command: &mut Command, what: &str) -> anyhow::Result<()> {
    let name = command.get_program().to_owned();
    let status = command
        .stdin(Stdio::null())
        .status()
        .with_context(|| format!("cannot start {}", OsStr::new(&name).display()))?;
    if !status.success() {
        bail!("{what} ended with {status}");
    }
    Ok(())
}
