//! Every parser against the kept texts, against very large ones, and a short seeded run.
//!
//! The long run of `cargo xtask test --long` goes on from here, by coverage: see `fuzz/`. A text
//! that it finds to fail is kept in `corpus/`, in the folder of its target.

use airpath_tests::hostile::{Cost, Dice, TARGETS, Target, target, within_limits};
use std::fs;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

/// Counts memory; see `within_limits`.
#[global_allocator]
static ALLOCATOR: peak_alloc::PeakAlloc = peak_alloc::PeakAlloc;

/// One test at a time, as the memory counted is that of the whole program.
static ALONE: Mutex<()> = Mutex::new(());

/// Fewest kept texts of a target.
const LEAST_KEPT: usize = 20;

/// Most bytes of all kept texts together: they are part of every checkout.
const MOST_KEPT_BYTES: usize = 200_000;

/// How many texts the seeded run makes of each target.
const MADE: usize = 4000;

/// Size of the large texts, bytes: just below the largest build file that is read. Without
/// optimisation the library that reads JSON is ten times as slow, and the limit on time is that of
/// what is shipped; the long run is optimised.
const LARGE: usize = if cfg!(debug_assertions) {
    200_000
} else {
    990_000
};

fn kept(target: &Target) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("corpus")
        .join(target.name);
    let mut texts: Vec<(String, Vec<u8>)> = fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let name = path.file_name().expect("a name").to_string_lossy();
            (name.into_owned(), fs::read(&path).expect("readable"))
        })
        .collect();
    texts.sort();
    texts
}

/// The most of everything, to be printed.
fn most(all: &mut Cost, cost: Cost) {
    all.time = all.time.max(cost.time);
    all.memory = all.memory.max(cost.memory);
}

const NOTHING: Cost = Cost {
    time: std::time::Duration::ZERO,
    memory: 0,
};

#[test]
fn kept_texts() {
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    let mut bytes = 0;
    for target in TARGETS {
        let mut all = NOTHING;
        let texts = kept(target);
        assert!(
            texts.len() >= LEAST_KEPT,
            "{}: {}",
            target.name,
            texts.len()
        );
        for (name, text) in &texts {
            println!("{}/{name}", target.name);
            bytes += text.len();
            most(&mut all, within_limits(target, text));
        }
        println!("{}: {} kept texts, {all:?}", target.name, texts.len());
    }
    assert!(bytes <= MOST_KEPT_BYTES, "{bytes} bytes are kept");
}

/// New texts from the kept ones and from each other: the same on every machine.
#[test]
fn made_texts() {
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    for target in TARGETS {
        let mut dice = Dice::new(20);
        let mut texts = (target.seeds)();
        texts.extend(kept(target).into_iter().map(|(_, text)| text));
        let mut all = NOTHING;
        for text in &texts {
            most(&mut all, within_limits(target, text));
        }
        for _ in 0..MADE {
            let at = dice.below(texts.len());
            let new = (target.mutate)(&mut dice, &texts[at]);
            most(&mut all, within_limits(target, &new));
            // Some go on from where others ended; none grows without end.
            if new.len() < 4000 && dice.below(4) == 0 {
                texts[at] = new;
            }
        }
        println!("{}: {MADE} made texts, {all:?}", target.name);
    }
}

/// Texts as large as a build file may be, and larger, each meant to cost as much as it can.
#[test]
fn large_texts() {
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    let file = |inside: &str| {
        format!("{{\"airpath_build\":1,\"name\":\"\",\"housing_a_over_r\":0.83,{inside}}}")
    };
    let many = |part: &dyn Fn(usize) -> String| {
        let mut text = String::new();
        let mut number = 0;
        while text.len() < LARGE {
            text += &part(number);
            text.push(',');
            number += 1;
        }
        text.pop();
        text
    };
    let rowan = "\"turbocharger\":\"rowan\"";
    let keys = many(&|n| format!("\"{n:x}\":\"\""));
    let long = "x".repeat(LARGE);
    let texts = [
        file(&format!("{rowan},\"fields\":{{{keys}}}")),
        file(&format!(
            "{rowan},\"curves\":{{{}}}",
            many(&|n| format!("\"{n:x}\":[]"))
        )),
        file(&format!(
            "{rowan},\"curves\":{{\"breathing\":[{}]}}",
            many(&|_| "[\"\",\"\"]".to_owned())
        )),
        file(&format!("{rowan},\"fields\":{{\"lambda\":\"{long}\"}}")),
        file(&format!("{rowan},\"fields\":{{\"{long}\":\"1\"}}")),
        file(&format!("{rowan},\"{long}\":1")),
        file(&format!("{rowan},\"fuel\":\"{long}\"")),
        file(&format!("\"turbocharger\":\"{long}\"")),
        file(&format!("\"turbocharger\":[{}]", many(&|_| "0".to_owned()))),
        file(&format!("\"turbocharger\":{{{keys}}}")),
        file(&format!(
            "\"turbocharger\":{{\"id\":\"a\",\"turbine\":{{\"housings\":[{}]}}}}",
            many(&|_| "{\"a_over_r\":1}".to_owned())
        )),
        file(&format!(
            "{rowan},\"unknown\":[{}]",
            many(&|_| "[]".to_owned())
        )),
        file(&format!(
            "{rowan},\"name\":\"{}\"",
            "\\u0001".repeat(LARGE / 7)
        )),
        file(&format!(
            "{rowan},\"housing_a_over_r\":{}",
            "9".repeat(LARGE - 100)
        )),
        "[".repeat(LARGE),
        "{\"a\":".repeat(LARGE / 6),
        "\n".repeat(LARGE) + "{",
        " ".repeat(3_000_000),
        "{".repeat(3_000_000),
        "\"".repeat(LARGE),
        "{\"".to_owned() + &"\\".repeat(LARGE),
        "\u{10ffff}".repeat(LARGE / 5),
    ];
    let files = target("build_file").expect("a target");
    let mut all = NOTHING;
    for text in &texts {
        most(&mut all, within_limits(files, text.as_bytes()));
    }
    println!("{} large texts, {all:?}", texts.len());
    // A number with a unit is read as typed, so it can be as long as what is pasted.
    let numbers = target("quantity").expect("a target");
    for text in ["1", "1 ", "1,", "e", "−", "1.5 bar ", "\u{a0}", "1e"] {
        within_limits(numbers, text.repeat(20_000).as_bytes());
    }
}

