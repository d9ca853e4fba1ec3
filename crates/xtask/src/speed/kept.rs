//! A table kept to compare later ones with, on the same machine alone: what is
//! slower by more than runs differ is shown, and fails nothing.

use super::table::Size;
use crate::say;
use crate::watched::Took;
use anyhow::Context as _;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// From which share on a figure counts as worse: nine tables of one evening
/// differed by less on an idle machine.
const WORSE: f64 = 0.15;

/// The figures of one run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Table {
    /// The processor and how many of it.
    machine: String,
    /// The commit that was measured.
    commit: String,
    /// Milliseconds, or MB, by what was measured.
    figures: BTreeMap<String, f64>,
}

impl Table {
    /// The figures of this run.
    pub(super) fn of(sizes: &[Size], started: &Took) -> Self {
        let mut figures = BTreeMap::new();
        let mut put = |what: String, value: Option<f64>| {
            if let Some(value) = value {
                figures.insert(what, value);
            }
        };
        for size in sizes {
            let at = size.megapixels;
            put(
                format!("{at:>2} MP, decoding alone, ms"),
                Some(1e3 * size.decode.seconds),
            );
            put(
                format!("{at:>2} MP, whole count, ms"),
                Some(1e3 * size.count.seconds),
            );
            put(
                format!("{at:>2} MP, whole count, processor ms"),
                size.count.processor_s.map(|seconds| 1e3 * seconds),
            );
            put(format!("{at:>2} MP, peak memory, MB"), size.count.peak_mb);
        }
        put("--help, ms".to_owned(), Some(1e3 * started.seconds));
        Self {
            machine: machine(),
            commit: commit(),
            figures,
        }
    }

    /// Prints each figure beside the kept one, and which are worse.
    ///
    /// # Errors
    /// When there is a kept table that cannot be read.
    pub(super) fn compare(&self, folder: &Path) -> anyhow::Result<()> {
        let path = self.path(folder);
        if !path.exists() {
            say::line("\nno table of this machine is kept to compare with (--keep keeps one)");
            return Ok(());
        }
        let text = fs::read(&path).with_context(|| format!("cannot read {}", path.display()))?;
        let kept: Self = serde_json::from_slice(&text)
            .with_context(|| format!("{} is no table: remove it", path.display()))?;
        say::line(&format!("\nagainst the table kept of {}:", kept.commit));
        for (what, was, now) in self.beside(&kept) {
            let change = now / was - 1.0;
            let word = if change > WORSE { "   WORSE" } else { "" };
            say::line(&format!(
                "{what:<40} {was:>8.1} {now:>8.1} {:>+7.0} %{word}",
                100.0 * change
            ));
        }
        Ok(())
    }

    /// What both have measured: kept, and now.
    fn beside<'a>(&'a self, kept: &'a Self) -> impl Iterator<Item = (&'a str, f64, f64)> {
        self.figures.iter().filter_map(|(what, now)| {
            let was = kept.figures.get(what).filter(|was| **was > 0.0)?;
            Some((what.as_str(), *was, *now))
        })
    }

    /// Keeps the table in place of an earlier one.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn keep(&self, folder: &Path) -> anyhow::Result<()> {
        let path = self.path(folder);
        fs::write(&path, serde_json::to_string_pretty(self)?)
            .with_context(|| format!("cannot write {}", path.display()))?;
        say::line(&format!("kept in {}", path.display()));
        Ok(())
    }

    fn path(&self, folder: &Path) -> PathBuf {
        let name: String = self
            .machine
            .chars()
            .map(|letter| {
                if letter.is_alphanumeric() {
                    letter
                } else {
                    '-'
                }
            })
            .collect();
        folder.join(format!("kept-{name}.json"))
    }
}

/// The processor's name, as Linux tells it, and the number of cores.
fn machine() -> String {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let processor = fs::read_to_string("/proc/cpuinfo")
        .ok()
        .and_then(|text| {
            let line = text.lines().find(|line| line.starts_with("model name"))?;
            Some(line.split_once(':')?.1.trim().to_owned())
        })
        .unwrap_or_else(|| std::env::consts::ARCH.to_owned());
    format!("{cores} of {processor}")
}

fn commit() -> String {
    let said = Command::new("git")
        .args(["log", "-1", "--format=%h of %cs"])
        .output();
    said.ok()
        .and_then(|output| String::from_utf8(output.stdout).ok())
        .map(|text| text.trim().to_owned())
        .filter(|text| !text.is_empty())
        .unwrap_or_else(|| "an unknown commit".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_kept_for_its_machine_and_set_beside_a_later_one() {
        let table = |machine: &str, ms: f64| Table {
            machine: machine.to_owned(),
            commit: "a of today".to_owned(),
            figures: [("count".to_owned(), ms), (format!("only {ms}"), 1.0)].into(),
        };
        let folder = tempfile::tempdir().unwrap();
        let was = table("2 of Some CPU @ 2.0", 100.0);
        was.keep(folder.path()).unwrap();
        let now = table("2 of Some CPU @ 2.0", 120.0);
        let kept: Table =
            serde_json::from_slice(&fs::read(now.path(folder.path())).unwrap()).unwrap();
        assert_eq!(kept, was);
        let beside: Vec<_> = now.beside(&kept).collect();
        assert_eq!(beside, [("count", 100.0, 120.0)]);
        assert!(!table("4 of Other", 1.0).path(folder.path()).exists());
        now.compare(folder.path()).unwrap();
    }
}
