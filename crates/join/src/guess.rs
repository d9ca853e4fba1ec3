//! First guesses of how one picture fits on another, from features that look alike.

use crate::features::Feature;
use crate::similarity::Similarity;
use rayon::prelude::*;

/// Pairs of features that are believed most.
const MOST_PAIRS: usize = 260;
/// Features that agree with a guess lie this near, in pixels.
const NEAR: f64 = 4.0;
/// Scales between two pictures that are believed.
const SCALES: std::ops::Range<f64> = 0.72..1.39;
/// Guesses that are tried further.
const GUESSES: usize = 5;

/// A feature of one picture and the one of another that looks most like it.
#[derive(Debug, Clone, Copy)]
struct Pair {
    from: [f64; 2],
    to: [f64; 2],
    /// How unlike the next best one is, against this one.
    sure: f32,
}

/// How the first picture may lie on the second, the likeliest first. `second` has the
/// same features described at several scales.
///
/// Two pairs of features give a similarity; the one that most other pairs agree with is
/// taken (as in Fischler and Bolles 1981, but with every two pairs tried instead of some
/// by chance).
pub(crate) fn guesses(first: &[Feature], second: &[Vec<Feature>]) -> Vec<Similarity> {
    let pairs = alike(first, second);
    let mut voted: Vec<(usize, Similarity)> = (0..pairs.len())
        .into_par_iter()
        .flat_map_iter(|i| {
            let pairs = &pairs;
            (i + 1..pairs.len()).filter_map(move |j| {
                let found = from_two(pairs[i], pairs[j])?;
                let votes = agreeing(pairs, &found, NEAR).count();
                (votes >= 4).then_some((votes, found))
            })
        })
        .collect();
    // A stable sort: equal votes stay in the order of the pairs.
    voted.sort_by_key(|(votes, _)| std::cmp::Reverse(*votes));
    let middle = first.iter().map(|feature| feature.at);
    let middle: Vec<[f64; 2]> = middle.step_by((first.len() / 12).max(1)).collect();
    let mut kept: Vec<Similarity> = Vec::new();
    for (_, found) in voted {
        let apart = |other: &Similarity| {
            middle
                .iter()
                .map(|at| {
                    let (p, q) = (found.at(*at), other.at(*at));
                    (p[0] - q[0]).hypot(p[1] - q[1])
                })
                .fold(f64::INFINITY, f64::min)
        };
        if kept.iter().all(|other| apart(other) > 2.0 * NEAR) {
            kept.push(found);
            if kept.len() == GUESSES {
                break;
            }
        }
    }
    kept.into_iter()
        .map(|found| settled(&pairs, found))
        .collect()
}

/// For each feature the one that looks most like it, those first that are surest.
fn alike(first: &[Feature], second: &[Vec<Feature>]) -> Vec<Pair> {
    /// The next best must lie at another place than the best, in pixels.
    const ELSEWHERE: f64 = 6.0;
    let mut pairs: Vec<Pair> = first
        .par_iter()
        .filter_map(|feature| {
            let likeness: Vec<([f64; 2], f32)> = second
                .iter()
                .flatten()
                .map(|other| (other.at, feature.likeness(other)))
                .collect();
            let best = likeness.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
            let next = likeness
                .iter()
                .filter(|(at, _)| (at[0] - best.0[0]).hypot(at[1] - best.0[1]) > ELSEWHERE)
                .map(|(_, likeness)| *likeness)
                .fold(0.0, f32::max);
            Some(Pair {
                from: feature.at,
                to: best.0,
                sure: (1.0 - next).max(1e-3) / (1.0 - best.1).max(1e-3),
            })
        })
        .collect();
    pairs.sort_by(|a, b| b.sure.total_cmp(&a.sure));
    pairs.truncate(MOST_PAIRS);
    pairs
}

fn from_two(one: Pair, other: Pair) -> Option<Similarity> {
    /// Nearer together than this two places give no direction, in pixels.
    const APART: f64 = 40.0;
    if (one.from[0] - other.from[0]).hypot(one.from[1] - other.from[1]) < APART {
        return None;
    }
    let found = Similarity::between([one, other].into_iter().map(|pair| (pair.from, pair.to)))?;
    SCALES.contains(&found.scale()).then_some(found)
}

fn agreeing<'a>(
    pairs: &'a [Pair],
    found: &'a Similarity,
    near: f64,
) -> impl Iterator<Item = &'a Pair> + Clone {
    pairs.iter().filter(move |pair| {
        let at = found.at(pair.from);
        (at[0] - pair.to[0]).hypot(at[1] - pair.to[1]) <= near
    })
}

/// Fitted to all pairs that agree with it.
fn settled(pairs: &[Pair], found: Similarity) -> Similarity {
    let mut settled = found;
    for near in [NEAR, 0.75 * NEAR] {
        let agree: Vec<Pair> = agreeing(pairs, &settled, near).copied().collect();
        if let Some(next) = Similarity::between(agree.iter().map(|pair| (pair.from, pair.to)))
            && SCALES.contains(&next.scale())
        {
            settled = next;
        }
    }
    settled
}
