//! What runs cost, counted, against the counts on record: a solver that works harder for the same answer fails here.
//!
//! The record is `../snapshots/effort.json`. After a change that is meant to move it:
//!
//! ```sh
//! BRINEFRONT_RECORD=1 cargo test -p brinefront-tests effort
//! ```
//!
//! Counts are exact on one machine. On another, the last bit of an exponential can differ and move a step, so a count may
//! exceed the record by a little: inputs changed in their last bit left most counts as they were, moved those of the
//! equilibrium kinetics by 1.5 % and the search at equal leakage by one cycle. That margin is why this is a plain file and
//! not a comparison of texts.
#![allow(clippy::unwrap_used, reason = "a test that fails is meant to panic")]

use std::collections::BTreeMap;
use std::io::Write;
use std::path::{Path, PathBuf};

use brinefront::Case;
use brinefront::cycle::run::Loading;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::BeadDiffusivity;
use brinefront::numerics::effort::Effort;
use brinefront::study::{self, At};
use brinefront_tests::cases::{loaded, softener};

/// A count may be this much above the record, ...
const WORSE: f64 = 1.02;
/// ... or a handful, where the record itself is a handful.
const FEW: f64 = 3.0;
/// Below this share of the record the solver has become better, and the record is worth renewing.
const BETTER: f64 = 0.9;

type Counts = BTreeMap<String, u64>;

fn cycle(case: &Case) -> Effort {
    let found = case.cycle().unwrap();
    assert!(found.figures.settled, "{}", found.figures.search_end);
    found.effort
}

/// One run for each path through the solver.
fn runs() -> Vec<(&'static str, Effort)> {
    let counter = softener(Direction::CounterCurrent, 96.0);
    let co = softener(Direction::CoCurrent, 96.0);
    let dispersed = {
        let mut case = counter.clone();
        case.cells = 50.into();
        case.rates.dispersion_m2_per_s = Some(2e-3);
        case
    };
    let in_equilibrium = {
        let mut case = counter.clone();
        case.cells = 50.into();
        case.kinetics = Kinetics::Equilibrium;
        case
    };
    let radial = {
        let mut case = counter.clone();
        case.cells = 60.into();
        case.kinetics = Kinetics::Radial;
        case.rates.bead_per_s = None;
        let diffusivities = [(Ion::NA, 1e-10), (Ion::MG, 2.5e-11), (Ion::CA, 2e-11)];
        case.resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon(diffusivities.into_iter().collect());
        case
    };
    let blending = {
        let mut case = counter.with("tolerance", 0.1.into()).unwrap();
        case.cells = 30.into();
        case.service.volume_bv = Some(150.0);
        case
    };
    let equal_leakage = {
        let mut case = counter.clone();
        case.cells = 30.into();
        case
    };
    let sodium = loaded(&[(Ion::NA, 1.0)]);
    vec![
        ("loading, 600 BV", counter.load(&sodium, 600.0).unwrap().effort),
        ("elution, 2.5 BV", counter.elute(&Loading::Feed, 2.5, 1.2).unwrap().effort),
        ("cycle, counter-current", cycle(&counter)),
        ("cycle, co-current", cycle(&co)),
        ("loading, looking ahead", dispersed.load(&sodium, 200.0).unwrap().effort),
        ("cycle, beads in equilibrium", cycle(&in_equilibrium)),
        ("cycle, radial beads", cycle(&radial)),
        ("cycle, blended", cycle(&blending)),
        ("comparison at equal leakage", study::compare(&[equal_leakage], At::EqualLeakage).unwrap().effort),
    ]
}

fn counts(effort: &Effort) -> Counts {
    serde_json::from_value(serde_json::to_value(effort).unwrap()).unwrap()
}

fn record_file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("rust/snapshots/effort.json")
}

/// Say it past the test's captured output: a success is read by no one.
fn tell(line: &str) {
    let _ = writeln!(std::io::stderr(), "effort: {line}");
}

