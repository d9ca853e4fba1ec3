//! The whole surface of the command line, as typed. Imports nothing of ours:
//! what the words mean is checked in each command's `request`.

use clap::{Args as ClapArgs, CommandFactory as _, Parser, Subcommand, ValueEnum};
use std::ffi::OsString;
use std::net::IpAddr;
use std::path::{Path, PathBuf};

/// Counts and dates the rings on a photo of a sawn stump.
#[derive(Debug, Parser)]
#[command(
    name = "stumpbook",
    version,
    before_help = "Examples:\n  stumpbook oak.jpg\n  stumpbook count oak.jpg --species \"white oak\" --felled 2025-11 --across 24in\n  stumpbook count photos/ --out pictures",
    after_help = "stumpbook PHOTO is short for stumpbook count PHOTO.\nExit codes: 0 read, 1 something failed, 2 wrong usage, 3 no rings could be read."
)]
pub(crate) struct Args {
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// The arguments with `count` put in where a photo or folder is named and no
/// command: `stumpbook oak.jpg` is `stumpbook count oak.jpg`.
pub(crate) fn with_command(typed: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let mut typed: Vec<OsString> = typed.into_iter().collect();
    let is_command = |word: &str| {
        word == "help"
            || Args::command()
                .get_subcommands()
                .any(|command| command.get_name() == word)
    };
    let names_a_photo = typed.get(1).is_some_and(|first| {
        let word = first.to_string_lossy();
        // Any name with an ending, or anything that is there, is meant as a file.
        !word.starts_with('-')
            && !is_command(&word)
            && (Path::new(first).extension().is_some() || Path::new(first).exists())
    });
    if names_a_photo {
        typed.insert(1, "count".into());
    }
    typed
}

/// The commands.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Count the rings on one or more photos and estimate the age of each tree
    Count(Box<CountArgs>),
    /// List the facts and marks saved for a photo, or drop marks
    Facts(FactsArgs),
    /// List the species that are known, with their wood
    Species(SpeciesArgs),
    /// Make the landowner's sheet of one or more stumps, as PDF and HTML
    Sheet(SheetArgs),
    /// Make the scale card: print it, cut it out and lay it on the stump
    Card(CardArgs),
    /// Check and correct readings on a page served on this machine
    Desk(DeskArgs),
    /// Draw practice stumps whose rings are known exactly
    Practice(PracticeArgs),
    /// Keep many stumps in one book: good and bad years, cross-checks, ages of standing trees
    Woodlot(WoodlotArgs),
    /// Export ring widths: CSV, JSON, the decadal layout, TRiDaS
    Export(ExportArgs),
    /// Import ring widths from another program's file
    Import(ImportArgs),
}

/// The units in which lengths are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum UnitsArg {
    /// Inches, and rings per inch.
    Inch,
    /// Millimeters.
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

/// The way a wood shows its years, or that it is not known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum WoodFactArg {
    /// Pine, spruce, fir, hemlock, cedar
    Conifer,
    /// Oak, ash, elm, hickory, locust
    RingPorous,
    /// Walnut, cherry, pecan
    SemiRingPorous,
    /// Maple, birch, beech, poplar
    DiffusePorous,
    /// Not known: clears what was saved
    None,
}

/// Options of `count`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook count oak.jpg --species \"white oak\" --felled 2025-11 --across 24in\n  stumpbook count photos/ --json --jobs 2\n  stumpbook count oak-1.jpg oak-2.jpg oak-3.jpg --join",
    after_help = "LEN is a number with its unit: 24in, 16 1/4in, 1ft 4in, 61cm, 610mm. X and Y are pixels of the upright photo, to the right and down.\nFacts and marks are saved beside the photo in NAME.stump.json and used again the next time. To clear one, give none, as in --across none; stumpbook facts PHOTO lists them.\nWith --join the joined picture is written beside the first photo, as in oak-1-joined.png, and read like any photo; each picture must show about a third of the one before."
)]
pub(crate) struct CountArgs {
    /// Photos, or folders of photos
    #[arg(value_name = "PHOTO", required = true)]
    pub(crate) photos: Vec<PathBuf>,

    /// Join the photos, overlapping pictures of one strip, and read them as one stump
    #[arg(long, conflicts_with_all = ["shard"])]
    pub(crate) join: bool,

