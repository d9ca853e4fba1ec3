//! What the search looks through: the words of every section. A script rather
//! than JSON, because pages opened from a folder may load only scripts.

use super::page::Page;
use serde_json::json;

/// The script that holds every section: page, place in it, heading, words.
///
/// # Errors
/// When the words cannot be put into JSON.
pub(super) fn index(pages: &[Page]) -> serde_json::Result<String> {
    let sections: Vec<_> = pages
        .iter()
        .flat_map(|page| {
            page.sections.iter().map(|section| {
                let words: Vec<&str> = section.words.split_whitespace().collect();
                json!({
                    "link": format!("{}#{}", page.place, section.anchor),
                    "title": section.title,
                    "words": words.join(" "),
                })
            })
        })
        .collect();
    let list = serde_json::to_string(&sections)?;
    Ok(format!("\"use strict\";\nconst sections = {list};\n"))
}
