//! Activity coefficients in the column: what a bed holds and gives back, against the laws of activity by themselves.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test that fails is meant to panic; `--nocapture` shows the figures"
)]

use std::collections::BTreeMap;

use brinefront::Case;
use brinefront::cycle::run::{self, Loading, RunHistory};
use brinefront::cycle::unwatched;
use brinefront::inputs::activity::ActivityLaw;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::Selectivity;
use brinefront::inputs::scenario::default_case;
use brinefront::laws::activity::Activity;
use brinefront::plan::run_plan::RunPlan;
use brinefront::plan::scheme::Scheme;
use brinefront::report::CycleReport;
use brinefront_tests::cases::{loaded, rates, sodium_calcium_column, softener};

const K_CA: f64 = 1.2;
/// K 1.2 and Q 2.0 eq/L: an ideal exchange reverses at N = K Q.
const REVERSAL_IDEAL: f64 = 2.4;
const TWENTY_C_IN_K: f64 = 293.15;

/// A bed of sodium and calcium, in chlorides, on a liquid of a normality \[eq/L\] and a fraction of calcium.
fn bed(law: ActivityLaw, normality: f64, x: f64) -> Case {
    let (na, ca) = (1e3 * normality * (1.0 - x), 1e3 * normality * x);
    let mut case = sodium_calcium_column(na, ca, K_CA, rates(0.1, 0.006, 0.0));
    // A brine that every law holds in: no test here that sets a bed up has one.
    (case.regeneration.strength_percent, case.regeneration.normality_eq_per_l) = (None, Some(0.2));
    Case { activity: law, cells: 10.into(), ..case }
}

/// The law's own factor between K and the apparent K of calcium in such a liquid.
fn factor(law: ActivityLaw, normality: f64, x: f64) -> f64 {
    let activity = Activity::new(law, &[Ion::NA, Ion::CA, Ion::CL], &BTreeMap::new()).unwrap();
    let liquid = [normality * (1.0 - x), normality * x, normality];
    activity.exchange_factors(&liquid, TWENTY_C_IN_K).unwrap()[1]
}

/// One loading run, as it was recorded.
fn load(case: &Case, from: &Loading, volume_bv: f64) -> RunHistory {
    let plan = RunPlan::loading(case, &from.ions().unwrap(), volume_bv).unwrap();
    run::run(&plan, from, &unwatched).unwrap()
}

/// Loadings \[eq/L of bed\] of sodium and calcium in a bed that its own feed has passed through, and the ledger's error.
fn at_rest(case: &Case) -> ([f64; 2], f64) {
    let history = load(case, &Loading::Feed, 2.0);
    let cells = history.step.loading.as_chunks::<2>().0;
    for cell in cells {
        for (q, first) in cell.iter().zip(&cells[0]) {
            assert!((q - first).abs() < 1e-9, "a bed in equilibrium with its feed moved: {q} against {first}");
        }
    }
    (cells[0], history.ledger_error)
}

/// The apparent K of calcium from what a bed holds: (y/x) (x_1/y_1)^2 N/Q.
fn apparent([na, ca]: [f64; 2], normality: f64, x: f64) -> f64 {
    let q = na + ca;
    (ca / q / x) * ((1.0 - x) / (na / q)).powi(2) * normality / q
}

/// From water to brine a bed in equilibrium with its feed stays as it is, holds what the activity law says, and closes
/// its ledger.
#[test]
fn a_bed_at_rest_holds_what_the_law_says() {
    for (law, normalities) in [
        (ActivityLaw::Ideal, &[0.006, 2.0][..]),
        (ActivityLaw::Davies, &[0.006, 0.03, 0.1]),
        (ActivityLaw::Pitzer, &[0.006, 0.1, 1.0, 2.0, 4.0]),
    ] {
        for normality in normalities {
            for x in [0.1, 0.5] {
                let (held, ledger) = at_rest(&bed(law, *normality, x));
                let (ours, law_s) = (apparent(held, *normality, x) / K_CA, factor(law, *normality, x));
                println!("{law:?} {normality} eq/L, x {x}: K' is {ours:.4} of K, holds {:.4} eq/L of calcium", held[1]);
                assert!((ours / law_s - 1.0).abs() < 1e-9, "{law:?} {normality} {x}: {ours} against {law_s}");
                assert!(ledger < 1e-10, "{ledger:e}");
            }
        }
    }
}

/// The isotherm at brine strength: with activities the resin holds less calcium from brine, by the factor of 0.5 to 0.65
/// in K that Pitzer's equations give at 1 to 2 mol/kg of sodium chloride.
#[test]
fn brine_takes_more_calcium_off_than_an_ideal_one() {
    let of = |law| at_rest(&bed(law, 2.0, 0.1)).0[1];
    let (ideal, pitzer) = (of(ActivityLaw::Ideal), of(ActivityLaw::Pitzer));
    assert!(pitzer < 0.75 * ideal, "{pitzer} against {ideal} eq/L");
    let ratio = factor(ActivityLaw::Pitzer, 2.0, 0.1);
    assert!((0.45..0.65).contains(&ratio), "{ratio}");
}

