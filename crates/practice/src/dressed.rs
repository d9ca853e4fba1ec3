//! A strip dressed across a face that is otherwise left as the saw left it.

use crate::color::{Color, blend, gray, scaled};
use crate::dice::Dice;
use crate::noise::{cloud, line, mix, plane, ramp, speck};
use crate::recipe::{DressedStrip, Dressing, Ground, Recipe};
use crate::rings::{RingTable, lost};
use crate::truth::{RingOnStrip, StripTruth};
use crate::view::View;
use std::collections::BTreeMap;
use std::f32::consts::TAU;

/// One strip on the face, in pixels from the pith.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Strip {
    along: [f32; 2],
    from: f32,
    to: f32,
    width: f32,
    beside: f32,
    bow: f32,
    wet: f32,
    /// How far its edges fray, in pixels.
    fray: f32,
    seed: u32,
}

impl Strip {
    fn new(laid: &DressedStrip, recipe: &Recipe, table: &RingTable, dice: &mut Dice) -> Self {
        let angle = laid.direction_deg.to_radians();
        let turn = angle.rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU;
        let edge = table.edge((turn as f32).min(0.999_999_9));
        let width = (laid.width * 2.0 * recipe.radius_px()) as f32;
        Self {
            along: [angle.cos() as f32, angle.sin() as f32],
            from: laid.from as f32 * edge,
            to: laid.to as f32 * edge,
            width,
            beside: laid.beside as f32 * width,
            bow: laid.bow as f32 * width,
            wet: laid.wet as f32,
            fray: width * dice.between(0.04, 0.12) as f32,
            seed: dice.noise_seed(),
        }
    }

    /// How far its middle line is to the right of the straight way out, `u` pixels along it.
    fn middle(&self, u: f32) -> f32 {
        let share = (u - self.from) / (self.to - self.from);
        self.beside
            + self.bow * 4.0 * share * (1.0 - share)
            + 0.05 * self.width * line(self.seed, 4.0 * share)
    }

    /// Place from the pith at `u` along it and `v` across, from its middle line.
    fn place(&self, u: f32, v: f32) -> [f32; 2] {
        let v = v + self.middle(u);
        [
            u * self.along[0] - v * self.along[1],
            u * self.along[1] + v * self.along[0],
        ]
    }

    /// How far inside its edges a place is, in pixels; below 0 outside.
    fn inside(&self, x: f32, y: f32) -> f32 {
        let u = x * self.along[0] + y * self.along[1];
        let v = y * self.along[0] - x * self.along[1];
        let side = self.width / 2.0 - (v - self.middle(u)).abs();
        side.min(u - self.from).min(self.to - u)
    }

    /// How well a place is dressed, 0 to 1: the edge frays where the tool was lifted.
    fn cover(&self, x: f32, y: f32) -> f32 {
        let inside = self.inside(x, y);
        if inside.abs() > 4.0 * self.fray {
            return f32::from(inside > 0.0);
        }
        let frayed = inside
            + self.fray
                * (0.8 * plane(self.seed ^ 1, x / (3.0 * self.fray), y / (3.0 * self.fray))
                    + 0.5 * plane(self.seed ^ 2, x / 7.0, y / 7.0));
        ramp(-0.5 * self.fray, 0.5 * self.fray, frayed)
    }

    /// How wet a place is: water runs a little over the edges.
    fn water(&self, x: f32, y: f32) -> f32 {
        let over = 0.35 * cloud(self.seed ^ 3, x / 40.0, y / 40.0, 3);
        self.wet * ramp(-0.12, 0.06, self.inside(x, y) / self.width + 0.2 * over)
    }
}

/// How a place is dressed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Dressed {
    /// How far the saw's roughness is left, 0 to 1.
    pub(crate) rough: f32,
    /// Wetness, 0 to 1.
    pub(crate) wet: f32,
}

