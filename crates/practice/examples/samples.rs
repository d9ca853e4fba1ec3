//! Writes the practice photos of the repository: each face as JPEG with its truth beside it.
//!
//! `cargo run --release -p practice --example samples -- samples`

#![allow(
    clippy::disallowed_methods,
    reason = "the crate does no I/O; this program beside it is there to write files"
)]

use std::path::PathBuf;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(
        std::env::args()
            .nth(1)
            .ok_or("which folder? try: samples")?,
    );
    std::fs::create_dir_all(&folder)?;
    for sample in practice::samples() {
        let face = practice::render(&sample.recipe);
        let photo = practice::jpeg(&face.rgb, sample.recipe.troubles.jpeg_quality);
        std::fs::write(folder.join(format!("{}.jpg", sample.stem)), photo)?;
        let truth = serde_json::to_string(&face.truth)?;
        std::fs::write(folder.join(format!("{}.truth.json", sample.stem)), truth)?;
    }
    Ok(())
}
