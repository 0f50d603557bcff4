//! What every parser must hold against any text, and where such texts come from.
//!
//! A parser is one row of [`TARGETS`]: what must be true of it, how a new text is made from an old
//! one, and texts to begin with. `tests/hostile.rs` replays the kept texts (`corpus/`) and a short
//! seeded run with every row; the long run of `cargo xtask test --long` drives the same rows by
//! coverage (`fuzz/`). A later parser is one more row, and has both.

mod maps;

use airpath::build::{
    Build, BuildError, BuildFile, CurveField, FileError, RecordFile, Turbocharger, shelf,
};
use airpath::fields::{FIELDS, Spec};
use airpath::quantity::{self, Kind, LONGEST_TEXT, ReadError, Unit};
use peak_alloc::PeakAlloc;
use serde_json::{Value, json};
use std::sync::LazyLock;
use std::time::Duration;

/// Longest that one case may take.
pub const MOST_TIME: Duration = Duration::from_millis(100);

/// Most memory that one case may hold at any moment beyond what was held before it, bytes.
pub const MOST_MEMORY: usize = 64 << 20;

/// Longest message, characters, for one thing that is wrong. A screen on a phone holds about this.
const LONGEST_MESSAGE: usize = 1200;

/// Most characters of a message that lists everything wrong with a build file.
const LONGEST_LIST: usize = 60_000;

/// A parser under test.
pub struct Target {
    /// Its name: on the command line, and of its folder in `corpus/`.
    pub name: &'static str,
    /// Feeds it a text; panics where something that must be true is not.
    pub run: fn(&[u8]),
    /// Makes a text from another one, mindful of what the parser reads.
    pub mutate: fn(&mut Dice, &[u8]) -> Vec<u8>,
    /// Texts to begin with.
    pub seeds: fn() -> Vec<Vec<u8>>,
}

/// Every parser.
pub const TARGETS: &[Target] = &[
    Target {
        name: "quantity",
        run: quantity,
        mutate: mutate_quantity,
        seeds: quantity_seeds,
    },
    Target {
        name: "build_file",
        run: build_file,
        mutate: mutate_build_file,
        seeds: build_file_seeds,
    },
    Target {
        name: "map_table",
        run: maps::map_file,
        mutate: maps::mutate_map_table,
        seeds: maps::map_table_seeds,
    },
    Target {
        name: "map_json",
        run: maps::map_file,
        mutate: maps::mutate_map_json,
        seeds: maps::map_json_seeds,
    },
    Target {
        name: "records",
        run: records,
        mutate: maps::mutate_map_json,
        seeds: record_seeds,
    },
];

/// A target by its name.
#[must_use]
pub fn target(name: &str) -> Option<&'static Target> {
    TARGETS.iter().find(|target| target.name == name)
}

/// What one case took.
#[derive(Debug, Clone, Copy)]
pub struct Cost {
    /// Of the processor: what else the machine does at the time does not count.
    pub time: Duration,
    /// Most bytes held at any moment beyond those held before.
    pub memory: usize,
}

/// Time that the processor has spent on this thread so far.
#[cfg(unix)]
fn processor_time() -> Duration {
    let time = rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime);
    Duration::new(time.tv_sec.unsigned_abs(), time.tv_nsec as u32)
}

/// The same where there is only a clock on the wall.
#[cfg(not(unix))]
fn processor_time() -> Duration {
    static BEGIN: LazyLock<std::time::Instant> = LazyLock::new(std::time::Instant::now);
    BEGIN.elapsed()
}

