//! What is given on the command line, put together with what was saved before.

use wood::{Facts, Felled, Hemisphere, Marks, Mm, Point, Species, Strip, Tape, WoodClass};

/// What an option does to what was saved before.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) enum Change<T> {
    /// The option was not given: leave it.
    #[default]
    Keep,
    /// The option was given as `none`: clear it.
    Clear,
    /// The option was given with a value.
    Set(T),
}

impl<T> Change<T> {
    fn apply(self, to: &mut Option<T>) {
        match self {
            Self::Keep => {}
            Self::Clear => *to = None,
            Self::Set(value) => *to = Some(value),
        }
    }

    /// The new value, where it changes at all.
    fn changed(self) -> Option<Option<T>> {
        match self {
            Self::Keep => None,
            Self::Clear => Some(None),
            Self::Set(value) => Some(Some(value)),
        }
    }
}

/// The facts that the command line changes.
#[derive(Debug, Clone, Default)]
pub(crate) struct GivenFacts {
    pub(crate) species: Change<&'static Species>,
    pub(crate) wood: Change<WoodClass>,
    pub(crate) felled: Change<Felled>,
    pub(crate) hemisphere: Option<Hemisphere>,
    pub(crate) cut_height: Change<Mm>,
    pub(crate) across: Change<Mm>,
    pub(crate) hollow: Change<Mm>,
    pub(crate) card_bar: Change<Mm>,
}

/// The marks that the command line adds or changes.
#[derive(Debug, Clone, Default)]
pub(crate) struct GivenMarks {
    pub(crate) pith: Change<Point>,
    pub(crate) tape: Change<Tape>,
    pub(crate) strip: Change<Strip>,
    /// Those of a marks file.
    pub(crate) file: Marks,
}

impl GivenMarks {
    /// Whether any mark is given or cleared.
    pub(crate) fn any(&self) -> bool {
        self.pith != Change::Keep
            || self.tape != Change::Keep
            || self.strip != Change::Keep
            || self.file != Marks::default()
    }
}

/// The saved facts, with what is given now in their place.
pub(crate) fn facts(saved: Facts, given: &GivenFacts) -> Facts {
    let mut facts = saved;
    if let Some(species) = given.species.changed() {
        facts.set_species(species);
    }
    if let Some(class) = given.wood.changed() {
        facts.set_wood(class);
    }
    facts.hemisphere = given.hemisphere.unwrap_or(facts.hemisphere);
    given.felled.apply(&mut facts.felled);
    given.cut_height.apply(&mut facts.cut_height_mm);
    given.across.apply(&mut facts.across_inside_bark_mm);
    given.hollow.apply(&mut facts.hollow_radius_mm);
    given.card_bar.apply(&mut facts.card_bar_mm);
    facts
}

/// The saved marks with those given now; of the single ones (pith, tape, strip) the
/// new one.
pub(crate) fn marks(saved: Marks, given: &GivenMarks) -> Marks {
    let mut marks = saved;
    let new = &given.file;
    marks.pith = new.pith.or(marks.pith);
    marks.tape = new.tape.or(marks.tape);
    given.pith.apply(&mut marks.pith);
    given.tape.apply(&mut marks.tape);
    marks.strip = new.strip.clone().or(marks.strip);
    given.strip.clone().apply(&mut marks.strip);
    add_new(&mut marks.unreadable, &new.unreadable);
    add_new(&mut marks.bark, &new.bark);
    add_new(&mut marks.joined, &new.joined);
    add_new(&mut marks.rings, &new.rings);
    marks
}

fn add_new<T: Clone + PartialEq>(to: &mut Vec<T>, new: &[T]) {
    for mark in new {
        if !to.contains(mark) {
            to.push(mark.clone());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::{RingMark, RingMarkKind};

    #[test]
    fn a_fact_given_now_wins_the_others_stay_and_none_clears() {
        let saved = Facts {
            species: Some("white oak".into()),
            felled: Some("2024".parse().unwrap()),
            cut_height_mm: Some(Mm(200.0)),
            note: Some("by the spring".into()),
            ..Facts::default()
        };
        let given = GivenFacts {
            felled: Change::Set("2025-11".parse().unwrap()),
            cut_height: Change::Clear,
            ..GivenFacts::default()
        };
        let merged = facts(saved, &given);
        assert_eq!(merged.species.as_deref(), Some("white oak"));
        assert_eq!(merged.felled, Some("2025-11".parse().unwrap()));
        assert_eq!(merged.cut_height_mm, None);
        assert_eq!(merged.note.as_deref(), Some("by the spring"));
        let cleared = GivenFacts {
            species: Change::Clear,
            felled: Change::Clear,
            ..GivenFacts::default()
        };
        let merged = facts(merged, &cleared);
        assert_eq!((merged.species, merged.felled), (None, None));
    }

    #[test]
    fn a_wood_class_that_contradicts_the_saved_species_drops_it() {
        let saved = Facts {
            species: Some("white oak".into()),
            ..Facts::default()
        };
        let with = |class| {
            let given = GivenFacts {
                wood: Change::Set(class),
                ..GivenFacts::default()
            };
            facts(saved.clone(), &given).species
        };
        assert_eq!(with(WoodClass::Conifer), None);
        assert_eq!(with(WoodClass::RingPorous).as_deref(), Some("white oak"));
    }

    #[test]
    fn no_mark_is_ever_lost_none_is_kept_twice_and_a_pith_can_be_cleared() {
        let mark = |x| RingMark {
            kind: RingMarkKind::Boundary,
            at: Point::new(x, 5.0),
        };
        let saved = Marks {
            pith: Some(Point::new(1.0, 2.0)),
            rings: vec![mark(10.0), mark(20.0)],
            ..Marks::default()
        };
        let new = GivenMarks {
            file: Marks {
                rings: vec![mark(20.0), mark(30.0)],
                ..Marks::default()
            },
            ..GivenMarks::default()
        };
        let both = marks(saved, &new);
        assert_eq!(both.pith, Some(Point::new(1.0, 2.0)));
        assert_eq!(both.rings, [mark(10.0), mark(20.0), mark(30.0)]);
        let clear = GivenMarks {
            pith: Change::Clear,
            ..GivenMarks::default()
        };
        assert!(clear.any() && !GivenMarks::default().any());
        let cleared = marks(both, &clear);
        assert_eq!((cleared.pith, cleared.rings.len()), (None, 3));
    }
}
