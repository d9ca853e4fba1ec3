//! Ring widths along single radii, and how two radii compare.

use wood::stats::pearson;
use wood::{Angle, Mm, Px, Reading, Ring, Year};

/// Rings that two radii must share before their widths are compared. Chosen: a
/// correlation of fewer says little.
const LEAST_SHARED: usize = 10;

/// One ring where a radius crosses it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// The ring's number, 1 at the pith.
    pub number: u32,
    /// The year it grew in.
    pub year: Option<Year>,
    /// From the pith to the ring's outer boundary.
    pub from_pith_px: Px,
    /// The same in millimeters, where the photo has a scale.
    pub from_pith_mm: Option<Mm>,
    /// The ring's width here; `None` where its inner boundary is not seen here.
    pub width_px: Option<Px>,
    /// The same in millimeters.
    pub width_mm: Option<Mm>,
}

/// The rings along one straight line from the pith outward.
#[derive(Debug, Clone, PartialEq)]
pub struct Radius {
    /// Its direction.
    pub angle: Angle,
    /// The rings whose outer boundary is seen here, pith first.
    pub rings: Vec<Crossing>,
}

impl Radius {
    /// From the pith to the outermost ring seen here.
    #[must_use]
    pub fn length_px(&self) -> Option<Px> {
        self.rings.last().map(|ring| ring.from_pith_px)
    }
}

/// The rings of a reading along the radius in direction `angle`; `None` without a
/// pith or outlines.
///
/// Between two steps of an outline that are both seen, the boundary is taken to run
/// straight; where one of them is not seen, the ring is not seen here. Widths are
/// measured along the radius.
#[must_use]
pub fn along(reading: &Reading, angle: Angle) -> Option<Radius> {
    let pith = reading.pith.as_ref()?.point();
    let steps = reading.rings.first()?.outline_px.len();
    if steps < 3 || !angle.0.is_finite() {
        return None;
    }
    let turn = (angle.0 / std::f64::consts::TAU).rem_euclid(1.0) * steps as f64;
    let (here, share) = (turn.floor() as usize % steps, turn.fract());
    let crossing = |ring: &Ring| {
        let at = |step: usize| {
            let place = ring.outline_px.get(step % steps).copied().flatten()?;
            Some(pith.distance(place).0)
        };
        if share < 1e-9 {
            return at(here);
        }
        Some(at(here)? * (1.0 - share) + at(here + 1)? * share)
    };
    let mm = |px: Px| {
        reading
            .scale
            .as_ref()
            .map(|scale| Mm(px.0 * scale.mm_per_px.0))
    };
    // The pith itself is the inner boundary of the first ring, where it was read.
    let first_is_whole = crate::mean::first_ring_is_a_year(reading);
    let mut inner = first_is_whole.then_some(0.0);
    let mut rings = Vec::new();
    for ring in &reading.rings {
        let outer = crossing(ring);
        if let Some(outer) = outer {
            let width_px = inner.map(|inner| Px((outer - inner).max(0.0)));
            rings.push(Crossing {
                number: ring.number,
                year: ring.year,
                from_pith_px: Px(outer),
                from_pith_mm: mm(Px(outer)),
                width_px,
                width_mm: width_px.and_then(mm),
            });
        }
        inner = outer;
    }
    Some(Radius { angle, rings })
}

/// The radii on which the outermost ring is farthest from the pith and nearest to
/// it, of those on which it is seen; `None` where it is seen nowhere.
#[must_use]
pub fn long_and_short_way(reading: &Reading) -> Option<(Radius, Radius)> {
    let pith = reading.pith.as_ref()?.point();
    let outline = &reading.rings.last()?.outline_px;
    let seen: Vec<(usize, f64)> = outline
        .iter()
        .enumerate()
        .filter_map(|(step, place)| Some((step, pith.distance((*place)?).0)))
        .collect();
    let angle = |step: usize| Angle(step as f64 / outline.len() as f64 * std::f64::consts::TAU);
    let long = seen.iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    let short = seen.iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some((
        along(reading, angle(long.0))?,
        along(reading, angle(short.0))?,
    ))
}

/// How the widths along two radii of one stump compare.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Comparison {
    /// Rings whose width is known on both.
    pub shared: usize,
    /// Mean width on the first over that on the second, of these rings.
    pub ratio: f64,
    /// Pearson correlation of the two series of widths, −1 to 1: near 1 where wide
    /// and narrow years show on both.
    pub correlation: f64,
}