/// Runs one case within its limits.
///
/// Memory is that of the whole program, so no other case may run at the same time; the program must
/// have `peak_alloc::PeakAlloc` as its allocator.
///
/// # Panics
/// When something that must be true of the target is not, or a limit is exceeded.
pub fn within_limits(target: &Target, bytes: &[u8]) -> Cost {
    assert!(
        PeakAlloc.current_usage() > 0,
        "this program does not count its memory"
    );
    PeakAlloc.reset_peak_usage();
    let before = PeakAlloc.current_usage();
    let start = processor_time();
    (target.run)(bytes);
    let cost = Cost {
        time: processor_time() - start,
        memory: PeakAlloc.peak_usage().saturating_sub(before),
    };
    let text = String::from_utf8_lossy(&bytes[..bytes.len().min(2000)]);
    assert!(
        cost.time <= MOST_TIME,
        "{} took {:?} for {} bytes: {text}",
        target.name,
        cost.time,
        bytes.len()
    );
    assert!(
        cost.memory <= MOST_MEMORY,
        "{} held {} bytes for {} bytes: {text}",
        target.name,
        cost.memory,
        bytes.len()
    );
    cost
}

// ---- Numbers with units ---------------------------------------------------------------------

/// A number with a unit. The first letter says which kind of quantity it is read as, a to z in the
/// order of [`Kind::ALL`], and which unit it has without one: the imperial for a capital letter.
pub fn quantity(bytes: &[u8]) {
    let Some((first, rest)) = bytes.split_first() else {
        return;
    };
    let kind =
        Kind::ALL[usize::from(first.to_ascii_lowercase().wrapping_sub(b'a')) % Kind::ALL.len()];
    let default = if first.is_ascii_uppercase() {
        kind.imperial()
    } else {
        kind.metric()
    };
    quantity_of(&String::from_utf8_lossy(rest), kind, default);
}

/// The letter of a kind; see [`quantity`].
fn letter(kind: Kind, imperial: bool) -> char {
    let at = Kind::ALL
        .iter()
        .position(|other| *other == kind)
        .unwrap_or(0);
    let letter = char::from(b'a' + at as u8);
    if imperial {
        letter.to_ascii_uppercase()
    } else {
        letter
    }
}

fn quantity_of(text: &str, kind: Kind, default: &'static Unit) {
    match quantity::read(text, kind, default) {
        Ok(reading) => {
            let context = || format!("{text:?} as {kind:?}: {reading:?}");
            assert!(reading.si.is_finite(), "{}", context());
            assert!(reading.value.is_finite(), "{}", context());
            assert!(kind.units().contains(reading.unit), "{}", context());
            assert_eq!(
                reading.si,
                reading.unit.to_si(reading.value),
                "{}",
                context()
            );
            // Written out it reads as the very same, within the sizes that writing promises.
            if reading.si == 0.0 || (1e-290..1e290).contains(&reading.si.abs()) {
                let written = quantity::write_exact(reading.si, reading.unit);
                let again = quantity::read(&written, kind, default)
                    .unwrap_or_else(|error| panic!("{}: {written}: {error}", context()));
                assert_eq!(again.si, reading.si, "{}: {written}", context());
                assert_eq!(again.unit, reading.unit, "{}: {written}", context());
            }
        }
        Err(error) => {
            let message = error.to_string();
            let context = || format!("{text:?} as {kind:?}: {message}");
            sentence(&message, LONGEST_MESSAGE);
            let trimmed = text.trim();
            match &error {
                ReadError::Empty => {}
                ReadError::TooLong { length, .. } => {
                    assert!(message.contains(&length.to_string()), "{}", context());
                    assert!(message.contains(&LONGEST_TEXT.to_string()), "{}", context());
                }
                ReadError::UnknownUnit { unit, known, .. } => {
                    assert!(trimmed.contains(unit.as_str()), "{}", context());
                    assert!(message.contains(unit.as_str()), "{}", context());
                    assert!(message.contains(known.as_str()), "{}", context());
                }
                ReadError::NotANumber { text: said }
                | ReadError::NotFinite { text: said }
                | ReadError::AmbiguousSeparator { text: said }
                | ReadError::NotWhole { text: said } => {
                    assert!(text.contains(said.as_str()), "{}", context());
                    assert!(message.contains(said.as_str()), "{}", context());
                }
            }
        }
    }
}

/// What every message must be: said, ended, and short enough to be read.
fn sentence(message: &str, longest: usize) {
    let length = message.chars().count();
    assert!(length <= longest, "{length} characters: {message}");
    assert!(length > 10, "too short to help: {message:?}");
    assert!(
        message.ends_with(['.', '?']),
        "no whole sentence: {message}"
    );
}

