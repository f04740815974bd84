//! What may never happen: equivalents lost, a negative concentration, a resin that holds more or less than its capacity.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::bed::ledger::Ledger;
use brinefront::bed::state::State;
use brinefront::bed::vessel::VesselState;
use brinefront::cycle::run::Loading;
use brinefront::cycle::step::run_step;
use brinefront::cycle::{Progress, unwatched};
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::rates::Rates;
use brinefront::inputs::recipe_steps::StepName;
use brinefront::inputs::regeneration::{BrineWater, Direction};
use brinefront::inputs::resin::Selectivity;
use brinefront::inputs::scenario::default_case;
use brinefront::inputs::service::ServiceFlow;
use brinefront::numerics::effort::Effort;
use brinefront::plan::model::Model;
use brinefront::plan::resolved_steps::{StepDirection, StepWater};
use brinefront::plan::steps::{End, PlannedStep, StopReason};
use brinefront::report::tables::{Curve, Profiles};
use brinefront_tests::cases::{loaded, softener};

/// Ledger closed to this share of what entered.
const LEDGER: f64 = 1e-10;
/// Loadings sum to the capacity to this share of it.
const CAPACITY: f64 = 1e-9;

const BOTH: [Direction; 2] = [Direction::CoCurrent, Direction::CounterCurrent];

fn check_curve(name: &str, curve: &Curve) {
    let least = curve.eq_per_l.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(least >= 0.0, "{name}: an effluent concentration of {least:e} eq/L");
    assert!(curve.eq_per_l.iter().all(|c| c.is_finite()), "{name}: an effluent concentration that is no number");
    assert!(curve.bv.windows(2).all(|bv| bv[1] >= bv[0]), "{name}: throughput runs backwards");
}

fn check_profiles(name: &str, profiles: &Profiles, capacity: f64) {
    for table in [&profiles.loading_eq_per_l, &profiles.liquid_eq_per_l] {
        let least = table.iter().copied().fold(f64::INFINITY, f64::min);
        assert!(least >= 0.0, "{name}: {least:e} eq/L in the bed");
    }
    for cell in profiles.loading_eq_per_l.rows() {
        let held = cell.sum();
        assert!((held / capacity - 1.0).abs() < CAPACITY, "{name}: a cell holds {held} of {capacity} eq/L");
    }
}

/// A service run on new resin, then a whole cycle; gives what the cycle cost.
fn check(name: &str, case: &Case) -> Effort {
    let cycles = case.cycles(2).unwrap_or_else(|error| panic!("{name}: {error}"));
    for cycle in &cycles {
        let error = cycle.figures.ledger_error;
        assert!(error < LEDGER, "{name}: the ledger is open by {error:e}");
        check_curve(name, &cycle.leakage);
        check_curve(name, &cycle.waste_curve);
        check_profiles(name, &cycle.profiles, case.resin.capacity_eq_per_l);
    }
    cycles[1].effort
}

#[test]
fn in_every_direction_with_soft_and_hard_brine() {
    for direction in BOTH {
        for flow in [ServiceFlow::Down, ServiceFlow::Up] {
            for water in [BrineWater::Soft, BrineWater::Feed] {
                let mut case = softener(direction, 96.0);
                case.cells = 50.into();
                case.service.service_flow = flow;
                case.regeneration.brine_water = water;
                check(&format!("{direction:?}, service {flow:?}, brine of {water:?}"), &case);
            }
        }
    }
}

#[test]
fn with_given_and_with_correlated_rates_from_4_cells_to_400() {
    for direction in BOTH {
        for cells in [4, 37, 400] {
            for rates in [softener(direction, 96.0).rates, Rates::default()] {
                let mut case = softener(direction, 96.0);
                case.cells = cells.into();
                case.rates = rates;
                check(&format!("{direction:?}, {cells} cells, {:?}", case.rates), &case);
            }
        }
    }
}

