use super::schema::{APPLICATION, STEPS};
use super::*;
use crate::BookError;
use std::fs;
use tempfile::TempDir;
use wood::{
    Facts, Marks, Mm, PhotoId, Point, Px, Reading, Remembered, Ring, STUMP_FORMAT, Stump, Year,
};

fn place() -> TempDir {
    tempfile::tempdir().unwrap()
}

fn stump(sha256: &str, widths: &[f64]) -> Stump {
    let rings = widths
        .iter()
        .enumerate()
        .map(|(index, width)| Ring {
            number: index as u32 + 1,
            year: Some(Year(2000 + index as i32)),
            radius_px: Px(0.0),
            radius_mm: Some(Mm(widths[..=index].iter().sum())),
            width_px: Px(10.0 * width),
            width_mm: Some(Mm(*width)),
            confidence: 0.9,
            notes: Vec::new(),
            outline_px: vec![Some(Point::new(1.0, 2.0)); 5],
        })
        .collect();
    Stump {
        format: STUMP_FORMAT,
        facts: Facts {
            species: Some("white oak".into()),
            ..Facts::default()
        },
        marks: Marks::default(),
        reading: Reading {
            rings,
            ..Reading::of(PhotoId {
                file: "oak.jpg".into(),
                sha256: sha256.into(),
                width_px: 100,
                height_px: 80,
            })
        },
    }
}

fn new(name: &str, sha256: &str, widths: &[f64]) -> NewStump {
    NewStump {
        name: name.into(),
        file: Some(format!("{name}.stump.json").into()),
        photo: None,
        stump: stump(sha256, widths),
    }
}

#[test]
fn the_same_photo_is_the_same_stump_and_names_are_kept_apart() {
    let place = place();
    let mut book = Book::create(&place.path().join("a.book"), "Cold Hollow").unwrap();
    let added = book
        .add(&[
            new("oak, \"old\" 🌳", "aa", &[1.0, 2.0]),
            new("oak, \"old\" 🌳", "bb", &[1.0]),
            new("renamed", "aa", &[1.0, 2.0]),
            new("renamed", "aa", &[1.0, 2.5]),
        ])
        .unwrap();
    assert_eq!(
        added,
        [
            Added::New("oak, \"old\" 🌳".into()),
            Added::New("oak, \"old\" 🌳 (2)".into()),
            Added::Same("oak, \"old\" 🌳".into()),
            Added::Renewed("oak, \"old\" 🌳".into()),
        ]
    );
    let kept = book.stump("oak, \"old\" 🌳").unwrap();
    assert_eq!(kept.stump.reading.rings[1].width_mm, Some(Mm(2.5)));
    assert!(kept.stump.reading.rings[1].outline_px.is_empty());
    book.take_out("oak, \"old\" 🌳").unwrap();
    assert!(matches!(
        book.take_out("oak, \"old\" 🌳"),
        Err(BookError::NoSuchStump { .. })
    ));
    let left: i64 = book
        .connection
        .query_row("SELECT count(*) FROM ring", [], |row| row.get(0))
        .unwrap();
    assert_eq!(left, 1);
    assert_eq!(book.name().unwrap(), "Cold Hollow");
}

#[test]
fn an_earlier_book_is_brought_up_to_date_and_a_copy_kept() {
    let place = place();
    let path = place.path().join("a.book");
    {
        let old = rusqlite::Connection::open(&path).unwrap();
        old.execute_batch(STEPS[0]).unwrap();
        old.execute("INSERT INTO woodlot (only, name) VALUES (1, 'old')", [])
            .unwrap();
        old.pragma_update(None, "application_id", APPLICATION)
            .unwrap();
        old.pragma_update(None, "user_version", 1).unwrap();
    }
    let mut book = Book::open(&path).unwrap();
    let thinned = Remembered {
        year: Year(1991),
        what: "thinned".into(),
    };
    book.remember(&thinned).unwrap();
    book.remember(&thinned).unwrap();
    assert_eq!(
        book.memories().unwrap(),
        [Memory {
            year: Year(1991),
            what: "thinned".into(),
            of_woodlot: true,
            stumps: Vec::new(),
        }]
    );
    assert_eq!(book.forget(Year(1991)).unwrap(), 1);
    assert!(place.path().join("a.format-1.book").is_file());
    assert_eq!(Book::open(&path).unwrap().name().unwrap(), "old");
}

fn remembered(year: i32, what: &str) -> Remembered {
    Remembered {
        year: Year(year),
        what: what.into(),
    }
}