// ---- Files of turbochargers -----------------------------------------------------------------

/// A file of turbochargers: refused in a sentence, or every one of them can be used and is written
/// back as the same.
fn records(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    match RecordFile::from_json(&text) {
        Ok(file) => {
            assert!(!file.turbochargers.is_empty());
            for turbocharger in &file.turbochargers {
                assert_eq!(turbocharger.check(), Ok(()), "{}", start(&text));
            }
            let again = RecordFile::from_json(&file.to_json());
            assert!(again.as_ref() == Ok(&file), "{again:?}\n{}", start(&text));
        }
        Err(error) => sentence(&error.to_string(), LONGEST_MESSAGE),
    }
}

/// Turbochargers whose maps are short, so that a mutation meets all of a record.
fn record_seeds() -> Vec<Vec<u8>> {
    let mut short = shelf();
    for turbocharger in &mut short {
        let map = &mut turbocharger.compressor.map;
        map.estimated = false;
        map.lines.drain(2..);
        for line in &mut map.lines {
            line.points.truncate(4);
        }
    }
    let all = RecordFile::new(short.clone()).to_json();
    let one = RecordFile::new(vec![short.swap_remove(1)]).to_json();
    vec![one.into_bytes(), all.into_bytes(), b"{}".to_vec()]
}

// ---- Build files ----------------------------------------------------------------------------

/// A build file: refused with a message that helps, or taken and written back as the same.
pub fn build_file(bytes: &[u8]) {
    // A browser hands over text: what is no UTF-8 has become replacement characters by then.
    let text = String::from_utf8_lossy(bytes);
    let file = match BuildFile::from_json(&text) {
        Ok(file) => file,
        Err(error) => return refusal(&text, &error),
    };
    let written = file.to_json();
    match BuildFile::from_json(&written) {
        Ok(again) => assert!(again == file, "the file changed:\n{}", start(&text)),
        // Indented, a file of nothing but unknown keys grows too large; no build is lost with it.
        Err(FileError::TooLarge { .. }) => {}
        Err(error) => panic!("what was written is refused: {error}\n{}", start(&written)),
    }
    let build = match file.into_build() {
        Ok(build) => build,
        Err(error) => return refusal(&text, &error),
    };
    let written = BuildFile::from_build(&build).to_json();
    let again = BuildFile::from_json(&written)
        .and_then(BuildFile::into_build)
        .unwrap_or_else(|error| {
            panic!("what was written is refused: {error}\n{}", start(&written))
        });
    same_build(&build, &again, &written);
}

/// The beginning of a text, for a message.
fn start(text: &str) -> String {
    text.chars().take(4000).collect()
}

/// Entries and records are the same to the bit. A curve keeps the unit of its first point only, so
/// a point that was given in another may move by what rounding to that unit moves it.
fn same_build(build: &Build, again: &Build, written: &str) {
    for spec in &FIELDS {
        assert_eq!(
            build.entry(spec.field),
            again.entry(spec.field),
            "{}:\n{written}",
            spec.id
        );
    }
    for field in CurveField::ALL {
        let (one, two) = (build.curve(field), again.curve(field));
        assert_eq!(one.is_some(), two.is_some(), "{written}");
        for (one, two) in one.into_iter().zip(two) {
            let (one, two) = (one.curve.points(), two.curve.points());
            assert_eq!(one.len(), two.len(), "{written}");
            for (a, b) in one.iter().zip(&two) {
                for (a, b) in [(a.0, b.0), (a.1, b.1)] {
                    assert!((a - b).abs() <= 4.0 * f64::EPSILON * a.abs(), "{written}");
                }
            }
        }
    }
    assert_eq!(build.name(), again.name(), "{written}");
    assert_eq!(build.arrangement(), again.arrangement(), "{written}");
    assert_eq!(build.fuel(), again.fuel(), "{written}");
    assert_eq!(build.rail_reference(), again.rail_reference(), "{written}");
    assert_eq!(build.turbocharger(), again.turbocharger(), "{written}");
    assert_eq!(build.housing_index(), again.housing_index(), "{written}");
}