/// Selectivity reverses where the separation factor is 1, N = K' Q: far below K Q, at the normality that the law by
/// itself gives.
#[test]
fn selectivity_reverses_in_weaker_brine() {
    let x = 0.5;
    // Calcium held less its share in solution, falling with N.
    let preferred = |law, normality| at_rest(&bed(law, normality, x)).0[1] / 2.0 - x;
    let reversal = |law| {
        let (mut low, mut high) = (0.2_f64, 4.0);
        for _ in 0..40 {
            let middle = 0.5 * (low + high);
            if preferred(law, middle) > 0.0 { low = middle } else { high = middle }
        }
        low
    };
    let (ideal, pitzer) = (reversal(ActivityLaw::Ideal), reversal(ActivityLaw::Pitzer));
    println!("selectivity reverses at {ideal:.4} eq/L ideal, {pitzer:.4} eq/L with activities");
    assert!((ideal / REVERSAL_IDEAL - 1.0).abs() < 1e-8, "{ideal}");
    assert!((pitzer / (REVERSAL_IDEAL * factor(ActivityLaw::Pitzer, pitzer, x)) - 1.0).abs() < 1e-8, "{pitzer}");
    assert!(pitzer < 0.65 * ideal, "{pitzer}");
}

/// A liquid given by its normality alone, in equilibrium with a loading, meets mass action with its own activities.
#[test]
fn a_void_is_in_equilibrium_with_its_resin() {
    let mut case = bed(ActivityLaw::Pitzer, 2.0, 0.5);
    (case.rates.film_per_s, case.rates.bead_per_s) = (Some(1e-6), Some(1e-6));
    let from = loaded(&[(Ion::NA, 0.6), (Ion::CA, 0.4)]);
    let history = load(&case, &from, 1e-6);
    let liquid = history.step.liquid.as_chunks::<2>().0[9];
    let (normality, x) = (liquid[0] + liquid[1], liquid[1] / (liquid[0] + liquid[1]));
    let ours = apparent([1.2, 0.8], normality, x) / K_CA;
    assert!((ours / factor(ActivityLaw::Pitzer, normality, x) - 1.0).abs() < 1e-5, "{ours}");
}

/// A K stated with the normality it was measured at comes out again in that solution, half sodium and half calcium.
#[test]
fn a_coefficient_measured_in_brine_holds_there() {
    for (law, normality) in [(ActivityLaw::Pitzer, 1.0), (ActivityLaw::Pitzer, 0.1), (ActivityLaw::Davies, 0.1)] {
        let mut stated = bed(law, normality, 0.5);
        stated.resin.selectivity_at_eq_per_l = Some(normality);
        let (held, _) = at_rest(&stated);
        assert!((apparent(held, normality, 0.5) / K_CA - 1.0).abs() < 1e-9);
        // In the ideal law a normality says nothing.
        let mut ideal = bed(ActivityLaw::Ideal, normality, 0.5);
        let plain = at_rest(&ideal).0;
        ideal.resin.selectivity_at_eq_per_l = Some(normality);
        assert_eq!(at_rest(&ideal).0, plain);
    }
}

fn steady(case: &Case) -> CycleReport {
    let found = case.cycle().unwrap();
    let figures = &found.figures;
    assert!(figures.settled, "{}", figures.search_end);
    assert!(figures.ledger_error < 1e-10, "{:e}", figures.ledger_error);
    println!(
        "{:8} {:15} {:.4} eq/L, {:.1} BV, half-run leakage {:.3} mg/L, {} cycles, {} steps",
        case.activity.name(),
        case.regeneration.direction.name(),
        figures.capacity_eq_per_l,
        figures.run_length_bv,
        figures.leakage_half_run_mg_per_l_caco3,
        figures.cycles_run,
        found.effort.steps
    );
    found
}

/// Brine of 1.8 eq/L leaves half of K, dilute service nine tenths: so capacity is that of an ideal liquid with half of K,
/// and co-current leakage, which the bed's outlet decides in service, far below that one's.
#[test]
fn brine_acts_on_half_of_k_and_service_on_most_of_it() {
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let mut case = softener(direction, 96.0);
        case.cells = 40.into();
        let ideal = steady(&case).figures;
        let pitzer = steady(&Case { activity: ActivityLaw::Pitzer, ..case.clone() }).figures;
        case.resin.selectivity = Selectivity::Given([(Ion::MG, 0.83), (Ion::CA, 1.3)].into());
        let half = steady(&case).figures;
        let share =
            (pitzer.capacity_eq_per_l - ideal.capacity_eq_per_l) / (half.capacity_eq_per_l - ideal.capacity_eq_per_l);
        assert!((0.85..1.15).contains(&share), "{share}");
        if direction == Direction::CoCurrent {
            assert!(pitzer.leakage_half_run_mg_per_l_caco3 < 0.75 * half.leakage_half_run_mg_per_l_caco3);
        }
    }
}