    /// The species, as in "white oak" or "Quercus alba"
    #[arg(
        long,
        value_name = "NAME",
        conflicts_with = "wood",
        help_heading = "What you know"
    )]
    pub(crate) species: Option<String>,

    /// The wood class, where the species is not known
    #[arg(long, value_name = "CLASS", value_enum, help_heading = "What you know")]
    pub(crate) wood: Option<WoodFactArg>,

    /// When the tree was felled: 2025-11-08, 2025-11 or 2025
    #[arg(long, value_name = "DATE", help_heading = "What you know")]
    pub(crate) felled: Option<String>,

    /// The tree grew south of the equator
    #[arg(long, conflicts_with = "northern", help_heading = "What you know")]
    pub(crate) southern: bool,

    /// It grew north of the equator; only needed to undo --southern
    #[arg(long, help_heading = "What you know")]
    pub(crate) northern: bool,

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

    /// Length of the scale card's bar as you measure it on the print, where it is not 100mm
    #[arg(
        long,
        value_name = "LEN",
        allow_hyphen_values = true,
        help_heading = "What you know"
    )]
    pub(crate) card_bar: Option<String>,

    /// Tag, owner, place and the like.
    #[command(flatten)]
    pub(crate) labels: LabelArgs,

    /// A length along a tape in the photo, from one place to another, as in 210,80,1830,95=24in
    #[arg(
        long,
        value_name = "X1,Y1,X2,Y2=LEN",
        allow_hyphen_values = true,
        help_heading = "What you mark"
    )]
    pub(crate) tape: Option<String>,

    /// A strip from the pith to the bark: only rings in it are counted, as in 1200,1266,2350,1310
    ///
    /// The two ends in pixels, and after them the width where it is not a usual one, as in
    /// 1200,1266,2350,1310,180.
    #[arg(
        long,
        value_name = "X1,Y1,X2,Y2[,WIDTH]",
        allow_hyphen_values = true,
        help_heading = "What you mark"
    )]
    pub(crate) strip: Option<String>,

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

    /// Write pictures to check by into this folder: ring map, unrolled stump, profile, charts
    #[arg(long, value_name = "DIR", help_heading = "What you get")]
    pub(crate) out: Option<PathBuf>,

    /// Add each result to this file as it comes, one JSON a line, and go on where an earlier run left off
    #[arg(long, value_name = "FILE", help_heading = "Many photos")]
    pub(crate) results: Option<PathBuf>,

    /// Read only the K-th of N shares of the photos, as in 1/4; the shares together are the whole
    #[arg(long, value_name = "K/N", help_heading = "Many photos")]
    pub(crate) shard: Option<String>,

    /// Read photos again whose readings would come out the same
    #[arg(long, help_heading = "Many photos")]
    pub(crate) again: bool,

    /// How many processor cores to use [default: all]
    #[arg(long, value_name = "N", help_heading = "How it runs")]
    pub(crate) jobs: Option<String>,

    /// The most pixels a photo may have, as in 200M
    #[arg(long, value_name = "N", help_heading = "How it runs")]
    pub(crate) max_pixels: Option<String>,
}

/// Options of `facts`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook facts oak.jpg\n  stumpbook facts oak.jpg --drop 3\n  stumpbook facts oak.jpg --drop 3 --drop 4",
    after_help = "Marks are numbered in the list. After marks are dropped the photo is read again.\nA fact is cleared with count: stumpbook count oak.jpg --across none"
)]
pub(crate) struct FactsArgs {
    /// A photo, or its NAME.stump.json
    #[arg(value_name = "PHOTO")]
    pub(crate) photo: PathBuf,

    /// Drop the mark of this number, or all marks
    #[arg(long, value_name = "N|all")]
    pub(crate) drop: Vec<String>,

    /// The units of lengths
    #[arg(long, value_name = "UNITS", value_enum, default_value = "inch")]
    pub(crate) units: UnitsArg,
}

/// Options of `species`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook species\n  stumpbook species oak\n  stumpbook species \"white pine\"",
    after_help = "Common names, Latin names and the other names listed all work with --species; capitals, spaces and hyphens do not matter."
)]
pub(crate) struct SpeciesArgs {
    /// List only trees with this word, or part of one, in a name
    #[arg(value_name = "WORD")]
    pub(crate) word: Option<String>,
}

/// Facts in the person's own words; `none` clears one.
#[derive(Debug, Clone, Default, ClapArgs)]
pub(crate) struct LabelArgs {
    /// The number on the tree's or stump's tag
    #[arg(long, value_name = "TEXT", help_heading = "What you know")]
    pub(crate) tag: Option<String>,

