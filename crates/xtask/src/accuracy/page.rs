//! docs/accuracy.md, written from what was measured.

use super::rendered::{Measured, Suite};
use super::{Drawn, joins, reliability, table};
use crate::pictures;
use anyhow::Context as _;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// Faces shown of those that came out worst.
const SHOWN: usize = 5;

/// How the real photos were measured.
const REAL: &str = "\
Thirty-one photos, of which 20 can be counted and 11 show nothing to count (a plank, a
landscape, a heap of logs and such). Rings were marked by hand along one to four radii.
Each photo was read by weights learned from the photos of the other three folds. The
evidence under which a photo is refused, how far out the rings in view are counted, how
far the latest training counts in the weights, and how wide the range is where rings can
hardly be followed were chosen on these same readings (with one fold left out when the
last is chosen, the ranges of 14 photos meet that of careful people). Chance has its
part in them: mirrored, turned by a quarter or made smaller, the same photos are counted
in the hand range in 6 to 8 of 13 cases, with a mean F1 of 0.66 to 0.67, and one of the
33 copies that should be refused is read. A ring end counts as found within three tenths
of a ring or three pixels of its mark. With networks that had learned from drawings
alone, 16 of the 20 were refused, the mean F1 was 0.17 and 2 of 13 counts were in the
hand range.";

/// What a larger sample came to.
const MORE_FACES: &str = "\
Of 300 other faces of this kind (seeds 20001 to 20300, measured on 2026-11-28, the class not
given) 259 were counted exactly and 288 to within one ring; none was refused. The
range held the count on 295, and no count lay more than 3 rings outside it. Of the 75
diffuse-porous ones 57 were counted exactly, and the range held 72. With the class given
256 were counted exactly, 55 of the diffuse-porous ones: naming it does not help.";

/// Writes the page and its pictures into `docs`.
///
/// # Errors
/// When a face cannot be drawn or read again, or a file not written.
pub(crate) fn write(drawn: &Drawn, real: &str, docs: &Path) -> anyhow::Result<()> {
    let all = drawn.faces();
    let groups = reliability::groups(&all);
    let chart = docs.join("img/reliability.svg");
    fs::write(&chart, reliability::svg(&groups)?)
        .with_context(|| format!("cannot write {}", chart.display()))?;
    let (first, last) = drawn.seeds();
    let mut text = format!(
        "# How accurate readings are\n\n\
         Written by `cargo xtask accuracy --page`; do not edit. Practice faces are drawn by\n\
         `crates/practice` and invented; their rings are known exactly. Seeds {} to {} were\n\
         drawn for this page. The wood class was {}.\n\n\
         ## Real photos, marked by hand\n\n{REAL}\n\n```\n{}\n```\n\n\
         ## Faces as a careful person photographs them\n\n{MORE_FACES}\n\n```\n{}\n{}\n```\n\n",
        first,
        last,
        if drawn.known_wood {
            "given"
        } else {
            "not given"
        },
        real,
        table::rendered(&drawn.rendered),
        table::confident_wrong(&drawn.rendered)
    );
    for (title, what, faces) in [
        (
            "Faces that nobody prepared",
            "Small in a scene, leaning, a part of the face only, rough from the saw, weathered.",
            &drawn.rough,
        ),
        (
            "Faces with a dressed strip",
            "Rough from the saw all over but for one strip, sometimes two, from the pith to the bark\n\
             or not quite. The rings to count are those that the strip shows as far as its middle\n\
             line goes.",
            &drawn.strips,
        ),
        (
            "Faces with a dressed strip that is marked",
            "Of the same kind, each with both ends of its first strip marked and no width given. The\n\
             rings to count are those of this strip.",
            &drawn.marked,
        ),
    ] {
        if !faces.is_empty() {
            let _ = write!(
                text,
                "## {title}\n\n{what}\n\n```\n{}\n{}\n```\n\n",
                table::rendered(faces),
                table::confident_wrong(faces)
            );
        }
    }
    if !drawn.joins.is_empty() {
        let _ = write!(
            text,
            "## Strips in several pictures\n\nFine-ringed strips from pith to bark in two to four \
             pictures, each turned by up to 20\ndegrees, scaled by up to a tenth, in light of its own, \
             stored as JPEG, then joined.\n\n```\n{}\n```\n\n",
            joins::table(&drawn.joins)
        );
    }
    let _ = write!(
        text,
        "## Whether confidence can be believed\n\n\
         Each found boundary has a confidence. On the line, as many are true as claimed; under it\n\
         more is claimed than is true. A boundary is true within a quarter of its ring's width.\n\n\
         ![True share of boundaries over the confidence claimed](img/reliability.svg)\n\n```\n{}\n```\n\n\
         ## The worst\n\n\
         Whole faces whose truth is farthest outside the range, then those whose best count is\n\
         farthest off.\n",
        reliability::table(&groups)
    );
    let whole = [&drawn.rendered[..], &drawn.rough[..]].concat();
    for (nth, face) in table::worst_first(&whole)
        .into_iter()
        .take(SHOWN)
        .enumerate()
    {
        let name = format!("worst-{}.jpg", nth + 1);
        show(face, &docs.join("img").join(&name))?;
        let suite = if face.suite == Suite::Rough {
            "not prepared; "
        } else {
            ""
        };
        let _ = write!(
            text,
            "\n### {}. {suite}{}\n\n{}.\n\n![Found rings over the face](img/{name})\n",
            nth + 1,
            table::one(face)
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" "),
            why(face)
        );
    }
    let page = docs.join("accuracy.md");
    fs::write(&page, text).with_context(|| format!("cannot write {}", page.display()))
}

/// What of the figures explains the count.
fn why(face: &Measured) -> String {
    /// A pith farther off than this, in percent of the radius, bends the inner rings.
    const FAR: f64 = 2.0;
    let lost = face.true_boundaries.saturating_sub(face.matched);
    let false_ones = face.found_boundaries.saturating_sub(face.matched);
    let mut parts = vec![format!(
        "Of {} boundaries {lost} have no match, and {false_ones} of the {} found are false",
        face.true_boundaries, face.found_boundaries
    )];
    if face.pith_error_percent.is_some_and(|off| off > FAR) {
        parts.push("the pith was taken in the wrong place, which bends the inner rings".to_owned());
    }
    if lost > face.true_boundaries / 4 && lost.abs_diff(false_ones) <= lost / 2 {
        parts.push(
            "lost and false ones balance: rings were followed askew from one side to another"
                .to_owned(),
        );
    } else if lost > 2 * false_ones {
        parts.push("rings ran together unseen".to_owned());
    } else if false_ones > 2 * lost {
        parts.push("marks that are no rings were taken for some".to_owned());
    }
    parts.join("; ")
}

/// Draws the face once more, lets the program read it, and keeps its ring map.
fn show(face: &Measured, path: &Path) -> anyhow::Result<()> {
    let recipe = face.suite.recipe(face.seed);
    let drawn = practice::render(&recipe);
    let place = tempfile::tempdir().context("cannot make a folder for the work")?;
    let photo = place.path().join("face.jpg");
    fs::write(
        &photo,
        practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality),
    )
    .with_context(|| format!("cannot write {}", photo.display()))?;
    pictures::count(&[], &photo, place.path())?;
    pictures::shrink(&place.path().join("face-ringmap.png"), path)
}
