//! What an engineer tries settles: beds at slow flows, with hard rinses, with spaces, with potassium, drawn at random.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::cycle::outcome::Outcome;
use brinefront::inputs::regeneration::{BrineWater, Direction};
use brinefront::inputs::salt::Salt;
use brinefront::{Case, CycleReport, default_case};
use brinefront_tests::drawn::ordinary;

/// The built-in bed to its limit, counter-current or co-current, on so many cells.
fn to_its_limit(direction: Direction, cells: usize) -> Case {
    let mut case = default_case();
    case.service.volume_bv = None;
    case.cells = cells.into();
    if case.regeneration.direction == direction { case } else { case.mirrored() }
}

fn settled(name: &str, case: &Case) -> CycleReport {
    let cycle = case.cycle().unwrap();
    println!("{name}: {}, {} steps", cycle.figures.search_end, cycle.effort.steps);
    assert_eq!(cycle.figures.outcome, Outcome::Settled, "{name}: {}", cycle.figures.search_end);
    cycle
}

/// Dispersion that is carried back at a sharp front must not depend on a lagged liquid: the residual then stalls at 1e-5.
#[test]
fn slow_service_and_potassium_settle() {
    for flow in [4.0, 5.0] {
        let mut case = to_its_limit(Direction::CoCurrent, 100);
        case.service.flow_bv_per_h = flow;
        settled(&format!("{flow} BV/h"), &case);
    }
    for cells in [40, 60] {
        let mut case = to_its_limit(Direction::CounterCurrent, cells);
        case.regeneration.salt = Salt::PotassiumChloride;
        settled(&format!("potassium on {cells} cells"), &case);
    }
}

/// Fronts so sharp that a time step replaces a good part of a cell's liquid: extrapolated along a line, the liquid of these
/// beds wandered, and the change over a cycle stayed at 1e-5 to 1e-3 of capacity for as long as it was repeated.
#[test]
fn beds_of_sharp_fronts_settle() {
    for share_of_dose in [0.99, 0.995, 0.998, 1.0, 1.003, 1.006] {
        let mut case = to_its_limit(Direction::CoCurrent, 100);
        case.water.temperature_c = 25.0;
        case.service.limit_mg_per_l_caco3 = Some(17.0);
        // 15 lb/ft3.
        case.regeneration.dose_g_per_l = 240.28 * share_of_dose;
        let cycle = settled(&format!("{share_of_dose} of 15 lb/ft3 at 25 C"), &case);
        assert!(cycle.effort.cycles <= 12 && cycle.figures.residual <= 1e-6, "{}", cycle.figures.search_end);
    }
}

/// The limit on cycles is the case's own, and a search that it ends says so.
#[test]
fn a_search_ends_after_the_cycles_it_is_given() {
    let mut case = to_its_limit(Direction::CounterCurrent, 40);
    case.most_cycles = 2;
    let figures = case.cycle().unwrap().figures;
    assert_eq!((figures.outcome, figures.cycles_run), (Outcome::Unsettled, 2));
    assert!(figures.search_end.to_string().contains("not settled after 2 cycles"), "{}", figures.search_end);
    case.most_cycles = 1;
    let message = case.cycle().unwrap_err().to_string();
    assert!(message.contains("most_cycles") && message.contains('2'), "{message}");
}

fn rinsed_hard(cells: usize) -> Case {
    let mut case = to_its_limit(Direction::CounterCurrent, cells);
    case.regeneration.slow_rinse_water = Some(BrineWater::Feed);
    case
}

/// A hard rinse against the service flow loads a layer at the outlet, 5.6 mm thick here, that decides what leaks for half
/// a run: 100 even cells of 9 mm miss 40 % of it.
#[test]
fn a_hard_rinse_leaks_the_same_on_few_cells_and_on_many() {
    let half_run = |cells: usize| {
        let cycle = settled(&format!("hard rinse on {cells} cells"), &rinsed_hard(cells));
        let heights = &cycle.profiles.height_m;
        let (first, last) = (heights[0], heights[cells - 1]);
        assert!(last < 0.12 / cells as f64 && last < first, "{first} m to {last} m");
        assert!((heights.iter().sum::<f64>() / 0.9 - 1.0).abs() < 1e-12);
        let errors = cycle.figures.leakage_half_run_error_fraction;
        (cycle.figures.leakage_half_run_mg_per_l_caco3, errors)
    };
    let fine = half_run(800).0;
    for (cells, allowed) in [(50, 0.02), (100, 0.01), (200, 0.005)] {
        let (found, stated) = half_run(cells);
        let off = (found / fine - 1.0).abs();
        println!("{cells} cells: {found:.4} mg/L, {off:.4} off what 800 give, stated {stated:?}");
        assert!(off < allowed, "{cells} cells: {found} against {fine}");
        // Two grids with the same layer would state next to nothing; what these two state is right to a factor of two.
        assert!(stated.is_none_or(|stated| stated > 0.5 * off), "{cells} cells: {off} off, stated {stated:?}");
    }
    // Co-current, or with soft water, there is no such layer, and cells are of one height.
    for case in [to_its_limit(Direction::CoCurrent, 20), to_its_limit(Direction::CounterCurrent, 20)] {
        let heights = case.cycle().unwrap().profiles.height_m;
        assert!(heights.iter().all(|height| (height / 0.045 - 1.0).abs() < 1e-12), "{heights:?}");
    }
}

