//! Softeners drawn at random within their limits: whatever is valid runs, loses nothing and stays positive.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::cycle::unwatched;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::{BrineWater, Direction};
use brinefront::inputs::resin::{BeadDiffusivity, Selectivity};
use brinefront::inputs::service::ServiceFlow;
use brinefront::study;
use brinefront_tests::cases::softener;

/// A generator that gives the same numbers everywhere: xorshift, 64 bits (G. Marsaglia 2003, J. Stat. Softw. 8(14)).
struct Dice(u64);

impl Dice {
    fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(12345));
        (0..5).for_each(|_| {
            dice.share();
        });
        dice
    }

    /// Between 0 and 1.
    fn share(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Between two values, evenly on a logarithmic scale.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low * (high / low).powf(self.share())
    }

    fn chance(&mut self, share: f64) -> bool {
        self.share() < share
    }

    fn perhaps(&mut self, low: f64, high: f64) -> Option<f64> {
        self.chance(0.5).then(|| self.between(low, high))
    }
}

/// A softener with water, rates, flows and recipe drawn from wide ranges; none if its water holds no hardness.
fn drawn(seed: u64) -> Option<Case> {
    let dice = &mut Dice::new(seed);
    let direction = if dice.chance(0.5) { Direction::CoCurrent } else { Direction::CounterCurrent };
    let mut case = softener(direction, dice.between(20.0, 500.0));
    case.cells = (dice.between(4.0, 40.0) as usize).into();
    case.tolerance = dice.between(3e-5, 1e-2);
    case.kinetics = if dice.chance(0.3) { Kinetics::Equilibrium } else { Kinetics::Lumped };
    case.resin.selectivity = Selectivity::Named("BonnerSmith1957".into());
    case.water.ions.clear();
    for symbol in ["Na", "K", "NH4", "H", "Mg", "Ca", "Sr", "Ba", "Mn"] {
        if dice.chance(0.45) {
            case.water.ions.insert(Ion::parse("ion", symbol).unwrap(), dice.between(0.1, 500.0));
        }
    }
    case.rates.film_per_s = dice.perhaps(1e-3, 1e2);
    case.rates.bead_per_s = dice.perhaps(1e-5, 1e1);
    case.rates.dispersion_m2_per_s = if dice.chance(0.2) { Some(0.0) } else { dice.perhaps(1e-8, 1e-3) };
    case.service.flow_bv_per_h = dice.between(1.0, 100.0);
    case.service.service_flow = if dice.chance(0.5) { ServiceFlow::Down } else { ServiceFlow::Up };
    let hardness = case.water.hardness_mg_per_l_caco3(&case.hardness_ions).ok().filter(|h| *h > 0.0)?;
    case.service.limit_mg_per_l_caco3 = Some(hardness * dice.between(0.002, 0.5));
    // Up to one and a half times the water that would load the whole bed.
    let whole_bv = case.resin.capacity_eq_per_l / (hardness * 1e-3 / 50.043);
    case.service.volume_bv = Some(whole_bv * dice.between(0.05, 1.5));
    let regeneration = &mut case.regeneration;
    regeneration.strength_percent = Some(dice.between(0.5, 25.0));
    regeneration.flow_bv_per_h = dice.between(0.5, 20.0);
    regeneration.brine_water = if dice.chance(0.5) { BrineWater::Feed } else { BrineWater::Soft };
    regeneration.slow_rinse_bv = dice.perhaps(0.1, 5.0).unwrap_or(0.0);
    regeneration.fast_rinse_bv = dice.perhaps(0.1, 10.0).unwrap_or(0.0);
    if dice.chance(0.3) {
        regeneration.backwash_min = Some(10.0);
        regeneration.backwash_mixing = Some(dice.share());
    }
    Some(case)
}

/// What is wrong with the first cycles from new resin, or with the search for the steady one, if anything.
fn fault(case: &Case) -> Option<String> {
    let from_new = study::cycles(case, 2, &unwatched);
    let steady = study::cycle(case, &unwatched);
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
        }
    }
    None
}

/// Run the softeners of some seeds; a fault is told with its seed.
fn check(seeds: impl Iterator<Item = u64>, at_least: usize) {
    check_drawn(drawn, seeds, at_least);
}

/// The same of beads with shells, every ion at a diffusivity of its own.
fn drawn_radial(seed: u64) -> Option<Case> {
    let mut case = drawn(seed)?;
    let dice = &mut Dice::new(seed + 1_000_000);
    case.kinetics = Kinetics::Radial;
    if dice.chance(0.8) {
        case.rates.bead_per_s = None;
    }
    let cations = case.cations().unwrap();
    let diffusivities = cations.into_iter().map(|ion| (ion, dice.between(2e-12, 2e-10))).collect();
    case.resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon(diffusivities);
    Some(case)
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