/// The strips of a face and the saw's work around them.
#[derive(Debug, Clone)]
pub(crate) struct Roughness {
    strips: Vec<Strip>,
    strength: f32,
    gray: f32,
    /// Middles of the arcs in which the saw swung: from one side, then from the other.
    swings: [[f32; 2]; 2],
    /// Unit vector across the step where the two cuts met, and its distance from the pith.
    step: ([f32; 2], f32),
    unit: f32,
    seed: u32,
}

impl Roughness {
    /// None where the whole face is prepared.
    pub(crate) fn new(recipe: &Recipe, table: &RingTable) -> Option<Self> {
        let dressing = recipe.dressing.as_ref()?;
        let mut dice = Dice::new(recipe.seed, 90);
        let radius = recipe.radius_px();
        let mut far = |low: f64, high: f64| {
            let (sin, cos) = dice.between(0.0, std::f64::consts::TAU).sin_cos();
            let away = radius * dice.between(low, high);
            [(away * cos) as f32, (away * sin) as f32]
        };
        let swings = [far(1.3, 3.5), far(1.3, 3.5)];
        let across = far(1.0, 1.0).map(|c| c / radius as f32);
        Some(Self {
            strength: dressing.rough as f32,
            gray: dressing.gray as f32,
            swings,
            step: (across, (radius * dice.between(-0.5, 0.5)) as f32),
            unit: (radius / 420.0).max(0.6) as f32,
            seed: dice.noise_seed(),
            strips: dressing
                .strips
                .iter()
                .map(|laid| Strip::new(laid, recipe, table, &mut dice))
                .collect(),
        })
    }

    /// How a place, in pixels from the pith, is dressed.
    pub(crate) fn at(&self, x: f32, y: f32) -> Dressed {
        Dressed {
            rough: self.strength * (1.0 - self.cover(x, y)),
            wet: self.most(|strip| strip.water(x, y)),
        }
    }

    /// How far a place, in pixels from the pith, is in a strip, 0 to 1.
    pub(crate) fn cover(&self, x: f32, y: f32) -> f32 {
        self.most(|strip| strip.cover(x, y))
    }

    fn most(&self, of: impl Fn(&Strip) -> f32) -> f32 {
        self.strips.iter().map(of).fold(0.0, f32::max)
    }

    /// How much of the rings the smeared fiber hides at a place, 0 to 1.
    pub(crate) fn smear(&self, x: f32, y: f32) -> f32 {
        let scale = 130.0 * self.unit;
        let patch = cloud(self.seed, x / scale, y / scale, 3);
        mix(0.86, 1.0, ramp(-0.6, 0.3, patch))
    }

    /// The color of the wood under the saw's grooves, torn fiber and packed dust.
    pub(crate) fn sawn(&self, wood: Color, x: f32, y: f32, rough: f32) -> Color {
        let (across, at) = self.step;
        let beyond = x * across[0] + y * across[1] - at
            + 14.0 * self.unit * line(self.seed ^ 1, (x + y) / (60.0 * self.unit));
        let swing = self.swings[usize::from(beyond > 0.0)];
        let (dx, dy) = (x - swing[0], y - swing[1]);
        // Distance out from the middle of the swing, and the way along its arc.
        let out = dx.hypot(dy) / self.unit;
        let along = dy.atan2(dx) / TAU * 6000.0;
        let ragged = out + 1.6 * plane(self.seed ^ 2, out / 9.0, along / 11.0);
        let teeth = plane(self.seed ^ 3, ragged / 2.4, along / 46.0);
        let groove = plane(self.seed ^ 4, ragged / 6.5, along / 90.0);
        let rib = plane(self.seed ^ 5, out / 24.0, along / 160.0);
        let deep = ramp(0.45, 0.8, plane(self.seed ^ 6, ragged / 8.0, along / 70.0));
        let mut tone = 1.0 + 0.13 * teeth + 0.17 * groove + 0.12 * rib - 0.26 * deep;
        // Torn fiber stands up in tufts that throw shadows.
        let torn = ramp(
            -0.1,
            0.5,
            cloud(
                self.seed ^ 7,
                x / (55.0 * self.unit),
                y / (55.0 * self.unit),
                3,
            ),
        );
        let tuft =
            plane(self.seed ^ 8, x / 2.3, y / 2.9) + 0.7 * plane(self.seed ^ 9, x / 5.1, y / 4.3);
        let hair = speck(self.seed ^ 10, (x * 0.8) as i32, (y * 0.8) as i32) - 0.5;
        tone += (0.05 + 0.13 * torn) * tuft + 0.10 * hair - 0.07 * torn;
        // Where the two cuts met the face is stepped.
        tone -= 0.35 * (1.0 - ramp(0.0, 5.0 * self.unit, beyond.abs()));
        let mut color = scaled(wood, tone.max(0.2));
        // Dust is packed into the grooves.
        let drift = cloud(
            self.seed ^ 11,
            x / (90.0 * self.unit),
            y / (90.0 * self.unit),
            4,
        );
        let packed = ramp(-0.5, 0.7, drift - 0.45 * groove) * (0.75 + 0.25 * hair);
        color = blend(
            color,
            scaled([0.86, 0.77, 0.61], 0.92 + 0.16 * tuft),
            0.55 * packed,
        );
        if self.gray > 0.0 {
            let g = gray(color) * (0.86 + 0.1 * drift);
            color = blend(color, [g, 0.96 * g, 0.9 * g], 0.9 * self.gray);
        }
        blend(wood, color, rough)
    }

