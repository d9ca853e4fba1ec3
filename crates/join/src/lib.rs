//! Joins overlapping close-ups of one strip of wood into one picture.
//!
//! In: upright pictures of the same wood, each turned a little, nearer or farther, in
//! other light. Out: one picture and where each of them is in it, or which two do not
//! overlap. Never: input or output, or a guess: rings look alike, and a picture laid one
//! ring too far would lose a ring or double it, so a place is taken only where all the
//! texture of the overlap fits, and fits nowhere else.

mod blend;
mod chain;
mod error;
mod features;
mod guess;
mod plane;
mod ready;
mod register;
mod similarity;

pub use error::JoinError;
pub use similarity::Similarity;

use image::RgbImage;

/// Pictures joined into one.
#[derive(Debug, Clone)]
pub struct Joined {
    /// The picture, turned as the first one is. What none of the pictures shows has
    /// their mean color.
    pub rgb: RgbImage,
    /// For each picture, in the order given, from its pixels to those of the joined one
    /// (both from the upper left corner). No picture is made smaller.
    pub places: Vec<Similarity>,
}

/// The most pixels of a joined picture.
const MOST_PIXELS: f64 = 400e6;

/// Joins pictures, given in any order; in the order in which they were taken it is quicker.
///
/// # Errors
/// [`JoinError`]: fewer than two pictures, one too small, two that do not overlap enough
/// or fit in more than one place, or more than 400 megapixels in all.
///
/// # Method
/// Corners of the texture are described by the slopes around them and matched; every two
/// matches give a similarity, and the ones with most agreement are refined on all pixels of
/// the overlap. The best must correlate well and clearly better than every other place
/// near by. Light is brought together, and texture changes over at a narrow seam.
pub fn join(pictures: &[RgbImage]) -> Result<Joined, JoinError> {
    let links = chain::links(pictures)?;
    let on_first = chain::places(pictures.len(), &links);
    // The picture with the finest pixels keeps them.
    let least = on_first
        .iter()
        .map(Similarity::scale)
        .fold(f64::INFINITY, f64::min);
    let corners = pictures.iter().zip(&on_first).flat_map(|(picture, place)| {
        let [w, h] = [picture.width(), picture.height()].map(f64::from);
        [[0.0, 0.0], [w, 0.0], [0.0, h], [w, h]].map(|corner| place.at(corner))
    });
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for corner in corners {
        for c in 0..2 {
            low[c] = low[c].min(corner[c]);
            high[c] = high[c].max(corner[c]);
        }
    }
    let onto = Similarity {
        turn: [1.0 / least, 0.0],
        shift: low.map(|c| -c / least),
    };
    let [width, height] = [0, 1].map(|c| ((high[c] - low[c]) / least).ceil());
    if (width * height).is_nan() || width * height > MOST_PIXELS {
        return Err(JoinError::TooLarge);
    }
    let places: Vec<Similarity> = on_first.iter().map(|place| place.then(&onto)).collect();
    let size = [width as u32, height as u32];
    Ok(Joined {
        rgb: blend::paint(pictures, &places, &links, size),
        places,
    })
}
