//! The calibration of the default resin, and what it does not fit: capacity, salt efficiency and leakage of whole cycles.
//!
//! Capacity, bead size, bead diffusivity and the basis of the selectivities were chosen, within what their sources allow, for
//! the best fit to the published co-current ratings. That capacities lie among these is the fit, no independent check.
//! Leakage, the gain of the other direction and how capacity bends over were not fitted.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::scenario::default_case;
use brinefront::report::figures::Figures;
use brinefront::units::constants::MOLAR_MASS_NACL_G_PER_MOL;
use brinefront::units::convert::{convert, eq_per_g_to_gr_per_lb};

/// The one table of published capacities, with its sources.
const PUBLISHED: &str = include_str!("../../../py/python/brinefront/tables/published_capacity.json");

/// Co-current capacity \[kgr/ft3\] against dose \[lb/ft3\], low and high.
fn co_current_band() -> Vec<(f64, f64, f64)> {
    let table: serde_json::Value = serde_json::from_str(PUBLISHED).unwrap();
    let number = |row: &serde_json::Value, name: &str| row[name].as_f64().unwrap();
    let rows = table["band"].as_array().unwrap().iter();
    let band: Vec<_> = rows.map(|row| (number(row, "dose"), number(row, "low"), number(row, "high"))).collect();
    // Every rating lies in the band that is drawn around them.
    for rating in table["ratings"].as_array().unwrap() {
        let (dose, capacity) = (number(rating, "dose"), number(rating, "capacity"));
        assert!(band.iter().any(|(at, low, high)| *at == dose && (*low..=*high).contains(&capacity)), "{rating}");
    }
    band
}

/// Every dose is fed over half an hour, so that a small one has as long to work as a large one: brine takes 30 to 60 min
/// (M. L. Davis 2010, *Water and Wastewater Engineering*, p. 8-19, seen).
const BRINE_H: f64 = 0.5;
/// Salt in a litre of 10 % brine \[g\] (handbook density at 20 C, 1070.7 kg/m3); it only sets the flow.
const SALT_IN_BRINE_G_PER_L: f64 = 107.07;

/// The built-in softener as ratings are taken: co-current, to 17 mg/L whatever the throughput; brine at the default flow.
fn rated_at_default_flow(dose_lb_per_ft3: f64, temperature_c: f64) -> Case {
    let mut case = default_case().mirrored();
    case.cells = 100.into();
    case.water.temperature_c = temperature_c;
    case.regeneration.dose_g_per_l = convert(dose_lb_per_ft3, "lb/ft3", "g/L").unwrap();
    case.service.limit_mg_per_l_caco3 = Some(17.0);
    case.service.volume_bv = None;
    case
}

/// The same at 20 C, every dose fed over half an hour.
fn rated(dose_lb_per_ft3: f64) -> Case {
    let mut case = rated_at_default_flow(dose_lb_per_ft3, 20.0);
    case.regeneration.flow_bv_per_h = case.regeneration.dose_g_per_l / SALT_IN_BRINE_G_PER_L / BRINE_H;
    case
}

fn figures(case: &Case) -> Figures {
    let figures = case.cycle().unwrap().figures;
    assert!(figures.settled, "{}", figures.search_end);
    figures
}

#[test]
fn co_current_capacity_lies_within_published_ratings() {
    let mut outside = Vec::new();
    for (dose, low, high) in co_current_band() {
        let found = figures(&rated(dose)).capacity_kgr_per_ft3;
        println!(
            "{dose} lb/ft3: {found:.2} kgr/ft3, band {low} to {high}, margin {:.2}",
            (found - low).min(high - found)
        );
        if !(low..=high).contains(&found) {
            outside.push(format!("{dose} lb/ft3: {found:.2} kgr/ft3 outside {low} to {high}"));
        }
    }
    assert!(outside.is_empty(), "{outside:?}");
}

/// Points outside the band at the default flow of 3 BV/h, where a small dose has less time to work than a large one and the
/// curve is steeper than the band: dose \[lb/ft3\], temperature \[C\], capacity beyond the nearer limit \[kgr/ft3\], negative
/// below the band. The other 15 of 18 points lie inside.
const OUTSIDE_AT_DEFAULT_FLOW: [(f64, f64, f64); 3] = [(5.0, 15.0, -0.80), (12.0, 25.0, 0.30), (15.0, 25.0, 0.54)];
/// A point may differ from the record by its rounding and as much again \[kgr/ft3\].
const RECORD_AGREES: f64 = 0.01;

