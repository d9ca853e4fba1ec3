//! Stumps as TRiDaS.

use super::xml::{Xml, allowed};
use super::{NAMESPACE, field};
use crate::{Notice, Series, Widths};
use wood::{Hemisphere, Scope, find_species};

/// Micrometres in a millimeter: the unit that widths are written in.
const PER_MM: f64 = 1000.0;

/// Written where the standard requires something that is not known.
const UNKNOWN: &str = "unknown";

/// The text and how many stumps it holds.
pub(crate) fn write(all: &[Series], notices: &mut Vec<Notice>) -> (String, usize) {
    let mut xml = Xml::new();
    xml.begin("tridas", &[("xmlns", NAMESPACE)]);
    xml.begin("project", &[]);
    xml.leaf("title", &[], "Stumps");
    xml.leaf("identifier", &[("domain", "stumpbook")], "stumps");
    xml.leaf("type", &[], "tree-ring counts on stumps");
    xml.begin("laboratory", &[]);
    xml.leaf("name", &[], UNKNOWN);
    xml.begin("address", &[]);
    xml.end();
    xml.end();
    xml.leaf("category", &[], "forestry");
    xml.leaf("investigator", &[], UNKNOWN);
    xml.leaf("period", &[], UNKNOWN);
    xml.begin("object", &[]);
    xml.leaf("title", &[], "Woodlot");
    xml.leaf("identifier", &[("domain", "stumpbook")], "woodlot");
    xml.leaf("type", &[], "woodlot");
    for (index, series) in all.iter().enumerate() {
        element(&mut xml, index + 1, series, notices);
    }
    if all.iter().any(|series| !series.confidence.is_empty()) {
        notices.push(Notice::all(
            "TRiDaS has no field for the confidence of each ring; CSV and JSON have",
        ));
    }
    if !all.is_empty() {
        notices.push(Notice::all(
            "TRiDaS requires a laboratory, an investigator and a period: they are written as unknown",
        ));
    }
    (xml.finish(), all.len())
}

/// One tree with its disc, radius and series.
fn element(xml: &mut Xml, number: usize, series: &Series, notices: &mut Vec<Notice>) {
    let name = allowed(&series.name);
    if name != series.name {
        let text = format!("is called \"{name}\" in that file");
        notices.push(Notice::of(&series.name, text));
    }
    let id = number.to_string();
    let head = |xml: &mut Xml, what: &str, title: &str| {
        xml.leaf("title", &[], title);
        let id = format!("{what}-{id}");
        xml.leaf("identifier", &[("domain", "stumpbook")], &id);
    };
    xml.begin("element", &[]);
    head(xml, "tree", &name);
    let species = series.facts.species.as_deref();
    let latin = species.and_then(|name| find_species(name).ok());
    let taxon = latin.map(|species| species.latin).or(species);
    xml.leaf("taxon", &[], &allowed(taxon.unwrap_or(UNKNOWN)));
    generic_fields(xml, series);
    xml.begin("sample", &[]);
    head(xml, "disc", &name);
    xml.leaf("type", &[], "stump face");
    xml.begin("radius", &[]);
    head(xml, "radius", &name);
    completeness(xml, series);
    xml.begin("measurementSeries", &[]);
    head(xml, "series", &name);
    // The standard requires a method; that of imported widths is not known.
    if series.from_photo {
        let onscreen = [("normalTridas", "onscreen measuring")];
        xml.leaf("measuringMethod", &onscreen, "");
    } else {
        xml.leaf("measuringMethod", &[], UNKNOWN);
    }
    if let Some(first) = series.first_year {
        xml.begin("interpretation", &[]);
        // Astronomical years have a year 0, which is 1 BC.
        let (year, suffix) = if first.0 > 0 {
            (first.0, "AD")
        } else {
            (1_i32.saturating_sub(first.0), "BC")
        };
        xml.leaf("firstYear", &[("suffix", suffix)], &year.to_string());
        xml.end();
    }
    values(xml, series, notices);
    for _ in 0..4 {
        xml.end();
    }
}

