//! Facts in the person's own words: tag, owner, place, who counted, a note, and
//! what is remembered of single years.

use crate::args::LabelArgs;
use crate::error::CommandError;
use crate::given::today;
use wood::{Facts, Remembered, Year};

/// What clears a fact.
const NONE: &str = "none";

/// Labels as typed, checked.
#[derive(Debug, Clone, Default)]
pub(crate) struct Labels {
    typed: LabelArgs,
    remembered: Vec<Remembered>,
}

impl Labels {
    /// Checks what was typed.
    ///
    /// # Errors
    /// Wrong usage, for a remembered year that is not one.
    pub(crate) fn check(typed: LabelArgs) -> Result<Self, CommandError> {
        let remembered = typed.remember.iter().map(|text| event(text));
        Ok(Self {
            remembered: remembered.collect::<Result<_, _>>()?,
            typed,
        })
    }

    /// Puts them into the facts: a label replaces the old one, `none` clears it;
    /// an event is added, one without text clears its year.
    pub(crate) fn apply(&self, facts: &mut Facts) {
        let typed = &self.typed;
        for (typed, kept) in [
            (&typed.tag, &mut facts.tag),
            (&typed.owner, &mut facts.owner),
            (&typed.place, &mut facts.place),
            (&typed.counted_by, &mut facts.counted_by),
            (&typed.note, &mut facts.note),
        ] {
            if let Some(text) = typed.as_deref().map(str::trim) {
                *kept = (text != NONE && !text.is_empty()).then(|| text.to_owned());
            }
        }
        for event in &self.remembered {
            if event.what.is_empty() {
                facts.remembered.retain(|kept| kept.year != event.year);
            } else if !facts.remembered.contains(event) {
                facts.remembered.push(event.clone());
            }
        }
    }
}

fn event(text: &str) -> Result<Remembered, CommandError> {
    let wrong = |why: String| {
        CommandError::usage(
            format!("--remember: {why}"),
            "--remember \"1991=thinned by the brook\"; \"1991=\" clears what is noted of 1991",
        )
    };
    let (year, what) = text
        .split_once('=')
        .ok_or_else(|| wrong(format!("\"{text}\" has no = between year and text")))?;
    let year = year
        .trim()
        .parse()
        .map_err(|_| wrong(format!("\"{}\" is not a year", year.trim())))?;
    let year = Year(year)
        .remembered_by(today())
        .map_err(|error| wrong(error.to_string()))?;
    Ok(Remembered {
        year,
        what: what.trim().to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_replace_and_none_clears() {
        let mut facts = Facts {
            owner: Some("R. Hill".into()),
            note: Some("by the spring".into()),
            ..Facts::default()
        };
        let typed = LabelArgs {
            tag: Some(" 17 ".into()),
            owner: Some("none".into()),
            remember: vec!["1991=thinned".into(), "1988= no rain".into()],
            ..LabelArgs::default()
        };
        let labels = Labels::check(typed).unwrap();
        labels.apply(&mut facts);
        labels.apply(&mut facts);
        assert_eq!(facts.tag.as_deref(), Some("17"));
        assert_eq!(facts.owner, None);
        assert_eq!(facts.note.as_deref(), Some("by the spring"));
        assert_eq!(facts.remembered.len(), 2);
        assert_eq!(facts.remembered[1].what, "no rain");
        let clear = LabelArgs {
            remember: vec!["1991=".into()],
            ..LabelArgs::default()
        };
        Labels::check(clear).unwrap().apply(&mut facts);
        assert_eq!(facts.remembered.len(), 1);
    }

    #[test]
    fn a_year_that_is_none_is_refused() {
        for text in ["19888=x", "thinned", "x=thinned", "=thinned"] {
            let typed = LabelArgs {
                remember: vec![text.into()],
                ..LabelArgs::default()
            };
            assert!(Labels::check(typed).is_err(), "{text}");
        }
    }
}
