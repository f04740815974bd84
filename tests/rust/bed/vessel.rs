//! A bed as installed: stirred spaces above and below it, and stream tubes.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::maldistribution::Maldistribution;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::scenario::default_case;
use brinefront::inputs::service::ServiceFlow;
use brinefront::report::CycleReport;
use brinefront_tests::cases::{COLUMN_BRINE_BV_PER_H, COLUMN_DEPTH_M, COLUMN_VOID, loaded, sodium_column, softener};
use brinefront_tests::curves::{loading_of, normality_of};

/// Normality of the vessel's liquid at the start and of what enters \[eq/L\].
const BEFORE: f64 = 0.010;
const ENTERING: f64 = 1.2;

fn with_spaces(mut case: Case, [freeboard, under_bed]: [f64; 2]) -> Case {
    case.bed.freeboard_l = freeboard * case.bed.volume_l();
    case.bed.under_bed_l = under_bed * case.bed.volume_l();
    case
}

fn uneven(mut case: Case, maldistribution: Maldistribution) -> Case {
    case.maldistribution = Some(maldistribution);
    case
}

fn cycle(case: &Case) -> CycleReport {
    let found = case.cycle().unwrap();
    assert!(found.figures.settled, "{}", found.figures.search_end);
    found
}

/// Height of the outlet's step at throughputs \[BV\], brine into a vessel full of feed, and the steps that they took. A run for
/// each: between samples a curve is only followed to 1e-4.
fn step_at(case: &Case, throughputs: &[f64]) -> (Vec<f64>, u64) {
    let mut steps = 0;
    let mut height = |bv: &f64| {
        let run = case.elute(&loaded(&[(Ion::NA, 1.0)]), *bv, ENTERING).unwrap();
        assert!(run.ledger_error < 1e-12, "{:e}", run.ledger_error);
        steps += run.effort.steps;
        (normality_of(&run.effluent).last().unwrap() - BEFORE) / (ENTERING - BEFORE)
    };
    (throughputs.iter().map(&mut height).collect(), steps)
}

/// Throughputs of the table \[BV\].
const THROUGHPUTS: [f64; 6] = [0.4, 0.6, 0.8, 1.2, 1.6, 2.4];

/// Step through a stirred space, a bed closed at both ends and another space, by Pe = v L/D and their volumes \[BV\]. The
/// transfer functions 1/(1 + V s) of a space and 4 a exp(Pe/2)/((1 + a)^2 exp(a Pe/2) - (1 - a)^2 exp(-a Pe/2)),
/// a = sqrt(1 + 4 s eps/Pe), of the bed (equations of P. V. Danckwerts 1953, Chem. Eng. Sci. 2, 1, solved for a
/// step), multiplied and inverted by two numerical methods, which agree to these digits.
const SPACE_BED_SPACE: [(f64, [f64; 2], [f64; 6]); 4] = [
    (10.0, [0.4, 0.2], [0.047587621, 0.20834907, 0.41793435, 0.74316105, 0.89921951, 0.98592035]),
    (10.0, [0.05, 0.6], [0.07299229, 0.25465957, 0.4449323, 0.71067087, 0.85126509, 0.96078953]),
    (50.0, [0.4, 0.2], [0.018321545, 0.18386283, 0.4193428, 0.75564572, 0.90594651, 0.9869879]),
    (50.0, [0.05, 0.6], [0.033227016, 0.24245219, 0.45399127, 0.71961518, 0.85604561, 0.96205404]),
];