    /// Who owns the tree
    #[arg(long, value_name = "NAME", help_heading = "What you know")]
    pub(crate) owner: Option<String>,

    /// Where the tree stood, as in "north side of the brook"
    #[arg(long, value_name = "TEXT", help_heading = "What you know")]
    pub(crate) place: Option<String>,

    /// Who counted or checked the rings
    #[arg(long, value_name = "NAME", help_heading = "What you know")]
    pub(crate) counted_by: Option<String>,

    /// Anything else to keep with the stump
    #[arg(long, value_name = "TEXT", help_heading = "What you know")]
    pub(crate) note: Option<String>,

    /// What is remembered of a year, as in "1991=thinned by the brook"; may be repeated
    #[arg(long, value_name = "YEAR=TEXT", help_heading = "What you know")]
    pub(crate) remember: Vec<String>,
}

/// A paper size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperArg {
    /// US Letter, 8.5 by 11 in
    Letter,
    /// ISO A4, 210 by 297 mm
    A4,
}

/// The color that pages are printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperColorArg {
    /// Nothing is printed where the page is empty
    White,
    /// A cream background
    Cream,
}

/// Options of `sheet`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook sheet oak.jpg --title \"The yard oak\"\n  stumpbook sheet photos/ --paper a4 --units metric --out sheets",
    after_help = "Writes NAME-sheet.pdf and NAME-sheet.html. The photo must be beside its .stump.json; a photo that was not counted yet is counted first.\nPage 1 has the age and the growth, page 2 the rings, method and cautions, page 3 the check on the stump, page 4 growth charts, and the last pages every ring with its year and width."
)]
pub(crate) struct SheetArgs {
    /// Photos, their NAME.stump.json, or folders of them
    #[arg(value_name = "PHOTO|STUMP|FOLDER", required = true)]
    pub(crate) stumps: Vec<PathBuf>,

    /// The tree's name on the sheet [default: its species]
    #[arg(long, value_name = "TEXT")]
    pub(crate) title: Option<String>,

    /// The paper it is printed on
    #[arg(long, value_name = "PAPER", value_enum, default_value = "letter")]
    pub(crate) paper: PaperArg,

    /// The color of the PDF's pages
    #[arg(long, value_name = "COLOR", value_enum, default_value = "white")]
    pub(crate) paper_color: PaperColorArg,

    /// The units of lengths; the page for the stump always has both
    #[arg(long, value_name = "UNITS", value_enum, default_value = "inch")]
    pub(crate) units: UnitsArg,

    /// The folder to write to [default: beside the entry]
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

/// Options of `card`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook card\n  stumpbook card --paper a4 --out card.pdf",
    after_help = "Print it at its actual size and measure its bar. count finds the card in a photo by itself."
)]
pub(crate) struct CardArgs {
    /// The paper it is printed on
    #[arg(long, value_name = "PAPER", value_enum, default_value = "letter")]
    pub(crate) paper: PaperArg,

    /// The file or folder to write to [default: scale-card-PAPER.pdf here]
    #[arg(long, value_name = "PATH")]
    pub(crate) out: Option<PathBuf>,
}

/// Options of `desk`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook desk oak.jpg\n  stumpbook desk photos/ --lan",
    after_help = "The page is served by this program alone and contacts no other machine. Each address it prints opens one browser, once.\nEvery mark is saved at once beside the photo in NAME.stump.json. Stop with Ctrl-C."
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

    /// With a photo: the ring to begin at, counted from the pith
    #[arg(long, value_name = "N", requires = "open", value_parser = clap::value_parser!(u32).range(1..))]
    pub(crate) ring: Option<u32>,

    /// Let a phone on the same network in; ADDRESS is this machine's own, where it has several
    #[arg(long, value_name = "ADDRESS", num_args = 0..=1, require_equals = true)]
    pub(crate) lan: Option<Option<IpAddr>>,

    /// Stop once no browser was connected for so many minutes [default: never]
    #[arg(long, value_name = "MINUTES", value_parser = clap::value_parser!(u32).range(1..))]
    pub(crate) end_unused: Option<u32>,
}

/// Options of `practice`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook practice --seed 7 --out practice\n  stumpbook practice --woodlot cold-hollow"
)]
pub(crate) struct PracticeArgs {
    /// The number that the whole stump follows from
    #[arg(long, value_name = "N", required_unless_present = "woodlot")]
    pub(crate) seed: Option<u64>,

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
    #[arg(long, value_name = "DIR", required_unless_present = "woodlot")]
    pub(crate) out: Option<PathBuf>,