#[test]
fn with_two_to_six_cations() {
    let symbols = ["Na", "Ca", "Mg", "K", "NH4", "Sr"];
    for count in 2..=symbols.len() {
        for direction in BOTH {
            let mut case = softener(direction, 120.0);
            case.cells = 40.into();
            case.resin.selectivity = Selectivity::Named("BonnerSmith1957".into());
            let amounts = [60.0, 80.0, 24.0, 12.0, 3.0, 8.0];
            let ions = symbols.iter().zip(amounts).take(count);
            case.water.ions = ions.map(|(symbol, mg)| (Ion::parse("ion", symbol).unwrap(), mg)).collect();
            check(&format!("{direction:?}, {count} cations"), &case);
        }
    }
}

#[test]
fn with_beads_in_equilibrium() {
    for direction in BOTH {
        for dispersion in [None, Some(0.0), Some(1e-4)] {
            let mut case = softener(direction, 96.0);
            case.cells = 50.into();
            case.kinetics = Kinetics::Equilibrium;
            case.rates.dispersion_m2_per_s = dispersion;
            check(&format!("{direction:?}, equilibrium, dispersion {dispersion:?}"), &case);
        }
    }
}

/// Dispersion strong enough for a look ahead in every step.
#[test]
fn where_dispersion_rules() {
    for direction in BOTH {
        for dispersion in [1e-4, 2e-3] {
            let mut case = softener(direction, 96.0);
            case.cells = 50.into();
            case.rates.dispersion_m2_per_s = Some(dispersion);
            case.service.limit_mg_per_l_caco3 = Some(40.0);
            check(&format!("{direction:?}, dispersion {dispersion}"), &case);
        }
    }
}

#[test]
fn with_extreme_doses_rates_and_waters() {
    let mut blended = 0;
    for direction in BOTH {
        for (name, change) in [
            ("dose 5", ("regeneration.dose_g_per_l", 5.0)),
            ("dose 1000", ("regeneration.dose_g_per_l", 1000.0)),
            ("brine 26 %", ("regeneration.strength_percent", 26.0)),
            ("brine 0.5 %", ("regeneration.strength_percent", 0.5)),
            ("slow film", ("rates.film_per_s", 1e-3)),
            ("fast film", ("rates.film_per_s", 1e4)),
            ("slow bead", ("rates.bead_per_s", 1e-5)),
            ("fast bead", ("rates.bead_per_s", 1e4)),
            ("much sodium", ("water.ions.Na", 5000.0)),
            ("no sodium", ("water.ions.Na", 0.0)),
            ("coarse steps", ("tolerance", 0.05)),
            ("slow service", ("service.flow_bv_per_h", 0.5)),
        ] {
            let mut case = softener(direction, 96.0).with(change.0, change.1.into()).unwrap();
            case.cells = 30.into();
            case.service.volume_bv = Some(150.0);
            blended += check(&format!("{direction:?}, {name}"), &case).blended_cells;
        }
    }
    assert!(blended > 0, "nothing here needed the fallback that keeps histories positive");
}

/// In service the normality is an inert tracer that enters evenly: once the rinse is out, what leaves must have the
/// feed's, within what a time step may err by (algebra: the sum of the ions' balances). Coarse grids are the hard ones:
/// on them all ions of a front are steep from one cell to the next.
#[test]
fn the_product_has_the_normality_of_the_feed_on_coarse_grids() {
    const RINSED_BV: f64 = 2.0;
    for cells in [15, 20, 24, 30, 40] {
        let mut counter_current = default_case();
        counter_current.service.volume_bv = None;
        counter_current.cells = cells.into();
        for case in [counter_current.mirrored(), counter_current] {
            let found = case.cycle().unwrap();
            assert_eq!(found.figures.stop_reason, StopReason::LeakageLimit);
            let feed = found.figures.feed_normality_eq_per_l;
            let run = found.leakage.bv.iter().zip(found.leakage.eq_per_l.rows());
            let off: Vec<f64> = run
                .filter(|(bv, _)| **bv - found.leakage.bv[0] > RINSED_BV)
                .map(|(_, ions)| (ions.sum() / feed - 1.0).abs())
                .collect();
            assert!(off.len() > 50, "{} samples", off.len());
            let worst = off.iter().copied().fold(0.0, f64::max);
            let direction = found.figures.direction;
            assert!(
                worst < case.tolerance,
                "{direction:?}, {cells} cells: the normality of the product is {worst:e} off"
            );
        }
    }
}

