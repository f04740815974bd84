//! Every figure of 200 drawn softeners, to the last bit: before and after a change that must not change any.
//!
//! ```text
//! cargo run --release -p brinefront-tests --bin figures -- --write before.json
//! cargo run --release -p brinefront-tests --bin figures -- --against before.json
//! ```
//!
//! Each softener is run to its steady cycle, through two cycles from new resin, and through one loading and one elution;
//! besides there are comparisons, salt accounts, waves and a bed through time of a few. Figures are kept as the bits of
//! their numbers, curves and profiles as a digest of theirs, counts of effort as they are. What is said in words is kept
//! apart: a sentence may change where no figure does. A run that takes too many steps is ended at a fixed count, which is
//! an outcome like any other.
#![allow(clippy::print_stdout, reason = "the program's answer")]

use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::process::ExitCode;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use brinefront::cycle::Progress;
use brinefront::cycle::run::Loading;
use brinefront::inputs::scenario::default_case;
use brinefront::numerics::effort::Effort;
use brinefront::report::note::Note;
use brinefront::report::tables::{Curve, Profiles};
use brinefront::report::{CycleReport, RunReport};
use brinefront::{Case, study};
use brinefront_tests::drawn::drawn_with_options;
use serde::Serialize;
use serde_json::Value;

/// Softeners drawn.
const SOFTENERS: usize = 200;
/// Looks of the watcher after which a run is ended; one in 64 time steps.
const MOST_LOOKS: usize = 150;

/// What is known of one run, by name: bits, digests, counts, words.
type Known = BTreeMap<String, String>;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [mode, path] = arguments.as_slice() else {
        println!("figures --write FILE | --against FILE");
        return ExitCode::from(2);
    };
    let found = everything();
    if mode == "--write" {
        let text = serde_json::to_string_pretty(&found).unwrap_or_default();
        return match std::fs::write(path, text) {
            Ok(()) => {
                println!("{} runs written to {path}", found.len());
                ExitCode::SUCCESS
            }
            Err(error) => {
                println!("{path}: {error}");
                ExitCode::FAILURE
            }
        };
    }
    let before: BTreeMap<String, Known> =
        match std::fs::read_to_string(path).map(|text| serde_json::from_str(&text).unwrap_or_default()) {
            Ok(before) => before,
            Err(error) => {
                println!("{path}: {error}");
                return ExitCode::FAILURE;
            }
        };
    compare(&before, &found)
}

/// Say what differs; words do not fail.
fn compare(before: &BTreeMap<String, Known>, now: &BTreeMap<String, Known>) -> ExitCode {
    let (mut numbers, mut words, mut values) = (0, 0, 0);
    for (run, known) in before {
        let Some(found) = now.get(run) else {
            println!("{run}: gone");
            numbers += 1;
            continue;
        };
        for (name, value) in known {
            values += 1;
            let other = found.get(name).map_or("gone", String::as_str);
            if other == value {
                continue;
            }
            if name.starts_with("words") {
                words += 1;
                if words <= 20 {
                    println!("{run} {name}:\n  {value}\n  {other}");
                }
            } else {
                numbers += 1;
                if numbers <= 60 {
                    println!("{run} {name}: {value} -> {other}{}", far(value, other));
                }
            }
        }
    }
    println!("{} runs, {values} values: {numbers} differ in a bit, {words} in words", before.len());
    if numbers == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// How far two numbers lie apart, where both are.
fn far(a: &str, b: &str) -> String {
    let number = |text: &str| text.split_once(' ').and_then(|(_, number)| number.parse::<f64>().ok());
    match number(a).zip(number(b)) {
        Some((a, b)) => format!(" ({:.1e} of it)", (b - a).abs() / a.abs().max(f64::MIN_POSITIVE)),
        None => String::new(),
    }
}

/// All runs, two at a time.
fn everything() -> BTreeMap<String, Known> {
    let softeners: Vec<(u64, Case)> =
        (1..).filter_map(|seed| drawn_with_options(seed).map(|case| (seed, case))).take(SOFTENERS).collect();
    let found = Mutex::new(BTreeMap::new());
    let next = AtomicUsize::new(0);
    let keep = |name: String, known: Known| {
        if let Ok(mut found) = found.lock() {
            found.insert(name, known);
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                loop {
                    let place = next.fetch_add(1, Ordering::Relaxed);
                    let Some((seed, case)) = softeners.get(place) else { return };
                    keep(format!("{seed:04} steady"), cycle(case.cycle_watched(&limited())));
                    for (n, one) in rows(case.cycles_watched(2, &limited())).into_iter().enumerate() {
                        keep(format!("{seed:04} new {n}"), one);
                    }
                    keep(format!("{seed:04} load"), run(case.load_watched(&new(), 60.0, &limited())));
                    keep(format!("{seed:04} elute"), run(case.elute_watched(&Loading::Feed, 2.5, 1.2, &limited())));
                    keep(format!("{seed:04} hydraulics"), tree(case.hydraulics()));
                }
            });
        }
    });
    for (seed, case) in softeners.iter().take(12) {
        keep(format!("{seed:04} waves"), tree(case.waves(50)));
        keep(format!("{seed:04} ceiling"), tree(case.efficiency_ceiling(&[60.0, 120.0])));
    }
    for (seed, case) in softeners.iter().take(5) {
        let account = case.salt_account_watched(study::salt_account::Order::Ladder, &limited());
        keep(format!("{seed:04} account"), tree(account.map(|found| found.shares)));
    }
    let built_in = with_cells(default_case(), 40);
    keep("built-in waves".into(), tree(built_in.waves(100)));
    for at in [study::At::EqualDose, study::At::EqualLeakage] {
        match study::compare_watched(std::slice::from_ref(&built_in), at, &limited()) {
            Ok(both) => {
                let sentence = both.sentence();
                for (n, one) in both.cycles.into_iter().enumerate() {
                    keep(format!("built-in {} {n}", at.name()), cycle(Ok(one)));
                }
                keep(format!("built-in {}", at.name()), [("words".to_string(), sentence)].into());
            }
            Err(error) => keep(format!("built-in {}", at.name()), failed(&error)),
        }
    }
    found.into_inner().unwrap_or_default()
}

