//! A bed at rest: cells by themselves relax to equilibrium at the rate of film and bead in series.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::bed::state::State;
use brinefront::bed::vessel::VesselState;
use brinefront::cycle::step::run_step;
use brinefront::cycle::{Progress, unwatched};
use brinefront::inputs::rates::{FilmCorrelation, Rates};
use brinefront::inputs::recipe_steps::StepName;
use brinefront::plan::model::Model;
use brinefront::plan::resolved_steps::{Step, StepDirection, StepEnd, StepWater};
use brinefront::plan::steps::PlannedStep;
use brinefront_tests::cases::{COLUMN_CAPACITY, COLUMN_VOID, rates, sodium_potassium_column};

/// Film and bead rates of the column here \[1/s\].
const FILM: f64 = 0.02;
const BEAD: f64 = 0.004;

fn rest(minutes: f64) -> Step {
    Step {
        name: StepName::Standby,
        water: StepWater::Feed,
        flow_bv_per_h: 0.0,
        direction: StepDirection::WithService,
        end: StepEnd::TimeMin(minutes),
        mixing: 0.0,
    }
}

/// Sodium-form beads, uniform, whose void is full of potassium chloride, after a rest: potassium on the resin of every
/// cell \[eq/L of bed\], the liquid's potassium, and what a cell holds of it in all.
fn rested(case: &Case, seconds: f64) -> (Vec<f64>, Vec<f64>, f64) {
    let model = Model::new(case, &[]).unwrap();
    let normality = model.waters.feed.normality();
    let mut state = State::<2>::uniform(&model, [1.0, 0.0], normality).unwrap();
    state.liquid.fill([0.0, normality]);
    let plan = PlannedStep::of(&model, &rest(seconds / 60.0));
    let vessel = VesselState::uniform(&model, state);
    let (vessel, history) = run_step(&model, vessel, &plan, &[], &unwatched, Progress::default()).unwrap();
    let state = &vessel.tubes[0];
    assert!(history.sample_bv.is_empty() && history.volume_bv == 0.0, "something left at rest");
    let of_k = |table: &[[f64; 2]]| table.iter().map(|values| values[1]).collect::<Vec<_>>();
    (of_k(&state.loading), of_k(&state.liquid), model.void_fraction * normality)
}

/// Two monovalent ions of equal selectivity: y* = x*, so q* = (Q/N) C* and film and bead in series are linear,
///
/// ```text
/// dq/dt = k ((Q/N) C - q),    1/k = Q/(N kf) + 1/kb
/// ```
///
/// With eps C + q = eps N held in a cell, q goes to its end as exp(-k (1 + Q/(eps N)) t), and that end is eps N/(1 + eps
/// N/Q) (derived here: put C = (eps N - q)/eps).
#[test]
fn a_uniform_bed_relaxes_exponentially() {
    let mut worst = 0.0_f64;
    for normality_meq_per_l in [10.0, 200.0, 2000.0] {
        for dispersion in [0.0, 2e-6] {
            let mut case = sodium_potassium_column(
                0.5 * normality_meq_per_l,
                0.5 * normality_meq_per_l,
                1.0,
                rates(FILM, BEAD, dispersion),
            );
            case.cells = 12.into();
            case.tolerance = 1e-6;
            let normality = normality_meq_per_l * 1e-3;
            let steepness = COLUMN_CAPACITY / normality;
            let k = 1.0 / (steepness / FILM + 1.0 / BEAD);
            let rate = k * (1.0 + steepness / COLUMN_VOID);
            for lives in [0.2, 1.0, 3.0] {
                let seconds = lives / rate;
                let (loading, _, held) = rested(&case, seconds);
                let end = held / (1.0 + held / COLUMN_CAPACITY);
                let exact = end * (1.0 - (-rate * seconds).exp());
                for q in &loading {
                    worst = worst.max((q / exact - 1.0).abs());
                    assert!((q - loading[0]).abs() < 1e-12 * COLUMN_CAPACITY, "cells differ: {q} and {}", loading[0]);
                }
            }
        }
    }
    // Measured 2.1e-4 of the exponential: the first step is of order 1 and not under error control.
    assert!(worst < 4e-4, "{worst:e}");
}

#[test]
fn a_long_rest_ends_at_the_selectivity() {
    for selectivity in [0.4, 1.0, 3.0] {
        for dispersion in [0.0, 2e-6] {
            let mut case = sodium_potassium_column(250.0, 250.0, selectivity, rates(FILM, BEAD, dispersion));
            case.cells = 12.into();
            let (loading, liquid, held) = rested(&case, 1e5);
            for (q, c) in loading.iter().zip(&liquid) {
                let found = q / (COLUMN_CAPACITY - q) * (0.5 - c) / c;
                assert!((found / selectivity - 1.0).abs() < 1e-4, "{found} of {selectivity}");
                assert!((q + COLUMN_VOID * c - held).abs() < 1e-13, "{} of {held}", q + COLUMN_VOID * c);
            }
        }
    }
}

/// At rest a bead keeps the film of still liquid: no correlation goes below Sh = 2, kf_a = Sh D/d_p 6 (1-eps)/d_p.
#[test]
fn a_standing_bed_keeps_a_film_and_disperses_nothing() {
    for film_correlation in [
        FilmCorrelation::Gnielinski,
        FilmCorrelation::Carberry,
        FilmCorrelation::WilsonGeankoplis,
        FilmCorrelation::Wakao,
    ] {
        let case = sodium_potassium_column(5.0, 5.0, 1.0, Rates { film_correlation, ..Rates::default() });
        let model = Model::new(&case, &[]).unwrap();
        let at_rest = model.step_rates(StepWater::Feed, 0.0);
        assert_eq!((at_rest.velocity, at_rest.dispersion), (0.0, 0.0));
        let slow = model.step_rates(StepWater::Feed, 1e-6);
        let d_p = case.resin.bead_diameter_mm * 1e-3;
        let sherwood = d_p * d_p / (6.0 * (1.0 - COLUMN_VOID) * at_rest.film_s) / diffusivity();
        let floor =
            if film_correlation == FilmCorrelation::Gnielinski { 2.0 * (1.0 + 1.5 * (1.0 - COLUMN_VOID)) } else { 2.0 };
        assert!((sherwood / floor - 1.0).abs() < 0.01, "{film_correlation:?}: Sh {sherwood}, not {floor}");
        assert!(slow.film_s <= at_rest.film_s, "{film_correlation:?}: a film thinner at rest than in flow");
        assert!((slow.film_s / at_rest.film_s - 1.0).abs() < 0.1, "{film_correlation:?}: no jump as flow stops");
    }
}

/// Mean of sodium and potassium at 20 C \[m2/s\]: 1.334e-9 and 1.957e-9 at 25 C (CRC Handbook, library `chemicals`), times
/// T/viscosity, 293.15/298.15 and 0.890/1.0016 mPa s (IAPWS, library `iapws` 1.5.5).
fn diffusivity() -> f64 {
    0.5 * (1.334e-9 + 1.957e-9) * (293.15 / 298.15) * (0.890 / 1.0016)
}
