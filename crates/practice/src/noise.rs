//! Smooth lattice noise, the same for the same place whatever thread asks.

/// Mixes lattice coordinates into 32 well-spread bits.
pub(crate) fn hash(seed: u32, x: i32, y: i32) -> u32 {
    let mut h = seed
        ^ (x as u32).wrapping_mul(0x9E37_79B1)
        ^ (y as u32).wrapping_mul(0x85EB_CA77).rotate_left(13);
    h ^= h >> 16;
    h = h.wrapping_mul(0x7FEB_352D);
    h ^= h >> 15;
    h = h.wrapping_mul(0x846C_A68B);
    h ^ (h >> 16)
}

/// From 0 to 1 for a lattice place.
pub(crate) fn speck(seed: u32, x: i32, y: i32) -> f32 {
    (hash(seed, x, y) >> 8) as f32 / 16_777_216.0
}

fn signed(seed: u32, x: i32, y: i32) -> f32 {
    speck(seed, x, y) * 2.0 - 1.0
}

/// 0 below `low`, 1 above `high`, smooth between.
pub(crate) fn ramp(low: f32, high: f32, x: f32) -> f32 {
    let t = ((x - low) / (high - low)).clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// `a` at 0, `b` at 1.
pub(crate) fn mix(a: f32, b: f32, share: f32) -> f32 {
    a + (b - a) * share
}

/// The whole number below, and what is left of `x` above it. Quicker than
/// asking the library, which is what most of the time would go into.
fn split(x: f32) -> (i32, f32) {
    let cut = x as i32;
    let whole = cut - i32::from((cut as f32) > x);
    (whole, x - whole as f32)
}

fn ease(t: f32) -> f32 {
    t * t * (3.0 - 2.0 * t)
}

/// Smooth along one line, from -1 to 1, one bump a unit.
pub(crate) fn line(seed: u32, x: f32) -> f32 {
    let (i, t) = split(x);
    mix(
        signed(seed, i, 0),
        signed(seed, i.wrapping_add(1), 0),
        ease(t),
    )
}

/// Smooth over the plane, from -1 to 1, one bump a unit.
pub(crate) fn plane(seed: u32, x: f32, y: f32) -> f32 {
    let ((i, u), (j, v)) = (split(x), split(y));
    let (i1, j1) = (i.wrapping_add(1), j.wrapping_add(1));
    let (u, v) = (ease(u), ease(v));
    mix(
        mix(signed(seed, i, j), signed(seed, i1, j), u),
        mix(signed(seed, i, j1), signed(seed, i1, j1), u),
        v,
    )
}

/// Several [`plane`]s, each twice as fine and half as strong; about -1 to 1.
pub(crate) fn cloud(seed: u32, x: f32, y: f32, octaves: u32) -> f32 {
    let (mut sum, mut strength, mut scale, mut total) = (0.0, 1.0, 1.0, 0.0);
    for octave in 0..octaves {
        sum += strength * plane(seed.wrapping_add(octave * 101), x * scale, y * scale);
        total += strength;
        strength *= 0.5;
        scale *= 2.0;
    }
    sum / total * 1.4
}

/// Smooth around a circle and along `y`: `turn` from 0 up to 1 goes once round
/// in `cells` bumps and meets itself.
pub(crate) fn around(seed: u32, turn: f32, cells: i32, y: f32) -> f32 {
    let cells = cells.max(1);
    let (i, u) = split(turn * cells as f32);
    let i = i.clamp(0, cells - 1);
    let i1 = if i + 1 == cells { 0 } else { i + 1 };
    let (j, v) = split(y);
    let (u, v) = (ease(u), ease(v));
    mix(
        mix(signed(seed, i, j), signed(seed, i1, j), u),
        mix(signed(seed, i, j + 1), signed(seed, i1, j + 1), u),
        v,
    )
}

/// Streaks that run from the pith outward: `across_px` apart at every radius,
/// `along_px` long. Two fineness levels are blended so that streaks keep
/// their width as the circle grows.
pub(crate) fn streaks(seed: u32, turn: f32, radius: f32, across_px: f32, along_px: f32) -> f32 {
    let level = (radius.max(4.0) / across_px).max(1.0).log2();
    let whole = level.floor();
    let cells = |l: f32| (std::f32::consts::TAU * l.exp2()) as i32;
    let y = radius / along_px;
    mix(
        around(seed, turn, cells(whole), y),
        around(seed ^ 0x55AA, turn, cells(whole + 1.0), y),
        ramp(0.2, 0.8, level - whole),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn noise_around_a_circle_meets_itself() {
        for cells in [3, 17, 200] {
            let (start, end) = (
                around(7, 0.0, cells, 2.3),
                around(7, 1.0 - 1e-6, cells, 2.3),
            );
            assert!((start - end).abs() < 0.01, "{cells} cells: {start} {end}");
        }
    }

    #[test]
    fn noise_stays_within_its_limits_and_spreads() {
        let values: Vec<f32> = (0..4000)
            .map(|i| cloud(3, i as f32 * 0.37, i as f32 * 0.11, 3))
            .collect();
        assert!(values.iter().all(|v| v.abs() <= 1.4));
        assert!(values.iter().any(|v| *v > 0.4) && values.iter().any(|v| *v < -0.4));
    }
}