/// A refusal names the place or the field, the value, and what would be taken.
fn refusal(text: &str, error: &FileError) {
    let message = error.to_string();
    let has = |part: &str| {
        assert!(
            message.contains(part),
            "no {part:?} in: {message}\n{}",
            start(text)
        );
    };
    match error {
        FileError::Shape {
            detail,
            line,
            column,
        } => {
            sentence(&message, LONGEST_MESSAGE);
            assert!(!detail.is_empty(), "{message}");
            // Counting the lines of a large text would take longer than reading it.
            let last_line = if text.len() < 10_000 {
                text.lines().count() + 1
            } else {
                text.len()
            };
            assert!(
                *line >= 1 && *line <= last_line,
                "{message}\n{}",
                start(text)
            );
            has(&format!("line {line}, column {column}"));
            // The words of a library's insides help nobody.
            assert!(
                !message.contains("untagged") && !message.contains("Deserialize"),
                "{message}"
            );
        }
        FileError::Version { found } => {
            sentence(&message, LONGEST_MESSAGE);
            has(&found.to_string());
        }
        FileError::TooLarge { bytes } => {
            sentence(&message, LONGEST_MESSAGE);
            has(&bytes.to_string());
        }
        FileError::NotOnShelf { id, known } => {
            sentence(&message, LONGEST_MESSAGE);
            has(id);
            has(known);
        }
        FileError::Housing { name, known, .. } => {
            sentence(&message, LONGEST_MESSAGE);
            has(name);
            has(known);
        }
        FileError::Build(BuildError::Fields(errors)) => {
            assert!(!errors.is_empty());
            let length = message.chars().count();
            assert!(length <= LONGEST_LIST, "{length} characters: {message}");
            for error in errors {
                let one = error.to_string();
                sentence(&one, LONGEST_MESSAGE);
                assert!(!error.label.is_empty(), "{one}");
                assert!(one.contains(error.label), "{one}");
                let Some(spec) = FIELDS.iter().find(|spec| spec.id == error.id) else {
                    continue;
                };
                let typed = error.typed.trim();
                assert!(
                    typed.is_empty() || typed.chars().count() > LONGEST_TEXT || names(&one, typed),
                    "the value {typed:?} is not in: {one}"
                );
                assert!(says_range(spec, &one), "what is taken is not said: {one}");
            }
        }
        FileError::Build(_) => {
            sentence(&message, LONGEST_MESSAGE);
        }
    }
}

/// Whether a message holds what was typed, or at least the part of it that is wrong.
fn names(message: &str, typed: &str) -> bool {
    message.contains(typed)
        || message
            .split_once('“')
            .and_then(|(_, rest)| rest.split_once('”'))
            .is_some_and(|(said, _)| typed.contains(said))
}

/// Whether a message says which values the field takes: both ends, or the one that was passed.
fn says_range(spec: &Spec, message: &str) -> bool {
    message.contains(" takes ")
        || message.contains("this field takes")
        || message.contains("Enter a value from")
        || message.contains(&format!(
            "“{}”",
            airpath::fields::Field::IdleSpeed.spec().label
        )) && spec.id == "redline"
}

// ---- Texts ----------------------------------------------------------------------------------

/// A small generator (splitmix64, Steele, Lea & Flood 2014): the same numbers on every machine.
pub struct Dice(u64);

impl Dice {
    /// A generator whose numbers follow from `seed`.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from `low` to `high`, the latter not included.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.bits() >> 11) as f64 / (1u64 << 53) as f64)
    }

    /// A whole number from 0 to `count` less 1; 0 where `count` is 0.
    pub fn below(&mut self, count: usize) -> usize {
        (self.bits() % count.max(1) as u64) as usize
    }

    /// One of several texts.
    pub fn text(&mut self, some: &[&'static str]) -> &'static str {
        some[self.below(some.len())]
    }

    /// One of several.
    pub fn of<'a, T>(&mut self, some: &'a [T]) -> &'a T {
        &some[self.below(some.len())]
    }
}

