//! Species a person may name, and the wood class each brings.
//!
//! Wood classes after the groups of the US Navy manual MO-312, Record (1914)
//! and the IAWA hardwood features; those marked `(m)` in the table are from
//! memory. The group for young growth is a judgement, see [`YoungGrowth`].

use crate::WoodClass;

/// How fast a young stem of this kind gains its first foot (30 cm).
///
/// A judgement and not a published table: always shown as a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum YoungGrowth {
    /// Planted or open-grown hard pine.
    HardPine,
    /// Aspen, yellow-poplar, birch, willow.
    Pioneer,
    /// Ash, maple, cherry and the like.
    MidSuccession,
    /// Oak, hickory, beech.
    SlowHardwood,
    /// White and red pine from natural seed.
    NaturalPine,
    /// Spruce, fir, hemlock, cedar.
    ShadeConifer,
}

/// One species, or a genus where the wood does not tell them apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Species {
    /// Common name, lower case.
    pub name: &'static str,
    /// Latin name.
    pub latin: &'static str,
    /// How it shows its years.
    pub class: WoodClass,
    /// How fast it starts.
    pub young: YoungGrowth,
}

/// A name that is not in the table, with the nearest ones that are.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no species \"{name}\" is known here; the nearest names are: {}", nearest.join(", "))]
pub struct UnknownSpecies {
    /// What was asked for.
    pub name: String,
    /// The nearest known names, best first.
    pub nearest: Vec<&'static str>,
}

const fn row(
    name: &'static str,
    latin: &'static str,
    class: WoodClass,
    young: YoungGrowth,
) -> Species {
    Species {
        name,
        latin,
        class,
        young,
    }
}

use WoodClass::{Conifer, DiffusePorous, RingPorous, SemiRingPorous};
use YoungGrowth::{HardPine, MidSuccession, NaturalPine, Pioneer, ShadeConifer, SlowHardwood};

