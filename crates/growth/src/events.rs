//! Releases and suppressions: lasting changes of growth.

use crate::rings::widths;
use crate::series::growth_changes;
use wood::{Event, EventKind, Ring};

/// What counts as an event. Print it beside the events: other limits find
/// other events.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EventCriteria {
    /// Years before and years after that are compared. Ten, after Nowacki and
    /// Abrams 1997.
    pub window: usize,
    /// Rise of the mean, in percent, from which a release is reported. 50: Nowacki
    /// and Abrams 1997 give 25 as the least for oaks in the canopy and name 50
    /// to 100 for trees under others; a person with one stump is better served
    /// by few and sure ones.
    pub release_percent: f64,
    /// Fall of the mean, in percent and below zero, from which a suppression
    /// is reported. −50: growth halved (label from memory).
    pub suppression_percent: f64,
}

impl Default for EventCriteria {
    fn default() -> Self {
        Self {
            window: 10,
            release_percent: 50.0,
            suppression_percent: -50.0,
        }
    }
}

/// Releases and suppressions, oldest first.
///
/// Leave a half-made outer ring out ([`crate::years_of_growth`]). The word
/// describes widths; it is no proof that a neighbor was felled.
///
/// # Method
/// Percent growth change between the means of the ten years up to a ring and
/// the ten after it (Nowacki and Abrams 1997, Ecological Monographs 67:
/// 225–249). A run of years beyond the limit is one event, reported at its
/// strongest year (the first of equals). The windows need ten rings on either
/// side, so none is reported within ten rings of pith or bark.
#[must_use]
pub fn events(rings: &[Ring], criteria: &EventCriteria) -> Vec<Event> {
    let kind_of = |change: f64| {
        if change >= criteria.release_percent {
            Some(EventKind::Release)
        } else if change <= criteria.suppression_percent {
            Some(EventKind::Suppression)
        } else {
            None
        }
    };
    let mut found: Vec<Event> = Vec::new();
    let mut running: Option<(usize, EventKind)> = None;
    for (index, change) in growth_changes(&widths(rings).values, criteria.window) {
        let Some((kind, ring)) = kind_of(change).zip(rings.get(index)) else {
            running = None;
            continue;
        };
        let goes_on = running == index.checked_sub(1).map(|before| (before, kind));
        running = Some((index, kind));
        match found.last_mut() {
            Some(event) if goes_on => {
                event.run += 1;
                if change.abs() > event.change_percent.abs() {
                    event.change_percent = change;
                    event.ring = ring.number;
                    event.year = ring.year;
                }
            }
            _ => found.push(Event {
                kind,
                year: ring.year,
                ring: ring.number,
                change_percent: change,
                run: 1,
            }),
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::made;

    fn steps(parts: &[(usize, f64)]) -> Vec<f64> {
        parts
            .iter()
            .flat_map(|&(count, width)| std::iter::repeat_n(width, count))
            .collect()
    }

    #[test]
    fn a_step_up_is_one_release_at_the_last_year_before_it() {
        let rings = made::rings(&steps(&[(20, 0.8), (20, 1.7)]), Some(2000));
        let found = events(&rings, &EventCriteria::default());
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].kind, EventKind::Release);
        assert_eq!(found[0].ring, 20);
        assert_eq!(found[0].year.unwrap().0, 1980);
        assert!((found[0].change_percent - 112.5).abs() < 1e-9);
        assert!(found[0].run > 1);
    }

    #[test]
    fn rise_and_fall_are_distinguished_and_in_order() {
        let rings = made::rings(&steps(&[(20, 1.0), (20, 3.0), (20, 1.0)]), None);
        let found = events(&rings, &EventCriteria::default());
        let kinds: Vec<_> = found.iter().map(|e| (e.kind, e.ring, e.year)).collect();
        assert_eq!(
            kinds,
            [
                (EventKind::Release, 20, None),
                (EventKind::Suppression, 40, None)
            ]
        );
    }

    #[test]
    fn none_within_ten_rings_of_pith_or_bark_and_none_below_the_limit() {
        let late = made::rings(&steps(&[(31, 1.0), (9, 4.0)]), None);
        assert!(
            events(&late, &EventCriteria::default())
                .iter()
                .all(|e| e.ring <= 30)
        );
        let mild = made::rings(&steps(&[(20, 1.0), (20, 1.3)]), None);
        assert!(events(&mild, &EventCriteria::default()).is_empty());
        let canopy_oak = EventCriteria {
            release_percent: 25.0,
            ..EventCriteria::default()
        };
        assert_eq!(events(&mild, &canopy_oak).len(), 1);
        assert!(events(&made::rings(&[1.0; 19], None), &EventCriteria::default()).is_empty());
        assert!(events(&made::rings(&[0.0; 60], None), &EventCriteria::default()).is_empty());
    }
}
