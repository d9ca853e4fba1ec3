//! Out and in again gives the same series, within each format's resolution;
//! and no bytes whatever make a reader fall over.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use exchange::{Entry, Format, Resolution, Series, Source, Widths, read, stump_of, write};
use proptest::prelude::*;
use wood::{Facts, Mm, Remembered, Scope, Year};

fn widths() -> impl Strategy<Value = Vec<Option<f64>>> {
    // From a missing ring to one of 40 mm; some not known, none at the ends.
    let width = prop_oneof![
        8 => (0.0..40.0_f64).prop_map(Some),
        1 => Just(Some(0.0)),
        1 => Just(None),
    ];
    (
        0.0..9.0_f64,
        prop::collection::vec(width, 0..130),
        0.0..9.0_f64,
    )
        .prop_map(|(first, middle, last)| {
            let mut all = vec![Some(first)];
            all.extend(middle);
            all.push(Some(last));
            all
        })
}

fn facts() -> impl Strategy<Value = (Facts, Option<Scope>)> {
    let species = prop_oneof![Just(None), Just(Some("white oak")), Just(Some("larch"))];
    let felled = prop_oneof![Just(None), Just(Some("2025-11-08")), Just(Some("1999"))];
    let scope = prop_oneof![
        Just(None),
        Just(Some(Scope::WholeFace)),
        Just(Some(Scope::RingsInView)),
        Just(Some(Scope::OutsideHeart))
    ];
    let remembered = (
        -1500..2025_i32,
        "[^\\p{Cc}\\s]([^\\p{Cc}]{0,12}[^\\p{Cc}\\s])?",
    )
        .prop_map(|(year, what)| Remembered {
            year: Year(year),
            what,
        });
    (
        species,
        felled,
        scope,
        prop::option::of(1.0..2000.0_f64),
        prop::collection::vec(remembered, 0..3),
    )
        .prop_map(|(species, felled, scope, height, remembered)| {
            let facts = Facts {
                species: species.map(str::to_owned),
                felled: felled.and_then(|text| text.parse().ok()),
                cut_height_mm: height.map(|mm| Mm(mm.round())),
                remembered,
                ..Facts::default()
            };
            (facts, scope)
        })
}

prop_compose! {
    fn any_series()(
        name in "[^\\p{Cc}\\s]([^\\p{Cc}]{0,12}[^\\p{Cc}\\s])?",
        first in prop::option::of(-1500..2025_i32),
        widths in widths(),
        (facts, scope) in facts(),
    ) -> Series {
        let confidence = vec![0.75; widths.len()];
        Series {
            name,
            facts,
            scope,
            first_year: first.map(Year),
            widths: Widths::Mm(widths.into_iter().map(|w| w.map(Mm)).collect()),
            confidence,
            from_photo: false,
        }
    }
}

fn there_and_back(series: &Series, format: Format) -> Series {
    let entry = Entry {
        name: series.name.clone(),
        stump: stump_of(series, &Source::of("made up", b"")),
    };
    let written = write(&[entry], format).unwrap();
    let back = read("made up", written.text.as_bytes(), format)
        .unwrap_or_else(|error| panic!("{error}\n{}", written.text));
    assert_eq!(back.entries.len(), 1);
    Series::of(&back.entries[0].name, &back.entries[0].stump).unwrap()
}

fn check_widths(made: &Series, back: &Series, resolution: f64) {
    let (made, back) = (made.widths.numbers(), back.widths.numbers());
    assert_eq!(made.len(), back.len());
    for (made, back) in made.iter().zip(back) {
        match (made, back) {
            (None, None) => {}
            (Some(made), Some(back)) => {
                assert!(
                    (made - back).abs() <= resolution * 0.5 + 1e-9,
                    "{made} {back}"
                );
            }
            other => panic!("{other:?}"),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn csv_holds_widths_years_and_facts(mut made in any_series()) {
        // It has no column for these, and says so.
        made.facts.remembered.clear();
        let back = there_and_back(&made, Format::Csv);
        check_widths(&made, &back, 0.0001);
        prop_assert_eq!(back.first_year, made.first_year);
        prop_assert_eq!((back.name, back.facts, back.scope), (made.name, made.facts, made.scope));
        prop_assert_eq!(back.confidence, made.confidence);
    }

    #[test]
    fn json_holds_everything(made in any_series()) {
        prop_assert_eq!(there_and_back(&made, Format::Json), made);
    }

    #[test]
    fn the_decadal_layout_holds_widths_and_years(made in any_series()) {
        for (resolution, mm) in [(Resolution::Hundredth, 0.01), (Resolution::Thousandth, 0.001)] {
            let back = there_and_back(&made, Format::Decadal(resolution));
            // 9.99 mm is nudged by a whole step at 0.01 mm.
            check_widths(&made, &back, if mm > 0.005 { 3.0 * mm } else { mm });
            prop_assert_eq!(back.first_year, Some(made.first_year.unwrap_or(Year(1))));
        }
    }

    #[test]
    fn tridas_holds_widths_years_and_facts(made in any_series()) {
        let back = there_and_back(&made, Format::Tridas);
        check_widths(&made, &back, 0.001);
        prop_assert_eq!(back.first_year, made.first_year);
        prop_assert_eq!((back.name, back.facts, back.scope), (made.name, made.facts, made.scope));
    }

    #[test]
    fn no_bytes_make_a_reader_fall_over(
        bytes in prop::collection::vec(any::<u8>(), 0..300),
        text in "[A-Za-z0-9 <>/=\"\\-\\n\\t,.]{0,300}",
    ) {
        for format in [
            Format::Csv,
            Format::Json,
            Format::Decadal(Resolution::Hundredth),
            Format::Tridas,
        ] {
            let _ = read("any", &bytes, format);
            let _ = read("any", text.as_bytes(), format);
        }
    }

    #[test]
    fn a_damaged_file_is_read_or_refused(made in any_series(), at in 0.0..1.0_f64, byte in any::<u8>()) {
        let entry = Entry {
            name: made.name.clone(),
            stump: stump_of(&made, &Source::of("made up", b"")),
        };
        for format in [
            Format::Csv,
            Format::Json,
            Format::Decadal(Resolution::Thousandth),
            Format::Tridas,
        ] {
            let mut bytes = write(std::slice::from_ref(&entry), format).unwrap().text.into_bytes();
            let place = ((bytes.len() - 1) as f64 * at) as usize;
            bytes[place] = byte;
            let _ = read("any", &bytes, format);
            bytes.truncate(place);
            let _ = read("any", &bytes, format);
        }
    }
}
