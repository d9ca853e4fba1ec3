//! New bytes from old: what hostile and broken files differ in from whole ones.

use rand::RngExt as _;
use rand_chacha::ChaCha8Rng;

/// Numbers at which programs go wrong, as texts hold them.
const WORDS: [&str; 24] = [
    "0",
    "-0",
    "-1",
    "1e999",
    "-1e308",
    "1e-320",
    "NaN",
    "null",
    "255",
    "256",
    "65535",
    "65536",
    "2147483648",
    "4294967295",
    "4294967296",
    "9223372036854775808",
    "18446744073709551616",
    "-9999",
    "999",
    "\"\"",
    "[]",
    "{}",
    "\u{feff}",
    "\u{10ffff}",
];

/// The same as binary headers hold them, big-endian; each is also laid the other way.
const NUMBERS: [u32; 9] = [
    0,
    1,
    0x7F,
    0xFF,
    0x7FFF,
    0xFFFF,
    0x1_0000,
    0x7FFF_FFFF,
    0xFFFF_FFFF,
];

/// Longest input that is made: a reader that falls does so on little.
const LONGEST: usize = 64 * 1024;

/// `from` with a few changes, some of them taken from `other`.
pub(crate) fn mutated(from: &[u8], other: &[u8], chance: &mut ChaCha8Rng) -> Vec<u8> {
    let mut bytes = from.to_vec();
    let changes = 1 << chance.random_range(0..4_u32);
    for _ in 0..changes {
        change(&mut bytes, other, chance);
    }
    bytes.truncate(LONGEST);
    bytes
}

fn change(bytes: &mut Vec<u8>, other: &[u8], chance: &mut ChaCha8Rng) {
    // Headers are at the beginning: look there as often as anywhere else.
    let end = match chance.random_range(0..2) {
        0 => bytes.len(),
        _ => bytes.len().min(256),
    };
    let at = chance.random_range(0..=end);
    let longest = 1_usize << chance.random_range(0..8_u32);
    let span = chance.random_range(1..=longest);
    let until = (at + span).min(bytes.len());
    match chance.random_range(0..9) {
        0 => {
            if let Some(byte) = bytes.get_mut(at) {
                *byte ^= 1 << chance.random_range(0..8_u32);
            }
        }
        1 => {
            if let Some(byte) = bytes.get_mut(at) {
                *byte = chance.random();
            }
        }
        2 => {
            bytes.drain(at..until);
        }
        3 => {
            let again = bytes[at..until].to_vec();
            bytes.splice(at..at, again);
        }
        4 => {
            let start = chance.random_range(0..=other.len());
            let piece = &other[start..(start + span).min(other.len())];
            bytes.splice(at..until, piece.iter().copied());
        }
        5 => {
            let number = NUMBERS[chance.random_range(0..NUMBERS.len())];
            let laid = match chance.random_range(0..2) {
                0 => number.to_be_bytes(),
                _ => number.to_le_bytes(),
            };
            let room = bytes.len().saturating_sub(at).min(4);
            bytes[at..at + room].copy_from_slice(&laid[4 - room..]);
        }
        6 => bytes.truncate(at),
        7 => {
            let word = WORDS[chance.random_range(0..WORDS.len())];
            bytes.splice(at..at, word.bytes());
        }
        _ => another_number(bytes, at, chance),
    }
}

/// The next number in the text at or after a place replaced by another.
fn another_number(bytes: &mut Vec<u8>, at: usize, chance: &mut ChaCha8Rng) {
    let part_of = |byte: &u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'-');
    let Some(start) = bytes[at..].iter().position(part_of).map(|nth| at + nth) else {
        return;
    };
    let length = bytes[start..]
        .iter()
        .take_while(|byte| part_of(byte))
        .count();
    let word = match chance.random_range(0..3) {
        0 => WORDS[chance.random_range(0..WORDS.len())].to_owned(),
        1 => chance.random_range(-3000..3000_i32).to_string(),
        _ => format!("{:.3}", chance.random_range(-1e4..1e4_f64)),
    };
    bytes.splice(start..start + length, word.bytes());
}
