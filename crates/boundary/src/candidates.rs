//! Places on the radius at which a year may end.

use sight::{SeenRings, chance_of_end};

/// A place at which a year may end.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Candidate {
    /// Its course, to a fraction.
    pub(crate) course: f64,
    /// How many boundaries the evidence around it adds up to, 0 to about 1.
    pub(crate) mass: f32,
    /// Share of the seen circle that shows it, 0 to 1.
    pub(crate) support: f32,
}

/// Log odds below which nothing is considered (chosen): a chance of one in ninety.
const FLOOR: f32 = -4.5;
/// Area under a lone boundary of chance 1, in standard deviations of its bump. The
/// square root of two pi, for a bump of normal shape.
pub(crate) const BUMP: f32 = 2.507;
/// Share of the local spacing under the bark within which a boundary cannot be
/// distinguished from the bark edge itself (chosen: a third of a ring).
const BARK_SHARE: f32 = 0.35;

/// All local maxima of the evidence between `from` and `to`, each with the
/// evidence from the dip before it to the dip after it.
pub(crate) fn candidates(seen: &SeenRings, from: f64, to: f64, bark: bool) -> Vec<Candidate> {
    let end = (to as usize).min(seen.courses.len().saturating_sub(2));
    // The bark edge is a boundary of its own; close under it no other is believed.
    let last = if bark {
        end.saturating_sub((BARK_SHARE * seen.spacing[end]).max(2.0) as usize)
    } else {
        end
    };
    let chances: Vec<f32> = seen.courses.iter().map(|&log| chance_of_end(log)).collect();
    let mut found = peaks(
        &seen.courses,
        &chances,
        FLOOR,
        from,
        last as f64,
        &seen.spacing,
        BUMP * seen.blur,
    );
    for candidate in &mut found {
        candidate.support = support(seen, candidate.course.round() as usize);
    }
    found
}

/// All local maxima of `heights` over `floor` between two courses, each with the area
/// of `chances` from the dip before it to the dip after it in units of `bump`, the area
/// of a boundary that is certain.
pub(crate) fn peaks(
    heights: &[f32],
    chances: &[f32],
    floor: f32,
    from: f64,
    last: f64,
    spacing: &[f32],
    bump: f32,
) -> Vec<Candidate> {
    let first = from.max(1.0) as usize;
    let last = (last.max(0.0) as usize).min(heights.len().saturating_sub(2));
    let peaks: Vec<usize> = (first..=last)
        .filter(|&i| {
            heights[i] > floor && heights[i] >= heights[i - 1] && heights[i] > heights[i + 1]
        })
        .collect();
    let dip = |low: usize, high: usize| {
        (low..=high)
            .min_by(|&a, &b| heights[a].total_cmp(&heights[b]))
            .unwrap_or(low)
    };
    peaks
        .iter()
        .enumerate()
        .map(|(nth, &peak)| {
            let reach = (0.5 * spacing[peak]).clamp(2.0, 30.0) as usize;
            let before = nth.checked_sub(1).map_or(first, |n| peaks[n]);
            let after = peaks.get(nth + 1).copied().unwrap_or(last);
            let low = dip(before, peak).max(peak.saturating_sub(reach));
            let high = dip(peak, after).min(peak + reach);
            let mass = chances[low..=high].iter().sum::<f32>() / bump;
            let (a, b, c) = (heights[peak - 1], heights[peak], heights[peak + 1]);
            let curve = a - 2.0 * b + c;
            let shift = if curve.abs() > 1e-6 {
                (0.5 * (a - c) / curve).clamp(-0.5, 0.5)
            } else {
                0.0
            };
            Candidate {
                course: peak as f64 + f64::from(shift),
                mass,
                support: 0.0,
            }
        })
        .collect()
}

/// Chance at which a row is taken to show a boundary (chosen). Shares of rows follow
/// from it, no boundaries.
const SHOWN: f32 = 0.12;

/// Share of the rows in which a year's end is seen near a course.
pub(crate) fn support(seen: &SeenRings, course: usize) -> f32 {
    let reach = (0.22 * seen.spacing[course]).clamp(1.5, 8.0) as usize;
    let columns = seen.ends.ncols();
    let (low, high) = (
        course.saturating_sub(reach),
        (course + reach).min(columns - 1),
    );
    let (mut shown, mut rows) = (0.0, 0.0);
    for (row, visible) in seen.ends.rows().into_iter().zip(seen.visible.rows()) {
        if visible[course] < 0.5 {
            continue;
        }
        rows += 1.0;
        if (low..=high).any(|column| row[column] > SHOWN) {
            shown += 1.0;
        }
    }
    if rows > 0.0 { shown / rows } else { 0.0 }
}
