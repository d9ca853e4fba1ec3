//! What is accepted as a fact: the range of each length, days that have been,
//! and facts that fit each other. Every shell asks here, so that all refuse the
//! same.

use crate::{
    CARD_BAR_MM, Facts, Felled, Length, Marks, Mm, Point, Px, Species, Strip, Units, WoodClass,
    Year,
};
use jiff::civil::Date;

const FOOT_MM: f64 = 12.0 * Mm::PER_INCH;

/// A length that a person gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Height of the cut above the ground.
    CutHeight,
    /// Mean width of the face inside the bark.
    Across,
    /// Radius of a hollow.
    Hollow,
    /// Length of the scale card's bar.
    CardBar,
    /// A length along a tape in the photo.
    Tape,
    /// Diameter of a standing tree.
    Diameter,
    /// What a tape around a standing tree reads.
    Girth,
}

impl Measure {
    /// The least and the most that is accepted. The largest trunks known are
    /// some 30 feet through at the ground; a cut higher than 20 feet is no
    /// stump and no butt log (both from memory).
    #[must_use]
    pub fn range(self) -> (Mm, Mm) {
        let (least, most) = match self {
            Self::CutHeight => (0.0, 20.0 * FOOT_MM),
            Self::Across | Self::Diameter => (Mm::PER_INCH, 30.0 * FOOT_MM),
            Self::Hollow => (1.0, 15.0 * FOOT_MM),
            Self::CardBar => (0.5 * CARD_BAR_MM, 2.0 * CARD_BAR_MM),
            Self::Tape => (5.0, 60.0 * FOOT_MM),
            Self::Girth => (3.0 * Mm::PER_INCH, 100.0 * FOOT_MM),
        };
        (Mm(least), Mm(most))
    }

    /// What it is, as a person would say it.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::CutHeight => "the height of the cut",
            Self::Across => "the width inside the bark",
            Self::Hollow => "the radius of the hollow",
            Self::CardBar => "the length of the scale card's bar",
            Self::Tape => "the length along the tape",
            Self::Diameter => "the diameter of the tree",
            Self::Girth => "the distance around the tree",
        }
    }

    /// The length in millimeters, where it is one that can be.
    ///
    /// # Errors
    /// [`NotAccepted`] with the accepted range, in the units that were written.
    ///
    /// # Example
    /// ```
    /// use wood::{Length, Measure};
    /// let cut: Length = "300ft".parse().unwrap();
    /// let error = Measure::CutHeight.check(cut).unwrap_err();
    /// assert!(error.to_string().contains("from 0 in to 20 ft"));
    /// ```
    pub fn check(self, length: Length) -> Result<Mm, NotAccepted> {
        let (least, most) = self.range();
        if (least.0..=most.0).contains(&length.mm().0) {
            return Ok(length.mm());
        }
        let show = |mm| length.units().show(mm);
        Err(NotAccepted(format!(
            "{length} cannot be {}: it must be from {} to {}",
            self.name(),
            show(least),
            show(most)
        )))
    }
}

/// A fact that cannot be, and why.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct NotAccepted(String);

impl Felled {
    /// Refuses a felling that is still to come. `today` is the day in UTC; one
    /// day more is allowed, for it may be tomorrow already where the tree stood.
    ///
    /// # Errors
    /// [`NotAccepted`] when even the first day that is meant is after that.
    pub fn not_after(self, today: Date) -> Result<Self, NotAccepted> {
        let latest = today.tomorrow().unwrap_or(today);
        if self.starts_after(latest) {
            return Err(NotAccepted(format!("{self} is still to come")));
        }
        Ok(self)
    }
}

impl Year {
    /// The first year that can be noted: older trees stand, but no observation of
    /// them is older. Chosen.
    pub const FIRST_REMEMBERED: Self = Self(1000);