    /// What the strips show, in the picture.
    pub(crate) fn truth(
        &self,
        recipe: &Recipe,
        table: &RingTable,
        view: View,
        pith: [f64; 2],
    ) -> Vec<StripTruth> {
        let seen = Seen {
            size: [recipe.width_px, recipe.height_px].map(f64::from),
            table,
            view,
            pith,
        };
        self.strips.iter().map(|strip| seen.on(strip)).collect()
    }
}

/// Lines beside a strip's middle line on which its rings are looked for too, in widths.
const BESIDE: [f32; 8] = [-0.1, 0.1, -0.2, 0.2, -0.3, 0.3, -0.4, 0.4];

/// The face as the camera sees it.
struct Seen<'a> {
    size: [f64; 2],
    table: &'a RingTable,
    view: View,
    pith: [f64; 2],
}

impl Seen<'_> {
    fn picture(&self, [x, y]: [f32; 2]) -> [f64; 2] {
        self.view
            .to_picture([self.pith[0] + f64::from(x), self.pith[1] + f64::from(y)])
    }

    fn on(&self, strip: &Strip) -> StripTruth {
        let start = strip.from.max(0.0);
        let end = self.outer_end(strip, start);
        let middle = self.crossings(strip, 0.0, end);
        // Past the end of the middle line only corners show rings: nobody counts there.
        let last = middle.iter().map(|(ring, _)| *ring).max().unwrap_or(0);
        let beside = BESIDE
            .into_iter()
            .flat_map(|share| self.crossings(strip, share * strip.width, end));
        let mut rings: BTreeMap<u32, [f64; 2]> = BTreeMap::new();
        for (ring, at) in middle.into_iter().chain(beside) {
            if ring <= last {
                rings.entry(ring).or_insert(at);
            }
        }
        // A strip that holds the pith shows the rings that its lines pass by.
        if strip.inside(0.0, 0.0) > 0.0 {
            let first = rings.keys().next().copied().unwrap_or(1);
            for ring in 1..first {
                let [x, y] = strip
                    .along
                    .map(|c| c * self.table.boundary(ring as usize, 0.0));
                rings.insert(ring, self.picture([x, y]));
            }
        }
        let half = strip.width / 2.0;
        let middle = (start + end) / 2.0;
        let [left, right] = [-half, half].map(|v| self.picture(strip.place(middle, v)));
        let hundredth = |place: [f64; 2]| place.map(|c| (c * 100.0).round() / 100.0);
        StripTruth {
            from: hundredth(self.picture(strip.place(start, 0.0))),
            to: hundredth(self.picture(strip.place(end, 0.0))),
            width_px: (left[0] - right[0]).hypot(left[1] - right[1]),
            rings: rings
                .into_iter()
                .map(|(ring, at)| RingOnStrip {
                    ring,
                    at: hundredth(at),
                })
                .collect(),
        }
    }

    /// Where the strip's middle line leaves the wood or the strip ends.
    fn outer_end(&self, strip: &Strip, start: f32) -> f32 {
        let mut u = start;
        while u < strip.to {
            let [x, y] = strip.place(u, 0.0);
            if x.hypot(y) >= self.table.edge(crate::rings::turn_of(x, y)) {
                break;
            }
            u += 0.5;
        }
        u
    }

    /// The rings whose outer boundary a line along the strip crosses, and where.
    fn crossings(&self, strip: &Strip, v: f32, end: f32) -> Vec<(u32, [f64; 2])> {
        let mut found = Vec::new();
        let mut last: Option<usize> = None;
        let mut u = strip.from;
        while u <= end + 1.0 && u <= strip.to {
            let place = strip.place(u, v);
            let [x, y] = place;
            let (radius, turn) = (x.hypot(y), crate::rings::turn_of(x, y));
            let within = self.table.find(turn, radius, last.unwrap_or(0));
            let now = within.ring + usize::from(radius >= within.outer);
            if let Some(before) = last
                && radius >= self.table.hollow(turn)
                && self.in_picture(place)
            {
                let (low, high) = (before.min(now), before.max(now));
                for ring in low + 1..=high {
                    if !lost(&self.table.wedges, ring, f64::from(turn * TAU)) {
                        found.push((ring as u32, self.picture(place)));
                    }
                }
            }
            last = Some(now);
            u += 0.25;
        }
        found
    }

    fn in_picture(&self, place: [f32; 2]) -> bool {
        let [x, y] = self.picture(place);
        (0.0..self.size[0]).contains(&x) && (0.0..self.size[1]).contains(&y)
    }
}