/// Compares two radii ring by ring; `None` where they share fewer than ten rings, or
/// one of them does not vary.
#[must_use]
pub fn compare(a: &Radius, b: &Radius) -> Option<Comparison> {
    let width_on_b = |number: u32| {
        let ring = b.rings.iter().find(|ring| ring.number == number)?;
        Some(ring.width_px?.0)
    };
    let (on_a, on_b): (Vec<f64>, Vec<f64>) = a
        .rings
        .iter()
        .filter_map(|ring| Some((ring.width_px?.0, width_on_b(ring.number)?)))
        .unzip();
    let (sum_a, sum_b) = (on_a.iter().sum::<f64>(), on_b.iter().sum::<f64>());
    (on_a.len() >= LEAST_SHARED && sum_b > 0.0).then_some(())?;
    Some(Comparison {
        shared: on_a.len(),
        ratio: sum_a / sum_b,
        correlation: pearson(&on_a, &on_b)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mean::tests::reading;
    use crate::rings::made;
    use std::f64::consts::TAU;
    use wood::{PithSource, Point};

    /// A stump whose rings are circles around a middle right of the pith: wider to the
    /// right than to the left.
    fn off_center() -> Reading {
        let widths: Vec<f64> = (0..20).map(|ring| 2.0 + f64::from(ring % 4)).collect();
        let mut reading = reading(made::rings(&widths, Some(2020)), PithSource::Seen);
        for ring in &mut reading.rings {
            let radius = ring.radius_px.0;
            let center = 0.3 * radius;
            ring.outline_px = (0..120)
                .map(|step| {
                    let angle = f64::from(step) / 120.0 * TAU;
                    // From the pith to the circle in this direction.
                    let (along, aside) = (center * angle.cos(), center * angle.sin());
                    let out = along + (radius * radius - aside * aside).sqrt();
                    Some(Point::new(out * angle.cos(), out * angle.sin()))
                })
                .collect();
        }
        reading
    }

    #[test]
    fn widths_along_a_radius_are_distances_between_boundaries() {
        let reading = off_center();
        let right = along(&reading, Angle(0.0)).unwrap();
        assert_eq!(right.rings.len(), 20);
        for (crossing, ring) in right.rings.iter().zip(&reading.rings) {
            assert!((crossing.from_pith_px.0 - 1.3 * ring.radius_px.0).abs() < 1e-9);
            let width = crossing.width_px.unwrap().0;
            assert!((width - 1.3 * ring.width_px.0).abs() < 1e-9);
            assert_eq!(crossing.width_mm, None, "the made reading has no scale");
        }
        // Between two steps too, and counted around.
        let near = along(&reading, Angle(-TAU + 0.01)).unwrap();
        assert!((near.length_px().unwrap().0 / right.length_px().unwrap().0 - 1.0).abs() < 1e-3);
    }

    #[test]
    fn a_ring_that_is_not_seen_here_is_left_out_and_so_is_the_next_width() {
        let mut reading = off_center();
        reading.rings[4].outline_px[0] = None;
        let right = along(&reading, Angle(0.0)).unwrap();
        let numbers: Vec<u32> = right.rings.iter().map(|ring| ring.number).collect();
        assert_eq!(numbers[3..5], [4, 6]);
        assert_eq!(right.rings[4].width_px, None);
        assert!(right.rings[5].width_px.is_some());
        // A first ring that stands for what is outside the photo has no width.
        reading.pith.as_mut().unwrap().from = PithSource::Outside;
        let right = along(&reading, Angle(0.0)).unwrap();
        assert_eq!(right.rings[0].width_px, None);
    }

    #[test]
    fn the_long_way_and_the_short_way_differ_in_length_and_agree_in_years() {
        let (long, short) = long_and_short_way(&off_center()).unwrap();
        assert!(long.angle.0.abs() < 1e-9);
        assert!((short.angle.0 - TAU / 2.0).abs() < 1e-9);
        let compared = compare(&long, &short).unwrap();
        assert_eq!(compared.shared, 20);
        assert!((compared.ratio - 1.3 / 0.7).abs() < 1e-9);
        assert!(compared.correlation > 0.999);
        let few = Radius {
            rings: long.rings[..5].to_vec(),
            ..long.clone()
        };
        assert_eq!(compare(&few, &short), None);
    }

    #[test]
    fn without_outlines_there_is_no_radius() {
        let plain = reading(made::rings(&[2.0; 20], None), PithSource::Seen);
        assert_eq!(along(&plain, Angle(0.0)), None);
        assert_eq!(long_and_short_way(&plain), None);
        assert_eq!(along(&off_center(), Angle(f64::NAN)), None);
    }
}
