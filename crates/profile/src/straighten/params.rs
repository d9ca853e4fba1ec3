//! How straightening is done.

/// Weights of the least-squares problem.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolverParams {
    /// Pull of each shift towards nothing.
    pub stay: f32,
    /// Pull of neighbours along a radius towards each other.
    pub smooth_radius: f32,
    /// Pull of neighbours along the circle towards each other.
    pub smooth_angle: f32,
    /// Steps of conjugate gradients, at most.
    pub steps: usize,
    /// How often weights are made anew from the residuals.
    pub reweights: usize,
}

/// How the rings are straightened. The values were chosen on practice faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StraightenParams {
    /// Cells of the first grid, angle by radius.
    pub first_cells: (usize, usize),
    /// Rounds after the first.
    pub rounds: usize,
    /// Rounds each time lines are followed.
    pub again: usize,
    /// Cells of the last grid, angle by radius.
    pub last_cells: (usize, usize),
    /// Smoothing along the circle before slopes are measured, in steps of
    /// angle, in the first round and the last: the more level the rings, the
    /// farther along them what crosses them (saw marks, pores) is averaged out.
    pub along: (f32, f32),
    /// The least-squares problem.
    pub solver: SolverParams,
}

impl Default for StraightenParams {
    fn default() -> Self {
        Self {
            first_cells: (128, 96),
            rounds: 2,
            again: 2,
            last_cells: (256, 256),
            along: (2.0, 12.0),
            solver: SolverParams {
                stay: 1e-4,
                smooth_radius: 0.02,
                smooth_angle: 0.005,
                steps: 150,
                reweights: 1,
            },
        }
    }
}

impl StraightenParams {
    /// Grid and smoothing along the circle of each round on the picture itself.
    pub(super) fn rounds(&self) -> Vec<((usize, usize), f32)> {
        self.schedule(1..=self.rounds)
    }

    /// Grids of the rounds along lines.
    pub(super) fn cells_along(&self) -> Vec<(usize, usize)> {
        self.schedule(self.rounds + 1..=self.rounds + self.again)
            .into_iter()
            .map(|(cells, _)| cells)
            .collect()
    }

    fn schedule(&self, these: std::ops::RangeInclusive<usize>) -> Vec<((usize, usize), f32)> {
        let all = (self.rounds + self.again).max(1);
        these
            .map(|round| {
                let part = round as f64 / all as f64;
                let between = |from: usize, to: usize| {
                    (from as f64 + (to as f64 - from as f64) * part).round() as usize
                };
                let cells = (
                    between(self.first_cells.0, self.last_cells.0),
                    between(self.first_cells.1, self.last_cells.1),
                );
                (
                    cells,
                    self.along.0 + (self.along.1 - self.along.0) * part as f32,
                )
            })
            .collect()
    }
}

/// Window of the local mean along the radius before the spacing is known, in steps.
pub(super) fn first_window(radii: usize) -> f32 {
    (radii as f32 / 30.0).clamp(12.0, 70.0)
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