/// Every sign that stands for minus in the reader, plus, and some that look like it.
const SIGNS: &[&str] = &[
    "", "", "", "", "-", "+", "−", "–", "‒", "\u{FE63}", "\u{FF0D}", "—", "--", "+-", "- ",
];

/// Spaces: none, plain, no-break, thin, figure, ideographic, zero width, a tab, lines.
const SPACES: &[&str] = &[
    "", " ", " ", "  ", "\u{a0}", "\u{202f}", "\u{2009}", "\u{2007}", "\u{3000}", "\u{200b}", "\t",
    "\n", "\r\n",
];

/// Numbers as they must not be, or just about may be.
const ODD_NUMBERS: &[&str] = &[
    "0",
    "-0",
    "0.0",
    "00",
    "007",
    ".5",
    "5.",
    ".",
    ",",
    "1,5",
    "1,500",
    "1.500",
    "7,200",
    "1,234,567.8",
    "1.234.567,8",
    "12 345",
    "12'345",
    "12’345.5",
    "1_000",
    "1,,5",
    "1..5",
    "1.5.2",
    "1e3",
    "1E-3",
    "1e+3",
    "1e−3",
    "1e",
    "e5",
    "1e999",
    "-1e999",
    "1e-999",
    "1e300",
    "1e301",
    "1e-300",
    "1e-301",
    "1e309",
    "4.9e-324",
    "2.2250738585072011e-308",
    "1.7976931348623157e308",
    "1e99999999999999999999",
    "0e999",
    "NaN",
    "nan",
    "inf",
    "-inf",
    "Infinity",
    "∞",
    "0x10",
    "1/2",
    "10-20",
    "１２",
    "٣",
    "½",
    "²",
    "9007199254740993",
    "0.1",
    "0.30000000000000004",
    "123456789012345678901234567890",
];

/// Texts that have broken parsers before: controls, marks that turn text round, combining marks, a
/// byte order mark, signs outside the first plane.
const ODD_TEXTS: &[&str] = &[
    "\0",
    "\u{1b}[31m",
    "\u{202e}",
    "\u{feff}",
    "e\u{301}\u{301}",
    "🏎",
    "\u{10ffff}",
    "ß",
    "İ",
    "ﬀ",
    "\\",
    "\"",
    "'",
    "%s%n",
    "{}",
    "“",
    "”",
    "</script>",
    "${x}",
    "\u{fffd}",
    "\u{85}",
    "\u{2028}",
];

fn unit_text(dice: &mut Dice, kind: Kind) -> String {
    let units = kind.units();
    let unit = dice.of(units);
    let at = dice.below(unit.aliases.len() + 1);
    let text = unit.aliases.get(at).unwrap_or(&unit.symbol);
    match dice.below(8) {
        0 => text.to_uppercase(),
        1 => text.to_lowercase(),
        2 => text.replace(' ', dice.text(SPACES)),
        3 => text.chars().rev().collect(),
        _ => (*text).to_owned(),
    }
}

fn number_text(dice: &mut Dice) -> String {
    match dice.below(4) {
        0 => dice.text(ODD_NUMBERS).to_owned(),
        1 => format!("{}", f64::from_bits(dice.bits())),
        2 => format!("{:e}", f64::from_bits(dice.bits())),
        _ => {
            let most = if dice.below(10) == 0 { 70 } else { 6 };
            let digits = 1 + dice.below(most);
            let mut text = String::new();
            for _ in 0..digits {
                text.push(char::from(b'0' + dice.below(10) as u8));
                if dice.below(6) == 0 {
                    text.push_str(dice.text(&[".", ",", "'", " ", "_", "\u{202f}"]));
                }
            }
            if dice.below(5) == 0 {
                text += dice.text(&["e", "E", "e-", "e+", "e−"]);
                text += &dice.below(400).to_string();
            }
            text
        }
    }
}

