//! The wood class: given, brought by the species, or guessed from the picture.

use sight::SeenRings;
use wood::{Facts, WoodClass, WoodFound, WoodSource, find_species};

/// The wood class that the person gave, by itself or with the species.
pub(crate) fn given_wood(facts: &Facts) -> Option<WoodFound> {
    let given = facts.wood.map(|class| WoodFound {
        class,
        from: WoodSource::Given,
    });
    let of_species = || {
        let species = find_species(facts.species.as_deref()?).ok()?;
        Some(WoodFound {
            class: species.class,
            from: WoodSource::Species,
        })
    };
    given.or_else(of_species)
}

/// The class of [`given_wood`].
pub(crate) fn given_class(facts: &Facts) -> Option<WoodClass> {
    given_wood(facts).map(|wood| wood.class)
}

/// The wood class the person gave, the species brings, or the picture suggests.
pub(crate) fn wood_class(facts: &Facts, seen: &SeenRings) -> WoodFound {
    if let Some(given) = given_wood(facts) {
        return given;
    }
    let likeliest = (0..WoodClass::ALL.len())
        .max_by(|&a, &b| seen.kinds[a].total_cmp(&seen.kinds[b]))
        .unwrap_or(0);
    WoodFound {
        class: WoodClass::ALL[likeliest],
        from: WoodSource::Guessed,
    }
}
