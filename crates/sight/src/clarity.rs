//! Every cut-off on how clearly a face shows its rings, in one place.
//!
//! The clarity of a face, 0 to 1, is [`crate::SeenRings::clarity`]. Each number here
//! decides one thing and stands in the order of its size, so that it can be seen how
//! they go together: what is allowed below one must not contradict what is done below
//! the next.

/// The agreement around the circle, [`crate::SeenRings::agreement`] and not clarity, below
/// which lines agree nowhere: of eleven photos that
/// show no sawn face three have 0.07 to 0.13; the least of sixteen that do is 0.19.
pub const AGREES_NOWHERE: f64 = 0.15;

/// From here a strip is read in place of an unclear face. The least clear strip found on
/// drawn faces (seeds 3001 to 3036) has 0.31.
pub const PLAIN_STRIP: f64 = 0.3;

/// From here rings that run around the face are evidence enough of a sawn face: eleven
/// photos that show no sawn face have 0.13 and less, a blurred drawn one whose rings are
/// lost 0.16.
pub const EVIDENT: f64 = 0.36;

/// From here a sector shows a pattern of rings by which it can be matched with others.
/// Below it (a face rough from the saw) noise would be fitted to noise, and the face
/// would look clearer than it is (chosen).
pub const PATTERN: f64 = 0.4;

/// From here no dressed strip of a face is searched for. Of 36 drawn faces with one
/// (seeds 3001 to 3036) the clearest has 0.24.
pub const NO_STRIP: f64 = 0.45;

/// The agreement around the circle, and not clarity, from which rings are evidence of a
/// sawn face that is nearly centered on its pith. Of eleven photos that show no sawn face
/// the most is 0.47.
pub const AGREED: f64 = 0.5;

/// Below this, noise is counted as rings and rings are missed as noise: 17 were read as
/// 28 at 0.34, 222 as 172 at 0.33 (measured 2026-11-26).
pub const GUESSED: f64 = 0.5;

/// Below this a face is unrolled again in smaller steps, which may show what is not
/// seen. Chosen between [`GUESSED`] and [`LEVEL`]; it only costs time.
pub const RESOLVED: f64 = 0.6;

/// From here rings run level: straightening them once more changes little (80 drawn
/// faces, seeds 501 to 580: 65 counted exactly for 64, F1 0.958 for 0.959), and no
/// sector needs to be aligned. Confidences were fitted on faces from here up.
pub const LEVEL: f64 = 0.65;

/// From here the path that trusts the spacing is taken without comparing it with the
/// strict one (chosen).
pub const TRUSTED_SPACING: f64 = 0.7;

/// Below this rings are lost and not only doubtful: two in three of the faces that were
/// counted wrong there were counted low, none by more than a fifth (measured 2026-11-25
/// over 139 drawn faces, seeds 301 to 469).
pub const NONE_LOST: f64 = 0.8;

/// From here rings leave no doubt but that of each boundary. Measured with the share of
/// rings lost below it (`reader::range`) over 327 drawn faces, seeds 401 to 700.
pub const FULL: f64 = 0.85;