#[test]
fn a_tracer_through_space_bed_and_space() {
    let mut worst = 0.0_f64;
    for (peclet, [first, second], tabled) in SPACE_BED_SPACE {
        let velocity = COLUMN_BRINE_BV_PER_H * COLUMN_DEPTH_M / 3600.0 / COLUMN_VOID;
        for way in [ServiceFlow::Down, ServiceFlow::Up] {
            let spaces = if way == ServiceFlow::Down { [first, second] } else { [second, first] };
            let mut case = with_spaces(sodium_column(1e3 * BEFORE, velocity * COLUMN_DEPTH_M / peclet), spaces);
            case.service.service_flow = way;
            case.cells = 200.into();
            case.tolerance = 1e-5;
            let (found, _) = step_at(&case, &THROUGHPUTS);
            for (found, expected) in found.iter().zip(tabled) {
                worst = worst.max((found - expected).abs());
                assert!((found - expected).abs() < 1e-4, "Pe {peclet}, {first} and {second}: {found} for {expected}");
            }
        }
    }
    println!("largest deviation from space, bed and space in series: {worst:.1e}");
}

/// Plug flow between two spaces: after the void, the step response of two different tanks in series (algebra).
fn tanks_in_series([first, second]: [f64; 2], bv: f64) -> f64 {
    let t = (bv - COLUMN_VOID).max(0.0);
    1.0 - (first * (-t / first).exp() - second * (-t / second).exp()) / (first - second)
}

#[test]
fn order_in_cells_and_in_time_with_spaces() {
    let spaces = [0.4, 0.2];
    let case = |cells: usize, tolerance: f64| {
        let mut case = with_spaces(sodium_column(1e3 * BEFORE, 0.0), spaces);
        case.cells = cells.into();
        case.tolerance = tolerance;
        case
    };
    let throughputs: Vec<f64> = (1..=16).map(|k| 0.15 * f64::from(k)).collect();
    let exact: Vec<f64> = throughputs.iter().map(|bv| tanks_in_series(spaces, *bv)).collect();
    let distance = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum::<f64>() / a.len() as f64;
    let cells = [25, 50, 100, 200];
    let errors = cells.map(|cells| distance(&step_at(&case(cells, 1e-7), &throughputs).0, &exact));
    let orders: Vec<f64> = errors.windows(2).map(|pair| (pair[0] / pair[1]).log2()).collect();
    println!("plug flow between spaces, mean error on {cells:?} cells: {errors:?}, orders {orders:.2?}");
    assert!(orders.iter().all(|order| *order > 1.5), "{orders:?}");
    // In time, against the same cells at a tolerance far below.
    let settled = step_at(&case(50, 1e-7), &throughputs).0;
    let runs = [1e-4, 1e-5, 1e-6].map(|tolerance| {
        let (found, steps) = step_at(&case(50, tolerance), &throughputs);
        (distance(&found, &settled), steps)
    });
    let orders: Vec<f64> =
        runs.windows(2).map(|pair| (pair[0].0 / pair[1].0).ln() / (pair[1].1 as f64 / pair[0].1 as f64).ln()).collect();
    println!("in time, error and steps {runs:?}, orders {orders:.2?}");
    assert!(orders.iter().all(|order| *order > 2.0), "{orders:?}");
}

/// A vessel's cycle closes its ledger and holds nothing below zero, with spaces of any size and tubes of any kind.
#[test]
fn ledgers_close_around_the_whole_vessel() {
    let even = None;
    let spread = Some(Maldistribution { tubes: 3, ..Maldistribution::with_spread(0.3) });
    let mixed = Some(Maldistribution { tubes: 2, correlation: 0.4, ..Maldistribution::with_spread(0.3) });
    for direction in [Direction::CounterCurrent, Direction::CoCurrent] {
        for (spaces, maldistribution) in [
            ([0.001, 0.002], &even),
            ([0.5, 0.0], &even),
            ([0.0, 0.1], &even),
            ([0.5, 0.1], &spread),
            ([2.0, 1.0], &even),
            ([0.0, 0.0], &mixed),
        ] {
            let mut case = with_spaces(softener(direction, 96.0), spaces);
            case.cells = 30.into();
            case.maldistribution.clone_from(maldistribution);
            // With much stirred liquid co-current is never soft; its ledger closes all the same.
            for kinetics in [Kinetics::Lumped, Kinetics::Equilibrium] {
                case.kinetics = kinetics;
                let found = case.cycle().unwrap();
                assert!(found.figures.ledger_error < 1e-12, "{spaces:?}: {:e}", found.figures.ledger_error);
                assert!(found.profiles.loading_eq_per_l.iter().all(|q| *q >= 0.0));
                assert!(found.leakage.eq_per_l.iter().chain(&found.waste_curve.eq_per_l).all(|c| *c >= 0.0));
            }
        }
    }
}

