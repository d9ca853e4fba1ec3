//! From the face to the picture and back: a camera that may lean.

use crate::recipe::Recipe;

/// The camera. Face coordinates are pixels from the middle of the face as
/// they would be seen square on; picture coordinates are pixels of the photo.
#[derive(Debug, Clone, Copy)]
pub(crate) struct View {
    middle: [f64; 2],
    /// Unit vector toward the far side.
    far: [f64; 2],
    cos: f64,
    /// Sine of the lean over the camera's distance, per pixel.
    sin_over_distance: f64,
}

impl View {
    pub(crate) fn new(recipe: &Recipe) -> Self {
        let half_short = f64::from(recipe.width_px.min(recipe.height_px)) / 2.0;
        let tilt = recipe.tilt_deg.to_radians();
        let (sin, cos) = recipe.tilt_direction_deg.to_radians().sin_cos();
        // A phone sees about 65 degrees of the long side: it stands about
        // three half short sides away (from memory).
        let distance = 3.2 * half_short;
        Self {
            middle: [
                f64::from(recipe.width_px) / 2.0 + recipe.shift[0] * half_short,
                f64::from(recipe.height_px) / 2.0 + recipe.shift[1] * half_short,
            ],
            far: [cos, sin],
            cos: tilt.cos(),
            sin_over_distance: tilt.sin() / distance,
        }
    }

    /// Where a place on the face is seen.
    pub(crate) fn to_picture(self, face: [f64; 2]) -> [f64; 2] {
        let v = face[0] * self.far[0] + face[1] * self.far[1];
        let u = face[1] * self.far[0] - face[0] * self.far[1];
        let depth = (1.0 + v * self.sin_over_distance).max(0.05);
        self.place(u / depth, v * self.cos / depth)
    }

    fn place(self, u: f64, v: f64) -> [f64; 2] {
        [
            self.middle[0] + v * self.far[0] - u * self.far[1],
            self.middle[1] + v * self.far[1] + u * self.far[0],
        ]
    }

    /// The place on the face's plane that is seen at a place of the picture.
    pub(crate) fn to_face(self, picture: [f64; 2]) -> [f64; 2] {
        let (x, y) = (picture[0] - self.middle[0], picture[1] - self.middle[1]);
        let seen_v = x * self.far[0] + y * self.far[1];
        let seen_u = y * self.far[0] - x * self.far[1];
        // The floor keeps the horizon away.
        let v = seen_v / (self.cos - seen_v * self.sin_over_distance).max(0.08);
        let u = seen_u * (1.0 + v * self.sin_over_distance);
        [
            v * self.far[0] - u * self.far[1],
            v * self.far[1] + u * self.far[0],
        ]
    }

    /// Face pixels under one picture pixel, at most, near the middle.
    pub(crate) fn footprint(self) -> f32 {
        (1.0 / self.cos) as f32
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_the_same_place() {
        let view = View::new(&Recipe {
            tilt_deg: 48.0,
            tilt_direction_deg: 250.0,
            ..Recipe::default()
        });
        for face in [[0.0, 0.0], [300.0, -120.0], [-80.0, 410.0]] {
            let back = view.to_face(view.to_picture(face));
            assert!((back[0] - face[0]).hypot(back[1] - face[1]) < 1e-6);
        }
    }
}
