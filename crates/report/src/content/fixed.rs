//! What every sheet says: the method in six lines, and the cautions.

/// The method, a line a step.
pub(crate) const METHOD: [&str; 6] = [
    "The photo is turned upright and its lightness taken; the pith is where the rings' normals meet.",
    "The face is unrolled around the pith and its rings pulled straight, past checks and knots.",
    "Straight rings are averaged along their length, as a whole and by sectors, and all years chosen \
     together as one best path for this kind of wood.",
    "Each ring's edge has a chance of being true; the range of the count follows from these.",
    "Years run inward from the ring under the bark, which the date of felling dates.",
    "The age adds the rings that the face does not show and the years to the height of the cut, each \
     with its own range; both are judgements from handbooks.",
];

/// The cautions, each a title and what to know.
pub(crate) const CAUTIONS: [(&str, &str); 6] = [
    (
        "An estimate.",
        "An age from rings is no legal evidence and no survey. Boundary and witness trees are a \
         licensed surveyor's business: do not cut, sand or slice one.",
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
