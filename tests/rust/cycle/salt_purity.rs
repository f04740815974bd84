//! Impure salt, hard brine water, hard rinse water, and a bed that has aged: what each does to leakage and capacity.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::recipe::Recipe;
use brinefront::inputs::recipe_steps::{Brine, FreeStep, Rinse, StepName};
use brinefront::inputs::regeneration::{BrineWater, Direction};
use brinefront::report::CycleReport;
use brinefront_tests::cases::{rates, sodium_calcium_column, softener};

fn run(case: &Case) -> CycleReport {
    let cycle = case.cycle().unwrap();
    assert!(cycle.figures.settled && cycle.figures.ledger_error < 1e-10, "{}", cycle.figures.search_end);
    cycle
}

/// Divalent fraction of a resin in equilibrium: X/(1-X)^2 = a.
fn fraction(a: f64) -> f64 {
    (2.0 * a + 1.0 - (4.0 * a + 1.0).sqrt()) / (2.0 * a)
}

/// So much counter-current brine that the outlet layer comes to equilibrium with it: what then leaks is the floor that the
/// salt sets. X/(1-X)^2 = K Q/N y/(1-y)^2 at the brine, y/(1-y)^2 = N0/(K Q) X/(1-X)^2 at the water, by hand.
///
/// K 4, Q 2, brine of 10 % (1.83 eq/L), a water of 10 meq/L: with 1, 2 and 5 % of the brine's equivalents hard, 4.1, 7.7 and
/// 16.8 % of the outlet layer stay hard, and 0.03, 0.06 and 0.15 mg/L as CaCO3 leak (derived).
#[test]
fn impure_salt_sets_the_floor_of_counter_current_leakage() {
    for (share, layer, floor) in [(0.01, 0.041, 0.03), (0.02, 0.077, 0.06), (0.05, 0.168, 0.15)] {
        let mut case = sodium_calcium_column(4.0, 6.0, 4.0, rates(0.5, 0.5, 1e-7));
        case.kinetics = Kinetics::Equilibrium;
        case.cells = 40.into();
        case.service.volume_bv = Some(40.0);
        case.regeneration.direction = Direction::CounterCurrent;
        case.regeneration.dose_g_per_l = 600.0;
        case.regeneration.strength_percent = Some(10.0);
        case.regeneration.fast_rinse_bv = 0.0;
        // Calcium that makes this share of the equivalents, in grams beside a gram of NaCl: 58.443 and 20.039 g/eq. As its
        // chloride, 55.49 g/eq, it takes its part of the salt as sold.
        let beside = share / (1.0 - share) / 58.443;
        let sold = 1.0 + beside * 55.492;
        case.regeneration.salt_impurities_percent = [(Ion::CA, 100.0 * beside * 20.039 / sold)].into();
        let cycle = run(&case);

        let (k, q, n0) = (4.0, 2.0, 0.010);
        let layer_at = |n: f64, y: f64| fraction(k * q / n * y / (1.0 - y).powi(2));
        let leaks_at = |x: f64| fraction(n0 / (k * q) * x / (1.0 - x).powi(2)) * n0 * 50_043.0;
        // The table's own normality, to its last digit.
        assert!((layer_at(1.83, share) - layer).abs() < 6e-4, "{} against {layer}", layer_at(1.83, share));
        assert!((leaks_at(layer_at(1.83, share)) - floor).abs() < 0.005);

        // 107.07 g/L of salt in 10 % brine (density table, seen); beside it its calcium, and the sodium of the soft water.
        let salt = 107.07 / 58.443;
        let n = salt / (1.0 - share) + n0;
        let x = layer_at(n, salt * share / (1.0 - share) / n);
        // As the rinse thins the brine in the void, beads may take up what calcium it holds, at most all of it.
        let uptake = 0.38 * salt * share / (1.0 - share) / q;
        let brine = cycle.profiles.steps.iter().position(|step| *step == StepName::Brine).unwrap();
        let ca = cycle.profiles.ions.iter().position(|ion| *ion == Ion::CA).unwrap();
        let outlet = cycle.profiles.loading_eq_per_l[(brine, 39, ca)] / q;
        assert!((outlet / x - 1.0).abs() < 2e-3, "layer {outlet} by hand {x}");
        let found = cycle.figures.leakage_half_run_mg_per_l_caco3;
        let (least, most) = (leaks_at(x), leaks_at(x + uptake));
        assert!(least < found && found < most, "leakage {found} by hand {least} to {most}");
    }
}