/// Map files as large as they may be, and larger, each meant to cost as much as it can.
#[test]
fn large_maps() {
    let _alone = ALONE.lock().unwrap_or_else(PoisonError::into_inner);
    let head = "airpath_map,1\nreference temperature,25,°C\nreference pressure,100,kPa\n\
                basis,total-to-total\n";
    let header = "speed [rpm],flow [lb/min],pressure ratio,efficiency [%],surge\n";
    let many = |part: &dyn Fn(usize) -> String| {
        let mut text = String::new();
        let mut number = 0;
        while text.len() < LARGE {
            text += &part(number);
            number += 1;
        }
        text
    };
    let rows = |part: &dyn Fn(usize) -> String| format!("{head}{header}{}", many(part));
    let tables = [
        // Sound; every row the same; all of one line; each a line of its own; falling flow.
        rows(&|n| {
            format!(
                "{},{}.5,{}.2,70\n",
                60_000 + 1000 * (n % 50),
                10 + n / 50,
                1 + n % 9
            )
        }),
        rows(&|_| "60000,10,1.4,70\n".to_owned()),
        rows(&|n| format!("60000,10.{n},1.4,70,yes\n")),
        rows(&|n| format!("60000.{n},10,1.4,70\n")),
        rows(&|n| format!("60000,{},1.4,70\n90000,{},1.5,70\n", 90_000 - n, 90_000 - n)),
        rows(&|n| format!(",1.{n},1.4,,yes\n")),
        rows(&|_| "1,2,3,4\n".to_owned()),
        rows(&|_| "x\n".to_owned()),
        rows(&|_| ",".to_owned()),
        rows(&|_| "\n".to_owned()),
        rows(&|_| "#\n".to_owned()),
        rows(&|_| "\"\"\n".to_owned()),
        rows(&|_| ",,,,,,,,,\n".to_owned()),
        rows(&|_| "\"".to_owned()),
        format!("{head}{}", many(&|_| "basis,total-to-static\n".to_owned())),
        many(&|_| "airpath_map".to_owned()),
        " ".repeat(3_000_000),
        "\u{10ffff}".repeat(LARGE / 5),
        "\0".repeat(LARGE),
    ];
    let target_of = |name: &str| target(name).expect("a target");
    let mut all = NOTHING;
    for text in &tables {
        most(
            &mut all,
            within_limits(target_of("map_table"), text.as_bytes()),
        );
    }
    let file = |lines: &str| {
        format!(
            "{{\"airpath_map\":1,\"reference\":{{\"temperature\":\"25 °C\",\"pressure\":\"1 bar\"}},\
             \"basis\":\"total-to-total\",\"units\":{{\"speed\":\"rpm\",\"flow\":\"kg/s\"}},\
             \"lines\":[{lines}]}}"
        )
    };
    let list = |part: &dyn Fn(usize) -> String| {
        let mut text = many(&|n| part(n) + ",");
        text.pop();
        text
    };
    let point = "{\"flow\":0.1,\"pressure_ratio\":1.4,\"efficiency\":0.7}";
    let texts = [
        file(&list(&|n| {
            format!("{{\"speed\":{},\"points\":[{point}]}}", 60_000 + n)
        })),
        file(&format!(
            "{{\"speed\":60000,\"points\":[{}]}}",
            list(&|_| point.to_owned())
        )),
        file(&list(&|_| "{\"speed\":1,\"points\":[]}".to_owned())),
        file(&list(&|_| "[]".to_owned())),
        file("").replace("rpm", &"x".repeat(LARGE)),
        file("").replace("25 °C", &"9".repeat(LARGE)),
        file("").replace("total-to-total", &"-".repeat(LARGE)),
        file("").replace("basis", &"\\u0001".repeat(LARGE / 7)),
        "{\"a\":".repeat(LARGE / 6),
        "{\"".to_owned() + &"\\".repeat(LARGE),
    ];
    for text in &texts {
        most(
            &mut all,
            within_limits(target_of("map_json"), text.as_bytes()),
        );
    }
    println!("{} large maps, {all:?}", tables.len() + texts.len());
}
