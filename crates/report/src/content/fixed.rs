//! What every sheet says: the method in six lines, captions and cautions.

use wood::Reading;

/// The method, a line a step.
const METHOD: [&str; 6] = [
    "The program finds the face and its pith, and unrolls the face around the pith.",
    "It straightens the rings, past cracks and knots, until each runs level.",
    "It marks where a year may end, from all sides of the face together, and picks the set of \
     rings that fits best.",
    "Each ring has a chance of being true; the range of the count follows from these chances.",
    "With the felling date, years are counted inward from the ring under the bark.",
    "The age adds the rings that the face does not show and the years to the height of the cut, \
     each with its own range. Both are our own estimates, not a published table.",
];

/// The method of a count along a strip that a person marked, as far as it differs.
const ALONG_STRIP: [&str; 4] = [
    "A person marked a strip of the face, from the pith to the bark. Only the strip is counted.",
    "The program straightens the rings on the strip, until each runs level.",
    "It marks where a year may end on the strip, and picks the set of rings that fits best.",
    "Each ring has a chance of being true; the range of the count follows from these chances, and \
     is wider because no other side of the face was compared.",
];

/// The same where the person set the rings.
const BY_HAND: [&str; 4] = [
    "A person marked a strip of the face, from the pith to the bark.",
    "The strip was shown straight and enlarged, with the ring ends that the program proposes.",
    "The person set the end of each ring. The rings set are counted, and no others.",
    "The range is one ring, or two in a hundred, either way: repeated counts of one line differ by \
     about as much.",
];

/// How the rings of a reading were found, a line a step.
pub(crate) fn method(reading: &Reading) -> Vec<String> {
    let first: &[&str] = match &reading.strip {
        None => &METHOD[..4],
        Some(strip) if strip.by_hand => &BY_HAND,
        Some(_) => &ALONG_STRIP,
    };
    let lines = first.iter().chain(&METHOD[4..]);
    lines.map(|line| (*line).to_owned()).collect()
}

/// What stands over the unrolled stump, or over the strip in its place.
pub(crate) fn unrolled_title(reading: &Reading) -> &'static str {
    if reading.strip.is_some() {
        "The strip, laid straight"
    } else {
        "The stump unrolled"
    }
}

/// What the picture under that title shows.
pub(crate) fn unrolled_caption(reading: &Reading) -> &'static str {
    if reading.strip.is_some() {
        STRIP_CAPTION
    } else {
        UNROLLED_CAPTION
    }
}

/// What the strip laid straight shows.
pub(crate) const STRIP_CAPTION: &str = "The wood of the marked strip, pith at the left. Each ring \
    that counts is drawn at its outer edge; each tenth from the pith has its number, its year \
    where that is known, and dots: one at each 10th, two at each 50th, three at each 100th.";

/// What the unrolled stump shows.
const UNROLLED_CAPTION: &str = "Pith below, bark above, one turn from left to right, \
    clockwise as in the photo. Each band is one ring at its mean width, numbered from the pith; its \
    line is broken where in doubt and missing where not seen.";

/// What the ring map shows.
pub(crate) fn ring_map_caption(reading: &Reading) -> &'static str {
    if reading.strip.is_some() {
        "The marked strip, with every ring that counts across it at its outer edge; each tenth \
         from the pith is numbered. Green: the bark edge."
    } else if reading.rings.last().is_some_and(|ring| ring.year.is_some()) {
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