/// A record of where the default flow leaves the band: neither worse nor, unnoticed, better.
#[test]
fn the_default_flow_leaves_the_band_where_it_is_on_record() {
    let mut outside = Vec::new();
    for temperature_c in [15.0, 20.0, 25.0] {
        for (dose, low, high) in co_current_band() {
            let capacity = figures(&rated_at_default_flow(dose, temperature_c)).capacity_kgr_per_ft3;
            let beyond = (capacity - high).max(0.0) - (low - capacity).max(0.0);
            println!("{dose} lb/ft3, {temperature_c} C: {capacity:.2} kgr/ft3, {beyond:+.3} beyond {low} to {high}");
            if beyond != 0.0 {
                outside.push((dose, temperature_c, beyond));
            }
        }
    }
    let points = |list: &[(f64, f64, f64)]| {
        let mut points: Vec<(f64, f64)> = list.iter().map(|(dose, temperature_c, _)| (*dose, *temperature_c)).collect();
        points.sort_by(|a, b| a.partial_cmp(b).unwrap());
        points
    };
    assert_eq!(points(&outside), points(&OUTSIDE_AT_DEFAULT_FLOW), "{outside:?}");
    for (dose, temperature_c, beyond) in outside {
        let on_record = OUTSIDE_AT_DEFAULT_FLOW.iter().find(|(d, t, _)| (*d, *t) == (dose, temperature_c)).unwrap().2;
        assert!((beyond - on_record).abs() < RECORD_AGREES, "{dose} lb/ft3, {temperature_c} C: {beyond:+.3}");
    }
}

/// At the same dose counter-current holds as much or up to a tenth more (5 to 10 % at most: trade journal, seen) and
/// leaks less at half run.
#[test]
fn counter_current_gains_up_to_a_tenth_of_capacity_and_most_of_the_leakage() {
    for (dose, ..) in co_current_band() {
        let (co, counter) = (figures(&rated(dose)), figures(&rated(dose).mirrored()));
        assert_eq!([co.direction, counter.direction], [Direction::CoCurrent, Direction::CounterCurrent]);
        let gain = counter.capacity_eq_per_l / co.capacity_eq_per_l - 1.0;
        let leakage = [co.leakage_half_run_mg_per_l_caco3, counter.leakage_half_run_mg_per_l_caco3];
        println!("{dose} lb/ft3: capacity {:+.2} %, half-run leakage {leakage:.3?} mg/L as CaCO3", 100.0 * gain);
        assert!((0.0..=0.10).contains(&gain), "{dose} lb/ft3: {gain}");
        assert!(leakage[1] < 0.5 * leakage[0], "{dose} lb/ft3: {leakage:?}");
    }
}

/// More salt buys more, each pound less than the one before, and never more than its own equivalents (stoichiometry).
#[test]
fn capacity_rises_and_is_concave_and_efficiency_falls() {
    for mirrored in [false, true] {
        let doses = [5.0, 7.5, 10.0, 12.5, 15.0];
        let curve: Vec<Figures> =
            doses.iter().map(|dose| figures(&if mirrored { rated(*dose).mirrored() } else { rated(*dose) })).collect();
        let capacity: Vec<f64> = curve.iter().map(|f| f.capacity_kgr_per_ft3).collect();
        let efficiency: Vec<f64> = curve.iter().map(|f| f.salt_efficiency_gr_per_lb).collect();
        println!("mirrored {mirrored}: {capacity:.2?} kgr/ft3, {efficiency:.0?} gr/lb");
        let gains: Vec<f64> = capacity.windows(2).map(|c| c[1] - c[0]).collect();
        assert!(gains.iter().all(|gain| *gain > 0.0), "{capacity:?}");
        assert!(gains.windows(2).all(|g| g[1] < g[0]), "{capacity:?}");
        assert!(efficiency.windows(2).all(|e| e[1] < e[0]), "{efficiency:?}");
        let case = rated(5.0);
        let total = convert(case.resin.capacity_eq_per_l, "eq/L", "kgr/ft3").unwrap();
        for (dose, figures) in doses.iter().zip(&curve) {
            assert!(figures.capacity_kgr_per_ft3 < total.min(5.994 * dose), "{dose} lb/ft3");
            assert!(figures.salt_efficiency_fraction < 1.0);
            // The two units of one figure, by the stoichiometric limit that the trade prints (derived from molar masses).
            let ratio = figures.salt_efficiency_gr_per_lb / figures.salt_efficiency_fraction;
            assert!((ratio / 5994.0 - 1.0).abs() < 1e-4, "{ratio} gr/lb at stoichiometry");
        }
    }
}

/// 5994 grains as CaCO3 a pound of sodium chloride (molar masses; trade texts print 5983 to 6000).
#[test]
fn the_stoichiometric_limit_of_salt() {
    let limit = eq_per_g_to_gr_per_lb(1.0 / MOLAR_MASS_NACL_G_PER_MOL);
    assert!((limit - 5994.0).abs() < 0.5, "{limit}");
}

/// A water of twice the strength leaks about four times as much from an outlet layer of the same loading (mass action);
/// the loading itself changes too, so the slope over a whole cycle is only near 2.
#[test]
fn leakage_goes_about_with_the_square_of_the_water_s_strength() {
    let leakage = |strength: f64| {
        let mut case = rated(10.0);
        case.service.limit_mg_per_l_caco3 = None;
        case.service.volume_bv = Some(50.0 / strength);
        for value in case.water.ions.values_mut() {
            *value *= strength;
        }
        figures(&case).leakage_half_run_mg_per_l_caco3
    };
    let slope = (leakage(2.0) / leakage(1.0)).log2();
    println!("slope {slope:.2}");
    assert!((1.6..2.4).contains(&slope), "{slope}");
}
