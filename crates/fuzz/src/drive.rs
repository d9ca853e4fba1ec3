//! Giving a target input after input, and catching what goes wrong.

use crate::mutate::mutated;
use crate::{Target, corpus};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeSet;
use std::panic::{self, AssertUnwindSafe};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// How long to go on.
#[derive(Debug, Clone, Copy)]
pub struct Budget {
    /// Time for mutations; the corpus itself is always run whole.
    pub time: Duration,
    /// Where chance starts.
    pub seed: u64,
}

/// What came of a run without a find.
#[derive(Debug, Clone)]
pub struct Report {
    /// Inputs tried.
    pub tried: u64,
    /// Different answers seen, up to some thousands: a measure of how far inputs reach.
    pub answers: usize,
    /// Inputs that gave an answer not seen before, for the corpus.
    pub fresh: Vec<Vec<u8>>,
}

/// An input on which a target does what it must not.
#[derive(Debug, Clone)]
pub struct Find {
    /// The input, made smaller where that was quick.
    pub input: Vec<u8>,
    /// What it does.
    pub what: String,
}

/// Longest that one input may take: far above what the costliest does (a pith
/// marked far outside the photo, some seconds), for the machine may be busy.
const SLOW: Duration = Duration::from_secs(90);

/// Inputs with new answers that are gone on from: enough to reach far, few
/// enough for memory to stay flat.
const MOST_FRESH: usize = 4000;

/// Runs a target over its corpus and then over mutations until the time is up.
///
/// # Errors
/// With the first input that breaks it.
///
/// # Panics
/// When the corpus cannot be read.
pub fn drive(target: &Target, budget: Budget) -> Result<Report, Box<Find>> {
    let mut known: Vec<Vec<u8>> = corpus(target)
        .expect("the corpus is a folder of files")
        .into_iter()
        .map(|(_, bytes)| bytes)
        .collect();
    let mut report = Report {
        tried: 0,
        answers: 0,
        fresh: Vec::new(),
    };
    let mut answers = BTreeSet::new();
    for bytes in &known {
        answers.insert(once(target, bytes)?);
        report.tried += 1;
    }
    let mut chance = ChaCha8Rng::seed_from_u64(budget.seed);
    let start = Instant::now();
    while start.elapsed() < budget.time && !known.is_empty() {
        let from = chance.random_range(0..known.len());
        let other = chance.random_range(0..known.len());
        let bytes = mutated(&known[from], &known[other], &mut chance);
        report.tried += 1;
        // An answer never seen is a place never reached: go on from there.
        let answer = once(target, &bytes)?;
        if report.fresh.len() < MOST_FRESH && answers.insert(answer) {
            known.push(bytes.clone());
            report.fresh.push(bytes);
        }
    }
    report.answers = answers.len();
    Ok(report)
}

/// One input: the kind of its answer, or the find.
fn once(target: &Target, bytes: &[u8]) -> Result<String, Box<Find>> {
    match tried(target, bytes) {
        Ok(answer) => Ok(answer),
        Err(what) => {
            let input = smaller(target, bytes);
            Err(Box::new(Find { input, what }))
        }
    }
}

/// Takes pieces away for as long as what is left still breaks.
fn smaller(target: &Target, bytes: &[u8]) -> Vec<u8> {
    let mut least = bytes.to_vec();
    let start = Instant::now();
    let mut piece = least.len() / 2;
    while piece > 0 && start.elapsed() < Duration::from_secs(10) {
        let mut at = 0;
        while at < least.len() {
            let mut less = least.clone();
            less.drain(at..(at + piece).min(least.len()));
            if tried(target, &less).is_err() {
                least = less;
            } else {
                at += piece;
            }
        }
        piece /= 2;
    }
    least
}

/// What the last panic said: the hook gets it, on whatever thread it happens, the
/// catcher is not.
static SAID: Mutex<String> = Mutex::new(String::new());

fn said() -> MutexGuard<'static, String> {
    SAID.lock().unwrap_or_else(PoisonError::into_inner)
}

fn tried(target: &Target, bytes: &[u8]) -> Result<String, String> {
    panic::set_hook(Box::new(|what| {
        *said() = what.to_string();
    }));
    let start = Instant::now();
    let answer = panic::catch_unwind(AssertUnwindSafe(|| (target.run)(bytes)));
    let took = start.elapsed();
    drop(panic::take_hook());
    match answer {
        Err(_) => Err(said().clone()),
        Ok(Err(wrong)) => Err(wrong),
        Ok(Ok(_)) if took > SLOW => Err(format!("it took {:.0} seconds", took.as_secs_f64())),
        Ok(Ok(answer)) => Ok(kind_of(&answer, bytes)),
    }
}

/// An answer without what it repeats of the input, and without numbers. What is
/// quoted may hold quotes of its own: all between the first and the last goes,
/// but for what the parser says that it expected.
fn kind_of(answer: &str, input: &[u8]) -> String {
    const QUOTES: [char; 5] = ['"', '`', '\'', '\u{201c}', '\u{201d}'];
    let input = String::from_utf8_lossy(input);
    let (before, rest) = answer.split_once(QUOTES).unwrap_or((answer, ""));
    let (after, expected) = match rest.rsplit_once(", expected ") {
        Some((_, expected)) => ("", expected),
        None => (rest.rsplit_once(QUOTES).map_or("", |(_, after)| after), ""),
    };
    let said = |text: &str| {
        let words = text.split(|letter: char| !letter.is_alphanumeric());
        words
            .filter(|word| !input.contains(*word))
            .collect::<String>()
    };
    [said(before), said(after), expected.to_owned()]
        .iter()
        .flat_map(|part| part.chars())
        .filter(|letter| letter.is_ascii() && !letter.is_ascii_digit())
        .take(120)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_an_answer_repeats_makes_no_other_kind() {
        let kind = |answer: &str| kind_of(answer, b"{\"year\": 44, q9 <tree>");
        let one = kind("unknown field `year`, expected `ring` at line 3");
        for same in [
            "unknown field `q9`, expected `ring` at line 44",
            "unknown field `a`b'c\"`, expected `ring` at line 9",
        ] {
            assert_eq!(one, kind(same));
        }
        for other in [
            "missing field `ring` at line 3",
            "unknown field `year`, expected `facts` at line 3",
        ] {
            assert_ne!(one, kind(other));
        }
        assert_eq!(kind("ends within <tree>"), kind("ends within <q9>"));
    }

    #[test]
    fn a_panic_is_a_find_and_is_made_smaller() {
        fn falls(bytes: &[u8]) -> Result<String, String> {
            assert!(!bytes.contains(&b'x'), "an x");
            Ok("no x".to_owned())
        }
        let target = Target {
            name: "none",
            run: falls,
        };
        assert!(once(&target, b"abc").is_ok());
        let find = once(&target, b"abcxdef").expect_err("it panics");
        assert_eq!(find.input, b"x");
        assert!(find.what.contains("an x"), "{}", find.what);
    }
}
