//! `cargo xtask test`: everything that has to hold before a change goes in.
//! All steps run, so that one look shows all that is wrong.

use crate::{arrows, browser, dist, licenses, metadata, say};
use anyhow::{Context as _, bail};
use clap::Args;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::time::Instant;

/// Everything is built once in this profile (see Cargo.toml): optimized, or
/// tests on photos take forever, but without the release's slow linking.
const PROFILE: &str = "chores";

/// Options of `cargo xtask test`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// Also run every page test in Firefox, and build what is handed over and install it in
    /// a bare Debian: before a release
    #[arg(long)]
    everything: bool,
}

/// Runs every step.
///
/// # Errors
/// When a tool is missing that cannot be installed, or a step fails.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let metadata = metadata::load()?;
    std::env::set_current_dir(&metadata.workspace_root)
        .context("cannot enter the workspace's folder")?;
    need_compiler()?;
    need_component("fmt", "rustfmt")?;
    need_component("clippy", "clippy")?;
    let mut done = Done::default();
    done.step("arrows between crates", || none(arrows::wrong(&metadata)));
    done.step("licenses and sources", || none(licenses::wrong(&metadata)));
    done.step("deny.toml by cargo-deny", deny);
    done.step("advisories by cargo-deny", advisories);
    done.step("formatting", || cargo(&["fmt", "--all", "--check"], &[]));
    done.step("lints", || {
        cargo(
            &[
                "clippy",
                "--locked",
                "--workspace",
                "--all-targets",
                "--profile",
                PROFILE,
                "--",
                "-D",
                "warnings",
            ],
            &[],
        )
    });
    // With what tests need, so that nothing is built once more for them.
    done.step("the program and its tests are built", || {
        cargo(
            &[
                "build",
                "--locked",
                "--workspace",
                "--bins",
                "--tests",
                "--profile",
                PROFILE,
            ],
            &[],
        )
    });
    let program = metadata.program(PROFILE);
    done.step("tests and examples in the docs", || {
        cargo(
            &[
                "test",
                "--locked",
                "--workspace",
                "--profile",
                PROFILE,
                "--no-fail-fast",
            ],
            &[("STUMPBOOK", &program.to_string_lossy())],
        )
    });
    done.step("the desk in two browsers", || {
        let left = browser::run(&metadata, options.everything)?;
        Ok(left.map_or(Step::Held, Step::NotRun))
    });
    // What features add that are off by default.
    done.step("lints with every feature", || {
        cargo(
            &[
                "clippy",
                "--locked",
                "--workspace",
                "--all-targets",
                "--all-features",
                "--profile",
                PROFILE,
                "--",
                "-D",
                "warnings",
            ],
            &[],
        )
    });
    done.step("docs", || {
        cargo(
            &[
                "doc",
                "--locked",
                "--workspace",
                "--no-deps",
                "--profile",
                PROFILE,
            ],
            &[("RUSTDOCFLAGS", "-D warnings")],
        )
    });
    if options.everything {
        done.step("installed in a bare Debian", || {
            Ok(dist::bare::run()?.map_or(Step::Held, Step::NotRun))
        });
    }
    done.finish()
}

/// How a step ended, when it did not fail.
enum Step {
    Held,
    NotRun(String),
}

#[derive(Debug, Default)]
struct Done {
    lines: Vec<String>,
    failed: usize,
}

impl Done {
    fn step(&mut self, name: &str, run: impl FnOnce() -> anyhow::Result<Step>) {
        say::line(&format!("\n== {name}"));
        let start = Instant::now();
        let result = run();
        let seconds = start.elapsed().as_secs_f64();
        let how = match result {
            Ok(Step::Held) => "ok".to_owned(),
            Ok(Step::NotRun(why)) => format!("not run: {why}"),
            Err(error) => {
                self.failed += 1;
                format!("FAILED: {error:#}")
            }
        };
        let line = format!("{name:<32} {seconds:>7.1} s  {how}");
        say::line(&line);
        self.lines.push(line);
    }

    fn finish(self) -> anyhow::Result<()> {
        say::line("\n== all steps");
        for line in &self.lines {
            say::line(line);
        }
        match self.failed {
            0 => Ok(()),
            1 => bail!("1 step failed"),
            more => bail!("{more} steps failed"),
        }
    }
}

fn none(wrong: Vec<String>) -> anyhow::Result<Step> {
    if wrong.is_empty() {
        Ok(Step::Held)
    } else {
        bail!("{}", wrong.join("; "))
    }
}

fn cargo(args: &[&str], environment: &[(&str, &str)]) -> anyhow::Result<Step> {
    say::line(&format!("cargo {}", args.join(" ")));
    let status = Command::new(metadata::cargo())
        .args(args)
        .envs(environment.iter().copied())
        .stdin(Stdio::null())
        .status()
        .context("cannot start cargo")?;
    if status.success() {
        Ok(Step::Held)
    } else {
        bail!("cargo {} ended with {status}", args[0])
    }
}

/// Holds the packages against the list of known faults, where cargo-deny is
/// installed and has its copy of the list; a copy is not fetched here, so that
/// the same commit passes or fails alike with a network and without.
fn advisories() -> anyhow::Result<Step> {
    const HOW: &str = "cargo install cargo-deny --locked && cargo deny fetch db";
    let home = std::env::var_os("CARGO_HOME")
        .map(PathBuf::from)
        .or_else(|| Some(PathBuf::from(std::env::var_os("HOME")?).join(".cargo")));
    let copied = home.is_some_and(|home| home.join("advisory-dbs").exists());
    if !copied || !there(&["deny", "--version"]) {
        return Ok(Step::NotRun(format!("there is no copy of the list: {HOW}")));
    }
    cargo(&["deny", "--offline", "check", "advisories"], &[])
}

/// Runs cargo-deny where it is installed: the same lists as the step before,
/// by the tool that others use.
fn deny() -> anyhow::Result<Step> {
    if !there(&["deny", "--version"]) {
        return Ok(Step::NotRun(
            "cargo-deny is not installed (cargo install cargo-deny --locked); the step above looks at licenses and sources without it"
                .into(),
        ));
    }
    cargo(&["deny", "check", "bans", "licenses", "sources"], &[])
}

/// Whether a cargo subcommand answers.
fn there(args: &[&str]) -> bool {
    Command::new(metadata::cargo())
        .args(args)
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// A part of the toolchain: installed through rustup where it is missing.
fn need_component(command: &str, component: &str) -> anyhow::Result<()> {
    if there(&[command, "--version"]) {
        return Ok(());
    }
    say::line(&format!("installing {component}"));
    let installed = Command::new("rustup")
        .args(["component", "add", component])
        .status()
        .is_ok_and(|status| status.success());
    if installed && there(&[command, "--version"]) {
        Ok(())
    } else {
        bail!("{component} is missing and could not be installed: rustup component add {component}")
    }
}

/// Rust itself links with the system's C compiler.
fn need_compiler() -> anyhow::Result<()> {
    let found = Command::new("cc")
        .arg("--version")
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success());
    if !found && cfg!(unix) {
        bail!(
            "there is no C compiler (cc): install one, for example with apt-get install gcc libc6-dev"
        );
    }
    Ok(())
}