    /// Draw the invented woodlot Cold Hollow into this folder: twelve stumps with readings made from their known rings, one of them read short by a ring on purpose
    #[arg(long, value_name = "DIR", conflicts_with_all = ["seed", "stumps", "wood", "rings", "out"])]
    pub(crate) woodlot: Option<PathBuf>,
}

/// A format that ring widths are exported in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum FormatArg {
    /// A table, one line a ring; opens in a spreadsheet
    Csv,
    /// A table, one line a tree: species, rings, age, diameter, rings per inch
    Trees,
    /// A table of ring widths along single radii: the longest and the shortest, or --angle
    Radii,
    /// Everything that is known of each stump
    Json,
    /// The decadal layout of ring-width data banks, at 0.01 mm
    Decadal,
    /// The same at 0.001 mm
    #[value(name = "decadal-0.001")]
    DecadalFine,
    /// TRiDaS, the tree-ring data standard (XML)
    Tridas,
}

/// Options of `export`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook export photos/ --format csv --to rings.csv\n  stumpbook export hollow.book --format trees --to trees.csv\n  stumpbook export hollow.book --format decadal-0.001 > rings.rwl",
    after_help = "Fields that a format cannot store are reported for each stump; docs/formats.md says what each format keeps."
)]
pub(crate) struct ExportArgs {
    /// Counted photos or their .stump.json, folders of them, or the book of a woodlot
    #[arg(value_name = "PHOTO|STUMP|FOLDER|BOOK", required = true)]
    pub(crate) from: Vec<PathBuf>,

    /// The format [default: by the name given with --to, else csv]
    #[arg(long, value_name = "FORMAT", value_enum)]
    pub(crate) format: Option<FormatArg>,

    /// The file to write [default: print it]
    #[arg(long, value_name = "FILE")]
    pub(crate) to: Option<PathBuf>,

    /// The direction of a radius in degrees, clockwise from the right; repeat it for more
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub(crate) angle: Vec<f64>,
}

/// Options of `import`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook import rings.csv --out stumps\n  stumpbook import old.txt --format decadal --out stumps",
    after_help = "Each series becomes a stump without a photo, NAME.stump.json in the folder named with --out; an earlier file there is never replaced."
)]
pub(crate) struct ImportArgs {
    /// Files to take rings from
    #[arg(value_name = "FILE", required = true)]
    pub(crate) files: Vec<PathBuf>,

    /// The format [default: by each file's name]
    #[arg(long, value_name = "FORMAT", value_enum)]
    pub(crate) format: Option<FormatArg>,

    /// The folder to write stumps to
    #[arg(long, value_name = "DIR")]
    pub(crate) out: PathBuf,
}

/// Options of `woodlot`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook woodlot new hollow.book --name \"Cold Hollow\"\n  stumpbook woodlot add hollow.book photos/",
    after_help = "A book is one SQLite file that any SQLite tool opens; docs/formats.md describes its tables. Stumps come from .stump.json files, which stay where they are."
)]
pub(crate) struct WoodlotArgs {
    /// What to do
    #[command(subcommand)]
    pub(crate) action: WoodlotAction,
}

