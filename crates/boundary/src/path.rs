//! The choice over all candidates: one optimal path, and the chance of each
//! boundary and of each count from all paths.

use crate::candidates::Candidate;
use crate::{Boundaries, Boundary};

/// A candidate with what it is worth.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Node {
    pub(crate) course: f64,
    /// Log of the odds that a year ends here, as the evidence has it.
    pub(crate) worth: f64,
    pub(crate) support: f64,
    pub(crate) marked: bool,
}

/// What evidence and spacing are worth; chosen on practice faces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Chain {
    /// Weight of the log odds of the evidence.
    pub(crate) evidence: f64,
    /// Spread of the log of spacing over local spacing.
    pub(crate) spread: f64,
    /// Most that a narrow spacing can cost.
    pub(crate) most: f64,
    /// Least that each ring left out costs.
    pub(crate) left_out: f64,
}

/// Believes in the spacing: a ring is put where one must be, on little evidence. Right
/// more often on faces like those the network learned from. Chosen together on drawn
/// faces (2026-11-25), before the networks learned real photos; not fitted again since.
pub(crate) const PERMISSIVE: Chain = Chain {
    evidence: 2.7,
    spread: 0.87,
    most: 8.0,
    left_out: 4.85,
};
/// Believes in the evidence: a ring that shows little is left out. Where this counts
/// far fewer than [`PERMISSIVE`], noise was counted as rings. Chosen on drawn faces as
/// the plain form: the odds as they are, half the spread, half the price.
pub(crate) const STRICT: Chain = Chain {
    evidence: 1.0,
    spread: 0.45,
    most: 4.0,
    left_out: 2.0,
};

impl Node {
    pub(crate) fn from_candidate(candidate: &Candidate) -> Self {
        let mass = f64::from(candidate.mass).clamp(0.003, 0.995);
        Self {
            course: candidate.course,
            worth: (mass / (1.0 - mass)).ln(),
            support: f64::from(candidate.support),
            marked: false,
        }
    }

    pub(crate) fn marked(course: f64, support: f64) -> Self {
        Self {
            course,
            worth: 40.0,
            support,
            marked: true,
        }
    }
}

/// Widest gap looked at, in local spacings. Chosen: three rings lost in a row are the
/// most that one gap may hold.
const WIDEST: f64 = 3.6;

/// Everything the path needs to know.
struct Problem<'a> {
    nodes: &'a [Node],
    spacing: Vec<f64>,
    from: f64,
    /// Where the first ring begins: the pith, or the rim of a hollow.
    start: f64,
    to: f64,
    bark: bool,
    chain: Chain,
}

impl Problem<'_> {
    fn spacing_at(&self, course: f64) -> f64 {
        self.spacing[(course.max(0.0) as usize).min(self.spacing.len() - 1)]
    }

    /// What a boundary at a node is worth.
    fn worth(&self, node: usize) -> f64 {
        self.chain.evidence * self.nodes[node].worth
    }

    /// What a gap of `ratio` local spacings costs, in log odds: as the log of
    /// the ratio is normal, and beyond one spacing at least `left_out` for each
    /// ring that would be left out.
    fn cost(&self, ratio: f64, spread: f64) -> f64 {
        let off = ratio.max(1e-3).ln() / spread;
        let near = (0.5 * off * off).min(self.chain.most);
        -near.max(self.chain.left_out * (ratio - 1.0))
    }

    /// What the gap between two boundaries costs.
    fn gap(&self, inner: f64, outer: f64) -> f64 {
        let local = self.spacing_at(0.5 * (inner + outer));
        self.cost((outer - inner) / local, self.chain.spread)
    }

    /// What the gap from the pith to the first boundary costs: a first ring
    /// may be much narrower or wider than its neighbors.
    fn first_gap(&self, first: f64) -> f64 {
        let local = self.spacing_at(0.5 * (self.from + first));
        self.cost((first - self.start) / local, 1.5 * self.chain.spread)
    }

    /// What the gap from the last boundary to the end costs. At the bark it is
    /// a ring, which may be half made; else only a whole ring left out costs.
    fn last_gap(&self, last: f64) -> f64 {
        let local = self.spacing_at(0.5 * (self.to + last));
        let ratio = ((self.to - last) / local).max(1e-3);
        if ratio > 1.0 {
            self.cost(ratio, self.chain.spread)
        } else if self.bark {
            self.cost(ratio, 1.6 * self.chain.spread)
        } else {
            0.0
        }
    }

    /// Nodes from which a gap may lead to `node`: no marked one may be passed by.
    fn before(&self, node: usize) -> impl Iterator<Item = usize> + '_ {
        let course = self.nodes[node].course;
        let mut passed_mark = false;
        (0..node).rev().take_while(move |&i| {
            let open = !passed_mark;
            passed_mark |= self.nodes[i].marked;
            open && (course - self.nodes[i].course)
                < WIDEST
                    * self
                        .spacing_at(course)
                        .max(self.spacing_at(self.nodes[i].course))
                    + 2.0
        })
    }

    fn marked_before(&self, node: usize) -> bool {
        self.nodes[..node].iter().any(|n| n.marked)
    }
}