#[test]
fn what_is_with_events_stumps_is_in_the_book_as_long_as_they_are() {
    let place = place();
    let mut book = Book::create(&place.path().join("a.book"), "a").unwrap();
    let with = |name: &str, remembered: &[Remembered]| {
        let mut new = new(name, name, &[1.0, 2.0]);
        new.stump.facts.remembered = remembered.to_vec();
        new
    };
    book.remember(&remembered(1988, "no rain")).unwrap();
    let dry = remembered(1988, " no rain");
    book.add(&[
        with(
            "oak",
            &[remembered(1991, "thinned"), dry.clone(), dry.clone()],
        ),
        with("ash", &[dry]),
    ])
    .unwrap();
    let memories = book.memories().unwrap();
    assert_eq!(memories.len(), 2, "{memories:?}");
    assert_eq!(memories[0].stumps, ["ash", "oak"]);
    assert!(memories[0].of_woodlot && !memories[1].of_woodlot);
    assert_eq!(memories[1].stumps, ["oak"]);
    // Changed at the desk: the book follows.
    book.add(&[with("oak", &[remembered(1992, "thinned")])])
        .unwrap();
    assert_eq!(book.memories().unwrap()[1].year, Year(1992));
    // The woodlot's own is forgotten; a stump's goes with the stump.
    assert_eq!(book.forget(Year(1988)).unwrap(), 1);
    assert_eq!(book.memories().unwrap()[0].stumps, ["ash"]);
    book.take_out("ash").unwrap();
    book.take_out("oak").unwrap();
    assert!(book.memories().unwrap().is_empty());
}

#[test]
fn a_book_without_what_stumps_remember_gets_it_from_its_entries() {
    let place = place();
    let path = place.path().join("a.book");
    {
        let old = rusqlite::Connection::open(&path).unwrap();
        old.execute_batch(STEPS[0]).unwrap();
        old.execute_batch(STEPS[1]).unwrap();
        let mut with_events = stump("aa", &[1.0]);
        with_events.facts.remembered = vec![
            remembered(1991, "thinned, \"hard\" 🌲"),
            remembered(1995, "fire"),
        ];
        for (id, entry) in [
            (1, serde_json::to_string(&with_events).unwrap()),
            // An entry from before anything could be remembered.
            (2, r#"{"format":1,"facts":{}}"#.to_owned()),
        ] {
            old.execute(
                "INSERT INTO stump (id, name, key, readable, entry) VALUES (?1, ?1, ?1, 1, ?2)",
                (id, entry),
            )
            .unwrap();
        }
        old.pragma_update(None, "application_id", APPLICATION)
            .unwrap();
        old.pragma_update(None, "user_version", 2).unwrap();
    }
    let memories = Book::open(&path).unwrap().memories().unwrap();
    let words: Vec<&str> = memories.iter().map(|one| one.what.as_str()).collect();
    assert_eq!(words, ["thinned, \"hard\" 🌲", "fire"]);
    assert_eq!(memories[0].stumps, ["1"]);
}

#[test]
fn broken_newer_and_foreign_files_are_distinguished_and_left_as_they_are() {
    let place = place();
    let path = place.path().join("a.book");
    let mut book = Book::create(&path, "a").unwrap();
    let many: Vec<NewStump> = (0..60)
        .map(|i| new(&format!("s{i}"), &format!("{i}"), &[1.0; 80]))
        .collect();
    book.add(&many).unwrap();
    drop(book);
    let whole = fs::read(&path).unwrap();
    // Half copied.
    let half = place.path().join("half.book");
    fs::write(&half, &whole[..whole.len() / 2]).unwrap();
    let error = Book::open(&half).map(drop).unwrap_err();
    assert!(matches!(error, BookError::Damaged { .. }), "{error}");
    assert!(error.advice().contains(".stump.json"));
    // Newer: SQLite keeps user_version in bytes 60 to 63.
    let newer = place.path().join("newer.book");
    let mut bytes = whole.clone();
    bytes[63] = 99;
    fs::write(&newer, &bytes).unwrap();
    assert!(matches!(
        Book::open(&newer).map(drop),
        Err(BookError::Newer { found: 99, .. })
    ));
    assert_eq!(fs::read(&newer).unwrap(), bytes);
    let text = place.path().join("text.book");
    fs::write(
        &text,
        "no database at all, just words, and a good many of them",
    )
    .unwrap();
    assert!(matches!(
        Book::open(&text).map(drop),
        Err(BookError::NotABook(_))
    ));
    let empty = place.path().join("empty.book");
    fs::write(&empty, "").unwrap();
    assert!(matches!(
        Book::open(&empty).map(drop),
        Err(BookError::NotABook(_))
    ));
    assert!(matches!(
        Book::open(&place.path().join("none.book")).map(drop),
        Err(BookError::NotThere(_))
    ));
    assert!(matches!(
        Book::create(&path, "b").map(drop),
        Err(BookError::Exists(_))
    ));
}

#[test]
fn two_writers_at_once_lose_nothing() {
    let place = place();
    let path = place.path().join("a.book");
    Book::create(&path, "a").unwrap();
    std::thread::scope(|scope| {
        for writer in 0..2 {
            let path = &path;
            scope.spawn(move || {
                let mut book = Book::open(path).unwrap();
                for number in 0..20 {
                    let name = format!("{writer}-{number}");
                    book.add(&[new(&name, &name, &[1.0; 30])]).unwrap();
                }
            });
        }
    });
    assert_eq!(Book::open(&path).unwrap().stumps().unwrap().len(), 40);
    let left: Vec<_> = fs::read_dir(place.path()).unwrap().collect();
    assert_eq!(left.len(), 1, "a book is one file");
}
