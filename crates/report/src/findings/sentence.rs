//! Findings as sentences, at the level of a newspaper.

use super::{Finding, Width};
use crate::words::{counted, diameter, pace, pace_number};
use wood::{EventKind, Mm, Units};

/// A change of less than this many percent is reported as none. Chosen: it
/// would be rounded to nothing.
const NO_CHANGE_PERCENT: f64 = 0.5;

impl Finding {
    /// The finding as a sentence or two, lengths in the units wanted.
    #[must_use]
    pub fn sentence(&self, units: Units) -> String {
        match self {
            Self::TooFew { rings } => format!(
                "With only {}, its fast and slow years cannot be compared.",
                counted(*rings, "whole ring", "whole rings")
            ),
            Self::TooDoubtful { doubtful, rings } => format!(
                "Of {rings} rings {doubtful} are in doubt, too many to say when it grew fast or \
                 slow."
            ),
            Self::Even { percent } => format!(
                "It grew evenly: its fastest ten years in a row were only {percent:.0} percent \
                 faster than its slowest."
            ),
            Self::Fastest { span, width } => {
                format!(
                    "Its fastest ten years in a row were {}, {}.",
                    span.said(),
                    at(*width, units)
                )
            }
            Self::Slowest { span, width } => format!(
                "Its slowest ten years in a row were {}, {}.",
                span.said(),
                at(*width, units)
            ),
            Self::Change {
                kind,
                ring,
                year,
                percent,
                before,
                after,
            } => {
                let when = year.map_or_else(|| format!("ring {ring}"), |year| year.to_string());
                let (verb, why) = match kind {
                    EventKind::Release => (
                        "rose",
                        "Thinning, a lost neighbor or wetter years can do this",
                    ),
                    EventKind::Suppression => (
                        "fell",
                        "Crowding, dry years, or harm to crown or roots can do this",
                    ),
                };
                format!(
                    "After {when} growth {verb} by {:.0} percent and stayed so: {}. {why}; the \
                     rings do not say which.",
                    percent.abs(),
                    from_to(*before, *after, units)
                )
            }
            Self::LastTen {
                span,
                width,
                against_before,
            } => {
                let against = match against_before {
                    None => String::new(),
                    Some(change) if change.abs() < NO_CHANGE_PERCENT => {
                        ", as fast as in the ten before".to_owned()
                    }
                    Some(change) => format!(
                        ", {:.0} percent {} than in the ten before",
                        change.abs(),
                        if *change > 0.0 { "faster" } else { "slower" }
                    ),
                };
                format!(
                    "In its last ten years, {}, it grew {}{against}.",
                    span.said(),
                    at(*width, units)
                )
            }
            Self::NextSize { now, next, years } => format!(
                "At the pace of its last ten years it would have needed about {} to go from {} to \
                 {} across, inside the bark.",
                counted(years.round().max(1.0) as u32, "more year", "more years"),
                diameter(*now, units),
                whole_size(*next, units)
            ),
        }
    }
}

/// A round size, without a place that says nothing.
fn whole_size(size: Mm, units: Units) -> String {
    match units {
        Units::Inch => format!("{:.0} in", size.inches()),
        Units::Metric => format!("{:.0} cm", size.0 / 10.0),
    }
}

/// "at 7.0 rings to the inch", "with rings 16 percent narrower than its average".
fn at(width: Width, units: Units) -> String {
    match width {
        Width::Measured(mm) => format!("at {}", pace(mm, units)),
        Width::OfOwnMean(share) => format!("with rings {}", against_average(share)),
    }
}

/// "16 percent narrower than its average".
fn against_average(share: f64) -> String {
    let percent = 100.0 * (share - 1.0);
    if percent.abs() < NO_CHANGE_PERCENT {
        return "as wide as its average".to_owned();
    }
    let way = if percent > 0.0 { "wider" } else { "narrower" };
    format!("{:.0} percent {way} than its average", percent.abs())
}

/// "from 12.4 to 7.8 rings to the inch in ten years before and after".
fn from_to(before: Width, after: Width, units: Units) -> String {
    match (before, after) {
        (Width::Measured(before), Width::Measured(after)) => format!(
            "from {} over the ten years before to {} over the ten after",
            pace(before, units),
            pace_number(after, units)
        ),
        (before, after) => {
            let share = |width: Width| match width {
                Width::OfOwnMean(share) => share,
                Width::Measured(_) => 1.0,
            };
            format!(
                "its rings were {} in the ten years before, and {} in the ten after",
                against_average(share(before)),
                against_average(share(after))
            )
        }
    }
}
