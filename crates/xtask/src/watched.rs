//! A program run to its end and watched: how long, how much of the processor,
//! how much memory.

use anyhow::Context as _;
use std::fs;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::time::{Duration, Instant};

/// What a run took.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Took {
    pub(crate) status: ExitStatus,
    /// From start to end, in seconds.
    pub(crate) seconds: f64,
    /// Of all processors together, in seconds; `None` where the system does not report it.
    pub(crate) processor_s: Option<f64>,
    /// Highest resident memory, in MB (10^6 bytes); `None` where the system does not report it.
    pub(crate) peak_mb: Option<f64>,
}

/// How often a running program is looked at. Memory rises to its peak in
/// steps much longer than this.
const EVERY: Duration = Duration::from_millis(1);

/// Runs a program and watches it; what it prints is thrown away.
///
/// # Errors
/// When it cannot be started.
pub(crate) fn run(command: &mut Command) -> anyhow::Result<Took> {
    let start = Instant::now();
    let mut child = command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .with_context(|| format!("cannot start {}", command.get_program().display()))?;
    let (mut processor_s, mut peak_mb) = (None, None);
    loop {
        processor_s = processor_seconds(child.id()).or(processor_s);
        peak_mb = peak(&child).or(peak_mb);
        if let Some(status) = child.try_wait()? {
            return Ok(Took {
                status,
                seconds: start.elapsed().as_secs_f64(),
                processor_s,
                peak_mb,
            });
        }
        std::thread::sleep(EVERY);
    }
}

/// The peak of a running program's memory so far, as Linux reports it.
pub(crate) fn peak(child: &Child) -> Option<f64> {
    field_mb(child.id(), "VmHWM:")
}

/// The memory that a running program holds now, as Linux reports it.
pub(crate) fn held(child: &Child) -> Option<f64> {
    field_mb(child.id(), "VmRSS:")
}

fn field_mb(id: u32, name: &str) -> Option<f64> {
    let status = fs::read_to_string(format!("/proc/{id}/status")).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix(name))?;
    let kib: f64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}

/// Time on all processors so far, as Linux reports it in hundredths of a second;
/// it still reports it of a program that has ended and was not waited for.
fn processor_seconds(id: u32) -> Option<f64> {
    let stat = fs::read_to_string(format!("/proc/{id}/stat")).ok()?;
    // The name, in brackets, may hold spaces: fields are counted after it.
    let fields: Vec<&str> = stat.rsplit_once(')')?.1.split_whitespace().collect();
    let ticks = |nth: usize| fields.get(nth).and_then(|f| f.parse::<f64>().ok());
    Some((ticks(11)? + ticks(12)?) / 100.0)
}
