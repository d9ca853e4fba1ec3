//! What goes from layer to layer of a network: rows of channels.

use crate::kernel::Channels;
use ndarray::Array2;
use rayon::prelude::*;
use std::ops::{Index, Range};

/// A field `[row, channel, column]`. Each row is in a piece of its own, its
/// channels as lines with room for a tap on either side, so that layers read them
/// where they are and each thread makes its own.
#[derive(Debug, Clone)]
pub(crate) struct Field {
    rows: Vec<Channels>,
}

impl Field {
    /// A field of which each row is written by `write`, from zeros, in parallel; no
    /// result depends on their order.
    pub(crate) fn of(
        (rows, channels, columns): (usize, usize, usize),
        write: impl Fn(usize, &mut Channels) + Sync + Send,
    ) -> Self {
        let rows = (0..rows).into_par_iter().with_min_len(4).map(|row| {
            let mut lines = Self::empty_row(channels, columns);
            write(row, &mut lines);
            lines
        });
        Self {
            rows: rows.collect(),
        }
    }

    /// Each row read at the places `from` it, `[row, column]`, linear between its columns.
    pub(crate) fn along(&self, from: &Array2<f32>) -> Self {
        let (rows, channels, columns) = self.dim();
        Self::of((rows, channels, columns), |row, to| {
            for channel in 0..channels {
                let line = self.row(row).line(channel);
                let places = from.row(row);
                for (to, &at) in to.line_mut(channel).iter_mut().zip(places) {
                    *to = between(line, at);
                }
            }
        })
    }

    /// A field of so many rows, of which `make` makes `together` at a time, one stretch
    /// beside another on all threads.
    pub(crate) fn of_stretches(
        rows: usize,
        together: usize,
        make: impl Fn(Range<usize>) -> Vec<Channels> + Sync + Send,
    ) -> Self {
        let starts = (0..rows).into_par_iter().step_by(together);
        let made = starts.flat_map_iter(|start| make(start..(start + together).min(rows)));
        Self {
            rows: made.collect(),
        }
    }

    /// A row of zeros.
    pub(crate) fn empty_row(channels: usize, columns: usize) -> Channels {
        Channels::empty(channels, columns, 1, 1)
    }

    /// Rows, channels and columns.
    pub(crate) fn dim(&self) -> (usize, usize, usize) {
        let first = self.rows.first();
        let (channels, columns) = first.map_or((0, 0), |row| (row.count(), row.width()));
        (self.rows.len(), channels, columns)
    }

    /// The channels of a row, a line each.
    pub(crate) fn row(&self, row: usize) -> &Channels {
        &self.rows[row]
    }
}

impl Index<[usize; 3]> for Field {
    type Output = f32;

    fn index(&self, [row, channel, column]: [usize; 3]) -> &f32 {
        &self.rows[row].line(channel)[column]
    }
}

/// The value at a place between two of a line; the first or last one outside it.
pub(crate) fn between(line: &[f32], at: f32) -> f32 {
    let last = line.len() - 1;
    let at = at.clamp(0.0, last as f32);
    let low = (at as usize).min(last.saturating_sub(1));
    let part = at - low as f32;
    line[low] * (1.0 - part) + line[(low + 1).min(last)] * part
}
