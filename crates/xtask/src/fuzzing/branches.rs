//! `cargo xtask fuzz --branches`: the same targets, given bytes by a fuzzer that
//! watches which branches are taken.
//!
//! libFuzzer (of LLVM) is wrapped by `libfuzzer-sys`, whose macro needs unsafe
//! code. So that no crate of ours holds any, the program is written into the
//! target folder, built there and never shipped. Needs a C++ compiler.

use super::Options;
use crate::metadata::{self, Metadata};
use anyhow::{Context as _, bail};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Flags with which rustc counts every branch and reports every comparison;
/// these are LLVM's own and need no nightly compiler.
const WATCHED: &str = "--cfg fuzzing -Cpasses=sancov-module \
    -Cllvm-args=-sanitizer-coverage-level=4 \
    -Cllvm-args=-sanitizer-coverage-inline-8bit-counters \
    -Cllvm-args=-sanitizer-coverage-pc-table \
    -Cllvm-args=-sanitizer-coverage-trace-compares";

const MANIFEST: &str = r#"[package]
name = "branches"
version = "0.0.0"
edition = "2024"
publish = false

[dependencies]
libfuzzer-sys = "0.4"
fuzz = { path = "FUZZ" }

[profile.release]
debug-assertions = true
overflow-checks = true
panic = "abort"
debug = "line-tables-only"

# In one piece, as in the workspace's profile of the chores.
[profile.release.package.sight]
codegen-units = 1

[workspace]
"#;

const PROGRAM: &str = r#"#![no_main]
use std::sync::LazyLock;

static TARGET: LazyLock<&fuzz::Target> = LazyLock::new(|| {
    let name = std::env::var("TARGET").expect("TARGET names a target");
    let mut all = fuzz::TARGETS.iter();
    all.find(|target| target.name == name).expect("there is such a target")
});

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    if let Err(wrong) = (TARGET.run)(bytes) {
        panic!("{wrong}");
    }
});
"#;

/// Builds the program and gives each target its share of the time.
///
/// # Errors
/// When it cannot be built, or something is found; it then is in the corpus.
pub(super) fn run(options: &Options) -> anyhow::Result<()> {
    let metadata = metadata::load()?;
    let place = Path::new(&metadata.target_directory).join("branches");
    let corpus = Path::new(&metadata.workspace_root).join("crates/fuzz/corpus");
    let program = build(&metadata, &place)?;
    let targets = targets(&corpus, options.target.as_deref())?;
    let seconds = (options.seconds / targets.len() as u64).max(1);
    let mut found = Vec::new();
    for target in targets {
        let (kept, reached) = (corpus.join(&target), place.join("reached").join(&target));
        fs::create_dir_all(&reached)?;
        let mut command = Command::new(&program);
        command
            .env("TARGET", &target)
            // New inputs go into the first folder, the second is only read.
            .args([&reached, &kept])
            .arg(format!("-artifact_prefix={}/found-", kept.display()))
            .arg(format!("-max_total_time={seconds}"))
            .args(["-max_len=30000", "-print_final_stats=1"])
            // The machine may be busy: what takes long is no find.
            .args(["-timeout=600", "-report_slow_units=600"]);
        if let Some(seed) = options.seed {
            command.arg(format!("-seed={seed}"));
        }
        let before = count(&kept)?;
        let status = command.status().context("cannot start the fuzzer")?;
        if count(&kept)? > before {
            found.push(target);
        } else if !status.success() {
            bail!("the fuzzer of {target} ended with {status}");
        }
    }
    if found.is_empty() {
        Ok(())
    } else {
        bail!(
            "something was found; it is in crates/fuzz/corpus: {}",
            found.join(", ")
        )
    }
}

/// How many files a folder holds.
fn count(folder: &Path) -> anyhow::Result<usize> {
    Ok(fs::read_dir(folder)?.count())
}

/// The names of the corpus's folders, or the one that is asked for.
fn targets(corpus: &Path, wanted: Option<&str>) -> anyhow::Result<Vec<String>> {
    let mut all = Vec::new();
    for folder in fs::read_dir(corpus)? {
        let folder = folder?;
        let name = folder.file_name().to_string_lossy().into_owned();
        if folder.path().is_dir() && wanted.is_none_or(|wanted| wanted == name) {
            all.push(name);
        }
    }
    if all.is_empty() {
        bail!("there is no such target");
    }
    all.sort();
    Ok(all)
}

fn build(metadata: &Metadata, place: &Path) -> anyhow::Result<PathBuf> {
    let root = Path::new(&metadata.workspace_root);
    let fuzz = root.join("crates/fuzz").display().to_string();
    fs::create_dir_all(place.join("src"))?;
    fs::write(place.join("Cargo.toml"), MANIFEST.replace("FUZZ", &fuzz))?;
    fs::write(place.join("src/main.rs"), PROGRAM)?;
    // The same versions as the workspace's.
    fs::copy(root.join("Cargo.lock"), place.join("Cargo.lock"))?;
    let machine = machine()?;
    let status = Command::new(metadata::cargo())
        // With a machine named, what runs while building is not watched.
        .args(["build", "--release", "--target", &machine])
        .env_remove("CARGO_ENCODED_RUSTFLAGS")
        .env("RUSTFLAGS", WATCHED)
        .env("CARGO_TARGET_DIR", place.join("built"))
        .current_dir(place)
        .status()
        .context("cannot start cargo")?;
    if !status.success() {
        bail!("the fuzzer could not be built: see above");
    }
    Ok(place.join("built").join(machine).join("release/branches"))
}

/// This machine, as the toolchain names it.
fn machine() -> anyhow::Result<String> {
    let out = Command::new(metadata::cargo())
        .arg("-vV")
        .output()
        .context("cannot start cargo")?;
    let version = String::from_utf8_lossy(&out.stdout);
    let line = version.lines().find_map(|line| line.strip_prefix("host: "));
    Ok(line.context("cargo names no host")?.to_owned())
}
