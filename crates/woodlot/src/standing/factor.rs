//! The rule of thumb that people meet everywhere, for comparison only.

use wood::Mm;

/// Age over diameter at breast height in inches, as extension and tree-care
/// pages print it after the International Society of Arboriculture. Where
/// lists differ (sugar maple 5 or 5.5) the middle stands.
const FACTORS: [(&str, f64); 29] = [
    ("aspen", 2.0),
    ("cottonwood", 2.0),
    ("silver maple", 3.0),
    ("pin oak", 3.0),
    ("yellow-poplar", 3.0),
    ("scots pine", 3.5),
    ("american elm", 4.0),
    ("green ash", 4.0),
    ("red oak", 4.0),
    ("sycamore", 4.0),
    ("sweetgum", 4.0),
    ("black walnut", 4.5),
    ("red maple", 4.5),
    ("norway maple", 4.5),
    ("austrian pine", 4.5),
    ("white oak", 5.0),
    ("white ash", 5.0),
    ("black cherry", 5.0),
    ("paper birch", 5.0),
    ("douglas-fir", 5.0),
    ("norway spruce", 5.0),
    ("eastern white pine", 5.0),
    ("buckeye", 5.0),
    ("sugar maple", 5.25),
    ("red pine", 5.5),
    ("american beech", 6.0),
    ("dogwood", 7.0),
    ("shagbark hickory", 7.5),
    ("white fir", 7.5),
];

/// The age in years that the rule of thumb gives, where it has a factor for
/// the species: diameter in inches times factor.
///
/// A weak comparison and never part of an answer: the sources contradict each
/// other on which trees it is for, and age from diameter missed by 26 % on
/// average for hollow oaks (Ranius, Niklasson and Berg 2009).
#[must_use]
pub fn growth_factor(species: &str, breast_height: Mm) -> Option<f64> {
    FACTORS
        .iter()
        .find(|(name, _)| *name == species)
        .map(|(_, factor)| factor * breast_height.inches())
}