/// Liquid and beads of a bed at rest go to equilibrium and lose nothing, with and without dispersion.
#[test]
fn standby_keeps_everything() {
    let case = softener(Direction::CoCurrent, 96.0);
    for dispersion in [0.0, 1e-5] {
        let model = Model::new(&case, &[]).unwrap();
        let mut state = State::<3>::uniform(&model, [0.4, 0.2, 0.4], model.waters.feed.normality()).unwrap();
        // Half the bed full of brine, half of feed, none of it in equilibrium with the beads.
        let cells = state.liquid.len();
        for (j, liquid) in state.liquid.iter_mut().enumerate() {
            let water = if j < cells / 2 { StepWater::Brine } else { StepWater::Feed };
            *liquid = model.cations_of(water).try_into().unwrap();
        }
        let mut rates = model.step_rates(StepWater::Feed, 0.0);
        rates.dispersion = dispersion;
        let before = state.held(&model);
        let spread_before = spread(&state);
        let rest = PlannedStep {
            name: StepName::Standby,
            water: StepWater::Feed,
            direction: StepDirection::WithService,
            flow_bv_per_h: 0.0,
            rates,
            inlet: model.cations_of(StepWater::Feed),
            end: End::After(3600.0, StopReason::Time),
            most_bv: 0.0,
            mixing: 0.0,
        };
        let vessel = VesselState::uniform(&model, state);
        let (vessel, history) = run_step(&model, vessel, &rest, &[], &unwatched, Progress::default()).unwrap();
        let after = &vessel.tubes[0];
        assert_eq!(history.volume_bv, 0.0);
        assert!(history.entered.iter().chain(&history.left).all(|v| *v == 0.0), "{:?}", history.entered);
        let held = after.held(&model);
        for i in 0..3 {
            assert!((held[i] - before[i]).abs() < 1e-12 * model.capacity, "ion {i}: {} to {}", before[i], held[i]);
        }
        for (q, c) in after.loading.iter().zip(&after.liquid) {
            assert!(q.iter().chain(c).all(|v| *v >= 0.0), "{q:?} {c:?}");
            assert!((q.iter().sum::<f64>() / model.capacity - 1.0).abs() < CAPACITY);
        }
        assert!(dispersion == 0.0 || spread(after) < spread_before, "dispersion at rest evens nothing out");
    }
}

/// Highest less lowest normality of the liquid \[eq/L\].
fn spread(state: &State<3>) -> f64 {
    let normality = state.liquid.iter().map(|c| c.iter().sum::<f64>());
    normality.clone().fold(0.0, f64::max) - normality.fold(f64::INFINITY, f64::min)
}

#[test]
fn a_single_run_closes_its_ledger_too() {
    for (name, run) in [
        ("load", softener(Direction::CoCurrent, 96.0).load(&loaded(&[(Ion::NA, 1.0)]), 300.0)),
        ("elute", softener(Direction::CounterCurrent, 96.0).elute(&Loading::Feed, 2.5, 1.2)),
    ] {
        let run = run.unwrap();
        assert!(run.ledger_error < LEDGER, "{name}: {:e}", run.ledger_error);
        check_curve(name, &run.effluent);
        check_profiles(name, &run.loading, 1.9);
    }
}

#[test]
fn a_ledger_tells_what_is_lost() {
    let mut ledger = Ledger::<2>::default();
    ledger.count(&[1.0, 3.0], &[0.5, 3.0]);
    assert!(ledger.error(&[0.2, 0.1], &[0.7, 0.1]) < 1e-15);
    assert!((ledger.error(&[0.2, 0.1], &[0.3, 0.1]) - 0.1).abs() < 1e-12, "0.4 of 4 lost");
}