impl<'a> Problem<'a> {
    fn new(
        nodes: &'a [Node],
        spacing: &[f32],
        (from, to): (f64, f64),
        bark: bool,
        chain: Chain,
    ) -> Self {
        let mut spacing: Vec<f64> = spacing.iter().map(|&s| f64::from(s).max(1.0)).collect();
        if spacing.is_empty() {
            spacing.push(10.0);
        }
        Self {
            nodes,
            spacing,
            from,
            start: if from > 8.0 { from } else { 0.0 },
            to,
            bark,
            chain,
        }
    }

    /// The best path. The spacing that was seen may be off by an octave in places: it
    /// is found again with the spacing of the path itself.
    fn solve(&mut self) -> Vec<usize> {
        let mut path = best_path(self);
        for _ in 0..2 {
            respace(self, &path);
            path = best_path(self);
        }
        path
    }
}

/// The nodes of the best path between two courses, where no bark edge is known.
pub(crate) fn best_courses(
    nodes: &[Node],
    spacing: &[f32],
    from: f64,
    to: f64,
    chain: Chain,
) -> Vec<usize> {
    Problem::new(nodes, spacing, (from, to), false, chain).solve()
}

/// The best path and the chances.
pub(crate) fn best_and_chances(
    nodes: &[Node],
    spacing: &[f32],
    from: f64,
    to: f64,
    bark: Option<f64>,
    chain: Chain,
) -> Boundaries {
    let mut problem = Problem::new(nodes, spacing, (from, to), bark.is_some(), chain);
    let path = problem.solve();
    let (chances, counts) = chances(&problem);
    let mut list: Vec<Boundary> = path
        .iter()
        .map(|&i| Boundary {
            course: nodes[i].course,
            confidence: if nodes[i].marked { 1.0 } else { chances[i] },
            support: nodes[i].support,
            marked: nodes[i].marked,
            at_bark: false,
        })
        .collect();
    if bark.is_some() {
        list.push(Boundary {
            course: to,
            confidence: 1.0,
            support: 1.0,
            marked: false,
            at_bark: true,
        });
    }
    let mut gaps: Vec<f64> = list
        .windows(2)
        .map(|pair| pair[1].course - pair[0].course)
        .collect();
    gaps.sort_by(f64::total_cmp);
    let median = gaps.get(gaps.len() / 2).copied().unwrap_or(to - from);
    Boundaries {
        list,
        counts,
        spacing: median,
    }
}