/// Sodium-form resin.
fn new() -> Loading {
    Loading::Fractions([(brinefront::inputs::ion::Ion::NA, 1.0)].into())
}

fn with_cells(mut case: Case, cells: usize) -> Case {
    case.cells = cells.into();
    case
}

/// A watcher that ends a run at a fixed count.
fn limited() -> impl Fn(Progress) -> ControlFlow<()> + Sync {
    let looks = AtomicUsize::new(0);
    move |_| {
        if looks.fetch_add(1, Ordering::Relaxed) < MOST_LOOKS {
            ControlFlow::Continue(())
        } else {
            ControlFlow::Break(())
        }
    }
}

fn failed(error: &brinefront::Error) -> Known {
    [("failed".to_string(), "yes".to_string()), ("words".to_string(), error.to_string())].into()
}

fn rows(found: brinefront::Result<Vec<CycleReport>>) -> Vec<Known> {
    match found {
        Ok(reports) => reports.into_iter().map(|report| cycle(Ok(report))).collect(),
        Err(error) => vec![failed(&error)],
    }
}

fn cycle(found: brinefront::Result<CycleReport>) -> Known {
    let report = match found {
        Ok(report) => report,
        Err(error) => return failed(&error),
    };
    let mut known = Known::new();
    add_tree(&mut known, "figures", &report.figures);
    add_tree(&mut known, "hydraulics", &report.hydraulics);
    add_curve(&mut known, "leakage", &report.leakage);
    add_curve(&mut known, "waste", &report.waste_curve);
    add_profiles(&mut known, &report.profiles);
    add_effort(&mut known, &report.effort);
    let steps = report.steps.iter().flat_map(|step| {
        [step.volume_bv, step.volume_l, step.minutes, step.flow_bv_per_h, step.inlet_normality_eq_per_l]
    });
    known.insert("steps".into(), digest(steps));
    let waste = report.waste.mass_g.iter().chain(&report.waste.composite_mg_per_l).map(|(_, value)| *value);
    known.insert("waste masses".into(), digest(waste));
    if let Some(gypsum) = &report.gypsum {
        known.insert("gypsum".into(), digest(gypsum.index.iter().copied()));
    }
    known.insert("words notes".into(), in_a_line(&report.notes));
    known
}

fn in_a_line(notes: &[Note]) -> String {
    notes.iter().map(Note::to_string).collect::<Vec<_>>().join(" | ")
}

fn run(found: brinefront::Result<RunReport>) -> Known {
    let report = match found {
        Ok(report) => report,
        Err(error) => return failed(&error),
    };
    let mut known = Known::new();
    add_curve(&mut known, "effluent", &report.effluent);
    add_profiles(&mut known, &report.loading);
    add_effort(&mut known, &report.effort);
    known.insert("ledger".into(), bits(report.ledger_error));
    known.insert("words notes".into(), in_a_line(&report.notes));
    known
}

fn tree<T: Serialize>(found: brinefront::Result<T>) -> Known {
    match found {
        Ok(value) => {
            let mut known = Known::new();
            add_tree(&mut known, "", &value);
            known
        }
        Err(error) => failed(&error),
    }
}

fn add_curve(known: &mut Known, name: &str, curve: &Curve) {
    known.insert(format!("{name} curve"), digest(curve.bv.iter().chain(&curve.eq_per_l).copied()));
}

fn add_profiles(known: &mut Known, profiles: &Profiles) {
    let tubes = profiles.tubes.iter().flat_map(|tubes| &tubes.loading_eq_per_l);
    let all = profiles.loading_eq_per_l.iter().chain(&profiles.liquid_eq_per_l).chain(&profiles.depth_m).chain(tubes);
    known.insert("profiles".into(), digest(all.copied()));
}

fn add_effort(known: &mut Known, effort: &Effort) {
    add_tree(known, "effort", effort);
}

/// Leaves of a value by their dotted names; what is a text counts as words.
fn add_tree<T: Serialize>(known: &mut Known, name: &str, value: &T) {
    fn walk(known: &mut Known, name: String, value: &Value) {
        match value {
            Value::Object(table) => table.iter().for_each(|(key, item)| walk(known, format!("{name}.{key}"), item)),
            Value::Array(items) => {
                items.iter().enumerate().for_each(|(place, item)| walk(known, format!("{name}.{place}"), item));
            }
            Value::Number(number) if number.is_f64() => {
                known.insert(name, bits(number.as_f64().unwrap_or(f64::NAN)));
            }
            Value::String(text) => _ = known.insert(format!("words {name}"), text.clone()),
            other => _ = known.insert(name, other.to_string()),
        }
    }
    walk(known, name.to_string(), &serde_json::to_value(value).unwrap_or(Value::Null));
}

fn bits(number: f64) -> String {
    format!("{:016x} {number:e}", number.to_bits())
}

/// A digest of the bits of numbers in their order (FNV-1a, 64 bits; G. Fowler, L. C. Noll, K.-P. Vo).
fn digest(numbers: impl Iterator<Item = f64>) -> String {
    let (mut hash, mut count) = (0xcbf2_9ce4_8422_2325_u64, 0);
    for number in numbers {
        for byte in number.to_bits().to_le_bytes() {
            hash = (hash ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
        count += 1;
    }
    format!("{hash:016x} of {count}")
}
