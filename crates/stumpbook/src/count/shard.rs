//! One of several runs that share the photos among them.

use crate::error::CommandError;
use sha2::{Digest as _, Sha256};
use std::path::Path;

/// Most shards; beyond it each would hold next to nothing.
const MOST: u32 = 1_000_000;

/// The K-th of N shards.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Shard {
    /// From 1.
    number: u32,
    of: u32,
}

impl Shard {
    /// What was typed as K/N.
    ///
    /// # Errors
    /// When it is not two whole numbers, the first from 1 up to the second.
    pub(crate) fn parse(text: &str) -> Result<Self, CommandError> {
        let numbers = text
            .split_once('/')
            .and_then(|(number, of)| Some((number.trim().parse().ok()?, of.trim().parse().ok()?)));
        match numbers {
            Some((number, of)) if (1..=of).contains(&number) && of <= MOST => {
                Ok(Self { number, of })
            }
            _ => Err(CommandError::usage(
                format!("--shard: \"{text}\" is not a number K of N shards, from 1/N to N/N"),
                "--shard 1/4",
            )),
        }
    }

    /// Whether a photo falls to this shard.
    ///
    /// It goes by the photo's name without folder and ending: so it is the same
    /// on every machine and wherever the folder is mounted, stays the same when
    /// photos are added, and photos of one stem, which may share an entry, fall
    /// to one shard. The first eight bytes of the SHA-256 of that name, as a
    /// number, modulo N.
    pub(crate) fn holds(self, photo: &Path) -> bool {
        let stem = photo.file_stem().unwrap_or(photo.as_os_str());
        let digest = Sha256::digest(stem.to_string_lossy().as_bytes());
        let number = digest
            .iter()
            .take(8)
            .fold(0_u64, |number, byte| (number << 8) | u64::from(*byte));
        number % u64::from(self.of) == u64::from(self.number - 1)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_photo_falls_to_exactly_one_shard_and_they_are_about_equal() {
        let shards: Vec<Shard> = (1..=4)
            .map(|k| Shard::parse(&format!("{k}/4")).unwrap())
            .collect();
        let mut sizes = [0; 4];
        for number in 0..2000 {
            let photo = format!("photos/{number}.jpg");
            let mine: Vec<usize> = (0..4)
                .filter(|k| shards[*k].holds(photo.as_ref()))
                .collect();
            assert_eq!(mine.len(), 1);
            sizes[mine[0]] += 1;
            // Another mount, another ending: the same shard.
            assert!(shards[mine[0]].holds(format!("/mnt/{number}.png").as_ref()));
        }
        assert!(
            sizes.iter().all(|size| (430..570).contains(size)),
            "{sizes:?}"
        );
    }

    #[test]
    fn what_is_no_shard_is_refused_with_an_example() {
        for text in ["", "4", "0/4", "5/4", "a/b", "1/0", "-1/4", "1/99999999"] {
            let error = Shard::parse(text).unwrap_err();
            assert_eq!(error.advice(), "--shard 1/4", "{text}");
        }
    }
}
