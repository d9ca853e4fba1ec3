//! `cargo xtask dist`: what is handed to people without Rust. A `.tar.gz` with
//! the program, man pages, completions, licenses and the docs, and on Linux a
//! Debian package of the same with an entry for the desktop's menu.

mod archive;
pub(crate) mod bare;
mod binary;
mod copyrights;
mod deb;
pub(crate) mod file;
mod manual;

use crate::metadata::Metadata;
use crate::{docs_book, metadata, say};
use anyhow::{Context as _, bail};
use binary::Needs;
use clap::Args;
use file::File;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// Options of `cargo xtask dist`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// The machine to build for [default: on Linux x86_64-unknown-linux-musl, else this one]
    #[arg(long, value_name = "TRIPLE")]
    target: Option<String>,
    /// The folder to write to [default: target/dist]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
}

/// What was made.
#[derive(Debug)]
pub(crate) struct Made {
    pub(crate) archive: PathBuf,
    pub(crate) deb: Option<PathBuf>,
}

/// Builds and packs.
///
/// # Errors
/// When something cannot be built, or the program for Linux is not static.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    make(options).map(drop)
}

/// As [`run`], with everything as it is by default.
///
/// # Errors
/// As [`run`].
pub(crate) fn by_default() -> anyhow::Result<Made> {
    make(&Options {
        target: None,
        out: None,
    })
}

fn make(options: &Options) -> anyhow::Result<Made> {
    let metadata = metadata::load()?;
    let target = match &options.target {
        Some(target) => target.clone(),
        None => default_target()?,
    };
    let program = built(&metadata, &target)?;
    let size = program.len() as f64 / 1e6;
    let needs = match binary::needs(&program) {
        Needs::Nothing => "runs on any Linux: it needs no library".to_owned(),
        Needs::Glibc(major, minor) => format!("needs glibc {major}.{minor} or newer"),
        Needs::Other => "needs what the system brings".to_owned(),
    };
    say::line(&format!("the program: {size:.1} MB, {needs}"));
    if target.ends_with("-linux-musl") && binary::needs(&program) != Needs::Nothing {
        bail!("the program for {target} asks for libraries of the system: it must be static");
    }

    let ending = if target.contains("windows") {
        ".exe"
    } else {
        ""
    };
    let version = version(&metadata)?;
    let mut files = vec![File::program(&format!("stumpbook{ending}"), program)];
    files.extend(texts(&metadata, &target)?);
    files.extend(manual::man_pages()?);
    files.extend(manual::completions());
    files.extend(
        docs_book::files(&metadata.workspace_root)?
            .into_iter()
            .map(|file| File::new(&format!("docs/{}", file.path), file.bytes)),
    );

    let out = match &options.out {
        Some(out) => out.clone(),
        None => metadata.target_directory.join("dist"),
    };
    fs::create_dir_all(&out).with_context(|| format!("cannot make {}", out.display()))?;
    let name = format!("stumpbook-{version}-{}", short(&target));
    let time = time_of_commit(&metadata.workspace_root);
    let archive = write(
        &out.join(format!("{name}.tar.gz")),
        &archive::tar_gz(&files, &format!("{name}/"), time)?,
    )?;
    let deb = match deb::architecture(&target) {
        Some(architecture) => {
            let installed = deb::installed(&files)?;
            let control = deb::control(&version, architecture, &installed);
            Some(write(
                &out.join(format!("stumpbook_{version}_{architecture}.deb")),
                &archive::deb(&control, &installed, time)?,
            )?)
        }
        None => None,
    };
    Ok(Made { archive, deb })
}

/// A program for musl stands on no library of the system, so that it runs on
/// every Linux; elsewhere the system's own library is always there.
fn default_target() -> anyhow::Result<String> {
    if cfg!(all(target_os = "linux", target_arch = "x86_64")) {
        return Ok("x86_64-unknown-linux-musl".to_owned());
    }
    let output = Command::new("rustc")
        .arg("-vV")
        .output()
        .context("cannot start rustc")?;
    String::from_utf8_lossy(&output.stdout)
        .lines()
        .find_map(|line| line.strip_prefix("host: "))
        .map(str::to_owned)
        .context("rustc does not name this machine")
}