/// Counts above the record, and counts well below it, in words.
fn judge(name: &str, now: &Counts, record: &Counts) -> (Vec<String>, Vec<String>) {
    let (mut worse, mut better) = (Vec::new(), Vec::new());
    for (what, &count) in now {
        let Some(&was) = record.get(what) else {
            worse.push(format!("{name}: {what} is not on record"));
            continue;
        };
        let (count, was) = (count as f64, was as f64);
        let line = format!("{name}: {what} {count}, on record {was}");
        if count > (was * WORSE).max(was + FEW) {
            worse.push(line);
        } else if count < (was * BETTER).min(was - FEW) {
            better.push(line);
        }
    }
    worse.extend(record.keys().filter(|what| !now.contains_key(*what)).map(|what| format!("{name}: {what} is gone")));
    (worse, better)
}

#[test]
fn no_run_costs_more_than_on_record() {
    let now: BTreeMap<&str, Counts> = runs().iter().map(|(name, effort)| (*name, counts(effort))).collect();
    if std::env::var_os("BRINEFRONT_RECORD").is_some() {
        std::fs::create_dir_all(record_file().parent().unwrap()).unwrap();
        std::fs::write(record_file(), serde_json::to_string_pretty(&now).unwrap() + "\n").unwrap();
        tell("recorded");
        return;
    }
    let record: BTreeMap<String, Counts> =
        serde_json::from_str(&std::fs::read_to_string(record_file()).unwrap()).unwrap();
    let mut worse = Vec::new();
    for (name, counts) in &now {
        let Some(was) = record.get(*name) else {
            worse.push(format!("{name}: not on record"));
            continue;
        };
        let (above, below) = judge(name, counts, was);
        worse.extend(above);
        below.iter().for_each(|line| tell(&format!("{line}: better, record it")));
    }
    worse.extend(record.keys().filter(|name| !now.contains_key(name.as_str())).map(|name| format!("{name}: not run")));
    assert!(worse.is_empty(), "the solver works harder than on record:\n{}", worse.join("\n"));
}

/// Each run of the record goes where its name says.
#[test]
fn the_runs_cover_every_cause_of_effort() {
    let runs: BTreeMap<_, _> = runs().into_iter().collect();
    assert_eq!(runs["loading, 600 BV"].factorisations, 0);
    assert!(runs["cycle, blended"].blended_cells > 0);
    for (name, effort) in &runs {
        assert!(effort.steps > 0 && effort.sweeps > 0 && effort.equilibria > 0, "{name}");
    }
    for name in ["cycle, counter-current", "cycle, co-current"] {
        let effort = &runs[name];
        assert!(effort.cycles > 0 && effort.coarse_cycles > 0 && effort.event_steps > 0, "{name}: {effort:?}");
    }
    let causes: Effort = runs.values().sum();
    // No run is known that is refused for a negative balance: blending takes care of it.
    assert!(causes.rejected_error > 0, "{causes:?}");
}

#[test]
fn the_margin_lets_a_last_bit_through_and_nothing_more() {
    let counts = |steps: u64| Counts::from([("steps".to_string(), steps)]);
    let verdict = |now: u64, record: u64| {
        let (worse, better) = judge("a run", &counts(now), &counts(record));
        (worse.len(), better.len())
    };
    assert_eq!(verdict(1000, 1000), (0, 0));
    assert_eq!(verdict(1020, 1000), (0, 0));
    assert_eq!(verdict(1021, 1000), (1, 0));
    assert_eq!(verdict(899, 1000), (0, 1));
    assert_eq!(verdict(6, 3), (0, 0));
    assert_eq!(verdict(7, 3), (1, 0));
    assert_eq!(judge("a run", &Counts::new(), &counts(1)).0.len(), 1);
    assert_eq!(judge("a run", &counts(1), &Counts::new()).0.len(), 1);
}
