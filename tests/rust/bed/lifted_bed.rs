//! Beads that mix while an upflow lifts the bed.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::inputs::bed::LiftedMixing;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::recipe_steps::StepName;
use brinefront::inputs::regeneration::Direction;
use brinefront::plan::model::Model;
use brinefront::report::CycleReport;
use brinefront_tests::cases::{COLUMN_CAPACITY, COLUMN_VOID, loaded, rates, sodium_potassium_column, softener};

/// A bed of 0.6 mm beads, 0.9 m deep, at 20 C, with brine of 10 % going up through it at a velocity \[m/h\].
fn case(velocity_m_per_h: f64) -> Case {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    case.water.temperature_c = 20.0;
    case.cells = 40.into();
    case.regeneration.flow_bv_per_h = velocity_m_per_h / 0.9;
    case
}

fn mixing(case: &Case, mixing: LiftedMixing, coefficient: Option<f64>) -> Case {
    let mut case = case.clone();
    case.bed.lifted_mixing = mixing;
    case.bed.solid_mixing_m2_per_s = coefficient;
    case
}

fn cycle(case: &Case) -> CycleReport {
    let cycle = case.cycle().unwrap();
    assert!(cycle.figures.settled && cycle.figures.ledger_error < 1e-10, "{}", cycle.figures.search_end);
    cycle
}

/// Spread of the calcium along the bed after a step, over the capacity.
fn spread(cycle: &CycleReport, step: StepName) -> f64 {
    let row = cycle.profiles.steps.iter().position(|name| *name == step).unwrap();
    let ca = cycle.profiles.ions.iter().position(|ion| *ion == Ion::CA).unwrap();
    let along: Vec<f64> = (0..40).map(|cell| cycle.profiles.loading_eq_per_l[(row, cell, ca)]).collect();
    let (low, high) = along.iter().fold((f64::MAX, 0.0_f64), |(low, high), q| (low.min(*q), high.max(*q)));
    (high - low) / 1.9
}

/// 10 % brine lifts these beads from 1.35 m/h on, water from 2.15 m/h on (Wen and Yu, derived).
#[test]
fn beads_mix_from_the_onset_of_lifting_on() {
    let model = Model::new(&case(1.3), &[]).unwrap();
    let from = |velocity_m_per_h: f64| model.lifting_normality(velocity_m_per_h / 3600.0);
    assert_eq!((from(1.33), from(2.17)), (None, Some(0.0)));
    let brine_alone = from(1.37).unwrap();
    assert!(brine_alone > 1.6 && brine_alone < model.waters.salt_normality, "{brine_alone}");
    let between = from(1.75).unwrap();
    assert!(between > 0.4 && between < brine_alone, "{between}");

    let full = |velocity| cycle(&mixing(&case(velocity), LiftedMixing::Full, None));
    assert_eq!(full(1.33).figures, cycle(&case(1.33)).figures);
    let (barely, still) = (full(1.40), cycle(&case(1.40)));
    assert!(barely.figures.leakage_half_run_mg_per_l_caco3 > 2.0 * still.figures.leakage_half_run_mg_per_l_caco3);
    // Water does not lift it: the rinse makes a profile again.
    assert!(spread(&barely, StepName::SlowRinse) < 0.5 * spread(&still, StepName::SlowRinse));
}

#[test]
fn a_bed_mixed_through_is_uniform_after_brine_and_rinse() {
    let lifted = cycle(&mixing(&case(2.7), LiftedMixing::Full, None));
    assert!(spread(&lifted, StepName::Brine) < 1e-12 && spread(&lifted, StepName::SlowRinse) < 1e-12);
    let still = cycle(&case(2.7));
    assert!(lifted.figures.capacity_eq_per_l < still.figures.capacity_eq_per_l);
    // A polishing layer is lost: counter-current leaks as co-current with its bed turned over does, within a factor of 2.
    let mut co_current = case(2.7).mirrored();
    co_current.cells = 40.into();
    let turned = cycle(&co_current).figures.leakage_half_run_mg_per_l_caco3;
    let ratio = lifted.figures.leakage_half_run_mg_per_l_caco3 / turned;
    assert!((0.5..2.0).contains(&ratio), "{ratio}");
}

