//! TRiDaS as stumps.

use super::xml::allowed;
use super::{UNITS, field};
use crate::{ExchangeError, Format, Notice, Place, Series, Widths, bytes};
use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::{Reader, XmlVersion};
use wood::{Facts, Hemisphere, Mm, Px, Remembered, Scope, WoodClass, Year, find_species};

/// Elements inside one another that are followed; the standard needs a dozen.
const DEEPEST: usize = 100;

/// Series in the order of the file.
pub(crate) fn read(raw: &[u8], notices: &mut Vec<Notice>) -> Result<Vec<Series>, ExchangeError> {
    let text = bytes::text(raw, Format::Tridas)?;
    let mut reader = Reader::from_str(text);
    let mut file = File::default();
    loop {
        let before = reader.buffer_position();
        let event = reader
            .read_event()
            .map_err(|error| wrong(text, reader.error_position(), error.to_string()))?;
        let fail = |problem: String| wrong(text, before, problem);
        match event {
            Event::Start(tag) => file.start(&tag).map_err(fail)?,
            Event::Empty(tag) => {
                file.start(&tag).map_err(fail)?;
                file.end(notices).map_err(fail)?;
            }
            Event::End(_) => file.end(notices).map_err(fail)?,
            Event::Text(words) => file.words.push_str(&words.xml10_content()),
            Event::CData(words) => file.words.push_str(&words.xml10_content()),
            Event::GeneralRef(name) => {
                let letter = letter(&name).map_err(fail)?;
                file.words.push(letter);
            }
            Event::Eof => break,
            Event::DocType(_) | Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
        }
    }
    if !file.path.is_empty() {
        let problem = format!("the file ends within {}", file.path.join(" > "));
        return Err(wrong(text, text.len() as u64, problem));
    }
    file.note_left_out(notices);
    Ok(file.named())
}

fn wrong(text: &str, byte: u64, problem: String) -> ExchangeError {
    let mut byte = usize::try_from(byte).unwrap_or(usize::MAX);
    // The tag itself and not the blank before it.
    while text
        .as_bytes()
        .get(byte)
        .is_some_and(u8::is_ascii_whitespace)
    {
        byte += 1;
    }
    ExchangeError::Malformed {
        format: Format::Tridas,
        place: Place::of_byte(text, byte),
        problem,
    }
}

/// A reference by number, or to one of the five that XML knows; a file's own
/// are not followed, for they may be made to grow without end.
fn letter(name: &BytesRef<'_>) -> Result<char, String> {
    if let Some(letter) = name.resolve_char_ref().map_err(|error| error.to_string())? {
        return Ok(letter);
    }
    let name = name.xml10_content();
    match name.as_ref() {
        "amp" => Ok('&'),
        "lt" => Ok('<'),
        "gt" => Ok('>'),
        "quot" => Ok('"'),
        "apos" => Ok('\''),
        other => Err(format!("&{other}; is not known here")),
    }
}

/// The file as far as it has been read.
#[derive(Default)]
struct File {
    path: Vec<String>,
    words: String,
    /// Trees so far.
    tree: usize,
    tree_title: String,
    facts: Facts,
    taxon: Option<String>,
    /// Name of the generic field being read.
    generic: Option<String>,
    radius: Completeness,
    series: Option<OneSeries>,
    done: Vec<Done>,
    means: usize,
    others: usize,
}

/// Where pith and bark are, in the standard's words.
#[derive(Default, Clone)]
struct Completeness {
    pith: Option<String>,
    bark: Option<String>,
}

#[derive(Default)]
struct OneSeries {
    title: String,
    completeness: Completeness,
    suffix: String,
    first_year: Option<i32>,
    is_ring_width: bool,
    unit: Option<Unit>,
    values: Vec<Option<f64>>,
    widths: Option<Widths>,
}

#[derive(Clone, Copy)]
enum Unit {
    Mm(f64),
    None,
}

struct Done {
    tree: usize,
    title: String,
    series: Series,
}

impl File {
    fn start(&mut self, tag: &BytesStart<'_>) -> Result<(), String> {
        if self.path.len() >= DEEPEST {
            return Err(format!("more than {DEEPEST} elements inside one another"));
        }
        let name = tag.local_name().as_ref().to_owned();
        if self.path.is_empty() && name != "tridas" && name != "project" {
            return Err(format!("<{name}> stands where <tridas> should"));
        }
        self.words.clear();
        match name.as_str() {
            "element" => {
                self.tree += 1;
                self.tree_title.clear();
                self.facts = Facts::default();
                self.taxon = None;
            }
            "radius" => self.radius = Completeness::default(),
            "measurementSeries" => self.series = Some(OneSeries::default()),
            "derivedSeries" => self.means += 1,
            "genericField" => self.generic = attribute(tag, "name")?,
            _ => {}
        }
        let presence = match name.as_str() {
            "pith" | "bark" => attribute(tag, "presence")?,
            _ => None,
        };
        let completeness = match &mut self.series {
            Some(series) => &mut series.completeness,
            None => &mut self.radius,
        };
        match name.as_str() {
            "pith" => completeness.pith = presence,
            "bark" => completeness.bark = presence,
            _ => {}
        }
        if let Some(series) = &mut self.series {
            series.start(&name, tag)?;
        }
        self.path.push(name);
        Ok(())
    }

