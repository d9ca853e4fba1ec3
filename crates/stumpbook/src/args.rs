//! The whole surface of the command line, as typed. Imports nothing of ours:
//! what the words mean is checked in each command's `request`.

use clap::{Args as ClapArgs, Parser, Subcommand, ValueEnum};
use std::net::IpAddr;
use std::path::PathBuf;

/// Counts and dates the rings on a photo of a sawn stump.
#[derive(Debug, Parser)]
#[command(
    name = "stumpbook",
    version,
    before_help = "Examples:\n  stumpbook count oak.jpg --species \"white oak\" --felled 2025-11 --across 24in\n  stumpbook count photos/ --out pictures",
    after_help = "Exit codes: 0 read, 1 something failed, 2 wrong usage, 3 no rings could be read."
)]
pub(crate) struct Args {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Count the rings on one or more photos, and say what the tree's age may be
    Count(Box<CountArgs>),
    /// Look at readings, and put them right, on a page on this machine
    Desk(DeskArgs),
    /// Draw practice stumps whose rings are known exactly
    Practice(PracticeArgs),
}

/// The units in which lengths are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsArg {
    /// Inches, and rings per inch.
    Inch,
    /// Millimetres.
    Metric,
}

/// The way a wood shows its years.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum WoodArg {
    /// Pine, spruce, fir, hemlock, cedar
    Conifer,
    /// Oak, ash, elm, hickory, locust
    RingPorous,
    /// Walnut, cherry, pecan
    SemiRingPorous,
    /// Maple, birch, beech, poplar
    DiffusePorous,
}

/// Options of `count`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook count oak.jpg --species \"white oak\" --felled 2025-11 --across 24in\n  stumpbook count photos/ --json --jobs 2",
    after_help = "LEN is a number with its unit: 24in, 61cm, 610mm, 2ft. X and Y are pixels of the upright photo, to the right and down.\nWhat you tell about a stump is kept beside the photo in NAME.stump.json and used again the next time."
)]
pub(crate) struct CountArgs {
    /// Photos, or folders of photos
    #[arg(value_name = "PHOTO", required = true)]
    pub(crate) photos: Vec<PathBuf>,

    /// The species, as in "white oak" or "Quercus alba"
    #[arg(
        long,
        value_name = "NAME",
        conflicts_with = "wood",
        help_heading = "What you know"
    )]
    pub(crate) species: Option<String>,

    /// How the wood shows its years, where the species is not known
    #[arg(long, value_name = "CLASS", value_enum, help_heading = "What you know")]
    pub(crate) wood: Option<WoodArg>,

    /// When the tree was felled: 2025-11-08, 2025-11 or 2025
    #[arg(long, value_name = "DATE", help_heading = "What you know")]
    pub(crate) felled: Option<String>,

    /// The tree grew south of the equator
    #[arg(long, help_heading = "What you know")]
    pub(crate) southern: bool,

    /// Height of the cut above the ground, as in 8in
    #[arg(
        long,
        value_name = "LEN",
        allow_hyphen_values = true,
        help_heading = "What you know"
    )]
    pub(crate) cut_height: Option<String>,

    /// Mean width of the face inside the bark, as in 24in
    #[arg(
        long,
        value_name = "LEN",
        allow_hyphen_values = true,
        help_heading = "What you know"
    )]
    pub(crate) across: Option<String>,

    /// Radius of a hollow or rotten heart, as in 3in
    #[arg(
        long,
        value_name = "LEN",
        allow_hyphen_values = true,
        help_heading = "What you know"
    )]
    pub(crate) hollow: Option<String>,

    /// A length along a tape in the photo, from one place to another, as in 210,80,1830,95=24in
    #[arg(
        long,
        value_name = "X1,Y1,X2,Y2=LEN",
        allow_hyphen_values = true,
        help_heading = "What you mark"
    )]
    pub(crate) tape: Option<String>,

    /// Where the pith is, as in 1200,1266
    #[arg(
        long,
        value_name = "X,Y",
        allow_hyphen_values = true,
        help_heading = "What you mark"
    )]
    pub(crate) pith: Option<String>,

    /// A file of marks (JSON, or an earlier .stump.json) to add to the photo's own
    #[arg(long, value_name = "FILE", help_heading = "What you mark")]
    pub(crate) marks: Option<PathBuf>,

    /// Print the whole reading as JSON, one line a photo, in place of the summary
    #[arg(long, help_heading = "What you get")]
    pub(crate) json: bool,

    /// The units in the summary and the charts
    #[arg(
        long,
        value_name = "UNITS",
        value_enum,
        default_value = "inch",
        help_heading = "What you get"
    )]
    pub(crate) units: UnitsArg,

    /// Write pictures to check by into this folder: ring map, unrolled stump, charts
    #[arg(long, value_name = "DIR", help_heading = "What you get")]
    pub(crate) out: Option<PathBuf>,

    /// How many processor cores to use [default: all]
    #[arg(long, value_name = "N", help_heading = "How it runs")]
    pub(crate) jobs: Option<String>,

    /// The most pixels a photo may have, as in 200M
    #[arg(long, value_name = "N", help_heading = "How it runs")]
    pub(crate) max_pixels: Option<String>,
}

/// Options of `desk`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook desk oak.jpg\n  stumpbook desk photos/ --lan",
    after_help = "The page is served by this program alone and asks nothing of any other machine. Each address it prints opens one browser, once.\nEvery mark is saved at once beside the photo in NAME.stump.json. Stop with Ctrl-C."
)]
pub(crate) struct DeskArgs {
    /// A photo, or a folder of photos [default: this folder]
    #[arg(value_name = "PHOTO|FOLDER")]
    pub(crate) open: Option<PathBuf>,

    /// Only print the address, and leave the browser alone
    #[arg(long)]
    pub(crate) no_open: bool,

    /// The port to serve at [default: a free one]
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub(crate) port: u16,

    /// Let a phone on the same network in; ADDRESS is this machine's own, where it has several
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, require_equals = true)]
    pub(crate) lan: Option<Option<IpAddr>>,
}

/// Options of `practice`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook practice --seed 7 --out practice\n  stumpbook practice --seed 7 --wood ring-porous --rings 80 --out practice"
)]
pub(crate) struct PracticeArgs {
    /// The number that the whole stump follows from
    #[arg(long, value_name = "N")]
    pub(crate) seed: u64,

    /// How many stumps, with the seeds that follow
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(crate) stumps: u32,

    /// How the wood shows its years [default: by the seed]
    #[arg(long, value_name = "CLASS", value_enum)]
    pub(crate) wood: Option<WoodArg>,

    /// How many rings, 3 to 400 [default: by the seed]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(3..=400))]
    pub(crate) rings: Option<u32>,

    /// The folder to write to
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    #[test]
    fn the_surface_is_consistent() {
        Args::command().debug_assert();
    }
}
