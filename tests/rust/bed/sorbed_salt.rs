//! Salt in the liquid inside the beads: Donnan's equilibrium, its rate, and what it does to a rinse.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::bed::column::Column;
use brinefront::bed::state::State;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::regeneration::Direction;
use brinefront::plan::model::Model;
use brinefront::plan::rates::StepRates;
use brinefront_tests::cases::{sodium_column, softener};
use brinefront_tests::curves::normality_of;

/// A bed of sodium beads in water that is suddenly in brine: each cell's salt follows its exponential, towards Donnan's
/// root of C_b (C_b + X) = N^2 (both algebra).
#[test]
fn beads_take_up_salt_as_donnan_says() {
    let mut case = sodium_column(2.0, 0.0);
    case.resin.sorbed_salt = true;
    let model = Model::new(&case, &[]).unwrap();
    let salt = model.sorbed.unwrap();
    let state = State::<1>::uniform(&model, [1.0], 0.002).unwrap();
    let rates = StepRates { velocity: 1e3, film_s: 0.0, bead_s: 0.0, dispersion: 0.0, film_coupling: None };
    let mut column = Column::new(&model, &state, rates, [1.5], true);
    let (mut time, mut step) = (0.0, 1e-7 / salt.per_s);
    let fixed = model.capacity / ((1.0 - model.void_fraction) * case.resin.bead_water_fraction);
    let root = 0.5 * ((fixed * fixed + 4.0 * 1.5 * 1.5).sqrt() - fixed);
    let whole = root * (1.0 - model.void_fraction) * case.resin.bead_water_fraction;
    let mut next = 0.1;
    while time * salt.per_s < 8.0 {
        column.try_step(step).unwrap();
        column.accept();
        time += step;
        step = (1.02 * step).min(0.01 / salt.per_s);
        if time * salt.per_s > next {
            let found = column.state().sorbed[model.cells() / 2][0];
            let exact = whole * (1.0 - (-time * salt.per_s).exp());
            assert!((found / exact - 1.0).abs() < 2e-3, "{} after {next}: {found} against {exact}", next);
            next *= 2.0;
        }
    }
    println!("{:.4} eq/L of bed in 1.5 N brine, at {:.2e} 1/s", column.state().sorbed[0][0], salt.per_s);
}

/// Salt that went into the beads has to come out again: the waste is back at twice the feed's normality later, by some of
/// what the beads held over the normality of the brine (a balance).
#[test]
fn a_rinse_takes_longer() {
    for (direction, kinetics, cells) in [
        (Direction::CoCurrent, Kinetics::Lumped, 60),
        (Direction::CounterCurrent, Kinetics::Lumped, 60),
        (Direction::CounterCurrent, Kinetics::Radial, 60),
        // So fine that dispersion rules the brine, and Newton's method solves it.
        (Direction::CounterCurrent, Kinetics::Lumped, 600),
    ] {
        let mut case = softener(direction, 100.0);
        (case.kinetics, case.cells) = (kinetics, cells.into());
        let rinsed = |case: &brinefront::Case| {
            let cycle = case.cycle().unwrap();
            assert!(cycle.figures.ledger_error < 1e-10, "{}", cycle.figures.ledger_error);
            assert!(cycle.figures.residual <= 1e-6, "{}", cycle.figures.residual);
            let feed = case.water.composition().unwrap().normality();
            let salty = normality_of(&cycle.waste_curve).iter().rposition(|n| *n > 2.0 * feed).unwrap();
            (cycle.waste_curve.bv[salty], cycle.figures.capacity_eq_per_l)
        };
        let (without, plain) = rinsed(&case);
        case.resin.sorbed_salt = true;
        let (with, capacity) = rinsed(&case);
        println!(
            "{direction:?} {kinetics:?} {cells}: rinsed {without:.3} BV, with salt in the beads {with:.3}; capacity {plain:.4}, {capacity:.4}"
        );
        assert!(with > without + 0.02 && with < without + 0.3, "{with} against {without}");
        assert!((capacity / plain - 1.0).abs() < 0.1);
    }
}