/// The bytes of the released program.
fn built(metadata: &Metadata, target: &str) -> anyhow::Result<Vec<u8>> {
    let status = Command::new(metadata::cargo())
        .args(["build", "--locked", "--release", "-p", "stumpbook"])
        .args(["--target", target])
        .current_dir(&metadata.workspace_root)
        .stdin(Stdio::null())
        .status()
        .context("cannot start cargo")?;
    if !status.success() {
        bail!(
            "the program cannot be built for {target}: rustup target add {target}{}",
            if target.ends_with("musl") {
                ", and a C compiler for it (apt-get install musl-tools)"
            } else {
                ""
            }
        );
    }
    let ending = if target.contains("windows") {
        ".exe"
    } else {
        ""
    };
    let path = metadata
        .target_directory
        .join(target)
        .join("release")
        .join(format!("stumpbook{ending}"));
    fs::read(&path).with_context(|| format!("cannot read {}", path.display()))
}

/// Licenses, changes and a page that says where to begin.
fn texts(metadata: &Metadata, target: &str) -> anyhow::Result<Vec<File>> {
    const BEGIN: &str = include_str!("begin.txt");
    let mut files = vec![File::new("README.txt", BEGIN.as_bytes().to_vec())];
    for name in ["LICENSE-MIT", "LICENSE-APACHE", "CHANGELOG.md"] {
        let path = metadata.workspace_root.join(name);
        let bytes = fs::read(&path).with_context(|| format!("cannot read {}", path.display()))?;
        files.push(File::new(name, bytes));
    }
    let packages = copyrights::text(metadata, target)?;
    files.push(File::new("LICENSES-OF-PACKAGES.txt", packages.into_bytes()));
    Ok(files)
}

fn version(metadata: &Metadata) -> anyhow::Result<String> {
    let ours = |package: &&metadata::Package| package.name == "stumpbook";
    let package = metadata.packages.iter().find(ours);
    Ok(package.context("the program is not there")?.version.clone())
}

/// `x86_64-linux` for `x86_64-unknown-linux-musl`.
fn short(target: &str) -> String {
    let mut parts = target.split('-');
    let processor = parts.next().unwrap_or(target);
    let system = ["linux", "windows", "darwin"]
        .into_iter()
        .find(|system| target.contains(system));
    match system {
        Some("darwin") => format!("{processor}-macos"),
        Some(system) => format!("{processor}-{system}"),
        None => target.to_owned(),
    }
}

/// The time of the last commit, in seconds since 1970, so that one commit gives
/// one archive; 0 outside a checkout.
fn time_of_commit(root: &Path) -> u64 {
    Command::new("git")
        .args(["log", "-1", "--format=%ct"])
        .current_dir(root)
        .output()
        .ok()
        .and_then(|output| String::from_utf8(output.stdout).ok()?.trim().parse().ok())
        .unwrap_or(0)
}

fn write(path: &Path, bytes: &[u8]) -> anyhow::Result<PathBuf> {
    fs::write(path, bytes).with_context(|| format!("cannot write {}", path.display()))?;
    say::line(&format!(
        "{}  {:.1} MB",
        path.display(),
        bytes.len() as f64 / 1e6
    ));
    Ok(path.to_owned())
}

#[cfg(test)]
mod tests {
    use super::short;

    #[test]
    fn archives_are_named_by_processor_and_system() {
        assert_eq!(short("x86_64-unknown-linux-musl"), "x86_64-linux");
        assert_eq!(short("aarch64-apple-darwin"), "aarch64-macos");
        assert_eq!(short("x86_64-pc-windows-msvc"), "x86_64-windows");
    }
}