fn generic_fields(xml: &mut Xml, series: &Series) {
    let facts = &series.facts;
    let number = |mm: Option<wood::Mm>| mm.map(|mm| mm.0.to_string());
    let southern = facts.hemisphere == Hemisphere::Southern;
    for (name, kind, value) in [
        (field::SPECIES, "xs:string", facts.species.clone()),
        (
            field::FELLED,
            "xs:string",
            facts.felled.map(|f| f.to_string()),
        ),
        (field::CUT_HEIGHT, "xs:double", number(facts.cut_height_mm)),
        (
            field::ACROSS,
            "xs:double",
            number(facts.across_inside_bark_mm),
        ),
        (field::HOLLOW, "xs:double", number(facts.hollow_radius_mm)),
        (
            field::HEMISPHERE,
            "xs:string",
            southern.then(|| "southern".to_owned()),
        ),
        (field::NOTE, "xs:string", facts.note.clone()),
        (field::TAG, "xs:string", facts.tag.clone()),
        (field::OWNER, "xs:string", facts.owner.clone()),
        (field::PLACE, "xs:string", facts.place.clone()),
        (field::COUNTED_BY, "xs:string", facts.counted_by.clone()),
        (
            field::WOOD,
            "xs:string",
            facts.wood.map(|wood| wood.name().to_owned()),
        ),
        (field::CARD_BAR, "xs:double", number(facts.card_bar_mm)),
    ] {
        if let Some(value) = value {
            let attributes = [("name", name), ("type", kind)];
            xml.leaf("genericField", &attributes, &allowed(&value));
        }
    }
    for event in &facts.remembered {
        let attributes = [("name", field::REMEMBERED), ("type", "xs:string")];
        let value = allowed(&format!("{} {}", event.year, event.what));
        xml.leaf("genericField", &attributes, &value);
    }
}

fn completeness(xml: &mut Xml, series: &Series) {
    let (pith, bark) = match series.scope {
        Some(Scope::WholeFace) => ("complete", "present"),
        Some(Scope::OutsideHeart) => ("absent", "present"),
        Some(Scope::RingsInView) => (UNKNOWN, "absent"),
        None => (UNKNOWN, UNKNOWN),
    };
    xml.begin("woodCompleteness", &[]);
    xml.leaf("ringCount", &[], &series.widths.len().to_string());
    xml.leaf("pith", &[("presence", pith)], "");
    xml.leaf("heartwood", &[("presence", UNKNOWN)], "");
    xml.leaf("sapwood", &[("presence", UNKNOWN)], "");
    xml.leaf("bark", &[("presence", bark)], "");
    xml.end();
}

fn values(xml: &mut Xml, series: &Series, notices: &mut Vec<Notice>) {
    xml.begin("values", &[]);
    xml.leaf("variable", &[("normalTridas", "ring width")], "");
    let in_mm = matches!(series.widths, Widths::Mm(_));
    if in_mm {
        xml.leaf("unit", &[("normalTridas", "micrometres")], "");
    } else {
        xml.leaf("unitless", &[], "");
        let text = "its rings have no scale: their widths in pixels are written without a unit";
        notices.push(Notice::of(&series.name, text));
    }
    let mut unknown = false;
    for width in series.widths.numbers() {
        let Some(width) = width else {
            unknown = true;
            xml.leaf("value", &[("value", "")], "");
            continue;
        };
        let number = if in_mm {
            format!("{:.0}", width * PER_MM)
        } else {
            width.to_string()
        };
        if number == "0" {
            xml.begin("value", &[("value", "0")]);
            xml.leaf("remark", &[("normalTridas", "missing ring")], "");
            xml.end();
        } else {
            xml.leaf("value", &[("value", &number)], "");
        }
    }
    xml.end();
    if unknown {
        let text = "rings of unknown width have an empty value, for which TRiDaS has no word";
        notices.push(Notice::of(&series.name, text));
    }
}
