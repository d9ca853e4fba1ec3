//! The scale card in a photo: where it is, how large a pixel is on the
//! plane it is in, and how far the camera leant.

mod codes;
mod discs;
mod plane;

use crate::Face;
use discs::Reach;
use plane::Pair;
pub use plane::Plane;
use wood::{Angle, CARD_BAR_MM, CARD_MM, Mm, MmPerPx, Point, Scale, ScaleSource};

/// Discs that must be measured: fewer could be dirt.
const FEWEST_DISCS: usize = 8;

/// How far from what is known the next discs are looked for, round by round:
/// one code alone fits only its own surroundings, and those roughly.
const REACH: [Reach; 6] = [
    reach(26.0, 4.0),
    reach(34.0, 4.0),
    reach(60.0, 2.0),
    reach(200.0, 2.0),
    reach(200.0, 0.0),
    reach(200.0, 0.0),
];

const fn reach(from_known_mm: f64, slack_mm: f64) -> Reach {
    Reach {
        from_known_mm,
        slack_mm,
    }
}

/// Discs from which on a perspective is fitted to a single code's surroundings.
const ENOUGH_FOR_PERSPECTIVE: usize = 6;

/// How far off a print may be whose bar was not measured, one standard
/// deviation. Chosen: printers set not to fit the page are this good; one
/// that is set to fit may be off by three percent, which the caution says.
const UNCHECKED_PRINT: f64 = 0.005;

/// How well a bar of 100 mm is measured with a tape: a third of a millimeter.
const CHECKED_PRINT: f64 = 0.003;

/// What the lens may bend between the card and the pith. Chosen; phones
/// straighten their pictures themselves.
const LENS: f64 = 0.002;

/// The scale card as found in a photo.
#[derive(Debug, Clone)]
pub struct FoundCard {
    plane: Plane,
    pairs: Vec<Pair>,
    codes: usize,
    discs: usize,
    /// The middle of the photo: where the camera pointed.
    aim: Point,
}

/// Looks for the scale card; `None` where none of its codes is read, or too
/// few of its round marks can be measured.
///
/// # Method
/// The codes are read by a QR library on copies of 1600 pixels, stretched to at most 2400. From
/// their corners outward the middles of the round marks are measured in the
/// photo itself, as the centroid of their darkness, each on a patch laid square
/// by the plane known so far, so that leaning does not move it; then the plane
/// is fitted to the marks alone. Our own; `tests/tests/scale_card.rs` holds it
/// against drawn photos. Linear in pixels.
#[must_use]
pub fn find_card(face: &Face) -> Option<FoundCard> {
    let codes = codes::read(face);
    let corners: Vec<Pair> = codes.iter().flat_map(codes::Code::corners).collect();
    let mut plane = if codes.len() > 1 {
        Plane::through(&corners)?
    } else {
        Plane::without_depth(&corners)?
    };
    let mut pairs = Vec::new();
    for reach in REACH {
        let known: Vec<Pair> = corners.iter().chain(&pairs).copied().collect();
        pairs = discs::measure(&face.rgb, &plane, &known, reach);
        if pairs.len() >= FEWEST_DISCS {
            plane = Plane::through_most(&mut pairs)?;
            continue;
        }
        let all: Vec<Pair> = corners.iter().chain(&pairs).copied().collect();
        plane = if codes.len() > 1 || pairs.len() >= ENOUGH_FOR_PERSPECTIVE {
            Plane::through(&all)?
        } else {
            Plane::without_depth(&all)?
        };
    }
    let found = FoundCard {
        codes: codes.len(),
        discs: pairs.len(),
        plane,
        pairs,
        aim: {
            let (width, height) = face.rgb.dimensions();
            Point::new(f64::from(width) / 2.0, f64::from(height) / 2.0)
        },
    };
    (found.discs >= FEWEST_DISCS && found.plane.faces_us()).then_some(found)
}

impl FoundCard {
    /// The plane that the card is in.
    #[must_use]
    pub fn plane(&self) -> &Plane {
        &self.plane
    }

    /// How many of the two codes were read.
    #[must_use]
    pub fn codes(&self) -> usize {
        self.codes
    }

    /// How many of the round marks were measured.
    #[must_use]
    pub fn discs(&self) -> usize {
        self.discs
    }

    /// The size of a pixel at a place of the photo, if the face is in the
    /// card's plane; `bar` is the length of the card's bar as a person measured
    /// it on the print.
    ///
    /// # Method
    /// [`Plane::mm_per_px`] at the place. The uncertainty adds the print's, the
    /// lens's and the fit's own: each mark is left out in turn and the spread
    /// of the scale at the place taken (the jackknife: Quenouille 1956, Tukey
    /// 1958, from memory).
    #[must_use]
    pub fn scale_at(&self, place: Point, bar: Option<Mm>) -> Option<Scale> {
        let measured = bar.filter(|bar| bar.0.is_finite() && bar.0 > 0.0);
        let print = measured.map_or(1.0, |bar| bar.0 / CARD_BAR_MM);
        let print_doubt = match measured {
            Some(_) => CHECKED_PRINT,
            None => UNCHECKED_PRINT,
        };
        let mm_per_px = self.plane.mm_per_px(place)?;
        let fit = self.jackknife(place).unwrap_or(0.05);
        Some(Scale {
            mm_per_px: MmPerPx(mm_per_px * print),
            from: ScaleSource::Card,
            uncertainty: (print_doubt.powi(2) + LENS.powi(2) + fit.powi(2)).sqrt(),
        })
    }

    /// One standard deviation of the scale at a place, as a share of it.
    fn jackknife(&self, place: Point) -> Option<f64> {
        let count = self.pairs.len() as f64;
        let logs: Vec<f64> = (0..self.pairs.len())
            .filter_map(|left_out| {
                let mut others = self.pairs.clone();
                others.remove(left_out);
                Some(Plane::through(&others)?.mm_per_px(place)?.ln())
            })
            .collect();
        if logs.len() < self.pairs.len() {
            return None;
        }
        let mean = logs.iter().sum::<f64>() / count;
        let squares: f64 = logs.iter().map(|log| (log - mean).powi(2)).sum();
        Some(((count - 1.0) / count * squares).sqrt())
    }

    /// How far the camera leant away from square on: by how much the plane is
    /// shortened where the camera pointed, the middle of the photo.
    #[must_use]
    pub fn tilt(&self) -> Angle {
        let middle = (CARD_MM.0 / 2.0, CARD_MM.0 / 2.0);
        let (x_mm, y_mm) = self.plane.to_card(self.aim).unwrap_or(middle);
        self.plane.tilt_at(x_mm, y_mm)
    }

    /// The card's cut lines in the photo, with a little around them: what of
    /// the face it hides.
    #[must_use]
    pub fn outline(&self) -> Vec<Point> {
        /// Paper is seldom cut exactly along the line.
        const AROUND_MM: f64 = 4.0;
        let (right, foot) = (CARD_MM.0 + AROUND_MM, CARD_MM.1 + AROUND_MM);
        [
            (-AROUND_MM, -AROUND_MM),
            (right, -AROUND_MM),
            (right, foot),
            (-AROUND_MM, foot),
        ]
        .into_iter()
        .map(|(x_mm, y_mm)| self.plane.to_picture(x_mm, y_mm))
        .collect()
    }
}
