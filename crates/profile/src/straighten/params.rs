//! How straightening is done.

/// Weights of the least-squares problem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolverParams {
    /// Pull of each shift toward nothing.
    pub stay: f32,
    /// Pull of neighbors along a radius toward each other.
    pub smooth_radius: f32,
    /// Pull of neighbors along the circle toward each other.
    pub smooth_angle: f32,
    /// Steps of conjugate gradients, at most.
    pub steps: usize,
}

/// How the rings are straightened. The values were chosen on practice faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StraightenParams {
    /// Cells of the first grid, angle by radius.
    pub first_cells: (usize, usize),
    /// Rounds after the first.
    pub rounds: usize,
    /// Rounds each time lines are followed, all on the last grid.
    pub again: usize,
    /// Cells of the last grid, angle by radius.
    pub last_cells: (usize, usize),
    /// Smoothing along the circle before slopes are measured, in steps of angle
    /// of the unrolled face, in the first round and the last: the more level the
    /// rings, the farther along them what crosses them (saw marks, pores) is
    /// averaged out. Too far too soon, and rings still askew are averaged away:
    /// what is left then fits as well a whole ring off.
    pub along: (f32, f32),
    /// Smoothing along the radius before slopes are measured, in steps, in the
    /// rounds on the picture itself.
    pub across: f32,
    /// Rows on which courses are worked out, each the mean of several angles
    /// along its courses.
    pub rows: usize,
    /// The least-squares problem.
    pub solver: SolverParams,
}

impl Default for StraightenParams {
    fn default() -> Self {
        Self {
            first_cells: (128, 93),
            rounds: 7,
            again: 2,
            last_cells: (256, 256),
            along: (1.5, 7.7),
            across: 0.4,
            rows: 512,
            solver: SolverParams {
                stay: 5e-5,
                smooth_radius: 0.116,
                smooth_angle: 0.0158,
                steps: 30,
            },
        }
    }
}

/// Rounds at the end that have as many cells around the circle as the last. Chosen: the
/// last rounds alone need the fine grid, and it costs the most time.
const FINE_ROUNDS: usize = 2;

impl StraightenParams {
    /// Grid and smoothing along the circle of each round on the picture itself.
    pub(super) fn rounds(&self) -> Vec<((usize, usize), f32)> {
        (1..=self.rounds)
            .map(|round| {
                let part = round as f32 / self.rounds as f32;
                let between = |from: f32, to: f32| from + (to - from) * part;
                let radii = between(self.first_cells.1 as f32, self.last_cells.1 as f32);
                let angles = if round + FINE_ROUNDS > self.rounds {
                    self.last_cells.0
                } else {
                    self.first_cells.0
                };
                (
                    (angles, radii.round() as usize),
                    between(self.along.0, self.along.1),
                )
            })
            .collect()
    }
}

/// Window of the local mean along the radius before the spacing is known, in steps.
pub(super) fn first_window(radii: usize) -> f32 {
    (radii as f32 / 21.5).clamp(17.0, 97.0)
}

/// Window of the local mean once the spacing is known: about a ring each way,
/// so that shade and broad saw marks go and the rings stay.
pub(super) fn window_for(spacing: f32) -> f32 {
    (1.1 * spacing).clamp(5.0, 70.0)
}

/// Smoothing along the radius before slopes are measured, in courses.
pub(super) fn across_for(spacing: f32) -> f32 {
    (0.09 * spacing).clamp(0.8, 4.0)
}
