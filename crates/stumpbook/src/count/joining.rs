//! Several pictures of one strip: joined into one picture beside the first, which is then
//! read as any photo is.

use super::joined_from::{JOINED_FROM, joined_from};
use super::one;
use super::request::Request;
use crate::error::CommandError;
use crate::say;
use crate::writing;
use image::RgbImage;
use join::JoinError;
use std::path::{Path, PathBuf};

/// Joins the photos and writes the picture beside the first one; its path.
///
/// # Errors
/// When a photo cannot be opened, two do not overlap, or the picture cannot be written
/// or would take the place of another file.
pub(super) fn join(
    photos: &[PathBuf],
    request: &Request,
    talks: bool,
) -> Result<PathBuf, CommandError> {
    let [first, _, ..] = photos else {
        return Err(CommandError::usage(
            "--join needs two pictures or more",
            "stumpbook count oak-1.jpg oak-2.jpg --join",
        ));
    };
    let joined_path = beside(first);
    let names: Vec<String> = photos.iter().map(|photo| name(photo)).collect();
    check_free(&joined_path, &names)?;
    let bar = say::progress(1, talks);
    bar.set_message(format!("joining {} pictures", photos.len()));
    let pictures: Vec<RgbImage> = photos
        .iter()
        .map(|photo| {
            let bytes =
                std::fs::read(photo).map_err(|error| CommandError::cannot_read(photo, &error))?;
            one::open(photo, &bytes, request).map(|face| face.rgb)
        })
        .collect::<Result<_, _>>()?;
    let threads = rayon::ThreadPoolBuilder::new()
        .num_threads(request.jobs)
        .build()
        .map_err(|error| {
            CommandError::failed(
                format!("cannot start {} threads: {error}", request.jobs),
                "--jobs 1",
            )
        })?;
    let joined = threads
        .install(|| join::join(&pictures))
        .map_err(|error| not_joined(error, photos))?;
    drop(pictures);
    let bytes = png(&joined.rgb, &names).map_err(|error| {
        CommandError::failed(
            format!("cannot make {}: {error}", joined_path.display()),
            "join fewer pictures at a time",
        )
    })?;
    writing::replace(&joined_path, &bytes)?;
    bar.finish_and_clear();
    Ok(joined_path)
}

fn beside(first: &Path) -> PathBuf {
    let stem = first.file_stem().unwrap_or(first.as_os_str());
    first.with_file_name(format!("{}-joined.png", stem.to_string_lossy()))
}

fn name(photo: &Path) -> String {
    photo
        .file_name()
        .unwrap_or(photo.as_os_str())
        .to_string_lossy()
        .into_owned()
}

/// A file is only replaced by a picture joined from the same pictures.
fn check_free(path: &Path, names: &[String]) -> Result<(), CommandError> {
    let bytes = match std::fs::read(path) {
        Ok(bytes) => bytes,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
        Err(error) => return Err(CommandError::cannot_read(path, &error)),
    };
    let from = joined_from(&bytes);
    if from == names {
        return Ok(());
    }
    let what = if from.is_empty() {
        "was not joined by Stumpbook".to_owned()
    } else {
        format!("was joined from {}", from.join(", "))
    };
    Err(CommandError::failed(
        format!(
            "{} is there already and {what}, so it was not replaced",
            path.display()
        ),
        "rename that file and the .stump.json beside it, then run the same command again",
    ))
}

fn not_joined(error: JoinError, photos: &[PathBuf]) -> CommandError {
    let shown = |picture: usize| {
        photos
            .get(picture)
            .map_or_else(String::new, |photo| photo.display().to_string())
    };
    match error {
        JoinError::TooSmall { picture } => CommandError::failed(
            format!("cannot join {}: it is too small", shown(picture)),
            "give the picture as the camera took it, not a preview",
        ),
        JoinError::TooLarge => CommandError::failed(
            "cannot join the pictures: together they are too large",
            "join fewer pictures at a time, or make them smaller",
        ),
        JoinError::Apart { first, second } => CommandError::failed(
            format!(
                "cannot join {} and {}: they do not show enough of the same wood",
                shown(first),
                shown(second)
            ),
            "take them again so that each picture shows a third of the one before, sharp and from \
             the same height, or add a picture between them",
        ),
        JoinError::Ambiguous { first, second } => CommandError::failed(
            format!(
                "cannot join {} and {}: they fit in more than one place, a ring apart",
                shown(first),
                shown(second)
            ),
            "take them again, sharper and with more of the same wood in both; two pencil marks on \
             the wood help",
        ),
        other => CommandError::failed(
            format!("cannot join the pictures: {other}"),
            "give two pictures or more that overlap",
        ),
    }
}

/// The picture as a PNG that says what it was joined from.
fn png(picture: &RgbImage, names: &[String]) -> Result<Vec<u8>, png::EncodingError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    encoder.add_itxt_chunk(JOINED_FROM.to_owned(), names.join("\n"))?;
    let mut writer = encoder.write_header()?;
    writer.write_image_data(picture.as_raw())?;
    writer.finish()?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_joined_picture_names_its_sources_and_others_name_none() {
        let picture = RgbImage::from_pixel(3, 2, image::Rgb([9, 8, 7]));
        let names = ["Fällung 1.jpg".to_owned(), "b.jpg".to_owned()];
        let bytes = png(&picture, &names).unwrap();
        assert_eq!(joined_from(&bytes), names);
        assert_eq!(image::load_from_memory(&bytes).unwrap().to_rgb8(), picture);
        assert!(joined_from(b"no picture").is_empty());
    }
}
