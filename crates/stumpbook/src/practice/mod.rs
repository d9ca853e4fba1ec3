//! `stumpbook practice`: draws stumps whose rings are known exactly, with
//! their truth beside them, to practice on and to measure by.

mod cold_hollow;

use crate::args::{PracticeArgs, WoodArg};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use crate::writing;
use anyhow::Context as _;
use practice::Recipe;
use wood::WoodClass;

/// Draws the stumps asked for.
///
/// # Errors
/// When a file cannot be written, or stdout is gone.
pub(crate) fn run(args: &PracticeArgs) -> anyhow::Result<Outcome> {
    if let Some(folder) = &args.woodlot {
        return cold_hollow::draw(folder);
    }
    let (Some(first), Some(out)) = (args.seed, &args.out) else {
        return Err(
            CommandError::usage("--seed and --out are needed", "--seed 7 --out practice").into(),
        );
    };
    let last = u64::from(args.stumps - 1);
    if first.checked_add(last).is_none() {
        return Err(CommandError::usage(
            "--seed: there are not so many seeds after this one",
            "--seed 7",
        )
        .into());
    }
    writing::folder(out)?;
    let bar = say::progress(args.stumps as usize, true);
    for seed in first..=first + last {
        let mut recipe = Recipe::random(seed);
        if let Some(wood) = args.wood {
            recipe.wood = wood_class(wood);
        }
        if let Some(rings) = args.rings {
            recipe.rings = rings;
            recipe.widths.explicit_mm = None;
        }
        bar.set_message(format!("drawing practice-{seed}.jpg"));
        let face = practice::render(&recipe);
        let photo = practice::jpeg(&face.rgb, recipe.troubles.jpeg_quality);
        let photo_path = out.join(format!("practice-{seed}.jpg"));
        writing::replace(&photo_path, &photo)?;
        let truth = serde_json::to_vec(&face.truth).context("cannot write the truth")?;
        let truth_path = out.join(format!("practice-{seed}.truth.json"));
        writing::replace(&truth_path, &truth)?;
        bar.inc(1);
        let line = format!(
            "{}: {} rings, {}; truth in {}",
            photo_path.display(),
            face.truth.rings,
            face.truth.wood,
            truth_path.display()
        );
        bar.suspend(|| say::data(&line))?;
    }
    bar.finish_and_clear();
    Ok(Outcome::Read)
}

fn wood_class(typed: WoodArg) -> WoodClass {
    match typed {
        WoodArg::Conifer => WoodClass::Conifer,
        WoodArg::RingPorous => WoodClass::RingPorous,
        WoodArg::SemiRingPorous => WoodClass::SemiRingPorous,
        WoodArg::DiffusePorous => WoodClass::DiffusePorous,
    }
}
