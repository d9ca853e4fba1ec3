//! Quantities as types, so that pixels, millimeters and years are never mixed.

use serde::{Deserialize, Serialize};
use std::fmt;
use std::ops::{Add, Div, Mul, Sub};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub f64);

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
    };
}

quantity!(
    /// A distance in pixels of the upright photo.
    Px
);
quantity!(
    /// A distance in millimeters on the sawn face.
    Mm
);
quantity!(
    /// A span of time in years; may be a fraction.
    Years
);
quantity!(
    /// An angle in radians, clockwise from +x (y points down).
    Angle
);

impl Mm {
    /// One international inch is exactly 25.4 mm.
    pub const PER_INCH: f64 = 25.4;

    /// This distance in inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.0 / Self::PER_INCH
    }

    /// A distance given in inches.
    #[must_use]
    pub fn from_inches(inches: f64) -> Self {
        Self(inches * Self::PER_INCH)
    }
}

/// The size of one pixel on the face, in millimeters.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(transparent)]
pub struct MmPerPx(pub f64);

impl Mul<MmPerPx> for Px {
    type Output = Mm;
    fn mul(self, scale: MmPerPx) -> Mm {
        Mm(self.0 * scale.0)
    }
}

/// A calendar year (astronomical numbering: 0 is 1 BC).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Year(pub i32);

impl fmt::Display for Year {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(out)
    }
}