/// A number with a unit, more or less.
fn quantity_text(dice: &mut Dice, kind: Kind) -> String {
    let mut text = String::new();
    text += dice.text(SPACES);
    text += dice.text(SIGNS);
    text += &number_text(dice);
    text += dice.text(SPACES);
    if dice.below(4) > 0 {
        let kind = if dice.below(4) == 0 {
            *dice.of(&Kind::ALL)
        } else {
            kind
        };
        text += &unit_text(dice, kind);
    }
    text += dice.text(SPACES);
    match dice.below(12) {
        0 => text += dice.text(ODD_TEXTS),
        1 => text = text.repeat(1 + dice.below(40)),
        _ => {}
    }
    text
}

fn quantity_seeds() -> Vec<Vec<u8>> {
    let mut seeds = Vec::new();
    for kind in Kind::ALL {
        for number in ["1.5", "1,500", "-2e3"] {
            seeds.push(format!("{}{number}", letter(kind, true)).into_bytes());
        }
        for unit in kind.units() {
            for symbol in unit.aliases.iter().chain([&unit.symbol]) {
                seeds.push(format!("{}1.5 {symbol}", letter(kind, false)).into_bytes());
            }
        }
    }
    seeds
}

fn mutate_quantity(dice: &mut Dice, bytes: &[u8]) -> Vec<u8> {
    let mut new = if dice.below(2) == 0 {
        let kind = *dice.of(&Kind::ALL);
        let letter = letter(kind, dice.below(2) == 0);
        format!("{letter}{}", quantity_text(dice, kind)).into_bytes()
    } else {
        bytes.to_vec()
    };
    for _ in 0..dice.below(3) {
        edit_text(dice, &mut new);
    }
    new
}

/// One edit that knows nothing of what the text means.
fn edit_text(dice: &mut Dice, bytes: &mut Vec<u8>) {
    let at = dice.below(bytes.len() + 1);
    let end = at + dice.below(bytes.len() - at + 1);
    match dice.below(7) {
        0 => bytes.truncate(at),
        1 => {
            bytes.drain(at..end);
        }
        2 => {
            let part = bytes[at..end].to_vec();
            bytes.splice(end..end, part);
        }
        3 => bytes.insert(at, dice.bits() as u8),
        4 => {
            bytes.splice(at..at, dice.text(ODD_TEXTS).bytes());
        }
        5 => {
            bytes.splice(at..at, number_text(dice).into_bytes());
        }
        _ => {
            if let Some(byte) = bytes.get_mut(at) {
                *byte ^= 1 << dice.below(8);
            }
        }
    }
}

/// The shelf, read once.
static SHELF: LazyLock<Vec<Turbocharger>> = LazyLock::new(shelf);

/// The seeds of build files, made once.
static FILES: LazyLock<Vec<Vec<u8>>> = LazyLock::new(build_file_seeds);

/// Build files to begin with: the worked example, one with a record in full, and the smallest.
fn build_file_seeds() -> Vec<Vec<u8>> {
    let example = airpath::example_build().expect("the example is sound");
    let mut own = SHELF[0].clone();
    own.id = "own".to_owned();
    own.compressor.map.lines.truncate(2);
    for line in &mut own.compressor.map.lines {
        line.points.truncate(3);
    }
    let own = example
        .with_turbocharger(own.into(), 0)
        .expect("a record of the shelf's, cut short");
    vec![
        airpath::example_file().as_bytes().to_vec(),
        BuildFile::from_build(&own).to_json().into_bytes(),
        br#"{"airpath_build":1,"name":"","turbocharger":"rowan","housing_a_over_r":0.83}"#.to_vec(),
    ]
}