/// Local spacing from the path: the median of seven gaps, half mixed with the old.
fn respace(problem: &mut Problem<'_>, path: &[usize]) {
    let mut ends: Vec<f64> = path.iter().map(|&i| problem.nodes[i].course).collect();
    if problem.bark {
        ends.push(problem.to);
    }
    if ends.len() < 4 {
        return;
    }
    let gaps: Vec<(f64, f64)> = ends
        .windows(2)
        .map(|pair| (0.5 * (pair[0] + pair[1]), pair[1] - pair[0]))
        .collect();
    let medians: Vec<(f64, f64)> = (0..gaps.len())
        .map(|i| {
            let from = i.saturating_sub(3).min(gaps.len().saturating_sub(7));
            let mut near: Vec<f64> = gaps[from..(from + 7).min(gaps.len())]
                .iter()
                .map(|g| g.1)
                .collect();
            near.sort_by(f64::total_cmp);
            (gaps[i].0, near[near.len() / 2])
        })
        .collect();
    let mut at = 0;
    for (course, spacing) in problem.spacing.iter_mut().enumerate() {
        while at + 1 < medians.len() && medians[at + 1].0 <= course as f64 {
            at += 1;
        }
        let (low, high) = (medians[at], medians[(at + 1).min(medians.len() - 1)]);
        let part = if high.0 > low.0 {
            ((course as f64 - low.0) / (high.0 - low.0)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let seen = low.1 + part * (high.1 - low.1);
        *spacing = (*spacing * seen).sqrt();
    }
}

fn best_path(problem: &Problem<'_>) -> Vec<usize> {
    let n = problem.nodes.len();
    let mut best = vec![f64::NEG_INFINITY; n];
    let mut back = vec![None; n];
    for node in 0..n {
        if !problem.marked_before(node) {
            best[node] = problem.first_gap(problem.nodes[node].course);
        }
        for before in problem.before(node) {
            let value = best[before]
                + problem.gap(problem.nodes[before].course, problem.nodes[node].course);
            if value > best[node] {
                best[node] = value;
                back[node] = Some(before);
            }
        }
        best[node] += problem.worth(node);
    }
    let last_mark = problem.nodes.iter().rposition(|n| n.marked).unwrap_or(0);
    let end = (last_mark..n).max_by(|&a, &b| {
        let value = |i: usize| best[i] + problem.last_gap(problem.nodes[i].course);
        value(a).total_cmp(&value(b))
    });
    let mut path = Vec::new();
    let mut at = end;
    while let Some(node) = at {
        path.push(node);
        at = back[node];
    }
    path.reverse();
    path
}

/// ln(exp(a) + exp(b)).
fn add_logs(a: f64, b: f64) -> f64 {
    if a == f64::NEG_INFINITY {
        return b;
    }
    if b == f64::NEG_INFINITY {
        return a;
    }
    let high = a.max(b);
    high + ((a - high).exp() + (b - high).exp()).ln()
}

/// The chance of each node, and of each number of rings, over all paths.
fn chances(problem: &Problem<'_>) -> (Vec<f64>, Vec<f64>) {
    let n = problem.nodes.len();
    let mut forward = vec![f64::NEG_INFINITY; n];
    // The chance of each count on the paths that end at a node, relative.
    let mut shares: Vec<Vec<f64>> = vec![Vec::new(); n];
    for node in 0..n {
        let mut from: Vec<(Option<usize>, f64)> = Vec::new();
        if !problem.marked_before(node) {
            from.push((None, problem.first_gap(problem.nodes[node].course)));
        }
        for before in problem.before(node) {
            let gap = problem.gap(problem.nodes[before].course, problem.nodes[node].course);
            from.push((Some(before), forward[before] + gap));
        }
        let total = from.iter().map(|f| f.1).fold(f64::NEG_INFINITY, add_logs);
        forward[node] = total + problem.worth(node);
        let mut share: Vec<f64> = Vec::new();
        for (before, log) in from {
            let part = (log - total).exp();
            if part < 1e-9 || !part.is_finite() {
                continue;
            }
            match before {
                None => add_share(&mut share, 1, part),
                Some(before) => {
                    for (count, value) in shares[before].iter().enumerate() {
                        if *value > 1e-12 {
                            add_share(&mut share, count + 1, part * value);
                        }
                    }
                }
            }
        }
        shares[node] = share;
    }
    let last_mark = problem.nodes.iter().rposition(|n| n.marked).unwrap_or(0);
    let ends: Vec<f64> = (0..n)
        .map(|node| {
            if node < last_mark {
                f64::NEG_INFINITY
            } else {
                forward[node] + problem.last_gap(problem.nodes[node].course)
            }
        })
        .collect();
    let total = ends.iter().copied().fold(f64::NEG_INFINITY, add_logs);
    let mut counts: Vec<f64> = Vec::new();
    let extra = usize::from(problem.bark);
    for node in 0..n {
        let part = (ends[node] - total).exp();
        for (count, value) in shares[node].iter().enumerate() {
            if part * value > 0.0 {
                add_share(&mut counts, count + extra, part * value);
            }
        }
    }
    let mut backward: Vec<f64> = (0..n)
        .map(|node| {
            if node < last_mark {
                f64::NEG_INFINITY
            } else {
                problem.last_gap(problem.nodes[node].course)
            }
        })
        .collect();
    for node in (0..n).rev() {
        let through = backward[node] + problem.worth(node);
        for before in problem.before(node).collect::<Vec<_>>() {
            let gap = problem.gap(problem.nodes[before].course, problem.nodes[node].course);
            backward[before] = add_logs(backward[before], through + gap);
        }
    }
    let chances = (0..n)
        .map(|node| {
            (forward[node] + backward[node] - total)
                .exp()
                .clamp(0.0, 1.0)
        })
        .collect();
    (chances, counts)
}

fn add_share(shares: &mut Vec<f64>, count: usize, value: f64) {
    if shares.len() <= count {
        shares.resize(count + 1, 0.0);
    }
    shares[count] += value;
}

#[cfg(test)]
mod tests {
    use super::*;

    fn node(course: f64, worth: f64) -> Node {
        Node {
            course,
            worth,
            support: 0.9,
            marked: false,
        }
    }

    #[test]
    fn a_weak_candidate_between_two_even_rings_is_left_out() {
        let mut nodes: Vec<Node> = (1..=20).map(|k| node(f64::from(k) * 10.0, 3.0)).collect();
        nodes.insert(10, node(104.0, -1.0));
        let found = best_and_chances(&nodes, &[10.0; 220], 2.0, 205.0, None, PERMISSIVE);
        assert_eq!(found.list.len(), 20);
        let sum: f64 = found.counts.iter().sum();
        assert!(
            (sum - 1.0).abs() < 1e-6,
            "chances of all counts add to {sum}"
        );
    }

    #[test]
    fn a_marked_boundary_is_never_passed_by() {
        let mut nodes: Vec<Node> = (1..=20).map(|k| node(f64::from(k) * 10.0, 3.0)).collect();
        nodes.insert(10, Node::marked(104.0, 0.5));
        let found = best_and_chances(&nodes, &[10.0; 220], 2.0, 205.0, None, PERMISSIVE);
        assert!(found.list.iter().any(|b| b.marked && b.confidence >= 1.0));
    }
}
