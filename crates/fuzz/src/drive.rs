//! Giving a target input after input, and catching what goes wrong.

use crate::mutate::mutated;
use crate::{Target, corpus};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::panic::{self, AssertUnwindSafe};
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
    /// Different answers seen: a measure of how far inputs reach.
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

/// Longest that one input may take. Far above what a whole file takes, for the
/// machine may be busy.
const SLOW: Duration = Duration::from_secs(20);

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
        if answers.insert(once(target, &bytes)?) {
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

thread_local! {
    /// What the last panic said: the hook is told, the catcher is not.
    static SAID: RefCell<String> = const { RefCell::new(String::new()) };
}

fn tried(target: &Target, bytes: &[u8]) -> Result<String, String> {
    panic::set_hook(Box::new(|what| {
        SAID.with(|said| *said.borrow_mut() = what.to_string());
    }));
    let start = Instant::now();
    let answer = panic::catch_unwind(AssertUnwindSafe(|| (target.run)(bytes)));
    let took = start.elapsed();
    drop(panic::take_hook());
    match answer {
        Err(_) => Err(SAID.with(|said| said.borrow().clone())),
        Ok(Err(wrong)) => Err(wrong),
        Ok(Ok(_)) if took > SLOW => Err(format!("it took {:.0} seconds", took.as_secs_f64())),
        // Numbers and quoted texts do not make another kind of answer.
        Ok(Ok(answer)) => Ok(answer
            .chars()
            .filter(|letter| !letter.is_ascii_digit())
            .take(60)
            .collect()),
    }
}
