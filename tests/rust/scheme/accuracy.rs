//! Numerical errors as they are reported, against the errors that a much finer grid shows; cells found automatically.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::cycle::run::Loading;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::cells::Cells;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::plan::steps::StopReason;
use brinefront::report::figures::Figures;
use brinefront::report::tables::Curve;
use brinefront_tests::cases::{loaded, softener};
use brinefront_tests::curves::value_at;

const BOTH: [Direction; 2] = [Direction::CounterCurrent, Direction::CoCurrent];

fn four(f: &Figures) -> [f64; 4] {
    [f.run_length_bv, f.capacity_eq_per_l, f.leakage_mean_mg_per_l_caco3, f.leakage_half_run_mg_per_l_caco3]
}

fn estimates(f: &Figures) -> [f64; 4] {
    [
        f.run_length_error_fraction,
        f.capacity_error_fraction,
        f.leakage_mean_error_fraction,
        f.leakage_half_run_error_fraction,
    ]
    .map(|error| error.unwrap())
}

/// Relative distance of the four figures from those of a fine grid.
fn errors(figures: &Figures, fine: &Figures) -> [f64; 4] {
    let (a, b) = (four(figures), four(fine));
    std::array::from_fn(|k| (a[k] / b[k] - 1.0).abs())
}

fn fine(case: &Case) -> Figures {
    let mut case = case.clone();
    case.cells = 400.into();
    case.tolerance = 1e-4;
    case.cycle().unwrap().figures
}

#[test]
fn errors_are_no_larger_than_estimated() {
    for direction in BOTH {
        let mut case = softener(direction, 96.0);
        let fine = fine(&case);
        for cells in [20, 60, 100] {
            case.cells = cells.into();
            let found = case.cycle().unwrap().figures;
            let (errors, estimates) = (errors(&found, &fine), estimates(&found));
            println!("{direction:?}, {cells} cells: errors {errors:.6?}, estimated {estimates:.6?}");
            for (k, (error, estimate)) in errors.iter().zip(&estimates).enumerate() {
                assert!(*error < *estimate, "{direction:?}, {cells} cells: {errors:.6?} against {estimates:.6?}");
                // An estimate that says nothing would pass the line above.
                // Half run is at the foot of the front here, which the coarser grids put elsewhere.
                let most = if k == 3 { 0.5 } else { 0.2 };
                assert!(cells < 60 || *estimate < most, "{direction:?}, {cells} cells: {estimates:.6?}");
            }
        }
    }
}

#[test]
fn cells_are_found_for_the_accuracy_asked_for() {
    for direction in BOTH {
        let mut case = softener(direction, 96.0);
        let fine = fine(&case);
        case.cells = Cells::Auto;
        let mut cells = Vec::new();
        for accuracy in [0.1, 0.003] {
            case.accuracy = accuracy;
            let cycle = case.cycle().unwrap();
            let errors = errors(&cycle.figures, &fine);
            println!("{direction:?}, accuracy {accuracy}: {} cells, errors {errors:.6?}", cycle.figures.cells);
            assert!(cycle.figures.settled, "{}", cycle.figures.search_end);
            assert!(errors[0].max(errors[1]) < 0.1 * accuracy, "{errors:.6?}");
            assert!(errors[2].max(errors[3]) < accuracy, "{errors:.6?}");
            assert_eq!(cycle.profiles.depth_m.len(), cycle.figures.cells);
            assert_eq!(cycle.case.cells, Cells::Auto);
            cells.push(cycle.figures.cells);
        }
        assert!(cells[0] < cells[1], "{cells:?}");
    }
}

/// The grid found gives the very cycle that asking for it gives, as far as the search for the steady state goes.
#[test]
fn the_way_to_a_grid_does_not_matter() {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    case.cells = Cells::Auto;
    let found = case.cycle().unwrap().figures;
    case.cells = found.cells.into();
    let given = case.cycle().unwrap().figures;
    assert!((found.run_length_bv / given.run_length_bv - 1.0).abs() < 1e-4);
    assert!((found.capacity_eq_per_l / given.capacity_eq_per_l - 1.0).abs() < 1e-4);
}