/// What can be done with a book.
#[derive(Debug, Subcommand)]
pub(crate) enum WoodlotAction {
    /// Make a new book
    New {
        /// The file to make, as in hollow.book
        book: PathBuf,
        /// The woodlot's name [default: the file's]
        #[arg(long, value_name = "NAME")]
        name: Option<String>,
    },
    /// Add stumps, or update those that are there
    Add {
        /// The book
        book: PathBuf,
        /// Counted photos, their .stump.json, or folders of them
        #[arg(value_name = "PHOTO|STUMP|FOLDER", required = true)]
        from: Vec<PathBuf>,
    },
    /// List the stumps in the book
    List {
        /// The book
        book: PathBuf,
        /// Print JSON, one stump a line
        #[arg(long)]
        json: bool,
    },
    /// Show one stump
    Show {
        /// The book
        book: PathBuf,
        /// The stump's name
        stump: String,
        /// Print its whole entry as JSON
        #[arg(long)]
        json: bool,
        /// The units of lengths
        #[arg(long, value_name = "UNITS", value_enum, default_value = "inch")]
        units: UnitsArg,
    },
    /// Take stumps out of the book; their files stay where they are
    Remove {
        /// The book
        book: PathBuf,
        /// The stumps' names
        #[arg(required = true)]
        stump: Vec<String>,
    },
    /// Note what is remembered of a year, as in 1991 "thinned by the brook"
    Remember {
        /// The book
        book: PathBuf,
        /// The year
        #[arg(allow_hyphen_values = true)]
        year: i32,
        /// What happened; without it, what is noted of that year is forgotten
        what: Option<String>,
    },
    /// Show the good and bad years
    Years(YearsArgs),
    /// Compare the stumps with each other, and name those that may be misread
    Check {
        /// The book
        book: PathBuf,
        /// Print the statistics behind each verdict too
        #[arg(long)]
        statistics: bool,
        /// Print the statistics of every pair of stumps too
        #[arg(long)]
        pairs: bool,
        /// Print JSON
        #[arg(long)]
        json: bool,
    },
    /// Estimate the age of standing trees, and when they reach a size
    Standing(StandingArgs),
    /// Make a page to print: good and bad years, the check, the trees
    Sheet {
        /// The book
        book: PathBuf,
        /// The paper it is printed on
        #[arg(long, value_name = "PAPER", value_enum, default_value = "letter")]
        paper: PaperArg,
        /// The units of lengths
        #[arg(long, value_name = "UNITS", value_enum, default_value = "inch")]
        units: UnitsArg,
        /// The file to write [default: BOOK-sheet.pdf beside the book]
        #[arg(long, value_name = "FILE")]
        out: Option<PathBuf>,
    },
}

/// Options of `woodlot years`.
#[derive(Debug, ClapArgs)]
pub(crate) struct YearsArgs {
    /// The book
    pub(crate) book: PathBuf,

    /// Take the age trend from a spline, which also takes out what a thinning did
    #[arg(long)]
    pub(crate) spline: bool,

    /// Write a chart: a file that ends in .svg or .png
    #[arg(long, value_name = "FILE")]
    pub(crate) chart: Option<PathBuf>,

    /// Print JSON
    #[arg(long)]
    pub(crate) json: bool,
}

/// Options of `woodlot standing`.
#[derive(Debug, ClapArgs)]
#[command(
    before_help = "Examples:\n  stumpbook woodlot standing hollow.book --species \"white oak\" --diameter 12in\n  stumpbook woodlot standing hollow.book --species ash --diameter 20cm --reach 40cm",
    after_help = "Measure a living tree with a tape around it at breast height (4.5 ft), and give that as --girth. Never bore or notch a living tree to learn its age.\nWithout a size, only the test on the counted stumps is shown, each estimated from the others."
)]
pub(crate) struct StandingArgs {
    /// The book
    pub(crate) book: PathBuf,

    /// The standing tree's species
    #[arg(long, value_name = "NAME")]
    pub(crate) species: Option<String>,

    /// Its diameter at breast height, bark and all, as in 12in
    #[arg(
        long,
        value_name = "LEN",
        requires = "species",
        conflicts_with = "girth",
        allow_hyphen_values = true
    )]
    pub(crate) diameter: Option<String>,

    /// Or what a tape around it reads there, as in 38in
    #[arg(
        long,
        value_name = "LEN",
        requires = "species",
        allow_hyphen_values = true
    )]
    pub(crate) girth: Option<String>,

    /// Also estimate in how many years it will have this diameter
    #[arg(
        long,
        value_name = "LEN",
        requires = "species",
        allow_hyphen_values = true
    )]
    pub(crate) reach: Option<String>,

    /// Use the stumps of every species together: rougher
    #[arg(long)]
    pub(crate) any_species: bool,

    /// The units of lengths
    #[arg(long, value_name = "UNITS", value_enum, default_value = "inch")]
    pub(crate) units: UnitsArg,

    /// Print JSON
    #[arg(long)]
    pub(crate) json: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_surface_is_consistent() {
        Args::command().debug_assert();
    }

    #[test]
    fn a_photo_alone_is_counted_and_commands_stay_commands() {
        let commands = |words: &[&str]| {
            let typed = with_command(words.iter().map(OsString::from));
            typed[1].to_string_lossy().into_owned()
        };
        assert_eq!(commands(&["stumpbook", "oak.jpg"]), "count");
        assert_eq!(commands(&["stumpbook", "src", "--json"]), "count");
        for words in [
            &["stumpbook", "sheet", "oak.jpg"][..],
            &["stumpbook", "help"],
            &["stumpbook", "--version"],
            &["stumpbook", "cuont"],
        ] {
            assert_eq!(commands(words), words[1]);
        }
        assert_eq!(with_command([OsString::from("stumpbook")]).len(), 1);
    }
}
