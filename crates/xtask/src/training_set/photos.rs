//! Examples from real photos marked by hand: many changed copies of each, for
//! there are few.

use super::file::{self, Head, NOT_WOOD, RadiusHead, StripHead, UNKNOWN, WOOD};
use super::scenes::{self, Known};
use super::unrolled;
use super::variant;
use crate::marked::{self, MarkedPhoto, MarkedRadius};
use anyhow::{Context as _, anyhow};
use photo::Face;
use profile::{
    Directions, Fineness, StraightenParams, Straightened, Unrolled, flatten, straighten,
    straighten_along,
};
use rand::{Rng, RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use std::path::Path;
use wood::{Point, Polygon, Px, Strip, WoodClass};

/// Random parts of each copy that are seen small.
const PARTS: usize = 5;
/// Least and greatest width of a strip along a marked radius, as a share of its length.
const STRIP_WIDTH: (f64, f64) = (0.05, 0.3);
/// How far the edge of the wood may be off, as a share of the face's radius.
const EDGE_SHARE: f64 = 0.015;

/// Writes `copies` examples of each photo of a folder.
///
/// # Errors
/// When a photo cannot be opened or a file cannot be written.
pub(super) fn write(
    folder: &Path,
    fold: Option<u64>,
    copies: u64,
    out: &Path,
) -> anyhow::Result<()> {
    let mut photos = marked::load(folder)?;
    photos.retain(|marked| fold.is_none_or(|fold| marked.fold() == fold));
    photos.par_iter().try_for_each(|marked| {
        let path = folder.join(&marked.file);
        let bytes =
            std::fs::read(&path).with_context(|| format!("cannot read {}", path.display()))?;
        let whole = photo::open(&bytes, &photo::Limits::default())
            .map_err(|error| anyhow!("cannot open {}: {error}", path.display()))?;
        (0..copies)
            .into_par_iter()
            .try_for_each(|copy| one(marked, &whole, copy, out))
    })
}

fn one(marked: &MarkedPhoto, whole: &Face, copy: u64, out: &Path) -> anyhow::Result<()> {
    let name = marked.name();
    let mut dice = ChaCha8Rng::seed_from_u64(copy ^ marked.number());
    let farthest = marked
        .rays
        .iter()
        .filter_map(|radius| radius.boundaries_px.last().copied())
        .fold(0.0, f64::max);
    let (width, height) = whole.rgb.dimensions();
    let usual = 0.4 * f64::from(width.min(height));
    let radius_px = if farthest > 0.0 { farthest } else { usual };
    let variant = variant::of(&whole.rgb, radius_px, copy == 0, &mut dice);
    let face = photo::open(&variant.jpeg, &photo::Limits::default())
        .map_err(|error| anyhow!("copy {copy} of {name} cannot be opened: {error}"))?;
    let [across, down] = variant.scale;
    let here = |at: [f64; 2]| Point::new(at[0] * across, at[1] * down);
    let outline = |places: &[[f64; 2]]| -> Vec<Point> { places.iter().map(|&p| here(p)).collect() };
    let wood = Wood {
        face: Polygon::new(outline(&marked.wood_outline_px)),
        covered: marked
            .not_wood_px
            .iter()
            .map(|p| Polygon::new(outline(p)))
            .collect(),
        edge_px: EDGE_SHARE * radius_px * across.min(down),
        size: [f64::from(face.rgb.width()), f64::from(face.rgb.height())],
    };
    let pith = marked.pith.map(here);
    let mut body = Vec::new();
    let known = Known {
        pith,
        radius_px: radius_px * (across * down).sqrt(),
        wood: &|place| wood.at(place),
    };
    let scenes = scenes::views(&face, &known, PARTS, &mut dice, &mut body);
    let mut strips = Vec::new();
    if let (Some(pith), true, true) = (pith, marked.teach, !marked.rays.is_empty()) {
        let off = 0.012 * known.radius_px * dice.random_range(0.0_f64..1.0).powi(3);
        let turn = dice.random_range(0.0..std::f64::consts::TAU);
        let center = Point::new(pith.x_px + off * turn.cos(), pith.y_px + off * turn.sin());
        let outer = wood
            .face
            .corners()
            .iter()
            .map(|place| center.distance(*place).0)
            .fold(0.0, f64::max);
        let fineness = [
            Fineness::COARSE,
            Fineness::FULL,
            Fineness::FULL,
            Fineness::FINEST,
        ][dice.random_range(0..4)];
        let place = |radius: &MarkedRadius, px: f64| {
            let turn = radius.angle_deg.to_radians();
            let pith = marked.pith.unwrap_or_default();
            here([pith[0] + px * turn.cos(), pith[1] + px * turn.sin()])
        };
        let second = marked.second_reader.iter();
        let second = second
            .filter(|reader| reader.pith.is_none_or(|at| Some(at) == marked.pith))
            .flat_map(|reader| &reader.rays);
        let radii: Vec<&MarkedRadius> = marked.rays.iter().chain(second).collect();
        // The whole face, then a strip of it as a person might mark it.
        let end = |radius: &MarkedRadius| {
            place(radius, radius.boundaries_px.last().copied().unwrap_or(1.0))
        };
        let along = radii[dice.random_range(0..radii.len())];
        let strip = strip_along(center, end(along), &mut dice);
        for strip in [None, Some(&strip)] {
            let unrolled = unrolled(&face, center, Px(1.1 * outer), strip, fineness);
            let covered =
                |radius: &&MarkedRadius| unrolled.row_of(center.angle_to(end(radius))).is_some();
            for straightened in straightened(&face, &unrolled) {
                let view = sight::strip(&face, &unrolled, &straightened);
                body.extend(file::bytes_of(&view.channels));
                body.extend(file::by_place(&unrolled, &straightened, |place| {
                    wood.at(place)
                }));
                strips.push(StripHead {
                    share: unrolled.span.share,
                    courses: straightened.courses.ncols(),
                    lines: 0,
                    radii: radii
                        .iter()
                        .copied()
                        .filter(covered)
                        .map(|radius| in_strip(radius, &place, &unrolled, &straightened))
                        .collect(),
                });
            }
        }
    }
    let class = marked.wood.as_deref();
    let head = Head {
        seed: copy,
        photo: Some(name.to_owned()),
        rough: true,
        dressed: false,
        class: WoodClass::ALL
            .iter()
            .position(|known| Some(known.to_string().as_str()) == class),
        scenes,
        strips,
    };
    file::write(&out.join(format!("{name}-{copy}.example")), &head, &body)
}

/// A strip along a marked radius to its end, of some width, somewhat beside it.
fn strip_along(center: Point, end: Point, dice: &mut impl Rng) -> Strip {
    let length = center.distance(end).0;
    let wide = length * dice.random_range(STRIP_WIDTH.0..STRIP_WIDTH.1);
    let mut strip = Strip::to_read(center, end, Some(Px(wide)));
    let longer = length * dice.random_range(0.97..1.05);
    strip.to = strip.place(Px(longer), Px(wide * dice.random_range(-0.25..0.25)));
    strip
}

/// Rings straightened by the direction of lines alone, and once more along
/// what the network of today sees.
fn straightened(face: &Face, unrolled: &Unrolled) -> [Straightened; 2] {
    let params = StraightenParams::default();
    let first = straighten(unrolled, &Directions::of(&face.lightness), &params);
    let seen = sight::see_rings(&sight::strip(face, unrolled, &first), 1);
    let flat = flatten(unrolled, seen.usual_spacing());
    let patterned = seen.clarity() > 0.4;
    let again = straighten_along(unrolled, &flat, &first, &seen.lines(patterned), &params);
    [first, again]
}

/// A marked radius in the rows and courses of a strip.
fn in_strip(
    radius: &MarkedRadius,
    place: &dyn Fn(&MarkedRadius, f64) -> Point,
    unrolled: &Unrolled,
    straightened: &Straightened,
) -> RadiusHead {
    let angles = unrolled.angles();
    let locate = |px: f64| unrolled.locate(place(radius, px));
    let course = |px: f64| {
        let (row, steps) = locate(px);
        straightened.course_at(row as usize % angles, steps as f32)
    };
    let middle = radius.boundaries_px.get(radius.boundaries_px.len() / 2);
    let (row, _) = locate(middle.copied().unwrap_or(1.0));
    RadiusHead {
        row: row * sight::ROWS as f64 / angles as f64,
        ends: radius.boundaries_px.iter().map(|&px| course(px)).collect(),
        unknown: radius
            .unreadable_stretches_px
            .iter()
            .map(|&[from, to]| [course(from), course(to)])
            .collect(),
        to_bark: radius.ends_at_bark(),
    }
}

/// Where the wood of a photo is, as marked by hand.
struct Wood {
    face: Polygon,
    covered: Vec<Polygon>,
    edge_px: f64,
    size: [f64; 2],
}

impl Wood {
    fn at(&self, place: Point) -> u8 {
        let [width, height] = self.size;
        let outside = !(0.0..width).contains(&place.x_px) || !(0.0..height).contains(&place.y_px);
        if outside || self.face.corners().len() < 3 {
            return NOT_WOOD;
        }
        // The photo's own edge is no edge of the wood.
        let border = |a: Point, b: Point| {
            let on = |p: f64, q: f64, side: f64| {
                (p < 3.0 && q < 3.0) || (p > side - 4.0 && q > side - 4.0)
            };
            on(a.x_px, b.x_px, width) || on(a.y_px, b.y_px, height)
        };
        let near = |outline: &Polygon| {
            outline
                .sides()
                .any(|(a, b)| !border(a, b) && to_segment(place, a, b) < self.edge_px)
        };
        if near(&self.face) || self.covered.iter().any(near) {
            UNKNOWN
        } else if self.face.holds(place) && !self.covered.iter().any(|area| area.holds(place)) {
            WOOD
        } else {
            NOT_WOOD
        }
    }
}

/// Distance from a place to a straight line between two others, in pixels.
fn to_segment(place: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x_px - a.x_px, b.y_px - a.y_px);
    let along = (place.x_px - a.x_px) * dx + (place.y_px - a.y_px) * dy;
    let part = (along / (dx * dx + dy * dy).max(1e-9)).clamp(0.0, 1.0);
    place
        .distance(Point::new(a.x_px + part * dx, a.y_px + part * dy))
        .0
}