/// One face with a dressed strip, made from one of the suite.
pub(crate) fn draw(dice: &mut Dice, mut face: Recipe) -> Recipe {
    /// Mean radius at most, as a share of half the short side: the whole face is in the picture.
    const MOST: f64 = 0.9;
    if face.radius_share > MOST {
        let grown = face.radius_share / MOST;
        face.width_px = (f64::from(face.width_px) * grown).round() as u32;
        face.height_px = (f64::from(face.height_px) * grown).round() as u32;
        face.radius_share = MOST;
        face.shift = [0.0, 0.0];
    }
    if face.ground == Ground::CloseUp {
        face.ground = Ground::LeafLitter;
    }
    // Nobody lays a tape over the strip or writes on it.
    face.tape = None;
    face.pen_marks = 0;
    // In the strip the face is as clear as one that was prepared whole.
    let troubles = &mut face.troubles;
    troubles.weathered = 0.0;
    troubles.torn = 0.0;
    troubles.wet = 0.0;
    troubles.saw_marks *= 0.5;
    troubles.dust *= 0.3;
    troubles.shade = troubles.shade.max(dice.between(0.25, 0.8));
    let mut strips = vec![strip(dice)];
    if dice.chance(0.2) {
        strips.push(strip(dice));
    }
    face.dressing = Some(Dressing {
        strips,
        rough: dice.between(0.9, 1.0),
        gray: if dice.chance(0.3) {
            dice.between(0.3, 1.0)
        } else {
            0.0
        },
    });
    face
}

fn strip(dice: &mut Dice) -> DressedStrip {
    DressedStrip {
        direction_deg: dice.between(0.0, 360.0),
        from: if dice.chance(0.2) {
            dice.between(0.03, 0.12)
        } else {
            dice.between(-0.2, -0.03)
        },
        to: if dice.chance(0.2) {
            dice.between(0.88, 0.97)
        } else {
            dice.between(1.01, 1.06)
        },
        width: 0.04 * (0.25_f64 / 0.04).powf(dice.unit()),
        beside: dice.between(-0.25, 0.25),
        bow: dice.between(-0.3, 0.3),
        wet: if dice.chance(0.4) {
            dice.between(0.4, 1.0)
        } else {
            0.0
        },
    }
}
