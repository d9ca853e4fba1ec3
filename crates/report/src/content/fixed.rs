//! What every sheet says: the method in six lines, captions and cautions.

use wood::Reading;

/// The method, a line a step.
pub(crate) const METHOD: [&str; 6] = [
    "The program finds the face and its pith, and unrolls the face around the pith.",
    "It straightens the rings, past cracks and knots, until each runs level.",
    "It marks where a year may end, from all sides of the face together, and picks the set of \
     rings that fits best.",
    "Each ring has a chance of being true; the range of the count follows from these chances.",
    "With the felling date, years are counted inward from the ring under the bark.",
    "The age adds the rings that the face does not show and the years to the height of the cut, \
     each with its own range. Both are our own estimates, not a published table.",
];

/// What the unrolled stump shows.
pub(crate) const UNROLLED_CAPTION: &str = "Pith below, bark above, one turn from left to right, \
    clockwise as in the photo. Each band is one ring at its mean width, numbered from the pith; its \
    line is broken where in doubt and missing where not seen.";

/// What the ring map shows.
pub(crate) fn ring_map_caption(reading: &Reading) -> &'static str {
    if reading.rings.last().is_some_and(|ring| ring.year.is_some()) {
        "Every ring at its outer edge; each tenth from the pith has its number and year. Orange \
         and broken: in doubt. Green: the bark edge."
    } else {
        "Every ring at its outer edge; each tenth from the pith is numbered. Orange and broken: in \
         doubt. Green: the bark edge."
    }
}

/// The cautions, each a title and what to know.
pub(crate) const CAUTIONS: [(&str, &str); 6] = [
    (
        "An estimate.",
        "An age from rings is not legal evidence and not a survey. Boundary and witness trees are \
         a licensed surveyor's business: do not cut, sand or slice one.",
    ),
    (
        "Wood on the ground only.",
        "Never fell, notch or bore a tree to learn its age.",
    ),
    (
        "Saw work",
        "is for trained people with protective gear. Hollow, leaning, hung or dead trees and \
         anything near wires are for a licensed arborist or the utility.",
    ),
    (
        "Wood dust",
        "harms lungs: keep it wet or extract it, and wear a respirator.",
    ),
    (
        "Moving wood can move pests,",
        "and is regulated. Burn it where it grew; ask the state's plant agency before a slice \
         leaves the county.",
    ),
    ("Local law and codes", "come before anything said here."),
];