/// Beads in equilibrium have no film, and dispersion alone makes a layer a tenth as thin as what matters: cut to that, the
/// cycle took up to 60 times as long for the same leakages.
#[test]
fn a_hard_rinse_of_beads_in_equilibrium_costs_no_more_than_a_soft_one() {
    let cycle = |cells: usize, hard: bool| {
        let mut case = to_its_limit(Direction::CounterCurrent, cells).with("kinetics", "equilibrium".into()).unwrap();
        case.regeneration.slow_rinse_water = hard.then_some(BrineWater::Feed);
        settled(&format!("equilibrium, hard {hard}, {cells} cells"), &case)
    };
    let (soft, hard, coarse) = (cycle(100, false), cycle(100, true), cycle(50, true));
    let per_cycle = |cycle: &CycleReport| cycle.effort.steps as f64 / cycle.effort.cycles as f64;
    let ratio = per_cycle(&hard) / per_cycle(&soft);
    let half_run = |cycle: &CycleReport| cycle.figures.leakage_half_run_mg_per_l_caco3;
    let apart = half_run(&coarse) / half_run(&hard) - 1.0;
    println!("{ratio:.2} times the steps; half-run leakage on 50 cells {apart:+.4} from that on 100");
    assert!(ratio < 3.0 && apart.abs() < 0.05, "{ratio} times the steps, {apart:+} apart");
}

/// A space below the bed cannot give back what the last cell's explicit flux would take; steps were refused by the million.
#[test]
fn a_space_at_the_outlet_costs_no_more_steps_than_the_bed() {
    for (flow, equilibrium, hard) in [(2.0, false, false), (3.0, false, false), (3.0, true, false), (3.0, false, true)]
    {
        let mut bed = to_its_limit(Direction::CounterCurrent, 20);
        bed.service.flow_bv_per_h = flow;
        bed.service.limit_mg_per_l_caco3 = Some(150.0);
        if equilibrium {
            bed = bed.with("kinetics", "equilibrium".into()).unwrap();
        }
        if hard {
            bed.regeneration.slow_rinse_water = Some(BrineWater::Feed);
        }
        let mut spaced = bed.clone();
        spaced.bed.under_bed_l = 10.0;
        let [alone, with_space] = [&bed, &spaced].map(|case| settled(&format!("{flow} BV/h"), case).effort);
        let per_cycle =
            |effort: &brinefront::Effort| effort.steps as f64 / f64::from(u32::try_from(effort.cycles).unwrap());
        let ratio = per_cycle(&with_space) / per_cycle(&alone);
        println!("{flow} BV/h, equilibrium {equilibrium}, hard {hard}: {ratio:.2} times the steps");
        assert!(ratio < 3.0, "{flow} BV/h, equilibrium {equilibrium}: {ratio} times the steps of the bed alone");
        assert!(with_space.rejected_negative < 100, "{} steps refused", with_space.rejected_negative);
    }
}

/// Beds as an engineer would try them, of which most settle, the others say why not, and none fails or runs without end.
///
/// Of 500 such beds (`cargo run --release -p brinefront-tests --bin settling`) 441 settled, 406 of them in at most 12 cycles,
/// 57 were not soft where the limit is armed, and 2 came back; those are below.
#[test]
fn beds_drawn_at_random_settle() {
    let (mut tried, mut unsettled, mut most_steps) = (0, Vec::new(), 0);
    for seed in 0..40 {
        let Some(mut case) = ordinary(seed) else { continue };
        // Half the cells and one tube: the survey at a reduced size.
        case.cells = (case.cells.number().unwrap() / 2).max(20).into();
        case.maldistribution = None;
        let cycle = case.cycle().unwrap_or_else(|error| panic!("seed {seed}: {error}"));
        tried += 1;
        most_steps = most_steps.max(cycle.effort.steps);
        if cycle.figures.outcome == Outcome::Unsettled {
            unsettled.push((seed, cycle.figures.search_end.to_string()));
        }
    }
    println!("{tried} beds, {most_steps} steps at most; not settled: {unsettled:?}");
    assert!(tried > 30 && unsettled.is_empty() && most_steps < 200_000, "{unsettled:?}, {most_steps} steps");
}

/// Cycles that follow each other's time steps came back every second or third time by that alone; chosen afresh they settle.
#[test]
fn what_comes_back_by_its_time_steps_settles() {
    for seed in [95, 342] {
        settled(&format!("seed {seed}"), &ordinary(seed).unwrap());
    }
}
