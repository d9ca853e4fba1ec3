//! `fuzz --seconds N [--target NAME]`: mutations of the corpus for as long as asked.

use anyhow::{Context as _, bail};
use clap::Parser;
use fuzz::{Budget, TARGETS, Target, corpus_folder, drive};
use std::io::Write as _;
use std::time::Duration;

/// Looks for bytes that break a reader.
#[derive(Debug, Parser)]
struct Args {
    /// How long in all
    #[arg(long, default_value_t = 60)]
    seconds: u64,
    /// One target alone
    #[arg(long)]
    target: Option<String>,
    /// Where chance starts [default: by the clock]
    #[arg(long)]
    seed: Option<u64>,
    /// Keep inputs that gave an answer not seen before, up to this many bytes each
    #[arg(long, value_name = "BYTES")]
    keep: Option<usize>,
}

fn main() -> anyhow::Result<()> {
    let args = Args::parse();
    let these: Vec<&Target> = TARGETS
        .iter()
        .filter(|target| args.target.as_ref().is_none_or(|name| name == target.name))
        .collect();
    if these.is_empty() {
        bail!("there is no such target");
    }
    let seed = args.seed.unwrap_or_else(by_the_clock);
    let budget = Budget {
        time: Duration::from_secs_f64(args.seconds as f64 / these.len() as f64),
        seed,
    };
    let mut found = 0;
    for target in these {
        let mut out = std::io::stdout().lock();
        match drive(target, budget) {
            Ok(report) => {
                writeln!(
                    out,
                    "{:<8} {:>9} inputs, {:>4} kinds of answer, nothing found (seed {seed})",
                    target.name, report.tried, report.answers
                )?;
                for bytes in report
                    .fresh
                    .iter()
                    .filter(|b| args.keep.is_some_and(|most| b.len() <= most))
                {
                    keep(target, "seen", bytes)?;
                }
            }
            Err(find) => {
                found += 1;
                let name = keep(target, "found", &find.input)?;
                writeln!(out, "{:<8} FOUND {name}: {}", target.name, find.what)?;
            }
        }
    }
    if found > 0 {
        bail!("{found} targets broke; the inputs lie in the corpus now");
    }
    Ok(())
}

fn by_the_clock() -> u64 {
    std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_or(1, |since| since.as_secs())
}

/// Writes an input into the corpus under a name made from its bytes (FNV-1a).
fn keep(target: &Target, kind: &str, bytes: &[u8]) -> anyhow::Result<String> {
    let mark = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |mark, &byte| {
        (mark ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    let name = format!("{kind}-{mark:016x}");
    let path = corpus_folder(target).join(&name);
    std::fs::write(&path, bytes).with_context(|| format!("cannot write {}", path.display()))?;
    Ok(name)
}
