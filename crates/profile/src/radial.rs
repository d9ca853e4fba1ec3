//! The radial intensity profile: straightened courses averaged along the rings.

use crate::straighten::{Levelness, Straightened};
use ndarray::{Array2, Zip};

/// Sectors of the circle that are summed on their own, in parallel. Chosen for speed:
/// more than any machine has cores for.
const SECTORS: usize = 32;

/// Averages along the rings, by course; the unit of lightness is the local
/// standard deviation.
#[derive(Debug, Clone)]
pub struct RadialProfile {
    /// Mean lightness over the circle, by course.
    pub mean: Vec<f32>,
    /// Share of the circle that is seen, by course, 0 to 1.
    pub seen: Vec<f32>,
}

/// The radial intensity profile of straightened rings.
///
/// Samples count by how far they are seen and by how well the place agrees
/// with level rings, so that checks and knots fade from the mean. Linear in
/// samples.
#[must_use]
pub fn radial_profile(straightened: &Straightened, level: &Levelness) -> RadialProfile {
    let courses = &straightened.courses;
    let (angles, columns) = courses.dim();
    let per_sector = angles / SECTORS;
    let shape = (SECTORS, columns);
    let mut sectors = Array2::<f32>::zeros(shape);
    let mut weights = Array2::<f32>::zeros(shape);
    let mut sector_seen = Array2::<f32>::zeros(shape);
    Zip::indexed(sectors.rows_mut())
        .and(weights.rows_mut())
        .and(sector_seen.rows_mut())
        .par_for_each(|sector, mut sum, mut weight, mut seen| {
            for angle in sector * per_sector..(sector + 1) * per_sector {
                let trust = level
                    .trust
                    .row((angle / level.trust_cell.0).min(level.trust.nrows() - 1));
                for column in 0..columns {
                    let visible = straightened.seen[[angle, column]];
                    if visible < 0.5 {
                        continue;
                    }
                    let cell = (column / level.trust_cell.1).min(trust.len() - 1);
                    let w = 0.1 + trust[cell];
                    let value = courses[[angle, column]];
                    sum[column] += w * value;
                    weight[column] += w;
                    seen[column] += 1.0;
                }
            }
        });
    let sector_seen = sector_seen / per_sector as f32;
    let mut profile = RadialProfile {
        mean: vec![0.0; columns],
        seen: vec![0.0; columns],
    };
    for column in 0..columns {
        let total: f32 = weights.column(column).sum();
        if total > 0.0 {
            profile.mean[column] = sectors.column(column).sum() / total;
        }
        profile.seen[column] = sector_seen.column(column).sum() / SECTORS as f32;
    }
    profile
}
