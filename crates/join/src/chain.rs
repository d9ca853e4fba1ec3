//! Which picture overlaps which, and where each is in the joined picture.

use crate::error::JoinError;
use crate::features::{Feature, features};
use crate::guess::guesses;
use crate::plane::Plane;
use crate::ready::Ready;
use crate::register::{Fit, lay};
use crate::similarity::Similarity;
use image::RgbImage;
use rayon::prelude::*;

/// The longest side at which pictures are compared, in pixels.
const WORK_PX: u32 = 1600;
/// Correlation of textures below which two pictures do not show the same wood.
const LEAST_CORRELATION: f64 = 0.15;
/// At any other place near by they may correlate by this share of it at most.
const MOST_RIVAL: f64 = 0.6;
/// Share of the smaller picture that must overlap.
const LEAST_OVERLAP: f64 = 0.06;
/// Scales at which features of the second picture are described.
const SCALES: [f32; 3] = [0.85, 1.0, 1.18];

/// A picture made ready.
struct Made {
    /// Pixels of the picture in a pixel of what is compared.
    side: u32,
    ready: Ready,
    features: Vec<Vec<Feature>>,
}

/// Two pictures overlap.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Link {
    pub(crate) first: usize,
    pub(crate) second: usize,
    /// From the first picture's pixels to the second's.
    pub(crate) by: Similarity,
    strength: f64,
}

/// The links that hold all pictures together, each to one that was linked before it, the
/// first picture in the middle of it all.
///
/// # Errors
/// [`JoinError`], where a picture is too small or two do not lie on each other.
pub(crate) fn links(pictures: &[RgbImage]) -> Result<Vec<Link>, JoinError> {
    if pictures.len() < 2 {
        return Err(JoinError::TooFew);
    }
    /// The shortest side in which features can be found, in pixels.
    const LEAST_PX: u32 = 96;
    for (picture, rgb) in pictures.iter().enumerate() {
        if rgb.width().min(rgb.height()) < LEAST_PX {
            return Err(JoinError::TooSmall { picture });
        }
    }
    let made: Vec<Made> = pictures.iter().map(make).collect();
    // Pictures mostly come in the order in which they were taken.
    let in_order: Vec<(usize, usize)> =
        (1..made.len()).map(|second| (second - 1, second)).collect();
    let mut tried = try_all(&made, &in_order);
    if tried.iter().any(|(_, came)| came.is_err()) {
        let others: Vec<(usize, usize)> = (0..made.len())
            .flat_map(|first| (first + 2..made.len()).map(move |second| (first, second)))
            .collect();
        tried.extend(try_all(&made, &others));
    }
    tree(made.len(), &tried)
}

type Tried = ((usize, usize), Result<Link, JoinError>);

fn make(picture: &RgbImage) -> Made {
    let side = picture.width().max(picture.height()).div_ceil(WORK_PX);
    let ready = Ready::new(&Plane::of(picture, side));
    Made {
        side,
        features: features(&ready, &SCALES),
        ready,
    }
}

fn try_all(made: &[Made], pairs: &[(usize, usize)]) -> Vec<Tried> {
    pairs
        .par_iter()
        .map(|&(first, second)| ((first, second), link(made, first, second)))
        .collect()
}

fn link(made: &[Made], first: usize, second: usize) -> Result<Link, JoinError> {
    let apart = JoinError::Apart { first, second };
    let (a, b) = (&made[first], &made[second]);
    let guesses = guesses(&a.features[1], &b.features);
    let Fit {
        by,
        correlation,
        rival,
        overlap,
    } = lay(&a.ready, &b.ready, &guesses).ok_or(apart)?;
    if correlation < LEAST_CORRELATION || overlap < LEAST_OVERLAP {
        return Err(apart);
    }
    if rival > MOST_RIVAL * correlation {
        return Err(JoinError::Ambiguous { first, second });
    }
    let (fine, coarse) = (f64::from(b.side), f64::from(a.side));
    // From the first picture's pixels to compared ones, on to the second's.
    let smaller = Similarity {
        turn: [1.0 / coarse, 0.0],
        ..Similarity::SAME
    };
    let larger = Similarity {
        turn: [fine, 0.0],
        ..Similarity::SAME
    };
    Ok(Link {
        first,
        second,
        by: smaller.then(&by).then(&larger),
        strength: correlation * overlap.sqrt(),
    })
}

/// The strongest links that hold all together (Kruskal 1956).
fn tree(count: usize, tried: &[Tried]) -> Result<Vec<Link>, JoinError> {
    let mut links: Vec<Link> = tried
        .iter()
        .filter_map(|(_, came)| came.as_ref().ok().copied())
        .collect();
    links.sort_by(|a, b| b.strength.total_cmp(&a.strength));
    let mut group: Vec<usize> = (0..count).collect();
    let mut kept = Vec::new();
    for link in links {
        let (from, to) = (group[link.first], group[link.second]);
        if from != to {
            group
                .iter_mut()
                .filter(|g| **g == from)
                .for_each(|g| *g = to);
            kept.push(link);
        }
    }
    // The first failure between two groups is what stands in the way.
    let failed = tried.iter().find_map(|((first, second), came)| {
        came.as_ref()
            .err()
            .filter(|_| group[*first] != group[*second])
    });
    match failed {
        Some(error) => Err(*error),
        None => Ok(kept),
    }
}

/// Where each picture is in the first one's pixels.
pub(crate) fn places(count: usize, links: &[Link]) -> Vec<Similarity> {
    let mut places: Vec<Option<Similarity>> = vec![None; count];
    places[0] = Some(Similarity::SAME);
    while places.iter().any(Option::is_none) {
        let before = places.clone();
        for link in links {
            match (places[link.first], places[link.second]) {
                (Some(first), None) => {
                    places[link.second] = Some(link.by.inverse().then(&first));
                }
                (None, Some(second)) => places[link.first] = Some(link.by.then(&second)),
                _ => {}
            }
        }
        if before == places {
            break;
        }
    }
    places
        .into_iter()
        .map(|place| place.unwrap_or(Similarity::SAME))
        .collect()
}
