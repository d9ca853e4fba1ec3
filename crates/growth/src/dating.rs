//! Which calendar year each ring grew in.

use crate::estimate::caution;
use wood::{Caution, Felled, Hemisphere, Ring, Year};

/// The first month in which wood of a new ring may be seen, northern half of
/// the earth. Before it the outermost ring is last year's, and complete.
/// Common practice, no source.
const GROWTH_MAY_START_MONTH: i8 = 4;

/// The first month in which a new ring has most likely begun. Common
/// practice, no source.
const GROWTH_SEEN_MONTH: i8 = 5;

/// The first month in which the begun ring can hardly be overlooked; from
/// [`GROWTH_MAY_START_MONTH`] to here a year is in doubt. Chosen: by midsummer
/// most trees have laid down half of their ring (from memory).
const GROWTH_CLEAR_MONTH: i8 = 7;

/// The first month in which the ring of this year is complete. Common
/// practice, no source.
const GROWTH_DONE_MONTH: i8 = 10;

/// By how many months the southern season is shifted.
const SOUTHERN_SHIFT_MONTHS: i8 = 6;

/// The state of the ring under the bark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OuterRing {
    /// Growth of its year had ended.
    Complete,
    /// The tree was felled while it grew: it is narrower than it would be.
    HalfMade,
    /// Not known: no date of felling to the month, or the bark is not seen.
    Unknown,
}

/// Rings with their years.
#[derive(Debug, Clone, PartialEq)]
pub struct Dated {
    /// The year of each ring, pith first; `None` where it is not known.
    pub years: Vec<Option<Year>>,
    /// What to know about the dating.
    pub cautions: Vec<Caution>,
    /// The year of the outermost ring: the year that an age is given for.
    pub as_of: Option<Year>,
    /// The state of the outermost ring.
    pub outer_ring: OuterRing,
}

/// The year of each of `count` rings, pith first, from the date of felling.
///
/// `ends_at_bark` says whether the outermost ring seen is the one under the
/// bark; when it is not, rings outside it are missing and nothing is dated.
///
/// # Method
/// The felling is compared with the growing season. Northern half: until March
/// the outermost ring is last year's; from May to September it is this year's,
/// half made (in May and June it may not be seen yet: one year of doubt; in
/// April last year's is more likely, with the same doubt); from October it is
/// this year's, complete. Southern half: the same, six months later, and a
/// ring carries the year in which its growth began (Schulman 1956, from
/// memory). The months are common practice, no source.
#[must_use]
pub fn date_rings(
    count: u32,
    felled: Option<Felled>,
    hemisphere: Hemisphere,
    ends_at_bark: bool,
) -> Dated {
    let undated = |about: &str, text: &str| Dated {
        years: vec![None; count as usize],
        cautions: vec![caution(about, text)],
        as_of: None,
        outer_ring: OuterRing::Unknown,
    };
    let Some(felled) = felled else {
        return undated(
            "no-felled-date",
            "the rings have no years because the date of felling is not known",
        );
    };
    if !ends_at_bark {
        return undated(
            "bark-not-seen",
            "the rings have no years because the bark edge is not seen: rings may be missing outside",
        );
    }
    let (outermost, outer_ring, cautions) = outermost(felled, hemisphere);
    let years = (0..count)
        .map(|index| {
            let before_last = i64::from(count) - 1 - i64::from(index);
            i32::try_from(i64::from(outermost) - before_last)
                .ok()
                .map(Year)
        })
        .collect();
    Dated {
        years,
        cautions,
        as_of: Some(Year(outermost)),
        outer_ring,
    }
}

/// The rings whose growth was finished: all, or all but the half-made one.
/// Figures, decades and events are made from these.
#[must_use]
pub(crate) fn whole_rings(rings: &[Ring], outer_ring: OuterRing) -> &[Ring] {
    match (outer_ring, rings.split_last()) {
        (OuterRing::HalfMade, Some((_, whole))) => whole,
        _ => rings,
    }
}

