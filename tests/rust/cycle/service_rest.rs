//! A service run that rests in its middle, and a regeneration that ends at rest: the slug on restart.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::inputs::recipe::Recipe;
use brinefront::inputs::recipe_steps::{Brine, FreeStep, Rinse, Standby, StepName};
use brinefront::inputs::regeneration::Direction;
use brinefront::plan::steps::StopReason;
use brinefront::report::CycleReport;
use brinefront_tests::cases::softener;

fn case(direction: Direction) -> Case {
    let mut case = softener(direction, 96.0);
    case.cells = 40.into();
    // A correlated dispersion is 0 at rest, a given one would go on.
    case.rates.dispersion_m2_per_s = None;
    case
}

fn rested(case: &Case, after_bv: f64, hours: f64) -> Case {
    let mut case = case.clone();
    case.service.standby_after_bv = Some(after_bv);
    case.service.standby_hours = Some(hours);
    case
}

fn run(case: &Case) -> CycleReport {
    let cycle = case.cycle().unwrap();
    assert!(cycle.figures.settled && cycle.figures.ledger_error < 1e-10, "{}", cycle.figures.search_end);
    cycle
}

#[test]
fn a_moment_of_rest_changes_nothing() {
    let case = case(Direction::CoCurrent);
    let plain = run(&case);
    let moment = run(&rested(&case, 60.0, 1e-3));
    let (a, b) = (&plain.figures, &moment.figures);
    assert!((a.run_length_bv / b.run_length_bv - 1.0).abs() < 1e-4, "{} {}", a.run_length_bv, b.run_length_bv);
    assert!((a.capacity_eq_per_l / b.capacity_eq_per_l - 1.0).abs() < 1e-4);
    assert!((a.leakage_half_run_mg_per_l_caco3 / b.leakage_half_run_mg_per_l_caco3 - 1.0).abs() < 1e-3);
    assert!((a.leakage_initial_mg_per_l_caco3 / b.leakage_initial_mg_per_l_caco3 - 1.0).abs() < 1e-3);
    assert_eq!(a.restart_before_mg_per_l_caco3, None);
    let at = |bv: f64| {
        let row = plain.leakage.bv.partition_point(|x| *x < bv);
        let hard: f64 = plain.leakage.eq_per_l.row(row).iter().skip(1).sum();
        hard * 50_043.0
    };
    let before = b.restart_before_mg_per_l_caco3.unwrap();
    assert!((before / at(60.0) - 1.0).abs() < 0.01, "{before} {}", at(60.0));
    assert_eq!(moment.steps.len(), plain.steps.len());
}

/// At half the run soft water washes hardness off the last beads, which the brine of a co-current bed left the worst: it
/// leaves before it is in equilibrium with them, and what rests beside them gets harder. Near breakthrough they are being
/// loaded: what rests beside them gets softer.
#[test]
fn the_slug_is_harder_while_beads_give_and_softer_while_they_take() {
    let case = case(Direction::CoCurrent);
    let end = run(&case).figures.run_length_bv;
    let mut drops = Vec::new();
    for share in [0.5, 0.97] {
        let cycle = run(&rested(&case, share * end, 12.0));
        let figures = &cycle.figures;
        let before = figures.restart_before_mg_per_l_caco3.unwrap();
        let first = figures.restart_first_bv_mg_per_l_caco3.unwrap();
        let peak = figures.restart_peak_mg_per_l_caco3.unwrap();
        assert!(first <= peak * (1.0 + 1e-9), "{first} {peak}");
        drops.push(before - first);
        // The rest costs no water, and the run ends at its limit.
        assert!(figures.run_length_bv >= end * (1.0 - 1e-4), "{} {end}", figures.run_length_bv);
        assert_eq!(figures.stop_reason, StopReason::LeakageLimit);
        assert!(!cycle.notes.iter().any(|note| note.step() == Some(StepName::Standby)), "{:?}", cycle.notes);
        // Service took the rest into its time, not into its volume.
        let service = cycle.steps.last().unwrap();
        let flowing_min = figures.run_length_bv / 20.0 * 60.0;
        assert!((service.minutes - flowing_min - 720.0).abs() < 1e-6, "{}", service.minutes);
        assert!(cycle.leakage.bv.windows(2).all(|pair| pair[0] <= pair[1]));
        assert!(cycle.leakage.eq_per_l.iter().all(|c| c.is_finite() && *c >= 0.0));
    }
    assert!(drops[0] < -1e-3 && drops[1] > 1e-2, "{drops:?}");
}

#[test]
fn a_run_that_ends_before_has_no_rest() {
    let case = case(Direction::CounterCurrent);
    let plain = run(&case).figures;
    assert_eq!(run(&rested(&case, 5000.0, 8.0)).figures, plain);
}

#[test]
fn a_regeneration_that_ends_at_rest_has_a_slug_too() {
    let mut case = case(Direction::CounterCurrent);
    let steps = |last: Option<FreeStep>| {
        let flowing = [
            FreeStep::Brine(Brine::default()),
            FreeStep::SlowRinse(Rinse::default()),
            FreeStep::FastRinse(Rinse::default()),
        ];
        Some(Recipe { steps: flowing.into_iter().chain(last).collect() })
    };
    case.recipe = steps(None);
    assert_eq!(run(&case).figures.restart_first_bv_mg_per_l_caco3, None);
    case.recipe = steps(Some(FreeStep::Standby(Standby { minutes: 480.0 })));
    let cycle = run(&case);
    let figures = &cycle.figures;
    let first = figures.restart_first_bv_mg_per_l_caco3.unwrap();
    assert!((first / figures.leakage_initial_mg_per_l_caco3 - 1.0).abs() < 1e-9);
    let rinse = cycle.waste_curve.eq_per_l.rows().into_iter().next_back().unwrap();
    let before: f64 = rinse.iter().skip(1).sum::<f64>() * 50_043.0;
    assert!((figures.restart_before_mg_per_l_caco3.unwrap() / before - 1.0).abs() < 1e-3);
}

#[test]
fn half_a_rest_and_a_rest_after_the_run_are_refused() {
    let mut half = case(Direction::CoCurrent);
    half.service.standby_hours = Some(8.0);
    assert!(half.validate().unwrap_err().to_string().contains("service.standby_after_bv"));
    let mut late = rested(&case(Direction::CoCurrent), 100.0, 8.0);
    late.service.volume_bv = Some(100.0);
    assert!(late.validate().unwrap_err().to_string().contains("below service.volume_bv"));
    let never = rested(&case(Direction::CoCurrent), 100.0, -1.0);
    assert!(never.validate().unwrap_err().to_string().contains("service.standby_hours"));
}