/// The dose is pure salt; as sold there is more of it, and fewer grains for a pound.
#[test]
fn figures_of_salt_as_sold_stand_beside_those_of_pure_salt() {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    case.cells = 20.into();
    let pure = run(&case).figures;
    assert_eq!(
        (pure.dose_as_sold_g_per_l, pure.salt_as_sold_kg, pure.salt_efficiency_as_sold_gr_per_lb),
        (None, None, None)
    );
    // Insolubles alone change nothing but the bag.
    case.regeneration.salt_purity_percent = Some(96.0);
    let dusty = run(&case).figures;
    assert!((dusty.dose_as_sold_g_per_l.unwrap() - 100.0).abs() < 1e-9);
    assert!((dusty.salt_as_sold_kg.unwrap() / dusty.salt_kg - 1.0 / 0.96).abs() < 1e-12);
    assert_eq!(dusty.salt_efficiency_gr_per_lb, pure.salt_efficiency_gr_per_lb);
    let ratio = dusty.salt_efficiency_as_sold_gr_per_lb.unwrap() / dusty.salt_efficiency_gr_per_lb;
    assert!((ratio - 0.96).abs() < 1e-12, "{ratio}");
    // An ion that the water does not hold comes with the salt, and needs a coefficient; none of it is none.
    case.regeneration.salt_impurities_percent = [(Ion::K, 0.0)].into();
    assert!(!case.cations().unwrap().contains(&Ion::K) && case.validate().is_ok());
    case.regeneration.salt_impurities_percent = [(Ion::K, 0.5)].into();
    assert!(case.cations().unwrap().contains(&Ion::K));
    assert!(case.validate().unwrap_err().to_string().contains("K"));
}

/// "Hard make-up barely matters for leakage, rinse water matters most" (derived): a hard slow rinse that goes against
/// service loads the outlet layer.
#[test]
fn a_hard_slow_rinse_matters_more_than_hard_brine_water() {
    let with = |brine: BrineWater, rinse: Option<BrineWater>| {
        let mut case = softener(Direction::CounterCurrent, 96.0);
        case.cells = 40.into();
        case.regeneration.brine_water = brine;
        case.regeneration.slow_rinse_water = rinse;
        run(&case).figures
    };
    let (soft, hard) = (BrineWater::Soft, BrineWater::Feed);
    let leaks = [with(soft, None), with(hard, Some(soft)), with(soft, Some(hard))]
        .map(|figures| figures.leakage_half_run_mg_per_l_caco3);
    assert!(leaks[0] < leaks[1] && leaks[1] < leaks[2], "{leaks:?}");
    assert!(leaks[2] - leaks[0] > 5.0 * (leaks[1] - leaks[0]), "{leaks:?}");
    // The slow rinse takes the brine's water where nothing is said.
    assert_eq!(with(hard, None), with(hard, Some(hard)));
    assert_eq!(with(soft, None), with(soft, Some(soft)));
}

#[test]
fn a_recipe_asks_the_regeneration_for_the_water_of_its_slow_rinse() {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    case.cells = 20.into();
    case.regeneration.slow_rinse_water = Some(BrineWater::Feed);
    let plain = run(&case).figures;
    let slow = FreeStep::SlowRinse(Rinse { water: Some(BrineWater::Feed), ..Rinse::default() });
    let steps = vec![FreeStep::Brine(Brine::default()), slow, FreeStep::FastRinse(Rinse::default())];
    case.regeneration.slow_rinse_water = None;
    case.recipe = Some(Recipe { steps });
    assert_eq!(run(&case).figures, plain);
}

/// 5 % a year is normal (UFC 3-240-13FN 2005, section 2-2.5.1.4.1); after five years 0.95^5 of the groups are left.
#[test]
fn an_aged_bed_is_one_of_less_capacity() {
    let mut aged = softener(Direction::CoCurrent, 160.0);
    aged.cells = 20.into();
    aged.resin.age_years = 5.0;
    let mut less = aged.clone();
    less.resin.age_years = 0.0;
    less.resin.capacity_eq_per_l *= 0.95_f64.powi(5);
    let (aged, less) = (run(&aged).figures, run(&less).figures);
    assert!((aged.capacity_eq_per_l / less.capacity_eq_per_l - 1.0).abs() < 1e-6);
    let mut new = softener(Direction::CoCurrent, 160.0);
    new.cells = 20.into();
    let lost = 1.0 - aged.capacity_eq_per_l / run(&new).figures.capacity_eq_per_l;
    // Less than the groups that are lost: what remains is regenerated better.
    assert!(lost > 0.08 && lost < 1.0 - 0.95_f64.powi(5), "{lost}");
    let mut old = new.clone();
    old.resin.age_years = -1.0;
    assert!(old.validate().unwrap_err().to_string().contains("resin.age_years"));
    old.resin.age_years = 50.0;
    old.resin.capacity_loss_percent_per_year = 50.0;
    assert!(old.validate().unwrap_err().to_string().contains("leaves less than 0.05"));
}
