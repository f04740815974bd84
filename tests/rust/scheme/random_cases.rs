//! Softeners drawn at random within their limits: whatever is valid runs, loses nothing and stays positive.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront_tests::drawn::{drawn, drawn_radial};

/// What is wrong with the first cycles from new resin, or with the search for the steady one, if anything.
fn fault(case: &Case) -> Option<String> {
    let from_new = case.cycles(2);
    let steady = case.cycle();
    let cycles = match from_new.and_then(|cycles| Ok([cycles, vec![steady?]].concat())) {
        Ok(cycles) => cycles,
        Err(error) => return Some(error.to_string()),
    };
    for cycle in &cycles {
        let curves = [&cycle.leakage.eq_per_l, &cycle.waste_curve.eq_per_l];
        let beds = [&cycle.profiles.loading_eq_per_l, &cycle.profiles.liquid_eq_per_l];
        let values = curves.into_iter().flatten().chain(beds.into_iter().flatten());
        let least = values.clone().copied().fold(f64::INFINITY, f64::min);
        let overfull = |cell: f64| (cell / case.resin.capacity_eq_per_l - 1.0).abs() > 1e-9;
        if cycle.figures.ledger_error.is_nan() || cycle.figures.ledger_error >= 1e-10 {
            return Some(format!("the ledger is open by {:.1e}", cycle.figures.ledger_error));
        } else if least < 0.0 || values.clone().any(|v| !v.is_finite()) {
            return Some(format!("a concentration or loading of {least:e} eq/L, or no number"));
        } else if cycle.profiles.loading_eq_per_l.rows().into_iter().any(|cell| overfull(cell.sum())) {
            return Some("a cell that holds more or less than the capacity".into());
        } else if cycle.figures.leakage_mean_mg_per_l_caco3 < cycle.figures.leakage_minimum_mg_per_l_caco3 {
            return Some("a mean leakage below the lowest".into());
        }
    }
    None
}

/// Run the softeners of some seeds; a fault is told with its seed.
fn check(seeds: impl Iterator<Item = u64>, at_least: usize) {
    check_drawn(drawn, seeds, at_least);
}

fn check_drawn(drawn: impl Fn(u64) -> Option<Case>, seeds: impl Iterator<Item = u64>, at_least: usize) {
    let mut run = 0;
    let mut faults = Vec::new();
    for seed in seeds {
        let Some(case) = drawn(seed) else { continue };
        case.validate_cycle().unwrap();
        run += 1;
        // A panic would not name its seed.
        match std::panic::catch_unwind(|| fault(&case)) {
            Ok(None) => {}
            Ok(Some(fault)) => faults.push(format!("seed {seed}: {fault}")),
            Err(_) => faults.push(format!("seed {seed}: panicked")),
        }
    }
    assert!(run >= at_least, "only {run} softeners were drawn");
    assert!(faults.is_empty(), "{} of {run}:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn whatever_is_valid_runs_loses_nothing_and_stays_positive() {
    check(1..=60, 35);
}

#[test]
fn so_do_beads_with_shells() {
    check_drawn(drawn_radial, 1..=60, 35);
}

/// Out of 1500 seeds, those that found a Newton iteration taken for converged while it was cut short (an open ledger, a
/// cell overfull), or a vanishing trace that no step was small enough for.
#[test]
fn what_once_failed_does_not_again() {
    let seeds = [104, 118, 158, 205, 206, 223, 231, 374, 438, 647, 741, 830, 953, 1047, 1231, 1234, 1326, 1471];
    check(seeds.into_iter(), seeds.len());
}
