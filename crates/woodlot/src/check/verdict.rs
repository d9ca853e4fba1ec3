//! One plain verdict for each stump.

use super::{CheckCriteria, Checked, Departure, Shift};

/// What the comparison with the others says of a stump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict<'a> {
    /// It follows the others.
    Agrees,
    /// It would follow them with a ring more or less.
    Slipped(&'a Shift),
    /// It follows them but for one stretch that no single slip explains.
    Departs(&'a Departure),
    /// It does not follow them, and nothing shows why.
    Alone,
    /// It shares too few years with them.
    TooShort,
}

impl Checked {
    /// The verdict on this stump.
    #[must_use]
    pub fn verdict(&self, criteria: &CheckCriteria) -> Verdict<'_> {
        let departs = self.departure.as_ref().filter(|d| d.stands_alone());
        match (&self.shift, departs, self.t) {
            (Some(shift), ..) => Verdict::Slipped(shift),
            (None, Some(departure), _) => Verdict::Departs(departure),
            (None, None, Some(t)) if t >= criteria.least_t => Verdict::Agrees,
            (None, None, Some(_)) => Verdict::Alone,
            (None, None, None) => Verdict::TooShort,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn checked(t: Option<f64>, difference: Option<f64>, slipped: bool) -> Checked {
        Checked {
            name: "oak".into(),
            years: 60,
            r: t.map(|_| 0.5),
            t,
            parallel: None,
            windows: Vec::new(),
            shift: slipped.then_some(Shift {
                years: -1,
                from_year: 1976,
                to_year: 1976,
                may_be_whole: false,
                t_now: 2.0,
                t_shifted: 18.0,
                r_shifted: 0.9,
                gain: 50.0,
            }),
            departure: difference.map(|difference| Departure {
                from_year: 1954,
                to_year: 1983,
                r: 0.1,
                r_beside: Some(0.8),
                difference,
            }),
        }
    }

    #[test]
    fn each_stump_gets_the_one_verdict_that_fits() {
        let criteria = CheckCriteria::default();
        let of = |one: Checked| match one.verdict(&criteria) {
            Verdict::Agrees => "agrees",
            Verdict::Slipped(_) => "slipped",
            Verdict::Departs(_) => "departs",
            Verdict::Alone => "alone",
            Verdict::TooShort => "too short",
        };
        assert_eq!(of(checked(Some(12.0), None, false)), "agrees");
        assert_eq!(of(checked(Some(12.0), Some(1.0), false)), "agrees");
        assert_eq!(of(checked(Some(12.0), Some(4.0), false)), "departs");
        assert_eq!(of(checked(Some(2.0), Some(4.0), true)), "slipped");
        assert_eq!(of(checked(Some(2.0), None, false)), "alone");
        assert_eq!(of(checked(None, None, false)), "too short");
    }
}
