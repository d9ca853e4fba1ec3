//! Whether a boundary of confidence 0.8 is a true one in eight cases of ten.

use super::rendered::{Claim, Measured};
use anyhow::anyhow;
use plotters::prelude::*;
use std::fmt::Write as _;

/// Boundaries of alike confidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Alike {
    pub(crate) count: usize,
    /// Mean of what was claimed.
    pub(crate) claimed: f64,
    /// Share that are true ones.
    pub(crate) right: f64,
}

/// Where one group of confidences ends and the next begins.
const LIMITS: [f64; 9] = [0.0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 1.0];

/// Boundaries of all faces in groups of alike confidence; empty groups left out.
pub(crate) fn groups(faces: &[Measured]) -> Vec<Alike> {
    let claims: Vec<Claim> = faces.iter().flat_map(|face| face.claims.clone()).collect();
    LIMITS
        .windows(2)
        .filter_map(|limits| {
            let these: Vec<&Claim> = claims
                .iter()
                .filter(|claim| (limits[0]..limits[1]).contains(&claim.confidence))
                .collect();
            let count = these.len();
            let mean = |of: &dyn Fn(&Claim) -> f64| {
                these.iter().map(|claim| of(claim)).sum::<f64>() / count as f64
            };
            (count > 0).then(|| Alike {
                count,
                claimed: mean(&|claim| claim.confidence),
                right: mean(&|claim| f64::from(u8::from(claim.right))),
            })
        })
        .collect()
}

/// The groups as a table.
pub(crate) fn table(groups: &[Alike]) -> String {
    let mut text = format!("{:>12}{:>12}{:>12}", "boundaries", "claimed %", "true %");
    for group in groups {
        let _ = write!(
            text,
            "\n{:>12}{:>12.1}{:>12.1}",
            group.count,
            100.0 * group.claimed,
            100.0 * group.right
        );
    }
    text
}

/// The groups as a chart (SVG): true share over what was claimed; points on the
/// line are honest, points under it claim too much.
///
/// # Errors
/// When the chart cannot be drawn.
pub(crate) fn svg(groups: &[Alike]) -> anyhow::Result<String> {
    let mut out = String::new();
    {
        let ink = RGBColor(0x2b, 0x26, 0x20);
        let mark = RGBColor(0x9a, 0x3b, 0x1e);
        let area = SVGBackend::with_string(&mut out, (520, 460)).into_drawing_area();
        let failed = |error: &dyn std::fmt::Display| anyhow!("cannot draw the chart: {error}");
        area.fill(&RGBColor(0xfb, 0xf8, 0xf1))
            .map_err(|e| failed(&e))?;
        let mut chart = ChartBuilder::on(&area)
            .margin(16)
            .x_label_area_size(44)
            .y_label_area_size(56)
            .build_cartesian_2d(0.0..100.0, 0.0..100.0)
            .map_err(|e| failed(&e))?;
        chart
            .configure_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(ink.mix(0.12))
            .axis_style(ink)
            .label_style(("serif", 14).into_font().color(&ink))
            .x_desc("confidence claimed, %")
            .y_desc("true boundaries, %")
            .draw()
            .map_err(|e| failed(&e))?;
        chart
            .draw_series([PathElement::new(
                vec![(0.0, 0.0), (100.0, 100.0)],
                ink.mix(0.5).stroke_width(1),
            )])
            .map_err(|e| failed(&e))?;
        let points: Vec<(f64, f64)> = groups
            .iter()
            .map(|group| (100.0 * group.claimed, 100.0 * group.right))
            .collect();
        chart
            .draw_series([PathElement::new(points.clone(), mark.stroke_width(2))])
            .map_err(|e| failed(&e))?;
        chart
            .draw_series(
                points
                    .into_iter()
                    .map(|point| Circle::new(point, 5, mark.filled())),
            )
            .map_err(|e| failed(&e))?;
        area.present().map_err(|e| failed(&e))?;
    }
    Ok(out)
}