    fn end(&mut self, notices: &mut Vec<Notice>) -> Result<(), String> {
        let name = self.path.pop().unwrap_or_default();
        let parent = self.path.last().map_or("", String::as_str);
        // Letters that may not be written are not read either.
        let words = allowed(&self.words);
        match (parent, name.as_str()) {
            ("element", "title") => self.tree_title = words,
            ("element", "taxon") if !words.is_empty() => self.taxon = Some(words),
            ("element", "genericField") => self.fact(&words)?,
            (_, "measurementSeries") => {
                if let Some(series) = self.series.take() {
                    self.keep(series, notices);
                }
            }
            (parent, name) => {
                if let Some(series) = &mut self.series {
                    series.end(parent, name, &words)?;
                }
            }
        }
        self.words.clear();
        Ok(())
    }

    fn fact(&mut self, words: &str) -> Result<(), String> {
        let mm = || {
            words
                .parse()
                .ok()
                .filter(|mm: &f64| mm.is_finite() && *mm > 0.0)
                .map(|mm| Some(Mm(mm)))
                .ok_or_else(|| format!("\"{words}\" is no length"))
        };
        let facts = &mut self.facts;
        match self.generic.take().as_deref() {
            Some(field::SPECIES) => facts.species = Some(words.to_owned()),
            Some(field::FELLED) => {
                let felled: Result<wood::Felled, _> = words.parse();
                facts.felled = Some(felled.map_err(|why| why.to_string())?);
            }
            Some(field::CUT_HEIGHT) => facts.cut_height_mm = mm()?,
            Some(field::ACROSS) => facts.across_inside_bark_mm = mm()?,
            Some(field::HOLLOW) => facts.hollow_radius_mm = mm()?,
            Some(field::HEMISPHERE) if words == "southern" => {
                facts.hemisphere = Hemisphere::Southern;
            }
            Some(field::NOTE) => facts.note = Some(words.to_owned()),
            Some(field::TAG) => facts.tag = Some(words.to_owned()),
            Some(field::OWNER) => facts.owner = Some(words.to_owned()),
            Some(field::PLACE) => facts.place = Some(words.to_owned()),
            Some(field::COUNTED_BY) => facts.counted_by = Some(words.to_owned()),
            Some(field::WOOD) => {
                let class = WoodClass::ALL.into_iter().find(|c| c.name() == words);
                facts.wood = Some(class.ok_or_else(|| format!("\"{words}\" is no wood class"))?);
            }
            Some(field::CARD_BAR) => facts.card_bar_mm = mm()?,
            Some(field::REMEMBERED) => {
                let (year, what) = words.split_once(' ').unwrap_or((words, ""));
                let year = year
                    .parse()
                    .map_err(|_| format!("\"{words}\" does not begin with a year"))?;
                facts.remembered.push(Remembered {
                    year: Year(year),
                    what: what.to_owned(),
                });
            }
            _ => {}
        }
        Ok(())
    }

    fn keep(&mut self, one: OneSeries, notices: &mut Vec<Notice>) {
        let Some(widths) = one.widths else {
            self.others += 1;
            return;
        };
        let name = if self.tree_title.is_empty() {
            one.title.clone()
        } else {
            self.tree_title.clone()
        };
        if matches!(widths, Widths::Px(_)) {
            let text = "its widths have no unit: they count as pixels of a photo without a scale";
            notices.push(Notice::of(&name, text));
        }
        let first_year = match (one.first_year, one.suffix.as_str()) {
            (Some(year), "" | "AD" | "CE") => Some(Year(year)),
            (Some(year), "BC" | "BCE") => Some(Year(1_i32.saturating_sub(year))),
            (Some(_), other) => {
                let text = format!(
                    "its years are marked \"{other}\", which is not known here: it is imported without years"
                );
                notices.push(Notice::of(&name, text));
                None
            }
            (None, _) => None,
        };
        let mut facts = self.facts.clone();
        if facts.species.is_none()
            && let Some(taxon) = self.taxon.as_deref().filter(|taxon| *taxon != "unknown")
        {
            match find_species(taxon) {
                Ok(species) => facts.species = Some(species.name.to_owned()),
                Err(unknown) => {
                    notices.push(Notice::of(
                        &name,
                        format!("{unknown}; the name is kept as a note"),
                    ));
                    facts
                        .note
                        .get_or_insert_with(|| format!("species: {taxon}"));
                }
            }
        }
        let scope = one.completeness.scope().or_else(|| self.radius.scope());
        self.done.push(Done {
            tree: self.tree,
            title: one.title,
            series: Series {
                name,
                facts,
                scope,
                first_year,
                widths,
                confidence: Vec::new(),
                from_photo: false,
            },
        });
    }