    /// Refuses a year before that, or after today.
    ///
    /// # Errors
    /// [`NotAccepted`] with the accepted range.
    pub fn remembered_by(self, today: Date) -> Result<Self, NotAccepted> {
        let (first, last) = (Self::FIRST_REMEMBERED.0, i32::from(today.year()));
        if (first..=last).contains(&self.0) {
            return Ok(self);
        }
        Err(NotAccepted(format!(
            "{self} is no year that can be remembered: it must be from {first} to {last}"
        )))
    }
}

impl Facts {
    /// Sets the species, or clears it. An earlier wood class goes with it: it
    /// must not outvote the species given now.
    pub fn set_species(&mut self, species: Option<&Species>) {
        self.species = species.map(|species| species.name.to_owned());
        self.wood = None;
    }

    /// Sets the wood class, or clears it. An earlier species of another class
    /// was a mistake and goes.
    pub fn set_wood(&mut self, class: Option<WoodClass>) {
        let contradicts = self
            .species
            .as_deref()
            .and_then(|name| crate::find_species(name).ok())
            .is_some_and(|species| class.is_some_and(|class| class != species.class));
        if contradicts {
            self.species = None;
        }
        self.wood = class;
    }

    /// Refuses facts that cannot all be true: a hollow as wide as the face.
    ///
    /// # Errors
    /// [`NotAccepted`], with lengths in the units asked for.
    pub fn fit(&self, units: Units) -> Result<(), NotAccepted> {
        match (self.hollow_radius_mm, self.across_inside_bark_mm) {
            (Some(hollow), Some(across)) if hollow.0 * 2.0 >= across.0 => {
                Err(NotAccepted(format!(
                    "a hollow with a radius of {} does not fit in a face {} across",
                    units.show(hollow),
                    units.show(across)
                )))
            }
            _ => Ok(()),
        }
    }
}

/// A mark that cannot belong to its photo.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum MisplacedMark {
    /// The pith is so far outside that rings would be straight lines.
    #[error("a pith at {},{} is far off the face", .0.x_px, .0.y_px)]
    Pith(Point),
    /// An end of the tape is outside the photo.
    #[error("an end of the tape, {},{}, lies outside the photo", .0.x_px, .0.y_px)]
    Tape(Point),
    /// An end of the strip is outside the photo.
    #[error("an end of the strip, {},{}, lies outside the photo", .0.x_px, .0.y_px)]
    Strip(Point),
    /// The strip is too short to hold rings.
    #[error("the strip from {},{} is only {:.0} pixels long", .0.x_px, .0.y_px, .1.0)]
    ShortStrip(Point, Px),
}

impl Marks {
    /// How far outside the photo a pith may be, in lengths of the photo's
    /// longer side. Chosen.
    pub const PITH_OUTSIDE: f64 = 0.5;
    /// The same for the end of a tape: a slip at the edge.
    const TAPE_OUTSIDE: f64 = 0.02;