#[test]
fn dispersion_lies_between_rest_and_mixing_through() {
    let with = |coefficient| cycle(&mixing(&case(2.7), LiftedMixing::Dispersion, Some(coefficient))).figures;
    let (still, full) = (cycle(&case(2.7)).figures, cycle(&mixing(&case(2.7), LiftedMixing::Full, None)).figures);
    let leaks = [1e-9, 1e-5, 1e-4, 1e-3].map(|d| with(d).leakage_half_run_mg_per_l_caco3);
    assert!(leaks.windows(2).all(|pair| pair[0] < pair[1]), "{leaks:?}");
    assert!((leaks[0] / still.leakage_half_run_mg_per_l_caco3 - 1.0).abs() < 0.02, "{leaks:?}");
    let boundless = with(10.0);
    assert!((boundless.leakage_half_run_mg_per_l_caco3 / full.leakage_half_run_mg_per_l_caco3 - 1.0).abs() < 2e-3);
    assert!((boundless.capacity_eq_per_l / full.capacity_eq_per_l - 1.0).abs() < 1e-3);
}

#[test]
fn what_holds_the_bed_keeps_its_beads_in_place() {
    let mut held = mixing(&case(2.7), LiftedMixing::Full, None);
    held.bed.held_down = Some(true);
    let mut plain = case(2.7);
    plain.bed.held_down = Some(true);
    let (held, plain) = (cycle(&held), cycle(&plain));
    assert_eq!(held.figures, plain.figures);
    assert!(held.notes.iter().any(|note| note.to_string().contains("lifted_mixing mixes nothing")), "{:?}", held.notes);
    // Brine that goes down lifts nothing.
    let co_current = case(2.7).mirrored();
    assert_eq!(cycle(&mixing(&co_current, LiftedMixing::Full, None)).figures, cycle(&co_current).figures);
    // A coefficient is said to be the user's.
    let noted = cycle(&mixing(&case(2.7), LiftedMixing::Dispersion, Some(1e-5))).notes;
    assert!(
        noted
            .iter()
            .any(|note| note.to_string().contains("1.0e-5 m2/s") && note.to_string().contains("the number is yours")),
        "{noted:?}"
    );
}

/// Beads mixed through, each liquid in equilibrium with them, K = 1. Until the brine has filled the void nothing of it
/// leaves, then what leaves is in equilibrium with the bed:
///
/// y = Q/(Q + N V) up to V = eps, then y = Q/(Q + eps N) exp(-N (V - eps)/(Q + eps N)).
///
/// Parts and cells of a finite size leave it short by their share; a bed at rest would have lost everything at V = 1.67.
#[test]
fn elution_of_a_mixed_bed_is_exponential() {
    let mut column = sodium_potassium_column(5.0, 5.0, 1.0, rates(0.5, 0.5, 0.0));
    column.kinetics = Kinetics::Equilibrium;
    column.cells = 50.into();
    column.regeneration.direction = Direction::CounterCurrent;
    column.bed.lifted_mixing = LiftedMixing::Full;
    let (n, q, eps) = (1.2, COLUMN_CAPACITY, COLUMN_VOID);
    for volume in [0.25, 0.8, 1.6, 3.0] {
        let run = column.elute(&loaded(&[(Ion::K, 1.0)]), volume, n).unwrap();
        assert!(run.ledger_error < 1e-10);
        let k = run.loading.ions.iter().position(|ion| *ion == Ion::K).unwrap();
        let found = run.loading.loading_eq_per_l[(0, 0, k)] / q;
        let exact = if volume <= eps {
            q / (q + n * volume)
        } else {
            q / (q + eps * n) * (-n * (volume - eps) / (q + eps * n)).exp()
        };
        assert!((found / exact - 1.0).abs() < 0.015, "{volume} BV: {found} against {exact}");
    }
}

#[test]
fn a_coefficient_goes_with_dispersion_alone() {
    for (how, coefficient, word) in [
        (LiftedMixing::Dispersion, None, "give its coefficient"),
        (LiftedMixing::Full, Some(1e-5), "belongs to"),
        (LiftedMixing::None, Some(1e-5), "belongs to"),
        (LiftedMixing::Dispersion, Some(-1.0), "1000"),
    ] {
        let message = mixing(&case(2.7), how, coefficient).validate().unwrap_err().to_string();
        assert!(message.contains("bed.solid_mixing_m2_per_s") && message.contains(word), "{message}");
    }
}
