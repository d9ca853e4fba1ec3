//! Seeded draws: every chance in a face comes from here.

use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A stream of draws that depends on nothing but its seed and its name.
#[derive(Debug, Clone)]
pub(crate) struct Dice(ChaCha8Rng);

impl Dice {
    /// The stream `name` of face `seed`; streams do not touch each other, so
    /// that one trouble more or less leaves the rest of the face as it was.
    pub(crate) fn new(seed: u64, name: u64) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        rng.set_stream(name);
        Self(rng)
    }

    /// From 0 up to, not including, 1.
    pub(crate) fn unit(&mut self) -> f64 {
        // 53 bits are what an f64 holds.
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Between `low` and `high`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A whole number from `low` to `high`, both possible.
    pub(crate) fn whole(&mut self, low: u32, high: u32) -> u32 {
        let span = f64::from(high.saturating_sub(low)) + 1.0;
        low + (self.unit() * span) as u32
    }

    /// True with the given probability.
    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// Normal with mean 0 and spread 1 (Box and Muller 1958).
    pub(crate) fn normal(&mut self) -> f64 {
        let u = 1.0 - self.unit();
        let v = self.unit();
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    /// A seed for the lattice noises.
    pub(crate) fn noise_seed(&mut self) -> u32 {
        self.0.next_u32()
    }
}
