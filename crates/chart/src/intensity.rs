//! The radial intensity profile with the boundaries on it.

use super::axis::{round_step, tick_text};
use super::palette::{INK, RULE, SOFT_INK};
use super::sheet::{Anchor, LABEL_PX, LEFT, Sheet, Size};
use crate::ChartError;
use wood::{IntensityProfile, Mm, MmPerPx, ProfileBoundary, Units};

/// Rings in one row of the chart, so that their boundaries stay apart, and most rows.
const RINGS_A_ROW: usize = 25;
const MOST_ROWS: usize = 6;
/// Top of the first row, and what is free between rows.
const TOP: f64 = 106.0;
const BETWEEN: f64 = 58.0;
/// Air above and below the curve, as a share of its range.
const AIR: f64 = 0.08;
/// Range of lightness that a row shows at least, so that noise looks like noise.
const LEAST_RANGE: f64 = 10.0;

/// A chart of the lightness from the pith outward, in rows one below another: SVG
/// text, 1000 by 1240 CSS pixels. Upright lines are ring boundaries, each tenth
/// thick and numbered, broken where in doubt.
///
/// Distances in inches or millimeters with a scale, else in photo pixels.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without a boundary or a place.
pub fn intensity_svg(
    profile: &IntensityProfile,
    scale: Option<MmPerPx>,
    units: Units,
) -> Result<String, ChartError> {
    let Some(end) = profile
        .places
        .last()
        .filter(|_| !profile.boundaries.is_empty())
    else {
        return Err(ChartError::NothingToDraw);
    };
    let rows = profile
        .boundaries
        .len()
        .div_ceil(RINGS_A_ROW)
        .clamp(1, MOST_ROWS);
    let (factor, unit) = match (scale, units) {
        (Some(scale), Units::Metric) => (scale.0, "millimeters"),
        (Some(scale), Units::Inch) => (scale.0 / Mm::PER_INCH, "inches"),
        (None, _) => (1.0, "photo pixels"),
    };
    let title = "Radial intensity profile";
    let about = format!("lightness (0 black, 100 white) along the rings; {unit} from the pith");
    Sheet::svg(Size::Tall, title, &about, |sheet| {
        let high = (sheet.foot() - TOP - BETWEEN * (rows - 1) as f64) / rows as f64;
        let reach = end.from_pith_px.0;
        for row in 0..rows {
            let from = reach * row as f64 / rows as f64;
            let to = reach * (row + 1) as f64 / rows as f64;
            let top = TOP + row as f64 * (high + BETWEEN);
            Row::new(profile, (from, to), (top, high), sheet).draw(sheet, factor)?;
        }
        sheet.caption(&[
            "The curve is the mean lightness at each distance from the pith. Upright lines are the outer \
             boundaries of rings,"
                .to_owned(),
            "each tenth thick and numbered; a half line is a ring in doubt. The curve is broken where too \
             little is seen."
                .to_owned(),
        ])
    })
}

/// One stretch of the radius.
struct Row<'a> {
    profile: &'a IntensityProfile,
    from: f64,
    to: f64,
    top: f64,
    high: f64,
    wide: f64,
    /// Lightness at the foot and at the top.
    range: (f64, f64),
}

impl<'a> Row<'a> {
    fn new(
        profile: &'a IntensityProfile,
        (from, to): (f64, f64),
        (top, high): (f64, f64),
        sheet: &Sheet<'_>,
    ) -> Self {
        let within = profile
            .places
            .iter()
            .filter(|place| (from..=to).contains(&place.from_pith_px.0))
            .filter_map(|place| place.lightness);
        let (least, most) = within.fold((f64::MAX, f64::MIN), |(least, most), lightness| {
            (least.min(lightness), most.max(lightness))
        });
        let (least, most) = if least <= most {
            (least, most)
        } else {
            (0.0, 100.0)
        };
        let spread = (most - least).max(LEAST_RANGE) * (1.0 + 2.0 * AIR);
        let middle = (least + most) / 2.0;
        Self {
            profile,
            from,
            to,
            top,
            high,
            wide: sheet.right() - LEFT,
            range: (middle - spread / 2.0, middle + spread / 2.0),
        }
    }

    fn x(&self, from_pith_px: f64) -> f64 {
        LEFT + self.wide * (from_pith_px - self.from) / (self.to - self.from)
    }

    fn y(&self, lightness: f64) -> f64 {
        let (foot, top) = self.range;
        self.top + self.high * (1.0 - (lightness - foot) / (top - foot))
    }

    fn foot(&self) -> f64 {
        self.top + self.high
    }

    fn draw(&self, sheet: &Sheet<'_>, factor: f64) -> Result<(), ChartError> {
        self.draw_scale(sheet)?;
        for boundary in &self.profile.boundaries {
            let at = boundary.from_pith_px.0;
            if at > self.from && at <= self.to {
                self.draw_boundary(sheet, boundary)?;
            }
        }
        self.draw_curve(sheet)?;
        sheet.line(
            &[(LEFT, self.foot()), (LEFT + self.wide, self.foot())],
            1.5,
            INK,
        )?;
        self.draw_distances(sheet, factor)
    }

