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
    /// Cells of the last grid, angle by radius.
    pub last_cells: (usize, usize),
    /// Smoothing along the circle before slopes are measured, in steps of angle.
    pub along: f32,
    /// Smoothing along the radius before slopes are measured, in courses.
    pub across: f32,
    /// The least-squares problem.
    pub solver: SolverParams,
}

impl Default for StraightenParams {
    fn default() -> Self {
        Self {
            first_cells: (128, 96),
            rounds: 4,
            last_cells: (256, 256),
            along: 2.0,
            across: 1.0,
            solver: SolverParams { stay: 1e-4, smooth_radius: 0.02, smooth_angle: 0.005, steps: 150, reweights: 1 },
        }
    }
}

impl StraightenParams {
    /// Grids of the rounds after the first, coarse to fine.
    pub(super) fn rounds(&self) -> Vec<(usize, usize)> {
        (1..=self.rounds)
            .map(|round| {
                let part = round as f64 / self.rounds.max(1) as f64;
                let between = |from: usize, to: usize| {
                    (from as f64 + (to as f64 - from as f64) * part).round() as usize
                };
                (between(self.first_cells.0, self.last_cells.0), between(self.first_cells.1, self.last_cells.1))
            })
            .collect()
    }

    /// Window of the local mean along the radius, in steps.
    pub(super) fn mean_window(&self, radii: usize) -> f32 {
        (radii as f32 / 30.0).clamp(12.0, 70.0)
    }
}