/// A value as it is spelled in a file, right or wrong; JSON or not.
fn raw_token(dice: &mut Dice) -> String {
    let nested = |open: &str, inside: &str, close: &str, depth: usize| {
        open.repeat(depth) + inside + &close.repeat(depth)
    };
    let depth = *dice.of(&[1, 3, 60, 126, 127, 128, 129, 1000]);
    match dice.below(9) {
        0 => dice.text(ODD_NUMBERS).to_owned(),
        1 => nested("[", "", "]", depth),
        2 => nested("{\"a\":", "0", "}", depth),
        3 => "[".repeat(depth),
        4 => "9".repeat(1 + dice.below(400)),
        5 => format!("\"{}\"", "long ".repeat(dice.below(200))),
        6 => (*dice.text(&[
            "null",
            "true",
            "false",
            "tru",
            "{}",
            "[]",
            "\"\"",
            "-",
            "\"\\ud800\"",
            "\"\\u0000\"",
            "\"\\x\"",
            "\"",
            "18446744073709551616",
            "-9223372036854775809",
            "1e400",
            "0.1e-400",
            "[1,]",
            "{,}",
            "/**/1",
            "{\"a\":1,\"a\":2}",
        ]))
        .to_owned(),
        7 => {
            let kind = *dice.of(&Kind::ALL);
            Value::String(quantity_text(dice, kind)).to_string()
        }
        _ => number_text(dice),
    }
}

/// Stands in a tree for the `n`th raw token, which no tree can hold.
fn mark(n: usize) -> Value {
    Value::String(format!("@raw{n}@"))
}

/// One place in a tree: as deep as the dice go.
fn place<'a>(dice: &mut Dice, value: &'a mut Value) -> &'a mut Value {
    let inside = match value {
        Value::Array(list) => list.len(),
        Value::Object(map) => map.len(),
        _ => 0,
    };
    if inside == 0 || dice.below(5) == 0 {
        return value;
    }
    let at = dice.below(inside);
    match value {
        Value::Array(list) => place(dice, &mut list[at]),
        Value::Object(map) => match map.values_mut().nth(at) {
            Some(child) => place(dice, child),
            None => unreachable!("counted above"),
        },
        _ => unreachable!("counted above"),
    }
}

/// A text for a field: in its range for the most part, else anything.
fn field_text(dice: &mut Dice, spec: &Spec) -> String {
    let units = spec.kind.units();
    let unit = dice.of(units);
    let (low, high) = spec.range_si();
    let value = unit.from_si(dice.between(low, high));
    match dice.below(5) {
        0 => quantity_text(dice, spec.kind),
        1 => format!("{value:.1}{}{}", dice.text(SPACES), unit.symbol),
        2 => format!("{:.0} {}", value, unit.symbol),
        _ => format!("{value} {}", unit.symbol),
    }
}

fn curve_value(dice: &mut Dice, field: CurveField) -> Value {
    let spec = field.spec();
    let count = *dice.of(&[0, 1, 2, 5, 12, 63, 64, 65, 100]);
    let mut x: Vec<f64> = (0..count)
        .map(|_| dice.between(spec.x_range.0, spec.x_range.1))
        .collect();
    if dice.below(6) > 0 {
        x.sort_by(f64::total_cmp);
    }
    let text = |dice: &mut Dice, value: f64, (kind, symbol): (Kind, &str)| {
        let si = kind
            .unit(symbol)
            .unwrap_or_else(|| kind.metric())
            .to_si(value);
        let unit = if dice.below(3) == 0 {
            dice.of(kind.units())
        } else {
            kind.metric()
        };
        if dice.below(40) == 0 {
            quantity_text(dice, kind)
        } else {
            quantity::write_exact(si, unit)
        }
    };
    let points: Vec<Value> = x
        .into_iter()
        .map(|x| {
            let y = dice.between(spec.y_range.0, spec.y_range.1);
            json!([text(dice, x, spec.x), text(dice, y, spec.y)])
        })
        .collect();
    Value::Array(points)
}

