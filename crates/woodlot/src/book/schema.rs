//! The tables of a book. What they hold is documented in
//! `docs/formats.md`; a test holds the two against each other.

/// The number of the book's format that this build writes; SQLite keeps it as
/// `user_version`.
pub const BOOK_FORMAT: i64 = 3;

/// SQLite's mark of what kind of file this is: "STMP".
pub(super) const APPLICATION: i64 = 0x5354_4d50;

/// What brings a book from each format to the next, forward only. A step that
/// has been published is never changed: a new one is added.
pub(super) const STEPS: [&str; BOOK_FORMAT as usize] = [
    // 1: stumps and their rings.
    "CREATE TABLE woodlot (
        only INTEGER PRIMARY KEY CHECK (only = 1),
        name TEXT NOT NULL,
        made TEXT NOT NULL DEFAULT (datetime('now'))
    ) STRICT;
    CREATE TABLE stump (
        id INTEGER PRIMARY KEY,
        name TEXT NOT NULL UNIQUE,
        key TEXT NOT NULL UNIQUE,
        file TEXT,
        photo TEXT,
        species TEXT,
        latin TEXT,
        wood TEXT,
        felled TEXT,
        cut_height_mm REAL,
        across_inside_bark_mm REAL,
        readable INTEGER NOT NULL,
        scope TEXT,
        count_best INTEGER,
        count_low INTEGER,
        count_high INTEGER,
        age_best INTEGER,
        age_low INTEGER,
        age_high INTEGER,
        last_year INTEGER,
        added TEXT NOT NULL DEFAULT (datetime('now')),
        renewed TEXT,
        entry TEXT NOT NULL
    ) STRICT;
    CREATE TABLE ring (
        stump INTEGER NOT NULL REFERENCES stump (id) ON DELETE CASCADE,
        number INTEGER NOT NULL,
        year INTEGER,
        width_mm REAL,
        radius_mm REAL,
        width_px REAL NOT NULL,
        confidence REAL NOT NULL,
        PRIMARY KEY (stump, number)
    ) STRICT, WITHOUT ROWID;
    CREATE VIEW ring_width AS
        SELECT stump.name AS stump, stump.species, ring.number, ring.year,
               ring.width_mm, ring.radius_mm, ring.confidence
        FROM ring JOIN stump ON stump.id = ring.stump
        ORDER BY stump.name, ring.number;",
    // 2: what people remember of the woodlot.
    "CREATE TABLE remembered (
        id INTEGER PRIMARY KEY,
        year INTEGER NOT NULL,
        what TEXT NOT NULL,
        UNIQUE (year, what)
    ) STRICT;",
    // 3: what people remember of single stumps, as entered at the desk.
    "CREATE TABLE stump_remembered (
        stump INTEGER NOT NULL REFERENCES stump (id) ON DELETE CASCADE,
        number INTEGER NOT NULL,
        year INTEGER NOT NULL,
        what TEXT NOT NULL,
        PRIMARY KEY (stump, number)
    ) STRICT, WITHOUT ROWID;
    INSERT INTO stump_remembered (stump, number, year, what)
        SELECT stump.id, event.key + 1,
               json_extract(event.value, '$.year'), json_extract(event.value, '$.what')
        FROM stump, json_each(
            CASE WHEN json_valid(stump.entry) THEN stump.entry ELSE '{}' END,
            '$.facts.remembered'
        ) AS event;",
];