/// A counter-current vessel through which brine rises and which is then rinsed downwards.
#[test]
fn liquid_below_the_bed_weakens_brine_and_liquid_above_it_comes_back() {
    let mut case = default_case();
    case.cells = 100.into();
    case.service.volume_bv = None;
    let bare = cycle(&case).figures;
    // As high as the section allows: 10 cm below, 10 cm above, and 60 cm above.
    let area_l_per_m = case.bed.volume_l() / case.bed.depth_m();
    let with = |above_m: f64, below_m: f64| {
        let mut case = case.clone();
        (case.bed.freeboard_l, case.bed.under_bed_l) = (above_m * area_l_per_m, below_m * area_l_per_m);
        cycle(&case)
    };
    let below = with(0.0, 0.1);
    // Brine enters through the space below: its head arrives diluted, its tail late, and less hardness comes off.
    assert!(below.figures.capacity_eq_per_l < 0.995 * bare.capacity_eq_per_l, "{:?}", below.figures.capacity_eq_per_l);
    // What was driven into a high freeboard comes back through the bed with the fast rinse, onto the clean end too.
    let above = with(0.6, 0.1).figures;
    assert!(above.capacity_eq_per_l < 0.95 * below.figures.capacity_eq_per_l, "{:?}", above.capacity_eq_per_l);
    assert!(above.leakage_initial_mg_per_l_caco3 > 2.0 * below.figures.leakage_initial_mg_per_l_caco3);
    assert!(above.sodium_product_mg_per_l > below.figures.sodium_product_mg_per_l + 0.1, "brine in the product");
}

