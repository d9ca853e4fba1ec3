//! HTML.
use crate::ReportError;
use crate::content::Content;
use crate::sheet::{SheetInput, SheetPictures};
pub(crate) fn write(
    _i: &SheetInput<'_>,
    _c: &Content,
    _p: &SheetPictures,
) -> Result<String, ReportError> {
    Ok(String::new())
}
