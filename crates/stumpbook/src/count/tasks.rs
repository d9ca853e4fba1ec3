//! What is to be read, found by names alone: a folder may hold a hundred
//! thousand photos, so nothing is opened before its turn.

use super::entry::{Plan, plan_one};
use super::shard::Shard;
use crate::error::CommandError;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// One photo that is to be read.
#[derive(Debug)]
pub(crate) enum Task {
    /// It shares its stem with another photo of this run, so its entry was
    /// settled beforehand, in their order.
    Planned(Box<Plan>),
    /// Its entry is looked for when its turn comes.
    Later {
        /// The photo.
        photo: PathBuf,
        /// What follows the stem in the names of its pictures: photos of one
        /// stem from several folders may meet in one folder of pictures.
        suffix: String,
    },
}

impl Task {
    /// The photo.
    pub(crate) fn photo(&self) -> &Path {
        match self {
            Self::Planned(plan) => &plan.photo,
            Self::Later { photo, .. } => photo,
        }
    }

    /// Finds the photo's entry, and what is kept in it.
    ///
    /// # Errors
    /// When there is an entry that cannot be understood.
    pub(crate) fn plan(self) -> Result<Plan, CommandError> {
        match self {
            Self::Planned(plan) => Ok(*plan),
            Self::Later { photo, suffix } => {
                let mut plan = plan_one(photo, &mut BTreeSet::new(), &mut BTreeSet::new())?;
                plan.stem.push_str(&suffix);
                Ok(plan)
            }
        }
    }
}

/// The photos to read, each once and in the order found.
pub(crate) fn of(found: Vec<Result<PathBuf, CommandError>>) -> Vec<Result<Task, CommandError>> {
    let mut photos = BTreeSet::new();
    let found: Vec<Result<PathBuf, CommandError>> = found
        .into_iter()
        // The same photo named twice is read once.
        .filter(|photo| {
            photo
                .as_ref()
                .map_or(true, |path| photos.insert(path.clone()))
        })
        .collect();
    let mut sharing: BTreeMap<PathBuf, u32> = BTreeMap::new();
    for photo in found.iter().flatten() {
        *sharing.entry(photo.with_extension("")).or_default() += 1;
    }
    let mut entries = BTreeSet::new();
    let mut stems = BTreeSet::new();
    let mut named: BTreeMap<String, u32> = BTreeMap::new();
    found
        .into_iter()
        .map(|photo| {
            let photo = photo?;
            if sharing
                .get(&photo.with_extension(""))
                .is_some_and(|n| *n > 1)
            {
                return plan_one(photo, &mut entries, &mut stems)
                    .map(|plan| Task::Planned(Box::new(plan)));
            }
            let stem = photo.file_stem().unwrap_or(photo.as_os_str());
            let stem = stem.to_string_lossy().into_owned();
            let number = named.entry(stem.clone()).or_default();
            *number += 1;
            while !stems.insert(match *number {
                1 => stem.clone(),
                number => format!("{stem}-{number}"),
            }) {
                *number += 1;
            }
            let suffix = match *number {
                1 => String::new(),
                number => format!("-{number}"),
            };
            Ok(Task::Later { photo, suffix })
        })
        .collect()
}

/// Those that fall to one shard; what is no photo is reported by every shard.
pub(crate) fn in_shard(
    tasks: Vec<Result<Task, CommandError>>,
    shard: Shard,
) -> Vec<Result<Task, CommandError>> {
    tasks
        .into_iter()
        .filter(|task| task.as_ref().map_or(true, |task| shard.holds(task.photo())))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stems(paths: &[&str]) -> Vec<String> {
        of(paths.iter().map(|path| Ok(PathBuf::from(path))).collect())
            .into_iter()
            .map(|task| task.unwrap().plan().unwrap().stem)
            .collect()
    }

    #[test]
    fn pictures_of_one_stem_get_names_of_their_own() {
        assert_eq!(
            stems(&["a/oak.jpg", "b/oak.jpg", "a/oak.jpg", "c/oak.jpg"]),
            ["oak", "oak-2", "oak-3"]
        );
        assert_eq!(stems(&["a/oak.jpg", "a/oak.png"]), ["oak", "oak.png"]);
    }
}