    /// Refuses marks that cannot belong to a photo of this width and height.
    ///
    /// # Errors
    /// [`MisplacedMark`] with the first mark that is too far outside.
    pub fn fit(&self, (width, height): (u32, u32)) -> Result<(), MisplacedMark> {
        let longer = f64::from(width.max(height));
        let outside = |point: Point| {
            let off = |at: f64, size: u32| (-at).max(at - f64::from(size)).max(0.0);
            off(point.x_px, width).hypot(off(point.y_px, height)) / longer
        };
        if let Some(pith) = self.pith.filter(|pith| outside(*pith) > Self::PITH_OUTSIDE) {
            return Err(MisplacedMark::Pith(pith));
        }
        let far = |end: &Point| outside(*end) > Self::TAPE_OUTSIDE;
        let mut ends = self.tape.iter().flat_map(|tape| [tape.from, tape.to]);
        if let Some(end) = ends.find(far) {
            return Err(MisplacedMark::Tape(end));
        }
        let Some(strip) = &self.strip else {
            return Ok(());
        };
        if let Some(end) = [strip.from, strip.to].into_iter().find(far) {
            return Err(MisplacedMark::Strip(end));
        }
        if strip.length() < Strip::SHORTEST {
            return Err(MisplacedMark::ShortStrip(strip.from, strip.length()));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Tape, find_species};

    #[test]
    fn absurd_lengths_are_refused_with_the_range_and_a_flush_cut_is_taken() {
        let check = |measure: Measure, text: &str| measure.check(text.parse().unwrap());
        assert_eq!(check(Measure::CutHeight, "0in"), Ok(Mm(0.0)));
        for (measure, text, range) in [
            (Measure::CutHeight, "300ft", "from 0 in to 20 ft"),
            (Measure::CutHeight, "90m", "from 0 mm to 6.1 m"),
            (Measure::Across, "200ft", "from 1 in to 30 ft"),
            (Measure::Across, "0.5in", "from 1 in to 30 ft"),
            (Measure::Hollow, "0in", "to 15 ft"),
            (Measure::CardBar, "3mm", "from 5 cm to 20 cm"),
        ] {
            let error = check(measure, text).unwrap_err().to_string();
            assert!(error.contains(range), "{text}: {error}");
        }
    }

    #[test]
    fn a_day_to_come_and_a_year_out_of_reach_are_refused() {
        let today = jiff::civil::date(2025, 11, 8);
        let felled = |text: &str| text.parse::<Felled>().unwrap().not_after(today).is_ok();
        assert!(felled("2025-11-09") && !felled("2025-11-10") && felled("2025"));
        assert!(Year(1962).remembered_by(today).is_ok());
        let error = Year(19888).remembered_by(today).unwrap_err().to_string();
        assert!(error.contains("from 1000 to 2025"), "{error}");
        assert!(Year(2026).remembered_by(today).is_err());
    }

    #[test]
    fn species_and_wood_class_never_contradict_each_other() {
        let mut facts = Facts::default();
        facts.set_wood(Some(WoodClass::Conifer));
        facts.set_species(find_species("white oak").ok());
        assert_eq!(facts.wood, None);
        facts.set_wood(Some(WoodClass::RingPorous));
        assert_eq!(facts.species.as_deref(), Some("white oak"));
        facts.set_wood(Some(WoodClass::Conifer));
        assert_eq!(facts.species, None);
        facts.set_wood(None);
        assert_eq!(facts.wood, None);
    }

    #[test]
    fn a_hollow_as_wide_as_the_face_is_refused() {
        let mut facts = Facts {
            hollow_radius_mm: Some(Mm(100.0)),
            across_inside_bark_mm: Some(Mm(150.0)),
            ..Facts::default()
        };
        let error = facts.fit(Units::Metric).unwrap_err().to_string();
        assert!(error.contains("15 cm"), "{error}");
        facts.across_inside_bark_mm = Some(Mm(300.0));
        assert_eq!(facts.fit(Units::Inch), Ok(()));
    }

    #[test]
    fn a_pith_a_little_outside_is_taken_and_one_far_off_is_not() {
        for (x, y, taken) in [
            (500.0, 400.0, true),
            (-300.0, 400.0, true),
            (1400.0, 100.0, true),
            (-900.0, 400.0, false),
            (99999.0, 99999.0, false),
        ] {
            let marks = Marks {
                pith: Some(Point::new(x, y)),
                ..Marks::default()
            };
            assert_eq!(marks.fit((1000, 800)).is_ok(), taken, "{x},{y}");
        }
        let marks = Marks {
            tape: Some(Tape {
                from: Point::new(10.0, 10.0),
                to: Point::new(1100.0, 10.0),
                length_mm: Mm(300.0),
            }),
            ..Marks::default()
        };
        assert!(matches!(
            marks.fit((1000, 800)),
            Err(MisplacedMark::Tape(_))
        ));
    }
}