    fn note_left_out(&self, notices: &mut Vec<Notice>) {
        if self.means > 0 {
            let text = format!(
                "{} mean series are left out: they are not single trees",
                self.means
            );
            notices.push(Notice::all(text));
        }
        if self.others > 0 {
            let text = format!(
                "{} series that are not ring widths are left out",
                self.others
            );
            notices.push(Notice::all(text));
        }
    }

    /// The series; those of a tree with several carry their own titles too.
    fn named(self) -> Vec<Series> {
        let trees: Vec<usize> = self.done.iter().map(|done| done.tree).collect();
        let of_tree = |tree: usize| trees.iter().filter(|other| **other == tree).count();
        self.done
            .into_iter()
            .map(|done| {
                let mut series = done.series;
                if of_tree(done.tree) > 1 && done.title != series.name {
                    series.name = format!("{} / {}", series.name, done.title);
                }
                series
            })
            .collect()
    }
}

impl Completeness {
    fn scope(&self) -> Option<Scope> {
        match (self.pith.as_deref(), self.bark.as_deref()) {
            (_, Some("absent")) => Some(Scope::RingsInView),
            (Some("complete"), Some("present")) => Some(Scope::WholeFace),
            (Some("absent" | "incomplete"), Some("present")) => Some(Scope::OutsideHeart),
            _ => None,
        }
    }
}

impl OneSeries {
    fn start(&mut self, name: &str, tag: &BytesStart<'_>) -> Result<(), String> {
        match name {
            "values" => {
                self.is_ring_width = false;
                self.unit = None;
                self.values.clear();
            }
            "variable" => {
                let normal = attribute(tag, "normalTridas")?;
                self.is_ring_width = normal.as_deref() == Some("ring width");
            }
            "unitless" => self.unit = Some(Unit::None),
            "unit" => {
                if let Some(normal) = attribute(tag, "normalTridas")? {
                    self.unit = Some(unit(&normal)?);
                }
            }
            "firstYear" => self.suffix = attribute(tag, "suffix")?.unwrap_or_default(),
            "value" => {
                let text = attribute(tag, "value")?.unwrap_or_default();
                self.values.push(number(text.trim())?);
            }
            _ => {}
        }
        Ok(())
    }

    fn end(&mut self, parent: &str, name: &str, words: &str) -> Result<(), String> {
        match (parent, name) {
            ("measurementSeries", "title") => words.clone_into(&mut self.title),
            ("interpretation", "firstYear") => {
                let year = words
                    .parse()
                    .map_err(|_| format!("\"{words}\" is no year"))?;
                self.first_year = Some(year);
            }
            ("values", "variable") if !words.is_empty() => {
                self.is_ring_width |= words.eq_ignore_ascii_case("ring width");
            }
            ("values", "unit") if self.unit.is_none() => self.unit = Some(unit(words)?),
            (_, "values") if self.is_ring_width && !self.values.is_empty() => {
                let values = std::mem::take(&mut self.values);
                self.widths = Some(match self.unit {
                    Some(Unit::Mm(factor)) => {
                        let mm = |value: f64| Mm(in_mm(value, factor));
                        Widths::Mm(values.iter().map(|v| v.map(mm)).collect())
                    }
                    Some(Unit::None) => Widths::Px(values.iter().map(|v| v.map(Px)).collect()),
                    None => return Err("these values have no unit".to_owned()),
                });
            }
            _ => {}
        }
        Ok(())
    }
}

/// A value in millimeters. A division where the factor is a fraction, so that
/// 1230 micrometres are 1.23 mm to the last bit.
fn in_mm(value: f64, factor: f64) -> f64 {
    if factor < 1.0 {
        value / (1.0 / factor).round()
    } else {
        value * factor
    }
}

fn unit(name: &str) -> Result<Unit, String> {
    UNITS
        .iter()
        .find(|(known, _)| known.eq_ignore_ascii_case(name.trim()))
        .map(|(_, factor)| Unit::Mm(*factor))
        .ok_or_else(|| {
            let known: Vec<&str> = UNITS.iter().map(|(known, _)| *known).collect();
            format!("the unit \"{name}\" is not one of {}", known.join(", "))
        })
}

fn number(text: &str) -> Result<Option<f64>, String> {
    if text.is_empty() {
        return Ok(None);
    }
    text.parse()
        .ok()
        .filter(|value: &f64| value.is_finite() && *value >= 0.0)
        .map(Some)
        .ok_or_else(|| format!("\"{text}\" is no width"))
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Result<Option<String>, String> {
    for attribute in tag.attributes() {
        let attribute = attribute.map_err(|error| error.to_string())?;
        if attribute.key.local_name().as_ref() == name {
            return attribute
                .normalized_value(XmlVersion::Implicit1_0)
                .map(|value| Some(value.into_owned()))
                .map_err(|error| error.to_string());
        }
    }
    Ok(None)
}
