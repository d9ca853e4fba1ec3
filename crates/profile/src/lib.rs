//! In: a [`photo::Face`]. Out: where the pith is, the face unrolled around it,
//! the rings straightened into level courses, and the radial intensity
//! profile. Never: files, or a decision on what is a year.

mod best_path;
mod direction;
mod edge;
mod pith;
mod radial;
mod simd;
mod smooth;
mod spacing;
mod straighten;
mod unroll;

pub use direction::{DirectionField, Directions};
pub use edge::{BarkEdge, find_bark_edge};
pub use pith::{FoundPith, PithParams, find_pith, misfit_at};
pub use radial::{RadialProfile, radial_profile};
pub use smooth::{Edge, blur_across, blur_down, blur_line};
pub use spacing::{SpacingParams, local_spacing, usual_spacing};
pub use straighten::{
    Flattened, Levelness, Lines, StraightenParams, Straightened, flatten, more_rows, straighten,
    straighten_along, straighten_by,
};
pub use unroll::{Fineness, Span, Unrolled, unroll};
