//! The part that both networks share: down by halves and up again, adding what
//! was seen on the way down (Ronneberger, Fischer and Brox 2015, from memory;
//! added and not laid beside, which costs less).

use crate::field::Field;
use crate::kernel::{Channels, Kernel};
use crate::layers::{Conv, Rows, add_doubled, conv_made, halve, mix};
use crate::weights::Weights;

/// Down and up.
#[derive(Debug)]
pub(crate) struct Unet {
    down: Vec<[Kernel; 2]>,
    /// Mixing on the way up, and the convolution after adding; deepest first.
    up: Vec<[Kernel; 2]>,
    /// What the network gives for each place, from the field at full size.
    places: Kernel,
    rows: Rows,
}

impl Unet {
    pub(crate) fn of(weights: &Weights<'_>, levels: usize, rows: Rows) -> Self {
        Self {
            down: (0..levels)
                .map(|level| {
                    [0, 1].map(|step| weights.kernel(&format!("unet.down.{level}.{step}")))
                })
                .collect(),
            up: (0..levels - 1)
                .map(|level| {
                    [
                        weights.kernel(&format!("unet.rise.{level}")),
                        weights.kernel(&format!("unet.up.{level}")),
                    ]
                })
                .collect(),
            places: weights.kernel("places"),
            rows,
        }
    }

    /// By how much both sides of a field must divide.
    pub(crate) fn factor(&self) -> usize {
        1 << (self.down.len() - 1)
    }

    /// What the network gives for each place, and the deepest field.
    pub(crate) fn run(&self, field: &Field) -> (Field, Field) {
        let mut kept: Vec<Field> = Vec::with_capacity(self.down.len());
        for [first, second] in &self.down {
            let halved = kept.last().map(halve);
            let from = halved.as_ref().unwrap_or(field);
            let enter = Conv::of(from, first, self.rows);
            let make = |row: usize, to: &mut Channels| enter.row(row, to);
            kept.push(conv_made(enter.dim(), make, second, None, self.rows));
        }
        let deepest = kept.pop().expect("a network has levels");
        let mut low = None;
        for (nth, [rise, up]) in self.up.iter().enumerate() {
            let Some(high) = kept.pop() else { break };
            let risen = mix(low.as_ref().unwrap_or(&deepest), rise);
            let add = |row: usize, to: &mut Channels| add_doubled(&high, &risen, row, to);
            let then = (nth + 1 == self.up.len()).then_some(&self.places);
            low = Some(conv_made(high.dim(), add, up, then, self.rows));
        }
        (low.expect("a network has more levels than one"), deepest)
    }
}