/// Edits the tree of a build file once; what no tree can hold goes to `raw`.
fn edit_tree(dice: &mut Dice, tree: &mut Value, raw: &mut Vec<String>) {
    let known = |dice: &mut Dice| dice.of(&FIELDS).id.to_owned();
    match dice.below(10) {
        // A field, right or wrong.
        0..=2 => {
            let spec = dice.of(&FIELDS);
            let text = field_text(dice, spec);
            if let Some(fields) = tree.get_mut("fields").and_then(Value::as_object_mut) {
                fields.insert(spec.id.to_owned(), Value::String(text));
            } else if let Some(map) = tree.as_object_mut() {
                map.insert("fields".to_owned(), json!({ spec.id: text }));
            }
        }
        // A curve.
        3 => {
            let field = *dice.of(&CurveField::ALL);
            let curve = curve_value(dice, field);
            if let Some(curves) = tree.get_mut("curves").and_then(Value::as_object_mut) {
                curves.insert(field.spec().id.to_owned(), curve);
            } else if let Some(map) = tree.as_object_mut() {
                map.insert("curves".to_owned(), json!({ field.spec().id: curve }));
            }
        }
        // A turbocharger: by key, or in full with a number anywhere.
        4 => {
            if let Some(map) = tree.as_object_mut() {
                let of_shelf = dice.of(&SHELF[..]);
                let mut value = match dice.below(3) {
                    0 => Value::String(of_shelf.id.clone()),
                    _ => serde_json::to_value(of_shelf).expect("plain data"),
                };
                if dice.below(2) == 0
                    && let place @ Value::Number(_) = place(dice, &mut value)
                {
                    *place = json!(dice.between(-1.0, 100.0).powi(3));
                }
                map.insert("turbocharger".to_owned(), value);
                let housing = dice.of(&of_shelf.turbine.housings).a_over_r;
                map.insert("housing_a_over_r".to_owned(), json!(housing));
            }
        }
        // Any value by any token.
        5 | 6 => {
            *place(dice, tree) = mark(raw.len());
            raw.push(raw_token(dice));
        }
        // A key less, or another one.
        7 => {
            let name = known(dice);
            if let Value::Object(map) = place(dice, tree) {
                let at = dice.below(map.len());
                if let Some(key) = map.keys().nth(at).cloned()
                    && let Some(value) = map.remove(&key)
                {
                    match dice.below(4) {
                        0 => {}
                        1 => {
                            map.insert(name, value);
                        }
                        2 => {
                            map.insert(key + dice.text(ODD_TEXTS), value);
                        }
                        _ => {
                            map.insert(key.chars().skip(1).collect(), value);
                        }
                    }
                }
            }
        }
        // Everything once more, somewhere inside.
        8 => {
            let copy = place(dice, tree).clone();
            *place(dice, tree) = copy;
        }
        _ => {
            if let Some(map) = tree.as_object_mut() {
                let values = [json!("single"), json!("pair"), json!("diesel"), json!(2)];
                let value = dice.of(&values);
                let key = dice.text(&[
                    "arrangement",
                    "fuel",
                    "rail_reference",
                    "name",
                    "airpath_build",
                ]);
                map.insert((*key).to_owned(), value.clone());
            }
        }
    }
}

fn mutate_build_file(dice: &mut Dice, bytes: &[u8]) -> Vec<u8> {
    let mut tree = match serde_json::from_slice::<Value>(bytes) {
        Ok(tree @ Value::Object(_)) if dice.below(8) > 0 => tree,
        _ => serde_json::from_slice(&FILES[dice.below(FILES.len())]).expect("the seeds are JSON"),
    };
    let mut raw = Vec::new();
    for _ in 0..=dice.below(4) {
        edit_tree(dice, &mut tree, &mut raw);
    }
    let mut text = if dice.below(2) == 0 {
        serde_json::to_string_pretty(&tree)
    } else {
        serde_json::to_string(&tree)
    }
    .expect("plain data");
    for (n, token) in raw.iter().enumerate() {
        text = text.replace(&mark(n).to_string(), token);
    }
    match dice.below(6) {
        // A line twice, which doubles a key.
        0 => {
            let mut lines: Vec<&str> = text.lines().collect();
            let line = lines[dice.below(lines.len())];
            lines.insert(dice.below(lines.len() + 1), line);
            text = lines.join("\n");
        }
        1 => {
            let mut new = text.into_bytes();
            for _ in 0..=dice.below(2) {
                edit_text(dice, &mut new);
            }
            return new;
        }
        _ => {}
    }
    text.into_bytes()
}
