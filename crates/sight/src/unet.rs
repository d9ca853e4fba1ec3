//! The part that both networks share: down by halves and up again, adding what
//! was seen on the way down (Ronneberger, Fischer and Brox 2015, from memory;
//! added and not laid beside, which costs less).

use crate::kernel::Kernel;
use crate::layers::{Rows, add_doubled, conv, halve, mix};
use crate::weights::Weights;
use ndarray::Array3;

/// Down and up.
#[derive(Debug)]
pub(crate) struct Unet {
    down: Vec<[Kernel; 2]>,
    /// Mixing on the way up, and the convolution after adding; deepest first.
    up: Vec<[Kernel; 2]>,
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
            rows,
        }
    }

    /// By how much both sides of a field must divide.
    pub(crate) fn factor(&self) -> usize {
        1 << (self.down.len() - 1)
    }

    /// The field at full size, and the deepest one.
    pub(crate) fn run(&self, field: &Array3<f32>) -> (Array3<f32>, Array3<f32>) {
        let mut kept: Vec<Array3<f32>> = Vec::with_capacity(self.down.len());
        for [first, second] in &self.down {
            let entered = match kept.last() {
                None => conv(field, first, self.rows),
                Some(before) => conv(&halve(before), first, self.rows),
            };
            kept.push(conv(&entered, second, self.rows));
        }
        let deepest = kept.pop().unwrap_or_else(|| field.clone());
        let mut low = deepest.clone();
        for [rise, up] in &self.up {
            let Some(mut high) = kept.pop() else { break };
            add_doubled(&mut high, &mix(&low, rise));
            low = conv(&high, up, self.rows);
        }
        (low, deepest)
    }
}
