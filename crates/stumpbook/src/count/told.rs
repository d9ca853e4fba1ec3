//! What the person told now, put together with what was told before.

use wood::{Facts, Felled, Hemisphere, Marks, Mm, Species, WoodClass};

/// What the command line tells about a stump.
#[derive(Debug, Clone, Default)]
pub(crate) struct Told {
    pub(crate) species: Option<&'static Species>,
    pub(crate) wood: Option<WoodClass>,
    pub(crate) felled: Option<Felled>,
    pub(crate) southern: bool,
    pub(crate) cut_height: Option<Mm>,
    pub(crate) across: Option<Mm>,
    pub(crate) hollow: Option<Mm>,
    pub(crate) card_bar: Option<Mm>,
}

/// The facts kept from before, with what is told now in their place.
pub(crate) fn facts(kept: Facts, told: &Told) -> Facts {
    let mut facts = kept;
    if let Some(species) = told.species {
        facts.species = Some(species.name.to_owned());
        // An earlier --wood must not outvote the species told now.
        facts.wood = None;
    }
    if let Some(class) = told.wood {
        facts.wood = Some(class);
        // A species of another class was a mistake; told now wins.
        let contradicts = facts
            .species
            .as_deref()
            .and_then(|name| wood::find_species(name).ok())
            .is_some_and(|species| species.class != class);
        if contradicts {
            facts.species = None;
        }
    }
    if told.southern {
        facts.hemisphere = Hemisphere::Southern;
    }
    facts.felled = told.felled.or(facts.felled);
    facts.cut_height_mm = told.cut_height.or(facts.cut_height_mm);
    facts.across_inside_bark_mm = told.across.or(facts.across_inside_bark_mm);
    facts.hollow_radius_mm = told.hollow.or(facts.hollow_radius_mm);
    facts.card_bar_mm = told.card_bar.or(facts.card_bar_mm);
    facts
}

/// All marks of before and of now; of the single ones (pith, tape) the new one.
pub(crate) fn marks(kept: Marks, new: &Marks) -> Marks {
    let mut marks = kept;
    marks.pith = new.pith.or(marks.pith);
    marks.tape = new.tape.or(marks.tape);
    for polygon in &new.unreadable {
        if !marks.unreadable.contains(polygon) {
            marks.unreadable.push(polygon.clone());
        }
    }
    for place in &new.bark {
        if !marks.bark.contains(place) {
            marks.bark.push(*place);
        }
    }
    for line in &new.joined {
        if !marks.joined.contains(line) {
            marks.joined.push(line.clone());
        }
    }
    for ring in &new.rings {
        if !marks.rings.contains(ring) {
            marks.rings.push(*ring);
        }
    }
    marks
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::{Point, RingMark, RingMarkKind};

    #[test]
    fn a_fact_told_now_wins_and_the_others_stay() {
        let kept = Facts {
            species: Some("white oak".into()),
            felled: Some("2024".parse().unwrap()),
            note: Some("by the spring".into()),
            ..Facts::default()
        };
        let told = Told {
            felled: Some("2025-11".parse().unwrap()),
            ..Told::default()
        };
        let facts = facts(kept, &told);
        assert_eq!(facts.species.as_deref(), Some("white oak"));
        assert_eq!(facts.felled, Some("2025-11".parse().unwrap()));
        assert_eq!(facts.note.as_deref(), Some("by the spring"));
    }

    #[test]
    fn a_wood_class_that_contradicts_the_kept_species_drops_it() {
        let kept = Facts {
            species: Some("white oak".into()),
            ..Facts::default()
        };
        let with = |wood| {
            facts(
                kept.clone(),
                &Told {
                    wood: Some(wood),
                    ..Told::default()
                },
            )
            .species
        };
        assert_eq!(with(WoodClass::Conifer), None);
        assert_eq!(with(WoodClass::RingPorous).as_deref(), Some("white oak"));
    }

    #[test]
    fn no_mark_is_ever_lost_and_none_is_kept_twice() {
        let mark = |x| RingMark {
            kind: RingMarkKind::Boundary,
            at: Point::new(x, 5.0),
        };
        let kept = Marks {
            pith: Some(Point::new(1.0, 2.0)),
            rings: vec![mark(10.0), mark(20.0)],
            ..Marks::default()
        };
        let new = Marks {
            rings: vec![mark(20.0), mark(30.0)],
            ..Marks::default()
        };
        let both = marks(kept, &new);
        assert_eq!(both.pith, Some(Point::new(1.0, 2.0)));
        assert_eq!(both.rings, [mark(10.0), mark(20.0), mark(30.0)]);
    }
}
