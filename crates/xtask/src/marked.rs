//! Real photos whose rings were marked by hand, where their folder is there.

use anyhow::{Context as _, bail};
use serde::Deserialize;
use std::path::{Path, PathBuf};

/// The folder of marked photos, beside the checkout; measurements that need it
/// are reported as not run where it is missing.
const FOLDER: &str = "../shared/photos";

/// Groups of photos, each read by weights learned from the others.
pub(crate) const FOLDS: u64 = 4;

/// Reads everything from now on with weights that never saw the photos of a fold.
///
/// # Errors
/// When the weights cannot be read, or some were used already.
pub(crate) fn install_weights(folder: &Path, fold: u64) -> anyhow::Result<()> {
    let read = |what: &str| {
        let path = folder.join(format!("{what}-{fold}.safetensors"));
        std::fs::read(&path).with_context(|| format!("cannot read {}", path.display()))
    };
    if !sight::install(read("rings")?, read("scene")?) {
        bail!("weights are installed already");
    }
    Ok(())
}

/// A photo with what was marked on it, in pixels of the upright photo.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct MarkedPhoto {
    pub(crate) file: String,
    pub(crate) pith: Option<[f64; 2]>,
    pub(crate) wood: Option<String>,
    /// Marked radii. The file's word for them.
    #[serde(default)]
    pub(crate) rays: Vec<MarkedRadius>,
    pub(crate) count_low: Option<u32>,
    pub(crate) count_best: Option<u32>,
    pub(crate) count_high: Option<u32>,
    #[serde(default)]
    pub(crate) count_is_estimate: bool,
    pub(crate) expect: Option<String>,
    #[serde(default)]
    pub(crate) teach: bool,
    /// The edge of the wood inside the bark; empty where there is no sawn face.
    #[serde(default)]
    pub(crate) wood_outline_px: Vec<[f64; 2]>,
    /// Large things that are on the wood.
    #[serde(default)]
    pub(crate) not_wood_px: Vec<Vec<[f64; 2]>>,
    /// Marks of the same photo by another person.
    pub(crate) second_reader: Option<SecondReader>,
}

/// What a second person marked on a photo, around the same pith.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct SecondReader {
    pub(crate) pith: Option<[f64; 2]>,
    #[serde(default)]
    pub(crate) rays: Vec<MarkedRadius>,
}

/// A straight line out from the pith with the ends of years on it.
#[derive(Debug, Clone, Deserialize)]
pub(crate) struct MarkedRadius {
    /// Clockwise from +x.
    pub(crate) angle_deg: f64,
    /// Distance of each year's end from the pith.
    pub(crate) boundaries_px: Vec<f64>,
    pub(crate) ends_at: Option<String>,
    pub(crate) end: Option<String>,
    /// Stretches in which nothing could be marked, from and to.
    #[serde(default)]
    pub(crate) unreadable_stretches_px: Vec<[f64; 2]>,
}

impl MarkedRadius {
    /// Whether all rings around a distance from the pith were marked.
    pub(crate) fn is_known(&self, at: f64) -> bool {
        let ends = &self.boundaries_px;
        let (Some(&first), Some(&last)) = (ends.first(), ends.last()) else {
            return false;
        };
        let width = |nth: usize| ends.get(nth + 1).map_or(first, |next| next - ends[nth]);
        let (inner, outer) = (width(0), width(ends.len().saturating_sub(2)));
        let from = if first < 1.6 * inner {
            0.0
        } else {
            first - 0.5 * inner
        };
        let to = last + if self.ends_at_bark() { 2.0 } else { 0.35 } * outer;
        let stretches = &self.unreadable_stretches_px;
        (from..=to).contains(&at)
            && !stretches
                .iter()
                .any(|[from, to]| (*from..=*to).contains(&at))
    }

    /// Whether the last mark is the last ring under the bark.
    pub(crate) fn ends_at_bark(&self) -> bool {
        [&self.ends_at, &self.end]
            .into_iter()
            .flatten()
            .any(|end| end == "bark")
    }
}

impl MarkedPhoto {
    /// The range of counts that careful people give: low, best and high.
    pub(crate) fn hand_count(&self) -> Option<[u32; 3]> {
        Some([self.count_low?, self.count_best?, self.count_high?])
    }

    /// The photo's name without its ending.
    pub(crate) fn name(&self) -> &str {
        self.file.split('.').next().unwrap_or(&self.file)
    }

    /// A number from the photo's name, the same on every machine (FNV-1a).
    pub(crate) fn number(&self) -> u64 {
        self.name()
            .bytes()
            .fold(0xCBF2_9CE4_8422_2325, |hash, byte| {
                (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01B3)
            })
    }

    /// The fold that this photo is in, always the same: weights of that fold
    /// were not learned from it.
    pub(crate) fn fold(&self) -> u64 {
        (self.number() >> 20) % FOLDS
    }

    /// Whether no count may be given for this photo.
    pub(crate) fn should_refuse(&self) -> bool {
        self.expect.is_some()
    }
}

/// The folder of marked photos, or `None` where it is not there.
pub(crate) fn folder(root: &Path) -> Option<PathBuf> {
    let folder = root.join(FOLDER);
    folder.join("truth.json").is_file().then_some(folder)
}

/// The photos of a folder, in the order of its file.
///
/// # Errors
/// When the file of marks cannot be read or understood.
pub(crate) fn load(folder: &Path) -> anyhow::Result<Vec<MarkedPhoto>> {
    let path = folder.join("truth.json");
    let text = std::fs::read_to_string(&path)
        .with_context(|| format!("cannot read {}", path.display()))?;
    serde_json::from_str(&text).with_context(|| format!("cannot understand {}", path.display()))
}
