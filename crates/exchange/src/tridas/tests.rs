use super::*;
use crate::{ExchangeError, Place, Series, Widths};
use std::collections::BTreeSet;
use wood::{Facts, Mm, Px, Remembered, Scope, WoodClass, Year};

fn series(name: &str) -> Series {
    Series {
        name: name.to_owned(),
        facts: Facts {
            species: Some("white oak".into()),
            felled: "2025-11".parse().ok(),
            cut_height_mm: Some(Mm(300.0)),
            note: Some("by the <spring> & \"wall\"".into()),
            wood: Some(WoodClass::RingPorous),
            card_bar_mm: Some(Mm(98.5)),
            remembered: vec![
                Remembered {
                    year: Year(1988),
                    what: "no rain, <none>".into(),
                },
                Remembered {
                    year: Year(-3),
                    what: "fire".into(),
                },
            ],
            ..Facts::default()
        },
        scope: Some(Scope::WholeFace),
        first_year: Some(Year(1987)),
        widths: Widths::Mm(vec![Some(Mm(1.234)), Some(Mm(0.0)), None, Some(Mm(2.0))]),
        confidence: Vec::new(),
        from_photo: false,
    }
}

#[test]
fn the_words_of_the_standard_are_used() {
    let (text, _) = write(&[series("oak")], &mut Vec::new());
    for words in [
        "<tridas xmlns=\"http://www.tridas.org/1.2.2\">",
        "<taxon>Quercus alba</taxon>",
        "<identifier domain=\"stumpbook\">series-1</identifier>",
        "<variable normalTridas=\"ring width\"/>",
        "<unit normalTridas=\"micrometres\"/>",
        "<firstYear suffix=\"AD\">1987</firstYear>",
        "<value value=\"1234\"/>",
        "<remark normalTridas=\"missing ring\"/>",
        "<pith presence=\"complete\"/>",
        "<ringCount>4</ringCount>",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
}

#[test]
fn facts_hard_names_and_old_years_come_back() {
    for name in ["oak", "дуб, \"старый\" 🌳", "אלון", "a<b>&c", "two\nlines"] {
        for first in [None, Some(2001), Some(1), Some(0), Some(-1003)] {
            for scope in [None, Some(Scope::OutsideHeart), Some(Scope::RingsInView)] {
                let mut made = series(name);
                made.first_year = first.map(Year);
                made.scope = scope;
                let (text, _) = write(std::slice::from_ref(&made), &mut Vec::new());
                let back = read(text.as_bytes(), &mut Vec::new()).unwrap();
                assert_eq!(back, [made], "{text}");
            }
        }
    }
    let mut unscaled = series("oak");
    unscaled.widths = Widths::Px(vec![Some(Px(3.25)), Some(Px(0.1))]);
    let mut notices = Vec::new();
    let (text, _) = write(std::slice::from_ref(&unscaled), &mut notices);
    assert!(notices.iter().any(|t| t.text.contains("no scale")));
    assert_eq!(read(text.as_bytes(), &mut Vec::new()).unwrap(), [unscaled]);
}

#[test]
fn letters_that_xml_forbids_are_left_out_and_reported() {
    let mut notices = Vec::new();
    let (text, _) = write(&[series(" a\u{1}b ")], &mut notices);
    assert!(notices[0].text.contains("\"ab\""));
    assert_eq!(
        read(text.as_bytes(), &mut Vec::new()).unwrap()[0].name,
        "ab"
    );
}

/// What stands in what and in which order, and what must be there, of the
/// entities that we write: the structure of version 1.2.2 as far as it is
/// known here, from memory; the schema's own file was not available.
const STRUCTURE: [(&str, &[&str], &[&str]); 12] = [
    ("tridas", &["project"], &[]),
    (
        "project",
        &[
            "title",
            "identifier",
            "createdTimestamp",
            "lastModifiedTimestamp",
            "comments",
            "type",
            "description",
            "file",
            "laboratory",
            "category",
            "investigator",
            "period",
            "requestDate",
            "commissioner",
            "reference",
            "research",
            "genericField",
            "object",
            "derivedSeries",
        ],
        &[
            "title",
            "type",
            "laboratory",
            "category",
            "investigator",
            "period",
            "object",
        ],
    ),
    (
        "laboratory",
        &["identifier", "name", "address"],
        &["name", "address"],
    ),
    (
        "object",
        &[
            "title",
            "identifier",
            "createdTimestamp",
            "lastModifiedTimestamp",
            "comments",
            "type",
            "description",
            "linkSeries",
            "file",
            "creator",
            "owner",
            "coverage",
            "location",
            "genericField",
            "object",
            "element",
        ],
        &["title", "type"],
    ),
    (
        "element",
        &[
            "title",
            "identifier",
            "createdTimestamp",
            "lastModifiedTimestamp",
            "comments",
            "type",
            "description",
            "linkSeries",
            "file",
            "taxon",
            "shape",
            "dimensions",
            "authenticity",
            "location",
            "processing",
            "marks",
            "altitude",
            "slope",
            "soil",
            "bedrock",
            "genericField",
            "sample",
        ],
        &["title", "taxon"],
    ),
    (
        "sample",
        &[
            "title",
            "identifier",
            "createdTimestamp",
            "lastModifiedTimestamp",
            "comments",
            "type",
            "description",
            "file",
            "samplingDate",
            "position",
            "state",
            "knots",
            "genericField",
            "radius",
        ],
        &["title", "type"],
    ),
    (
        "radius",
        &[
            "title",
            "identifier",
            "createdTimestamp",
            "lastModifiedTimestamp",
            "comments",
            "woodCompleteness",
            "azimuth",
            "genericField",
            "measurementSeries",
        ],
        &["title"],
    ),
    (
        "woodCompleteness",
        &[
            "ringCount",
            "averageRingWidth",
            "nrOfUnmeasuredInnerRings",
            "nrOfUnmeasuredOuterRings",
            "pith",
            "heartwood",
            "sapwood",
            "bark",
        ],
        &["pith", "heartwood", "sapwood", "bark"],
    ),
    (
        "measurementSeries",
        &[
            "title",
            "identifier",
            "createdTimestamp",
            "lastModifiedTimestamp",
            "comments",
            "measuringDate",
            "analyst",
            "dendrochronologist",
            "measuringMethod",
            "interpretation",
            "genericField",
            "values",
        ],
        &["title", "measuringMethod"],
    ),
    (
        "interpretation",
        &[
            "dating",
            "firstYear",
            "datingReference",
            "statFoundation",
            "pithYear",
            "deathYear",
            "provenance",
        ],
        &[],
    ),
    (
        "values",
        &["variable", "unit", "unitless", "value"],
        &["variable", "value"],
    ),
    ("value", &["remark"], &[]),
];

/// What is not as [`STRUCTURE`] has it.
fn out_of_place(text: &str) -> BTreeSet<String> {
    use quick_xml::events::Event;
    let mut problems = BTreeSet::new();
    let mut open: Vec<(String, Vec<String>)> = Vec::new();
    let mut reader = quick_xml::Reader::from_str(text);
    loop {
        let (name, is_empty) = match reader.read_event().unwrap() {
            Event::Start(tag) => (tag.local_name().as_ref().to_owned(), false),
            Event::Empty(tag) => (tag.local_name().as_ref().to_owned(), true),
            Event::End(_) => {
                let (name, children) = open.pop().unwrap();
                problems.extend(wrong_children(&name, &children));
                continue;
            }
            Event::Eof => return problems,
            _ => continue,
        };
        if let Some((_, children)) = open.last_mut() {
            children.push(name.clone());
        }
        if is_empty {
            problems.extend(wrong_children(&name, &[]));
        } else {
            open.push((name, Vec::new()));
        }
    }
}

fn wrong_children(name: &str, children: &[String]) -> Vec<String> {
    let Some((_, order, must)) = STRUCTURE.iter().find(|(known, ..)| *known == name) else {
        return children
            .iter()
            .map(|child| format!("<{name}> holds <{child}>"))
            .collect();
    };
    let mut problems = Vec::new();
    let mut last = 0;
    for child in children {
        match order.iter().position(|known| known == child) {
            None => problems.push(format!("<{child}> in <{name}>")),
            Some(at) if at < last => problems.push(format!("<{child}> too late in <{name}>")),
            Some(at) => last = at,
        }
    }
    for wanted in must
        .iter()
        .filter(|wanted| !children.iter().any(|c| c == *wanted))
    {
        problems.push(format!("no <{wanted}> in <{name}>"));
    }
    problems
}

#[test]
fn elements_stand_in_the_order_of_the_standard() {
    let bare = Series {
        facts: Facts::default(),
        scope: None,
        first_year: None,
        widths: Widths::Px(vec![Some(Px(3.0))]),
        ..series("bare")
    };
    let (text, _) = write(&[series("oak"), bare], &mut Vec::new());
    assert_eq!(out_of_place(&text), BTreeSet::new());
    assert!(text.contains("<measuringMethod>unknown</measuringMethod>"));
    let mut photographed = series("oak");
    photographed.from_photo = true;
    let (text, _) = write(&[photographed], &mut Vec::new());
    assert!(text.contains("<measuringMethod normalTridas=\"onscreen measuring\"/>"));
    assert_eq!(out_of_place(&text), BTreeSet::new());
    // And the test sees what is not so.
    let moved = text.replacen("<unit normalTridas=\"micrometres\"/>", "", 1);
    let moved = moved.replacen("<values>", "<values><unit/>", 1);
    assert!(!out_of_place(&moved).is_empty());
    assert!(!out_of_place(&text.replace("taxon", "species")).is_empty());
}

/// A file as another program may write it: prefixes, mean series, two series
/// of one tree, units in words.
const OTHERS: &str = "<?xml version=\"1.0\"?>
<t:tridas xmlns:t=\"http://www.tridas.org/1.2.2\"><t:project><t:title>P</t:title>
<t:object><t:element><t:title>Tree 1</t:title><t:taxon>Larix</t:taxon>
<t:sample><t:radius><t:measurementSeries><t:title>north</t:title>
<t:interpretation><t:firstYear suffix=\"BC\">4</t:firstYear></t:interpretation>
<t:values><t:variable normalTridas=\"ring width\"/><t:unit>1/100th millimetres</t:unit>
<t:value value=\"123\"/><t:value value=\"205\"/></t:values></t:measurementSeries>
<t:measurementSeries><t:title>south</t:title>
<t:values><t:variable normalTridas=\"latewood width\"/><t:unit normalTridas=\"millimetres\"/><t:value value=\"1\"/></t:values>
<t:values><t:variable>Ring width</t:variable><t:unit normalTridas=\"millimetres\"/><t:value value=\"1.5\"/></t:values>
</t:measurementSeries></t:radius></t:sample></t:element></t:object>
<t:derivedSeries><t:title>mean</t:title></t:derivedSeries></t:project></t:tridas>";

#[test]
fn a_file_of_another_program_is_read_and_the_rest_reported() {
    let mut notices = Vec::new();
    let back = read(OTHERS.as_bytes(), &mut notices).unwrap();
    assert_eq!(back[0].name, "Tree 1 / north");
    assert_eq!(back[0].first_year, Some(Year(-3)));
    assert_eq!(back[0].facts.species.as_deref(), Some("larch"));
    assert_eq!(
        back[0].widths,
        Widths::Mm(vec![Some(Mm(1.23)), Some(Mm(2.05))])
    );
    assert_eq!(back[1].name, "Tree 1 / south");
    assert_eq!(back[1].widths, Widths::Mm(vec![Some(Mm(1.5))]));
    assert_eq!(back[1].first_year, None);
    assert!(notices.iter().any(|t| t.text.contains("1 mean series")));
}

#[test]
fn letters_that_may_not_be_written_are_not_read() {
    let text = OTHERS.replacen("Larix", "Lar\u{0}ix", 1);
    let back = read(text.as_bytes(), &mut Vec::new()).unwrap();
    assert_eq!(back[0].facts.species.as_deref(), Some("larch"));
}

#[test]
fn what_is_wrong_is_reported_with_its_line_and_column() {
    let until = OTHERS.find("<t:radius>").unwrap();
    let broken = |from: &str, to: &str| OTHERS.replacen(from, to, 1);
    for (text, line, column, word) in [
        (broken("value=\"123\"", "value=\"12e\""), 7, 1, "12e"),
        (broken("1/100th millimetres", "furlongs"), 6, 66, "furlongs"),
        (broken("</t:taxon>", "</t:taxi>"), 3, 61, "taxon"),
        (broken(">4</t:first", ">four</t:first"), 5, 48, "four"),
        (OTHERS[..until].to_owned(), 4, 11, "ends within"),
        ("<html></html>".to_owned(), 1, 1, "<tridas>"),
        (broken("Tree 1", "&bomb;"), 3, 31, "&bomb;"),
    ] {
        match read(text.as_bytes(), &mut Vec::new()) {
            Err(ExchangeError::Malformed { place, problem, .. }) => {
                assert_eq!(place, Place { line, column }, "{problem}");
                assert!(problem.contains(word), "{problem}");
            }
            other => panic!("{text}: {other:?}"),
        }
    }
}