/// Throughput in which chloride of what leaves falls from a tenth of the brine's to a hundredth.
fn rinse_bv(case: &Case) -> f64 {
    let run = |bv: f64| step_at(case, &[bv]).0[0];
    let reaches = |height: f64| {
        let (mut low, mut high) = (0.01, 20.0);
        for _ in 0..30 {
            let middle = 0.5 * (low + high);
            if run(middle) < height { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    };
    reaches(0.99) - reaches(0.9)
}

/// A tank's tail falls by a factor of ten in V ln 10 (algebra): a space larger than the void sets the length of a rinse.
#[test]
fn the_transition_grows_with_the_space() {
    let mut case = sodium_column(1e3 * BEFORE, 2e-6);
    case.cells = 50.into();
    let bare = rinse_bv(&case);
    let spacious = rinse_bv(&with_spaces(case, [0.0, 0.5]));
    println!("90 to 99 % of the change: {bare:.3} BV without a space, {spacious:.3} BV with half a bed volume");
    assert!((spacious / (0.5 * 10.0_f64.ln()) - 1.0).abs() < 1e-2, "{spacious}");
    assert!(bare < 0.2 * spacious, "{bare}");
}

#[test]
fn one_tube_is_no_tube_to_the_last_bit_and_two_alike_are_one() {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    case.cells = 40.into();
    let figures = |maldistribution: Maldistribution| cycle(&uneven(case.clone(), maldistribution)).figures;
    let even = cycle(&case).figures;
    for one in [Maldistribution { tubes: 1, ..Maldistribution::with_spread(0.3) }, Maldistribution::with_spread(0.0)] {
        assert_eq!(figures(one), even);
    }
    let alike =
        Maldistribution { fast_flow_share: Some(0.5), fast_area_share: Some(0.5), ..Maldistribution::default() };
    for alike in [Maldistribution { correlation: 0.5, ..alike.clone() }, alike] {
        let both = figures(alike);
        for (a, b) in [
            (both.run_length_bv, even.run_length_bv),
            (both.capacity_eq_per_l, even.capacity_eq_per_l),
            (both.leakage_half_run_mg_per_l_caco3, even.leakage_half_run_mg_per_l_caco3),
            (both.waste_chloride_g, even.waste_chloride_g),
        ] {
            assert!((a / b - 1.0).abs() < ALIKE, "{a} against {b}");
        }
    }
}

/// Two tubes alike share their flow with rounding of their own; a search for steadiness lets it grow a little, to 2e-11 here.
const ALIKE: f64 = 1e-10;

/// One march has no search: there it is rounding alone.
#[test]
fn two_tubes_alike_load_like_one() {
    let mut case = softener(Direction::CoCurrent, 96.0);
    case.cells = 40.into();
    let load = |case: &Case| case.load(&loaded(&[(Ion::NA, 1.0)]), 200.0).unwrap();
    let alike =
        Maldistribution { fast_flow_share: Some(0.3), fast_area_share: Some(0.3), ..Maldistribution::default() };
    let (one, two) = (load(&case), load(&uneven(case, alike)));
    assert_eq!(one.effluent.bv.len(), two.effluent.bv.len());
    for (a, b) in one.effluent.eq_per_l.iter().zip(&two.effluent.eq_per_l) {
        assert!((a - b).abs() < 1e-12, "{a} against {b}");
    }
    assert!((&one.loading.loading_eq_per_l - &two.loading.loading_eq_per_l).iter().all(|d| d.abs() < 1e-12));
}

#[test]
fn uneven_flow_costs_capacity_the_more_the_less_it_is_made_up_for_in_regeneration() {
    for direction in [Direction::CounterCurrent, Direction::CoCurrent] {
        let mut case = softener(direction, 96.0);
        case.cells = 30.into();
        let capacity = |spread: f64, correlation: f64| {
            let maldistribution = Maldistribution { tubes: 3, correlation, ..Maldistribution::with_spread(spread) };
            cycle(&uneven(case.clone(), maldistribution)).figures.capacity_eq_per_l
        };
        let by_spread = [0.0, 0.05, 0.1, 0.2, 0.4].map(|spread| capacity(spread, 1.0));
        println!("{direction:?}: capacity by spread {by_spread:.4?}");
        assert!(by_spread.windows(2).all(|pair| pair[1] < pair[0]), "{by_spread:?}");
        // Fast tubes that are also regenerated the most make up for part of it.
        let by_correlation = [1.0, 0.5, 0.0].map(|correlation| capacity(0.2, correlation));
        println!("{direction:?}: capacity by correlation 1, 0.5, 0 {by_correlation:.4?}");
        assert!(by_correlation.windows(2).all(|pair| pair[1] < pair[0]), "{by_correlation:?}");
    }
}

/// Hardness that a bed has taken up after 300 BV, amid its breakthrough, by tubes cut ever finer.
#[test]
fn more_tubes_converge() {
    let mut case = softener(Direction::CoCurrent, 96.0);
    case.cells = 40.into();
    case.tolerance = 1e-3;
    let taken_up = |tubes: usize| {
        let spread = Maldistribution { tubes, ..Maldistribution::with_spread(0.3) };
        let run = uneven(case.clone(), spread).load(&loaded(&[(Ion::NA, 1.0)]), 300.0).unwrap();
        let sodium = loading_of(&run.loading, Ion::NA);
        1.9 - sodium.iter().sum::<f64>() / sodium.len() as f64
    };
    let found = [1, 2, 4, 8, 16].map(taken_up);
    println!("hardness on the bed after 300 BV by tubes 1, 2, 4, 8, 16: {found:.5?}");
    let moves: Vec<f64> = found.windows(2).map(|pair| (pair[1] - pair[0]).abs()).collect();
    assert!(moves.windows(2).all(|pair| pair[1] < 0.6 * pair[0]), "{moves:?}");
}