/// Year and state of the ring under the bark.
fn outermost(felled: Felled, hemisphere: Hemisphere) -> (i32, OuterRing, Vec<Caution>) {
    let year = i32::from(felled.year());
    let Some(month) = felled.month() else {
        // In nine months of twelve the outermost ring carries this year in the
        // north, and the year before in the south.
        let likely = match hemisphere {
            Hemisphere::Northern => year,
            Hemisphere::Southern => year - 1,
        };
        let text = format!(
            "only the year of felling is known, so every ring's year may be one off: \
             the ring under the bark is taken as that of {likely}"
        );
        let cautions = vec![caution("felled-year-only", text)];
        return (likely, OuterRing::Unknown, cautions);
    };
    let (season, month) = match hemisphere {
        Hemisphere::Northern => (year, month),
        Hemisphere::Southern if month > SOUTHERN_SHIFT_MONTHS => {
            (year, month - SOUTHERN_SHIFT_MONTHS)
        }
        Hemisphere::Southern => (year - 1, month + SOUTHERN_SHIFT_MONTHS),
    };
    if month < GROWTH_MAY_START_MONTH {
        (season - 1, OuterRing::Complete, Vec::new())
    } else if month < GROWTH_SEEN_MONTH {
        let text = format!(
            "felled when growth may just have begun: if a thin ring of {season} shows under \
             the bark, every ring is one year younger than given"
        );
        let cautions = vec![caution("felled-early-season", text)];
        (season - 1, OuterRing::Unknown, cautions)
    } else if month < GROWTH_CLEAR_MONTH {
        let text = format!(
            "felled early in the growing season: the half-made ring of {season} may not show \
             yet; if it does not, every ring is one year older than given"
        );
        let cautions = vec![caution("felled-early-season", text)];
        (season, OuterRing::HalfMade, cautions)
    } else if month < GROWTH_DONE_MONTH {
        let text = format!(
            "felled in the growing season: the ring of {season} under the bark is only half made"
        );
        (
            season,
            OuterRing::HalfMade,
            vec![caution("outer-ring-half-made", text)],
        )
    } else {
        (season, OuterRing::Complete, Vec::new())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn check(felled: &str, hemisphere: Hemisphere, last: i32, outer: OuterRing, cautions: usize) {
        let dated = date_rings(3, felled.parse().ok(), hemisphere, true);
        let expected: Vec<_> = (last - 2..=last).map(|y| Some(Year(y))).collect();
        assert_eq!(dated.years, expected, "{felled}");
        assert_eq!(dated.as_of, Some(Year(last)), "{felled}");
        assert_eq!(dated.outer_ring, outer, "{felled}");
        assert_eq!(
            dated.cautions.len(),
            cautions,
            "{felled}: {:?}",
            dated.cautions
        );
    }

    #[test]
    fn the_felling_is_held_against_the_growing_season() {
        use Hemisphere::{Northern, Southern};
        use OuterRing::{Complete, HalfMade, Unknown};
        // Common practice, no source.
        check("2025-01-10", Northern, 2024, Complete, 0);
        check("2025-03", Northern, 2024, Complete, 0);
        check("2025-04-20", Northern, 2024, Unknown, 1);
        check("2025-05-20", Northern, 2025, HalfMade, 1);
        check("2025-08-01", Northern, 2025, HalfMade, 1);
        check("2025-10-01", Northern, 2025, Complete, 0);
        check("2025-12-31", Northern, 2025, Complete, 0);
        check("2025", Northern, 2025, Unknown, 1);
        // Growth that began in spring 2024 (October) carries 2024.
        check("2024-08-15", Southern, 2023, Complete, 0);
        check("2024-12-15", Southern, 2024, HalfMade, 1);
        check("2025-02-15", Southern, 2024, HalfMade, 1);
        check("2025-05-15", Southern, 2024, Complete, 0);
        check("2025", Southern, 2024, Unknown, 1);
    }

    #[test]
    fn without_bark_or_date_no_ring_has_a_year() {
        let day = "2025-11-08".parse().ok();
        for (felled, bark, about) in [
            (day, false, "bark-not-seen"),
            (None, true, "no-felled-date"),
        ] {
            let dated = date_rings(2, felled, Hemisphere::Northern, bark);
            assert_eq!(dated.years, [None, None]);
            assert_eq!(dated.as_of, None);
            assert_eq!(dated.cautions[0].about, about);
        }
    }

    #[test]
    fn a_half_made_ring_is_not_a_whole_one() {
        let rings = crate::rings::made::rings(&[1.0, 2.0, 0.4], Some(2025));
        assert_eq!(whole_rings(&rings, OuterRing::HalfMade).len(), 2);
        assert_eq!(whole_rings(&rings, OuterRing::Complete).len(), 3);
        assert!(whole_rings(&[], OuterRing::HalfMade).is_empty());
    }
}