static TABLE: &[Species] = &[
    row(
        "american beech",
        "Fagus grandifolia",
        DiffusePorous,
        SlowHardwood,
    ),
    row(
        "american chestnut",
        "Castanea dentata",
        RingPorous,
        SlowHardwood,
    ),
    row("american elm", "Ulmus americana", RingPorous, MidSuccession),
    row("apple", "Malus domestica", DiffusePorous, MidSuccession), // (m)
    row("ash", "Fraxinus", RingPorous, MidSuccession),
    row("aspen", "Populus tremuloides", DiffusePorous, Pioneer), // (m)
    row("austrian pine", "Pinus nigra", Conifer, HardPine),
    row("baldcypress", "Taxodium distichum", Conifer, ShadeConifer), // (m)
    row("balsam fir", "Abies balsamea", Conifer, ShadeConifer),      // (m)
    row("basswood", "Tilia americana", DiffusePorous, MidSuccession),
    row("beech", "Fagus", DiffusePorous, SlowHardwood),
    row("birch", "Betula", DiffusePorous, Pioneer),
    row("black ash", "Fraxinus nigra", RingPorous, MidSuccession),
    row(
        "black cherry",
        "Prunus serotina",
        SemiRingPorous,
        MidSuccession,
    ),
    row("black locust", "Robinia pseudoacacia", RingPorous, Pioneer),
    row("black oak", "Quercus velutina", RingPorous, SlowHardwood),
    row(
        "black walnut",
        "Juglans nigra",
        SemiRingPorous,
        MidSuccession,
    ),
    row("buckeye", "Aesculus", DiffusePorous, MidSuccession),
    row(
        "butternut",
        "Juglans cinerea",
        SemiRingPorous,
        MidSuccession,
    ),
    row("catalpa", "Catalpa", RingPorous, MidSuccession),
    row("cottonwood", "Populus deltoides", DiffusePorous, Pioneer),
    row("dogwood", "Cornus", DiffusePorous, MidSuccession), // (m)
    row(
        "douglas-fir",
        "Pseudotsuga menziesii",
        Conifer,
        ShadeConifer,
    ),
    row("eastern hemlock", "Tsuga canadensis", Conifer, ShadeConifer), // (m)
    row(
        "eastern redcedar",
        "Juniperus virginiana",
        Conifer,
        ShadeConifer,
    ), // (m)
    row("eastern white pine", "Pinus strobus", Conifer, NaturalPine),
    row("elm", "Ulmus", RingPorous, MidSuccession),
    row(
        "green ash",
        "Fraxinus pennsylvanica",
        RingPorous,
        MidSuccession,
    ),
    row(
        "hackberry",
        "Celtis occidentalis",
        RingPorous,
        MidSuccession,
    ), // (m)
    row("hickory", "Carya", RingPorous, SlowHardwood),
    row("holly", "Ilex", DiffusePorous, MidSuccession), // (m)
    row(
        "honeylocust",
        "Gleditsia triacanthos",
        RingPorous,
        MidSuccession,
    ), // (m)
    row("hornbeam", "Carpinus", DiffusePorous, SlowHardwood), // (m)
    row("larch", "Larix", Conifer, NaturalPine),        // (m)
    row(
        "live oak",
        "Quercus virginiana",
        SemiRingPorous,
        SlowHardwood,
    ), // (m)
    row("loblolly pine", "Pinus taeda", Conifer, HardPine),
    row("maple", "Acer", DiffusePorous, MidSuccession),
    row("mulberry", "Morus", RingPorous, MidSuccession),
    row(
        "northern white-cedar",
        "Thuja occidentalis",
        Conifer,
        ShadeConifer,
    ), // (m)
    row(
        "norway maple",
        "Acer platanoides",
        DiffusePorous,
        MidSuccession,
    ),
    row("norway spruce", "Picea abies", Conifer, ShadeConifer),
    row("oak", "Quercus", RingPorous, SlowHardwood),
    row(
        "osage-orange",
        "Maclura pomifera",
        RingPorous,
        MidSuccession,
    ), // (m)
    row("paper birch", "Betula papyrifera", DiffusePorous, Pioneer),
    row("pecan", "Carya illinoinensis", SemiRingPorous, SlowHardwood),
    row(
        "persimmon",
        "Diospyros virginiana",
        SemiRingPorous,
        MidSuccession,
    ), // (m)
    row("pin oak", "Quercus palustris", RingPorous, SlowHardwood),
    row("ponderosa pine", "Pinus ponderosa", Conifer, NaturalPine), // (m)
    row("red alder", "Alnus rubra", DiffusePorous, Pioneer),
    row("red maple", "Acer rubrum", DiffusePorous, MidSuccession),
    row("red oak", "Quercus rubra", RingPorous, SlowHardwood),
    row("red pine", "Pinus resinosa", Conifer, NaturalPine), // (m)
    row("red spruce", "Picea rubens", Conifer, ShadeConifer),
    row("redwood", "Sequoia sempervirens", Conifer, ShadeConifer), // (m)
    row("sassafras", "Sassafras albidum", RingPorous, MidSuccession), // (m)
    row("scots pine", "Pinus sylvestris", Conifer, HardPine),
    row("shagbark hickory", "Carya ovata", RingPorous, SlowHardwood),
    row(
        "silver maple",
        "Acer saccharinum",
        DiffusePorous,
        MidSuccession,
    ),
    row("sitka spruce", "Picea sitchensis", Conifer, ShadeConifer),
    row("spruce", "Picea", Conifer, ShadeConifer),
    row(
        "sugar maple",
        "Acer saccharum",
        DiffusePorous,
        MidSuccession,
    ),
    row(
        "sweet chestnut",
        "Castanea sativa",
        RingPorous,
        SlowHardwood,
    ),
    row(
        "sweetgum",
        "Liquidambar styraciflua",
        DiffusePorous,
        MidSuccession,
    ),
    row(
        "sycamore",
        "Platanus occidentalis",
        DiffusePorous,
        MidSuccession,
    ),
    row("tamarack", "Larix laricina", Conifer, NaturalPine), // (m)
    row("true fir", "Abies", Conifer, ShadeConifer),         // (m)
    row("walnut", "Juglans", SemiRingPorous, MidSuccession),
    row(
        "western hemlock",
        "Tsuga heterophylla",
        Conifer,
        ShadeConifer,
    ), // (m)
    row("western redcedar", "Thuja plicata", Conifer, ShadeConifer), // (m)
    row("white ash", "Fraxinus americana", RingPorous, MidSuccession),
    row("white fir", "Abies concolor", Conifer, ShadeConifer), // (m)
    row("white oak", "Quercus alba", RingPorous, SlowHardwood),
    row("willow", "Salix", DiffusePorous, Pioneer),
    row(
        "yellow birch",
        "Betula alleghaniensis",
        DiffusePorous,
        Pioneer,
    ),
    row(
        "yellow-poplar",
        "Liriodendron tulipifera",
        DiffusePorous,
        Pioneer,
    ),
];

/// All species, by name.
#[must_use]
pub fn species_table() -> &'static [Species] {
    TABLE
}

/// The species of that common or Latin name; case, hyphens and runs of spaces do not matter.
///
/// # Errors
/// [`UnknownSpecies`] with the three nearest names.
///
/// # Example
/// ```
/// let oak = wood::find_species("White  Oak").unwrap();
/// assert_eq!(oak.latin, "Quercus alba");
/// assert!(wood::find_species("wite oak").unwrap_err().nearest.contains(&"white oak"));
/// ```
pub fn find_species(name: &str) -> Result<&'static Species, UnknownSpecies> {
    let plain = |text: &str| -> String {
        text.to_lowercase()
            .split(|c: char| c.is_whitespace() || c == '-' || c == '_')
            .filter(|word| !word.is_empty())
            .collect::<Vec<_>>()
            .join(" ")
    };
    let wanted = plain(name);
    if let Some(species) = TABLE
        .iter()
        .find(|s| plain(s.name) == wanted || plain(s.latin) == wanted)
    {
        return Ok(species);
    }
    let mut by_likeness: Vec<(f64, &'static str)> = TABLE
        .iter()
        .map(|s| {
            let likeness = strsim::jaro_winkler(&wanted, &plain(s.name))
                .max(strsim::jaro_winkler(&wanted, &plain(s.latin)));
            (likeness, s.name)
        })
        .collect();
    by_likeness.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(b.1)));
    Err(UnknownSpecies {
        name: name.to_owned(),
        nearest: by_likeness
            .into_iter()
            .take(3)
            .map(|(_, name)| name)
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_sorted_and_has_no_name_twice() {
        assert!(TABLE.windows(2).all(|pair| pair[0].name < pair[1].name));
    }
}
