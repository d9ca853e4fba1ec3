//! The picture while it is being painted.

use crate::color::{Color, blend};

/// Pixels by rows, sRGB from 0 to 1.
#[derive(Debug, Clone)]
pub(crate) struct Canvas {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) px: Vec<Color>,
}

impl Canvas {
    pub(crate) fn new(width: usize, height: usize, color: Color) -> Self {
        Self {
            width,
            height,
            px: vec![color; width * height],
        }
    }

    /// Calls `paint` for the pixels in a box that lie in the picture.
    fn within(
        &mut self,
        low: [f32; 2],
        high: [f32; 2],
        mut paint: impl FnMut(f32, f32, &mut Color),
    ) {
        let x0 = low[0].floor().max(0.0) as usize;
        let y0 = low[1].floor().max(0.0) as usize;
        let x1 = (high[0].ceil().max(-1.0) + 1.0) as usize;
        let y1 = (high[1].ceil().max(-1.0) + 1.0) as usize;
        for y in y0..y1.min(self.height) {
            for x in x0..x1.min(self.width) {
                paint(
                    x as f32 + 0.5,
                    y as f32 + 0.5,
                    &mut self.px[y * self.width + x],
                );
            }
        }
    }

    /// A stroke that is `wide` pixels at its start and `wide_end` at its end.
    pub(crate) fn stroke(
        &mut self,
        from: [f32; 2],
        to: [f32; 2],
        wide: [f32; 2],
        color: Color,
        opacity: f32,
    ) {
        let reach = wide[0].max(wide[1]) / 2.0 + 1.0;
        let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
        let length2 = (dx * dx + dy * dy).max(1e-6);
        let low = [from[0].min(to[0]) - reach, from[1].min(to[1]) - reach];
        let high = [from[0].max(to[0]) + reach, from[1].max(to[1]) + reach];
        self.within(low, high, |x, y, px| {
            let t = (((x - from[0]) * dx + (y - from[1]) * dy) / length2).clamp(0.0, 1.0);
            let away = (x - from[0] - t * dx).hypot(y - from[1] - t * dy);
            let half = (wide[0] + (wide[1] - wide[0]) * t) / 2.0;
            let cover = (half - away + 0.5).clamp(0.0, 1.0);
            if cover > 0.0 {
                *px = blend(*px, color, cover * opacity);
            }
        });
    }

    /// A leaf or chip: an oval with pointed ends, darker along its middle and toward one side.
    pub(crate) fn leaf(
        &mut self,
        at: [f32; 2],
        size: [f32; 2],
        turn: f32,
        color: Color,
        veins: bool,
    ) {
        let (sin, cos) = turn.sin_cos();
        let reach = size[0].max(size[1]) + 1.0;
        let low = [at[0] - reach, at[1] - reach];
        let high = [at[0] + reach, at[1] + reach];
        self.within(low, high, |x, y, px| {
            let (dx, dy) = (x - at[0], y - at[1]);
            let u = (dx * cos + dy * sin) / size[0];
            let v = dy * cos - dx * sin;
            let half = size[1] * (1.0 - u * u) * (1.0 - 0.35 * u);
            let cover = (half - v.abs() + 0.5).clamp(0.0, 1.0);
            if u.abs() < 1.0 && cover > 0.0 {
                let mut tone = 1.0 + 0.16 * v / size[1] - 0.1 * u;
                if veins {
                    let side = ((u * 5.0 + v.abs() / size[1] * 1.4).fract() - 0.5).abs();
                    tone *=
                        1.0 - 0.28 * (1.0 - v.abs() / 1.3).max(0.0) - 0.1 * f32::from(side < 0.1);
                }
                // A thin dark rim stands for the shadow below the leaf.
                tone *= 1.0 - 0.35 * (1.0 - (half - v.abs()) / 2.5).clamp(0.0, 1.0);
                *px = blend(*px, color.map(|c| (c * tone).clamp(0.0, 1.0)), cover);
            }
        });
    }
}