#[test]
fn a_bed_that_is_never_soft_needs_two_grids_only() {
    let mut case = softener(Direction::CoCurrent, 30.0);
    case.service.limit_mg_per_l_caco3 = Some(0.01);
    case.cells = Cells::Auto;
    let cycle = case.cycle().unwrap();
    assert_eq!((cycle.figures.stop_reason, cycle.figures.cells), (StopReason::NeverSoft, 104));
    assert_eq!(cycle.figures.capacity_error_fraction, None);
}

#[test]
fn an_accuracy_out_of_reach_is_noted() {
    let mut case = softener(Direction::CoCurrent, 96.0);
    case.cells = Cells::Auto;
    case.accuracy = 1e-4;
    // A sharp front converges slowly.
    case.kinetics = Kinetics::Equilibrium;
    case.rates.dispersion_m2_per_s = Some(0.0);
    let run = case.load(&loaded(&[(Ion::NA, 1.0)]), 400.0).unwrap();
    assert_eq!(run.cells, 800);
    assert!(run.effluent_error_fraction.unwrap() > 1e-4);
    assert!(run.notes.iter().any(|note| note.to_string().contains("accuracy asked for")), "{:?}", run.notes);
}

#[test]
fn single_runs_find_their_cells_too() {
    let mut case = softener(Direction::CoCurrent, 96.0);
    let sodium = loaded(&[(Ion::NA, 1.0)]);
    case.cells = 400.into();
    let fine = case.load(&sodium, 400.0).unwrap();
    // A grid that is given is judged as well, by coarser ones.
    assert_eq!(fine.cells, 400);
    assert!((1e-5..1e-2).contains(&fine.effluent_error_fraction.unwrap()), "{:?}", fine.effluent_error_fraction);
    case.cells = Cells::Auto;
    let found = case.load(&sodium, 400.0).unwrap();
    println!("loading: {} cells, {:.6?}", found.cells, found.effluent_error_fraction);
    assert!(found.cells < 400 && found.effluent_error_fraction.unwrap() <= case.accuracy);
    for bv in [250.0, 280.0, 300.0, 350.0] {
        let column = |run: &brinefront::report::RunReport| {
            value_at(&run.effluent.bv, &run.effluent.eq_per_l.column(2).to_vec(), bv)
        };
        assert!((column(&found) - column(&fine)).abs() < 1e-4, "{bv} BV");
    }
    let rinsed = case.elute(&Loading::Feed, 2.5, 1.2).unwrap();
    assert!(rinsed.effluent_error_fraction.unwrap() <= case.accuracy, "{:?}", rinsed.effluent_error_fraction);
}

/// Throughput and height of an ion's peak, by a parabola through the highest sample and its neighbours.
fn peak(curve: &Curve, ion: usize) -> (f64, f64) {
    let column = curve.eq_per_l.column(ion);
    let top = (1..column.len() - 1).max_by(|a, b| column[*a].total_cmp(&column[*b])).unwrap();
    let (x, y) = (&curve.bv[top - 1..=top + 1], [column[top - 1], column[top], column[top + 1]]);
    let (rise, fall) = ((y[1] - y[0]) / (x[1] - x[0]), (y[2] - y[1]) / (x[2] - x[1]));
    let bent = (fall - rise) / (x[2] - x[0]);
    let place = 0.5 * (x[0] + x[1]) - 0.5 * rise / bent;
    (place, y[1] - bent * (place - x[1]).powi(2))
}

