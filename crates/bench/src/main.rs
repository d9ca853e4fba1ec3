//! `decode PHOTO...`: decodes each JPEG to colors and does nothing else. What
//! `cargo xtask bench` holds the whole program against, as a process of its own.

use std::process::ExitCode;

fn main() -> ExitCode {
    let whole = std::env::args_os().skip(1).all(|path| {
        let decoded = std::fs::read(path)
            .map_err(image::ImageError::IoError)
            .and_then(|bytes| {
                image::load_from_memory_with_format(&bytes, image::ImageFormat::Jpeg)
            });
        decoded.is_ok_and(|picture| picture.width() > 0)
    });
    if whole {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
