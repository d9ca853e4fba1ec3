//! Places on the radius at which a year may end.

use crate::signals::Signals;
use profile::{RadialProfile, SECTORS};

/// A place at which a year may end.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Candidate {
    /// Its course, to a fraction.
    pub(crate) course: f64,
    /// Height of the evidence over the whole circle; 1 is usual.
    pub(crate) height: f32,
    /// Drop of the evidence to the higher of the two dips beside it.
    pub(crate) prominence: f32,
    /// Share of the seen sectors that show it, 0 to 1.
    pub(crate) support: f32,
    /// The local ring spacing, in courses.
    pub(crate) spacing: f32,
}

/// Evidence below which nothing is looked at.
const FLOOR: f32 = 0.08;

/// All local maxima of the evidence between `from` and `to`.
pub(crate) fn candidates(
    signals: &Signals,
    profile: &RadialProfile,
    spacing: &[f32],
    from: f64,
    to: f64,
    bark: bool,
) -> Vec<Candidate> {
    let whole = &signals.whole;
    let end = (to as usize).min(whole.len().saturating_sub(2));
    // The bark edge is a step of its own; close under it no other is believed.
    let last = if bark {
        end.saturating_sub((BARK_SHARE * spacing[end]).max(3.0) as usize)
    } else {
        end
    };
    let mut out = Vec::new();
    for i in (from.max(1.0) as usize)..=last {
        let (before, here, after) = (whole[i - 1], whole[i], whole[i + 1]);
        if here < FLOOR || here < before || here <= after {
            continue;
        }
        let curve = before - 2.0 * here + after;
        let shift = if curve.abs() > 1e-6 {
            0.5 * (before - after) / curve
        } else {
            0.0
        };
        if (i as f32) < PITH_SHARE * spacing[i] {
            continue;
        }
        out.push(Candidate {
            course: i as f64 + f64::from(shift.clamp(-0.5, 0.5)),
            height: here,
            prominence: prominence(whole, i, spacing[i]),
            support: support(signals, profile, i, spacing[i]),
            spacing: spacing[i],
        });
    }
    let mut all = if from > 8.0 {
        Vec::new()
    } else {
        drowned_by_pith(&out, spacing, from)
    };
    all.append(&mut out);
    merged_into_one(&all, spacing, whole)
}

/// Share of the local spacing under the bark within which no boundary is told
/// from the bark edge itself.
const BARK_SHARE: f32 = 0.4;
/// Share of the local spacing within which a step is the rim of the pith and
/// no year's end.
const PITH_SHARE: f32 = 0.45;
/// Rings narrower than this, in courses, drown in the pith's rim.
const DROWNED: f32 = 14.0;

/// Rings that the rim of the pith drowns: where the first boundary lies two or
/// three spacings out, those between it and the pith are taken to be there by
/// continuity, with little to show for each.
fn drowned_by_pith(found: &[Candidate], spacing: &[f32], from: f64) -> Vec<Candidate> {
    let Some(first) = found.first() else {
        return Vec::new();
    };
    let beyond = found
        .get(1)
        .map_or(f64::INFINITY, |second| second.course - first.course);
    let near =
        f64::from(spacing[(first.course as usize).min(spacing.len() - 1)]).min(beyond.max(3.0));
    if near > f64::from(DROWNED) {
        return Vec::new();
    }
    let hidden = (first.course / near).round() as usize;
    (1..hidden.min(4))
        .map(|k| first.course * k as f64 / hidden as f64)
        .filter(|&course| course >= from)
        .map(|course| Candidate {
            course,
            height: 0.3,
            prominence: 0.5,
            support: 0.4,
            spacing: near as f32,
        })
        .collect()
}

/// Gap, in local spacings, from which two narrow rings may have run into one.
const MERGED: f64 = 1.5;

/// The candidates, with one more in each gap of narrow rings in which two may
/// have run together: the path weighs it against a ring twice as wide as its
/// neighbours.
fn merged_into_one(found: &[Candidate], spacing: &[f32], whole: &[f32]) -> Vec<Candidate> {
    let mut out: Vec<Candidate> = Vec::with_capacity(found.len());
    for candidate in found {
        if let Some(before) = out.last() {
            let gap = candidate.course - before.course;
            let middle = 0.5 * (candidate.course + before.course);
            let local = f64::from(spacing[(middle as usize).min(spacing.len() - 1)]);
            if local < f64::from(DROWNED) && gap > MERGED * local && gap < 2.6 * local {
                // Where the evidence dips least.
                let reach = (0.2 * gap) as usize;
                let at = (middle as usize - reach..=middle as usize + reach)
                    .max_by(|&a, &b| whole[a].total_cmp(&whole[b]))
                    .unwrap_or(middle as usize);
                out.push(Candidate {
                    course: at as f64,
                    height: 0.0,
                    prominence: 0.0,
                    support: 0.18,
                    spacing: local as f32,
                });
            }
        }
        out.push(candidate.clone());
    }
    out
}

/// Height above the higher of the lowest points within one spacing on each side.
fn prominence(line: &[f32], at: usize, spacing: f32) -> f32 {
    let reach = (spacing.ceil() as usize).max(3);
    let dip = |range: &mut dyn Iterator<Item = usize>| -> f32 {
        let mut low = line[at];
        for i in range {
            if line[i] > line[at] {
                break;
            }
            low = low.min(line[i]);
        }
        low
    };
    let left = dip(&mut (at.saturating_sub(reach)..at).rev());
    let right = dip(&mut (at + 1..(at + reach + 1).min(line.len())));
    line[at] - left.max(right)
}

/// Share of the seen sectors whose own evidence peaks close by.
fn support(signals: &Signals, profile: &RadialProfile, at: usize, spacing: f32) -> f32 {
    let reach = ((0.15 * spacing).round() as usize).max(1);
    let (mut seen, mut shown) = (0.0_f32, 0.0_f32);
    for sector in 0..SECTORS {
        let visible = profile.sector_seen[[sector, at]];
        if visible < 0.3 {
            continue;
        }
        let line = signals.sectors.row(sector);
        let high = (at.saturating_sub(reach)..=(at + reach).min(line.len() - 1))
            .map(|i| line[i])
            .fold(f32::MIN, f32::max);
        seen += 1.0;
        shown += ((high - 0.1) / 0.5).clamp(0.0, 1.0);
    }
    if seen > 0.0 { shown / seen } else { 0.0 }
}