#[test]
fn elution_peaks_are_where_they_are_on_a_fine_grid() {
    for direction in BOTH {
        for normality in [1.7, 0.3] {
            let mut case = softener(direction, 96.0);
            let volume_bv = 8.0 / normality;
            let run = |case: &Case| case.elute(&Loading::Feed, volume_bv, normality).unwrap();
            case.cells = Cells::Auto;
            let found = run(&case);
            case.cells = 800.into();
            let fine = run(&case);
            for (ion, symbol) in found.effluent.ions.iter().enumerate().filter(|(_, ion)| ion.valence() == 2) {
                let ((place, height), (of_fine, high)) = (peak(&found.effluent, ion), peak(&fine.effluent, ion));
                println!(
                    "{direction:?}, {normality} eq/L, {symbol:?}: {place:.4} for {of_fine:.4} BV on {} cells",
                    found.cells
                );
                assert!((place / of_fine - 1.0).abs() < 0.005, "{place} for {of_fine} BV on {} cells", found.cells);
                assert!((height / high - 1.0).abs() < 0.01, "{height} for {high} eq/L on {} cells", found.cells);
            }
        }
        // In the waste of the cycle too.
        let mut case = softener(direction, 96.0);
        case.cells = Cells::Auto;
        let (found, fine) = (case.cycle().unwrap(), Case { cells: 400.into(), ..case.clone() }.cycle().unwrap());
        for ion in 1..3 {
            let (place, of_fine) = (peak(&found.waste_curve, ion).0, peak(&fine.waste_curve, ion).0);
            assert!((place / of_fine - 1.0).abs() < 0.005, "{direction:?}: {place} for {of_fine} BV of waste");
        }
    }
}

/// How much of itself each of the four figures gains per share of a dose, from doses that far apart.
fn slopes(case: &Case, apart: f64) -> [f64; 4] {
    let at = |factor: f64| {
        let mut case = case.clone();
        case.regeneration.dose_g_per_l *= factor;
        four(&case.cycle().unwrap().figures).map(f64::ln)
    };
    let (more, less) = (at(1.0 + apart), at(1.0 - apart));
    std::array::from_fn(|k| (more[k] - less[k]) / ((1.0 + apart) / (1.0 - apart)).ln())
}

#[test]
fn figures_are_smooth_enough_to_be_differenced() {
    for direction in BOTH {
        let mut case = softener(direction, 96.0);
        case.cells = Cells::Auto;
        let (close, wide) = (slopes(&case, 1e-3), slopes(&case, 1e-2));
        println!("{direction:?}: by a thousandth {close:.4?}, by a hundredth {wide:.4?}");
        for (close, wide) in close.iter().zip(&wide) {
            assert!((close - wide).abs() < 0.02 * wide.abs(), "{direction:?}: {close} for {wide}");
        }
    }
}

#[test]
fn a_run_of_cycles_takes_the_cells_of_the_steady_one() {
    let mut case = softener(Direction::CoCurrent, 96.0);
    case.cells = Cells::Auto;
    case.accuracy = 0.05;
    let steady = case.cycle().unwrap().figures.cells;
    let cycles = case.cycles(2).unwrap();
    assert!(cycles.iter().all(|cycle| cycle.figures.cells == steady));
}

#[test]
fn bad_accuracies_and_words_are_refused() {
    let case = softener(Direction::CoCurrent, 96.0);
    let refused = |name: &str, value: serde_json::Value, says: &str| {
        let message = case.with(name, value).unwrap_err().to_string();
        assert!(message.contains(name) && message.contains(says), "{message}");
    };
    refused("accuracy", 0.0.into(), "0.0001");
    refused("accuracy", 0.9.into(), "0.5");
    refused("cells", "fine".into(), "auto");
    refused("cells", 3.into(), "from 4 to 20000");
    refused("cells", (-40).into(), "whole number");
    refused("cells", 40.5.into(), "whole number");
    assert_eq!(case.with("cells", "auto".into()).unwrap().cells, Cells::Auto);
    let text = case.with("cells", "auto".into()).unwrap().to_toml().unwrap();
    assert_eq!(Case::from_toml(&text, "text").unwrap().cells, Cells::Auto);
}
