//! Equilibrium theory against the finite-volume model: waves, fans and the efficiency that equilibrium allows.
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "tests say what they measured")]

use brinefront::cycle::run::Loading;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::Selectivity;
use brinefront::inputs::scenario::default_case;
use brinefront::laws::waves::{MonoDivalent, driven_off_eq_per_l};
use brinefront::plan::steps::StopReason;
use brinefront::study::ceiling::Ceiling;
use brinefront::{Case, Error};
use brinefront_tests::cases::{COLUMN_CAPACITY, COLUMN_VOID, loaded, rates, sodium_calcium_column, softener};

/// Equilibrium without dispersion, the recipe of the ceiling: brine and one void volume behind it.
fn ideal(mut case: Case, cells: usize, dose_g_per_l: f64) -> Case {
    case.kinetics = Kinetics::Equilibrium;
    case.rates.dispersion_m2_per_s = Some(0.0);
    case.cells = cells.into();
    case.service.volume_bv = None;
    case.regeneration.dose_g_per_l = dose_g_per_l;
    case.regeneration.slow_rinse_bv = case.resin.void_fraction;
    case.regeneration.fast_rinse_bv = 0.0;
    case
}

/// A softener whose feed has calcium alone.
fn calcium_softener(direction: Direction) -> Case {
    let mut case = softener(direction, 96.0);
    case.water.ions = [(Ion::NA, 60.0), (Ion::CA, 120.0)].into();
    case
}

fn ceiling(case: &Case, dose: f64) -> Ceiling {
    let direction = case.regeneration.direction;
    case.efficiency_ceiling(&[dose]).unwrap().into_iter().find(|c| c.direction == direction).unwrap()
}

/// The ceiling is the limit of the finite-volume model in equilibrium: cells come to it from below, about with the first
/// power of their size, as at every sharp front.
#[test]
fn more_cells_come_to_the_ceiling_from_below() {
    for direction in [Direction::CounterCurrent, Direction::CoCurrent] {
        for dose in [96.0, 160.0] {
            let case = ideal(calcium_softener(direction), 50, dose);
            let most = ceiling(&case, dose).salt_efficiency_fraction;
            let gaps: Vec<f64> = [50, 100, 200]
                .into_iter()
                .map(|cells| {
                    let run = ideal(case.clone(), cells, dose).cycle().unwrap();
                    most - run.figures.salt_efficiency_fraction
                })
                .collect();
            println!("{} {dose}: ceiling {most:.5}, gaps {gaps:.5?}", direction.name());
            assert!(gaps[2] > 0.0 && gaps[2] < 6e-3, "{gaps:?}");
            assert!(gaps[1] < 0.62 * gaps[0] && gaps[2] < 0.62 * gaps[1], "{gaps:?}");
        }
    }
}

/// Capacity is what the tangent construction gives, plus the hardness of the void's feed, which the brine washes out.
#[test]
fn the_ceiling_is_the_closed_form_in_either_direction() {
    let case = calcium_softener(Direction::CounterCurrent);
    let pair = MonoDivalent { selectivity: 2.6, capacity: 1.9 };
    let feed = case.water.composition().unwrap();
    let (hardness, normality) = (feed.of(Ion::CA), feed.normality());
    let loaded = pair.resin(hardness / normality, normality);
    let waters = brinefront::plan::model::Model::new(&case, &[]).unwrap().waters;
    let brine = waters.brine.normality();
    for dose in [40.0, 80.0, 96.0, 130.0, 200.0, 300.0] {
        let salt = dose / case.regeneration.salt.g_per_eq() * brine / waters.salt_normality;
        let expected = driven_off_eq_per_l(&pair, loaded, 0.0, brine, salt) + 0.38 * hardness;
        for found in case.efficiency_ceiling(&[dose]).unwrap() {
            if found.stop_reason == StopReason::NeverSoft {
                assert!(found.direction == Direction::CoCurrent && dose < 80.0, "{found:?}");
                continue;
            }
            assert!(found.settled);
            assert!((found.capacity_eq_per_l / expected - 1.0).abs() < 2e-5, "{found:?} against {expected}");
        }
    }
}

/// With calcium and magnesium counter-current beds pass the mean's figure, never the ceiling.
#[test]
fn a_mixture_stays_below_its_ceiling() {
    for direction in [Direction::CounterCurrent, Direction::CoCurrent] {
        let case = if direction == Direction::CounterCurrent { default_case() } else { default_case().mirrored() };
        for dose in [80.0, 120.0, 200.0] {
            let case = ideal(case.clone(), 50, dose);
            let run = case.cycle().unwrap().figures;
            let most = ceiling(&case, dose).salt_efficiency_fraction;
            println!("{} {dose}: {:.4} below {most:.4}", direction.name(), run.salt_efficiency_fraction);
            assert!(run.salt_efficiency_fraction < most);
        }
    }
}

