//! The count sheet: where every tenth ring is on the stump, so that a person
//! finds it with a tape and checks it off. Rings are numbered from the pith, as
//! on every other page and picture.

use crate::words::{direction, fraction_of_inch};
use wood::{Mm, Point, Reading, Ring, Scope, Year};

/// Where every tenth ring is along one radius.
#[derive(Debug, Clone, PartialEq)]
pub struct CountSheet {
    /// The radius that was chosen.
    pub radius: Radius,
    /// One row for every tenth ring, numbered from the pith; outermost first.
    pub rows: Vec<Row>,
    /// Whether distances run from the bark edge; otherwise from the outermost ring seen.
    pub from_bark: bool,
}

/// A straight line from the pith outward along which most rings are seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Radius {
    /// The pith, in the upright photo.
    pub pith: Point,
    /// Where it meets the bark edge, or the outermost ring seen.
    pub end: Point,
    /// Which way it runs in the photo, in words.
    pub direction: &'static str,
    /// Its length, where there is a scale.
    pub length: Option<Mm>,
}

/// One place to find on the stump.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The ring's number from the pith.
    pub ring: u32,
    /// The year it grew in.
    pub year: Option<Year>,
    /// Rings outside it: counted inward from the edge before this one begins.
    pub counted: u32,
    /// From the edge to its outer boundary along the radius, where there is a scale.
    pub from_edge: Option<Mm>,
    /// The same as a share of the radius, 0 at the bark to 1 at the pith.
    pub share: f64,
    /// The place in the upright photo.
    pub place: Point,
    /// Whether the ring is not seen on this very radius, so that the place was
    /// estimated from its mean distance from the pith.
    pub estimated: bool,
}

impl Row {
    /// The distance in inches and sixteenths: "3 5/16".
    #[must_use]
    pub fn inches(&self) -> Option<String> {
        self.from_edge.map(fraction_of_inch)
    }

    /// The distance in whole millimeters.
    #[must_use]
    pub fn millimeters(&self) -> Option<String> {
        self.from_edge.map(|mm| format!("{:.0}", mm.0))
    }
}

impl CountSheet {
    /// The count sheet of a reading; `None` when it has no rings or no pith.
    ///
    /// # Method
    /// The radius is the step of angle at which most of the wanted edges are
    /// seen, the bark edge and the tenth rings before others. A place is the
    /// outer boundary of a tenth ring, as drawn on the ring map. Our own; tested
    /// on drawn stumps.
    #[must_use]
    pub fn of(reading: &Reading) -> Option<Self> {
        let pith = reading.pith.as_ref()?.point();
        let steps = reading.rings.first()?.outline_px.len();
        let step = best_step(reading, steps)?;
        let bark = reading.bark_edge_px.get(step).copied().flatten();
        let outermost = reading
            .rings
            .iter()
            .rev()
            .find_map(|ring| ring.outline_px.get(step).copied().flatten())?;
        let from_bark = bark.is_some() && reading.scope != Some(Scope::RingsInView);
        // A bark edge inside the last ring would make distances negative.
        let end = match bark {
            Some(bark) if from_bark && pith.distance(bark).0 >= pith.distance(outermost).0 => bark,
            _ => outermost,
        };
        let whole_px = pith.distance(end).0;
        if whole_px <= 0.0 {
            return None;
        }
        let scale = reading.scale.as_ref().map(|scale| scale.mm_per_px);
        let tenths = reading
            .rings
            .iter()
            .rev()
            .filter(|r| r.number.is_multiple_of(10));
        let rows = tenths
            .filter_map(|ring| row(reading, ring, step, (pith, end)))
            .map(|mut row| {
                row.from_edge = scale.map(|scale| end.distance(row.place) * scale);
                row
            })
            .collect();
        Some(Self {
            radius: Radius {
                pith,
                end,
                direction: direction(end.x_px - pith.x_px, end.y_px - pith.y_px),
                length: scale.map(|scale| pith.distance(end) * scale),
            },
            rows,
            from_bark,
        })
    }
}

/// Where a ring's outer boundary is on the radius.
fn row(reading: &Reading, ring: &Ring, step: usize, (pith, end): (Point, Point)) -> Option<Row> {
    let whole_px = pith.distance(end).0;
    let seen = ring.outline_px.get(step).copied().flatten();
    let radius_px = match seen {
        Some(place) => pith.distance(place).0,
        // The ring's mean place, stretched as the whole face is on this radius.
        None => {
            let last = reading.rings.last()?.radius_px.0;
            ring.radius_px.0 / last.max(1e-9) * whole_px
        }
    };
    let outside = reading.rings.iter().filter(|r| r.number > ring.number);
    Some(Row {
        ring: ring.number,
        year: ring.year,
        counted: u32::try_from(outside.count()).ok()?,
        from_edge: None,
        share: (1.0 - radius_px / whole_px).clamp(0.0, 1.0),
        place: pith.toward(pith.angle_to(end), wood::Px(radius_px)),
        estimated: seen.is_none(),
    })
}

/// The step at which most is seen: the bark edge counts most, then the edges
/// that the sheet names, then any ring.
fn best_step(reading: &Reading, steps: usize) -> Option<usize> {
    let seen = |step: usize| {
        let bark = matches!(reading.bark_edge_px.get(step), Some(Some(_)));
        let (mut named, mut any) = (0_usize, 0_usize);
        for ring in &reading.rings {
            if matches!(ring.outline_px.get(step), Some(Some(_))) {
                any += 1;
                named += usize::from(ring.number.is_multiple_of(10));
            }
        }
        (bark, named, any)
    };
    (0..steps)
        .filter(|step| seen(*step).2 > 0)
        .max_by_key(|step| (seen(*step), std::cmp::Reverse(*step)))
}
