//! Trees that still stand: how old they must be, and when they will reach a
//! size, from the diameters that counted stumps had at each age.

mod curve;
mod factor;
mod forecast;
mod student;

pub use curve::{Curve, curves};
pub use factor::growth_factor;
pub use forecast::{
    LeftOut, Standing, StandingError, StandingQuestion, left_out, standing_age, years_to_size,
};

#[cfg(test)]
mod tests;