/// Speeds of the fan: eps + (Q/N) dy/dx (F. Helfferich, G. Klein 1970, from memory), against an elution in equilibrium.
#[test]
fn an_elution_follows_its_fan() {
    let (normality, selectivity) = (1.2, 2.606);
    let pair = MonoDivalent { selectivity, capacity: COLUMN_CAPACITY };
    let mut case = sodium_calcium_column(5.0, 5.0, selectivity, rates(0.1, 0.1, 0.0));
    case.kinetics = Kinetics::Equilibrium;
    let worst = |cells: usize| {
        let mut case = case.clone();
        case.cells = cells.into();
        let run = case.elute(&Loading::Feed, 8.0, normality).unwrap();
        let calcium = run.effluent.ions.iter().position(|ion| *ion == Ion::CA).unwrap();
        let at = |bv: f64| run.effluent.at(bv, calcium) / normality;
        // In throughput: near its head the fan is steep, and a small error of it is a large one of x.
        [0.1, 0.2, 0.35, 0.5, 0.65, 0.8]
            .into_iter()
            .map(|x| {
                let leaves = (1000..8000).map(|k| 1e-3 * f64::from(k)).find(|bv| at(*bv) < x).unwrap();
                (leaves / pair.fan_bv(x, normality, COLUMN_VOID) - 1.0).abs()
            })
            .fold(0.0, f64::max)
    };
    let (coarse, fine) = (worst(50), worst(200));
    println!("worst throughput of a value of the fan: {coarse:.1e} off on 50 cells, {fine:.1e} on 200");
    assert!(fine < 5e-3 && fine < 0.5 * coarse, "{coarse} {fine}");
}

/// C = 0.01 eq/L, sodium bed, feed x = 0.5: Y 0.96950, shock at eps + 387.80 BV (shock balance; value computed from the law).
#[test]
fn a_breakthrough_lies_where_the_shock_does() {
    let mut case = sodium_calcium_column(5.0, 5.0, 2.606, rates(0.1, 0.1, 0.0));
    case.kinetics = Kinetics::Equilibrium;
    for cells in [50, 100] {
        case.cells = cells.into();
        let run = case.load(&loaded(&[(Ion::NA, 1.0)]), 450.0).unwrap();
        let calcium = run.effluent.ions.iter().position(|ion| *ion == Ion::CA).unwrap();
        let half = (0..4500).map(|k| 0.1 * f64::from(k)).find(|bv| run.effluent.at(*bv, calcium) > 0.0025).unwrap();
        println!("{cells} cells: half height at {half:.1} BV");
        assert!((half - (0.38 + 387.80)).abs() < 0.3, "{half}");
    }
}

#[test]
fn the_picture_holds_the_waves_of_the_cycle() {
    let case = calcium_softener(Direction::CounterCurrent);
    let found = case.waves(200).unwrap();
    assert!(found.settled && found.stop_reason == StopReason::LeakageLimit);
    // A change of normality leaves after one void volume, counter-current from the far end to the inlet.
    let first = found.pieces.iter().filter(|p| p.step == 0 && p.kind == "concentration").collect::<Vec<_>>();
    let start = first.iter().map(|p| p.from_bv).fold(f64::INFINITY, f64::min);
    let end = first.iter().filter(|p| p.to_depth_m < 1e-9).map(|p| p.to_bv).fold(0.0, f64::max);
    assert!(start == 0.0 && (end - 0.38).abs() < 1e-9, "{start} {end}");
    // Service ends with the shock at the outlet, and all behind it loaded.
    let service = found.steps.len() - 1;
    let last = found.pieces.iter().filter(|p| p.step == service && p.kind == "shock").map(|p| p.to_depth_m);
    assert!((last.fold(0.0, f64::max) - 0.9).abs() < 1e-9);
    assert!((found.resin_fraction_after - found.feed_resin_fraction).abs() < 1e-3);
    // Steps keep and give off the same.
    let sum: f64 = found.steps.iter().map(|step| step.kept_eq_per_l).sum();
    assert!(sum.abs() < 1e-6, "{sum}");
}

/// Above N = K Q the resin prefers sodium: brine is a shock, and drives off hardness without a tail.
#[test]
fn brine_above_the_reversal_is_a_shock() {
    let mut case = calcium_softener(Direction::CounterCurrent);
    case.resin.selectivity = Selectivity::Given([(Ion::CA, 1.0)].into());
    case.regeneration.strength_percent = Some(20.0);
    let found = case.waves(200).unwrap();
    assert!(found.brine_normality_eq_per_l > found.reversal_eq_per_l && found.separation_factor_brine < 1.0);
    let brine = found.pieces.iter().filter(|p| p.step == 0 && p.normality_behind_eq_per_l > 1.0);
    let widest = brine.filter(|p| p.kind == "shock").map(|p| p.resin_ahead - p.resin_behind).fold(0.0, f64::max);
    assert!(widest > 0.9, "{widest}");
}

#[test]
fn bad_values_are_named() {
    let case = calcium_softener(Direction::CounterCurrent);
    let field = |error: Error| match error {
        Error::Value { field, .. } => field.to_string(),
        other => other.to_string(),
    };
    assert_eq!(field(case.waves(5).unwrap_err()), "levels");
    assert_eq!(field(case.efficiency_ceiling(&[-1.0]).unwrap_err()), "regeneration.dose_g_per_l");
    let mut soft = case;
    soft.water.ions = [(Ion::NA, 60.0)].into();
    assert_eq!(field(soft.waves(100).unwrap_err()), "water.ions");
}