    fn draw_scale(&self, sheet: &Sheet<'_>) -> Result<(), ChartError> {
        let (foot, top) = self.range;
        let step = round_step(top - foot, 4.0);
        let first = (foot / step).ceil() as i32;
        let last = (top / step).floor() as i32;
        for tick in first..=last {
            let lightness = f64::from(tick) * step;
            let y = self.y(lightness);
            sheet.line(&[(LEFT, y), (LEFT + self.wide, y)], 1.0, RULE)?;
            let number = format!("{lightness:.0}");
            sheet.text((LEFT - 10.0, y), LABEL_PX, INK, Anchor::End, &number)?;
        }
        Ok(())
    }

    fn draw_boundary(
        &self,
        sheet: &Sheet<'_>,
        boundary: &ProfileBoundary,
    ) -> Result<(), ChartError> {
        let x = self.x(boundary.from_pith_px.0);
        let tenth = boundary.number.is_multiple_of(10);
        let top = if boundary.is_doubtful {
            self.top + 0.5 * self.high
        } else {
            self.top
        };
        let (wide, ink) = if tenth { (2.2, INK) } else { (1.0, SOFT_INK) };
        sheet.line(&[(x, self.foot()), (x, top)], wide, ink)?;
        if tenth {
            let text = boundary.year.map_or_else(
                || boundary.number.to_string(),
                |year| format!("{} ({year})", boundary.number),
            );
            sheet.text((x, self.top - 12.0), LABEL_PX, INK, Anchor::Middle, &text)?;
        }
        Ok(())
    }

    /// The curve, in pieces where a stretch is not seen.
    fn draw_curve(&self, sheet: &Sheet<'_>) -> Result<(), ChartError> {
        let mut piece: Vec<(f64, f64)> = Vec::new();
        let within = self
            .profile
            .places
            .iter()
            .filter(|place| (self.from..=self.to).contains(&place.from_pith_px.0));
        for place in within {
            match place.lightness {
                Some(lightness) => {
                    piece.push((self.x(place.from_pith_px.0), self.y(lightness)));
                }
                None if piece.len() > 1 => {
                    sheet.line(&piece, 1.6, INK)?;
                    piece.clear();
                }
                None => piece.clear(),
            }
        }
        if piece.len() > 1 {
            sheet.line(&piece, 1.6, INK)?;
        }
        Ok(())
    }

    fn draw_distances(&self, sheet: &Sheet<'_>, factor: f64) -> Result<(), ChartError> {
        let (from, to) = (self.from * factor, self.to * factor);
        let step = round_step(to - from, 8.0);
        let first = (from / step - 1e-9).ceil() as i32;
        let last = (to / step + 1e-9).floor() as i32;
        for tick in first..=last {
            let distance = f64::from(tick) * step;
            let x = self.x(distance / factor);
            sheet.line(&[(x, self.foot()), (x, self.foot() + 6.0)], 1.5, INK)?;
            let text = tick_text(distance, step);
            sheet.text(
                (x, self.foot() + 19.0),
                LABEL_PX,
                INK,
                Anchor::Middle,
                &text,
            )?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::{IntensityPlace, Px, Year};

    /// Rings 10 pixels wide, each darkening toward its boundary.
    fn profile(rings: u32) -> IntensityProfile {
        let end = 10 * rings + 5;
        IntensityProfile {
            places: (0..=end)
                .map(|px| IntensityPlace {
                    from_pith_px: Px(f64::from(px)),
                    lightness: (px / 10 != 3).then(|| 70.0 - 3.0 * f64::from(px % 10)),
                    seen: 1.0,
                })
                .collect(),
            boundaries: (1..=rings)
                .map(|number| ProfileBoundary {
                    number,
                    year: Some(Year(1900 + number as i32)),
                    from_pith_px: Px(f64::from(10 * number)),
                    is_doubtful: number == 7,
                })
                .collect(),
        }
    }

    #[test]
    fn each_tenth_boundary_has_its_number_and_year() {
        for (rings, tenths) in [(12, 1), (88, 8), (400, 40)] {
            let svg = intensity_svg(&profile(rings), None, Units::Inch).unwrap();
            assert!(svg.contains("photo pixels from the pith"));
            let named = (1..=rings / 10)
                .filter(|tenth| {
                    let year = 1900 + 10 * tenth;
                    svg.contains(&format!("{} ({year})", 10 * tenth))
                })
                .count();
            assert_eq!(named, tenths, "{rings} rings");
        }
    }

    #[test]
    fn distances_are_in_the_unit_asked_for() {
        let scale = Some(MmPerPx(0.254));
        let inches = intensity_svg(&profile(20), scale, Units::Inch).unwrap();
        assert!(inches.contains("inches from the pith") && inches.contains(">\n1.0\n<"));
        let metric = intensity_svg(&profile(20), scale, Units::Metric).unwrap();
        assert!(metric.contains("millimeters from the pith"));
    }

    #[test]
    fn nothing_to_draw_is_an_error() {
        let mut none = profile(12);
        none.boundaries.clear();
        assert!(matches!(
            intensity_svg(&none, None, Units::Inch),
            Err(ChartError::NothingToDraw)
        ));
    }
}