/// In brine that is weak enough for both, the two laws give nearly the same cycle, and not the ideal one.
#[test]
fn two_laws_agree_where_both_hold() {
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let mut case = softener(direction, 200.0);
        case.cells = 40.into();
        case.regeneration.strength_percent = None;
        case.regeneration.normality_eq_per_l = Some(0.3);
        case.regeneration.flow_bv_per_h = 8.0;
        let of = |activity| steady(&Case { activity, ..case.clone() }).figures.capacity_eq_per_l;
        let [ideal, davies, pitzer] = [ActivityLaw::Ideal, ActivityLaw::Davies, ActivityLaw::Pitzer].map(of);
        let gain = pitzer / ideal - 1.0;
        assert!(gain > 0.02, "{gain}");
        assert!((davies / pitzer - 1.0).abs() < 0.2 * gain, "{davies} against {pitzer}");
    }
}

/// The built-in case in both directions.
#[test]
fn the_built_in_case() {
    for case in [default_case(), default_case().mirrored()] {
        let case = Case { cells: 50.into(), ..case };
        let ideal = steady(&case);
        let pitzer = steady(&Case { activity: ActivityLaw::Pitzer, ..case.clone() });
        assert!(ideal.notes.iter().all(|note| !note.to_string().contains("activity")), "{:?}", ideal.notes);
        let note = "activity: the parameters of pitzer stand at 25 C, the water is at 15 C";
        assert!(pitzer.notes.iter().any(|found| found.to_string() == note), "{:?}", pitzer.notes);
        if case.regeneration.direction == Direction::CoCurrent {
            let leakage = |report: &CycleReport| report.figures.leakage_half_run_mg_per_l_caco3;
            assert!(leakage(&pitzer) < leakage(&ideal));
        }
    }
}

/// Lagged dispersion, a look ahead and Newton, and beads in equilibrium: the same lag in each.
#[test]
fn every_path_through_the_solver_has_it() {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    (case.cells, case.activity) = (40.into(), ActivityLaw::Pitzer);
    let marched = steady(&case).figures;
    // A cell Peclet number just above the one at which the march looks ahead, and just below.
    let velocity = 20.0 * case.bed.depth_m() / 3600.0;
    let most = velocity * case.bed.depth_m() / 40.0 / (Scheme::DEFAULT.march_peclet * case.resin.void_fraction);
    let at = |share: f64, newton: bool| {
        let dispersed = Case { rates: rates(0.1, 0.006, share * most), ..case.clone() };
        let sodium = loaded(&[(Ion::NA, 1.0)]);
        let mut plan = RunPlan::loading(&dispersed, &sodium.ions().unwrap(), 150.0).unwrap();
        plan.model.scheme.newton = newton;
        let run = run::run(&plan, &sodium, &unwatched).unwrap();
        assert!((run.step.effort.factorisations > 0) == newton && run.ledger_error < 1e-10);
        run.step.left
    };
    let newton = at(1.001, true);
    for march in [at(0.999, false), at(1.001, false)] {
        for (a, b) in march.iter().zip(&newton) {
            assert!((a - b).abs() < 2e-3 * march.iter().sum::<f64>(), "{march:?} against {newton:?}");
        }
    }
    case.kinetics = Kinetics::Equilibrium;
    assert!(steady(&case).figures.capacity_eq_per_l > marched.capacity_eq_per_l);
}

/// What cannot be computed is refused where a case becomes a model, by the field and the ion.
#[test]
fn refusals_say_what_to_do() {
    let refused = |case: &Case| case.cycle().unwrap_err().to_string();
    let case = Case { activity: ActivityLaw::Davies, ..softener(Direction::CoCurrent, 96.0) };
    let strong = refused(&case);
    assert!(strong.starts_with("activity = davies: holds to an ionic strength of 0.5 mol/kg; brine of"), "{strong}");
    assert!(strong.ends_with("use pitzer"), "{strong}");
    let mut weak = case.clone();
    (weak.regeneration.strength_percent, weak.regeneration.normality_eq_per_l) = (None, Some(0.3));
    let eluted = weak.elute(&Loading::Feed, 1.0, 1.2).unwrap_err().to_string();
    assert!(eluted.contains("a regenerant of 1.200 eq/L") && eluted.contains("use pitzer"), "{eluted}");
    for ion in ["NH4", "NO3"] {
        let mut case = Case { activity: ActivityLaw::Pitzer, ..default_case() };
        case.water.ions.insert(Ion::parse("ion", ion).unwrap(), 2.0);
        let lacking = refused(&case);
        assert!(lacking.starts_with("activity = pitzer: has no parameters for") && lacking.contains(ion), "{lacking}");
        assert!((Case { cells: 10.into(), activity: ActivityLaw::Ideal, ..case }).cycle().is_ok());
    }
    assert!(
        Case::from_toml(&default_case().to_toml().unwrap().replace("cells =", "activity = \"no\"\ncells ="), "a file")
            .is_err()
    );
}
