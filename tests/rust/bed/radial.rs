//! Beads cut into shells: against the sphere, Rosen's column, Nernst-Planck theory, and the simpler levels.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use std::collections::BTreeMap;

use brinefront::Case;
use brinefront::bed::column::Column;
use brinefront::bed::state::State;
use brinefront::cycle::unwatched;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::resin::{BeadDiffusivity, BeadSize};
use brinefront::plan::cycle_plan::CyclePlan;
use brinefront::plan::model::Model;
use brinefront::plan::rates::StepRates;
use brinefront_tests::cases::{
    COLUMN_CAPACITY, COLUMN_SERVICE_S_PER_BV, COLUMN_VOID, loaded, rates, sodium_calcium_column,
    sodium_potassium_column, softener,
};
use brinefront_tests::curves::{ion_of, value_at};

/// A film so fast that its resistance is nothing.
const FAST: f64 = 1e6;

/// Uptake of the last of `ions`, as a share of what the beads can take, by beads in sodium form that are suddenly in a
/// liquid of `normality` which holds it alone; at times in units of R^2/D of `unit`.
fn uptake<const N: usize>(case: &Case, leaving: Ion, entering: Ion, unit: Ion, times: &[f64]) -> Vec<f64> {
    let model = Model::new(case, &[]).unwrap();
    let place = |ion: Ion| model.ions.iter().position(|i| *i == ion).unwrap();
    let per_s = model.inside.as_ref().unwrap().sizes[0].per_s[place(unit)];
    let pure = |ion: Ion, of: f64| -> [f64; N] { std::array::from_fn(|i| if i == place(ion) { of } else { 0.0 }) };
    let state = State::<N>::uniform(&model, pure(leaving, 1.0), 1.0).unwrap();
    // So fast a flow that no bead changes it.
    let rates = StepRates { velocity: 1e4, film_s: 0.0, bead_s: 0.0, dispersion: 0.0, film_coupling: None };
    let mut column = Column::new(&model, &state, rates, pure(entering, 1.0), true);
    let (mut time, mut step) = (0.0, 1e-8 / per_s);
    let mut found = Vec::new();
    for at in times.iter().map(|t| t / per_s) {
        while time < at * (1.0 - 1e-12) {
            let h = if time + 1.5 * step > at { at - time } else { step };
            column.try_step(h).unwrap();
            column.accept();
            time += h;
            step = (h * 1.02).max(step).min(1.03 * step);
        }
        let state = column.state();
        found.push(state.loading[model.cells() / 2][place(entering)] / model.capacity);
    }
    found
}

fn radial(case: &Case, diffusivities: &[(Ion, f64)]) -> Case {
    let mut case = case.clone();
    case.kinetics = Kinetics::Radial;
    case.rates.bead_per_s = None;
    case.resin.bead_diffusivity_m2_per_s =
        BeadDiffusivity::ByIon(diffusivities.iter().copied().collect::<BTreeMap<_, _>>());
    case
}

/// J. Crank (1975), *The Mathematics of Diffusion*, p. 91: 1 - U = 6/pi^2 sum exp(-n^2 pi^2 Fo)/n^2.
#[test]
fn a_sphere_takes_up_as_fick_says() {
    let case =
        radial(&sodium_potassium_column(5.0, 5.0, 1.0, rates(FAST, 1.0, 0.0)), &[(Ion::NA, 2e-11), (Ion::K, 2e-11)]);
    let times = [0.001, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.25, 0.3, 0.5];
    let printed = [
        0.104_047_45,
        0.224_365_37,
        0.308_513_75,
        0.418_730_74,
        0.606_939_76,
        0.770_478_74,
        0.915_495_57,
        0.948_436_90,
        0.968_524_54,
        0.995_627_86,
    ];
    for (at, (found, exact)) in
        times.iter().zip(uptake::<2>(&case, Ion::NA, Ion::K, Ion::K, &times).iter().zip(printed))
    {
        println!("Fo {at}: {found:.6}, exact {exact:.6}, off {:.4} %", 100.0 * (found / exact - 1.0));
        assert!((found / exact - 1.0).abs() < 1e-3, "Fo {at}: {found} against {exact}");
    }
}

/// Ten shells are an ordinary grid like nine or eleven: the series above, nearer the more there are. The ladder is nearer than
/// forty of them.
#[test]
fn more_shells_are_nearer_and_the_ladder_is_nearest() {
    use brinefront::inputs::cells::Shells;
    let printed = [(0.005, 0.224_365_37), (0.01, 0.308_513_75), (0.05, 0.606_939_76), (0.1, 0.770_478_74)];
    let error = |shells: Shells| {
        let mut case = radial(
            &sodium_potassium_column(5.0, 5.0, 1.0, rates(FAST, 1.0, 0.0)),
            &[(Ion::NA, 2e-11), (Ion::K, 2e-11)],
        );
        case.shells = shells;
        let found = uptake::<2>(&case, Ion::NA, Ion::K, Ion::K, &printed.map(|(at, _)| at));
        found.iter().zip(printed).map(|(found, (_, exact))| (found / exact - 1.0).abs()).fold(0.0, f64::max)
    };
    let errors: Vec<f64> = [5, 9, 10, 11, 20, 40].map(|shells| error(shells.into())).to_vec();
    let ladder = error(Shells::Fitted);
    println!("{errors:?}, the ladder {ladder}");
    assert!(errors.is_sorted_by(|coarse, fine| fine < coarse), "{errors:?}");
    // Of second order.
    assert!(errors[4] / errors[5] > 3.0, "{errors:?}");
    assert!(ladder < errors[5], "{ladder} against {errors:?}");
}

/// Two ions, diffusivities 5 to 1. SciPy's BDF on 800 ordinary shells, extrapolated
/// (`tests/python/physics/reference_values/sphere.py`), and the fits of F. Helfferich and M. S. Plesset (1958), J. Chem. Phys. 28,
/// 418, as printed in a handbook (signs inferred), which are good to 0.006 where they can be checked.
#[test]
fn rates_of_exchange_depend_on_the_direction_as_nernst_planck_says() {
    let times = [0.001, 0.003, 0.01, 0.03, 0.1, 0.3];
    let (slow, fast) = (2e-11, 1e-10);
    let calcium =
        radial(&sodium_calcium_column(5.0, 5.0, 1.0, rates(FAST, 1.0, 0.0)), &[(Ion::NA, fast), (Ion::CA, slow)]);
    let potassium =
        radial(&sodium_potassium_column(5.0, 5.0, 1.0, rates(FAST, 1.0, 0.0)), &[(Ion::NA, fast), (Ion::K, slow)]);
    let service = uptake::<2>(&calcium, Ion::NA, Ion::CA, Ion::CA, &times);
    let regeneration = uptake::<2>(&calcium, Ion::CA, Ion::NA, Ion::CA, &times);
    let equal_charges = uptake::<2>(&potassium, Ion::NA, Ion::K, Ion::K, &times);
    let exact = [
        (&service, [0.173_536, 0.290_411, 0.493_722, 0.751_323, 0.985_227, 0.999_999]),
        (&regeneration, [0.140_025, 0.234_424, 0.399_381, 0.613_266, 0.862_273, 0.984_656]),
        (&equal_charges, [0.159_76, 0.268_254, 0.459_396, 0.709_367, 0.972_808, 0.999_998]),
    ];
    for (found, exact) in exact {
        for (at, (found, exact)) in times.iter().zip(found.iter().zip(exact)) {
            println!("{at}: {found:.5}, SciPy {exact:.5}, off {:.2} %", 100.0 * (found / exact - 1.0));
            assert!((found / exact - 1.0).abs() < 0.01, "{at}: {found} against {exact}");
        }
    }
    let helfferich = |tau: f64, [f1, f2, f3]: [f64; 3]| {
        (1.0 - (std::f64::consts::PI.powi(2) * (f1 * tau + f2 * tau * tau + f3 * tau.powi(3))).exp()).sqrt()
    };
    let a: f64 = fast / slow;
    let sodium_for_calcium = [
        -1.0 / (0.64 + 0.36 * a.powf(0.668)),
        1.0 / (2.0 * a.powf(0.4635) - 0.96),
        -1.0 / (0.27 + 0.09 * a.powf(1.14)),
    ];
    let equal = [-1.0 / (0.57 + 0.43 * a.powf(0.775)), 1.0 / (0.26 + 0.782 * a), -1.0 / (0.165 + 0.177 * a)];
    for (found, fit) in [(&service, sodium_for_calcium), (&equal_charges, equal)] {
        for (at, found) in times.iter().zip(found) {
            let fit = helfferich(at * a, fit);
            println!("{at}: {found:.4}, Helfferich's fit {fit:.4}");
            assert!((found - fit).abs() < 0.02, "{at}: {found} against the fit's {fit}");
        }
    }
    // Sodium that leaves is followed faster than sodium that comes in.
    assert!(service[0] / regeneration[0] > 1.2);
}

/// J. B. Rosen (1952), J. Chem. Phys. 20, 387 (form from memory), computed by its integral and by inversion of its Laplace
/// transform: c/c0 at T = 3 tau/x with tau = D t/R^2, x = 3 G D L/(R^2 u), nu = 3 G D/(R^2 kf_a), G = Q/N.
#[test]
fn a_linear_column_gives_rosens_curves() {
    let table: [(f64, f64, [f64; 5]); 6] = [
        (5.0, 0.0, [0.015_578, 0.191_964, 0.540_569, 0.819_160, 0.947_393]),
        (10.0, 0.0, [0.000_872_87, 0.095_300_8, 0.528_590, 0.889_112, 0.987_004]),
        (20.0, 0.0, [3.6432e-6, 0.028_369_6, 0.520_183, 0.953_519, 0.999_042]),
        (10.0, 0.5, [0.072_033_4, 0.269_844, 0.538_816, 0.764_782, 0.900_627]),
        (20.0, 0.5, [0.015_856_8, 0.173_183, 0.527_378, 0.830_329, 0.960_389]),
        (20.0, 2.0, [0.133_787, 0.328_635, 0.547_282, 0.730_849, 0.856_555]),
    ];
    let ratio = COLUMN_CAPACITY / 0.010;
    for (x, nu, row) in table {
        let diffusion = x / (3.0 * ratio * COLUMN_SERVICE_S_PER_BV);
        let film = if nu > 0.0 { 3.0 * ratio * diffusion / nu } else { FAST };
        let mut case = sodium_potassium_column(0.0, 10.0, 1.0, rates(film, 15.0 * diffusion, 0.0));
        case.kinetics = Kinetics::Radial;
        case.cells = 400.into();
        let run = case.load(&loaded(&[(Ion::NA, 1.0)]), COLUMN_VOID + 1.6 * ratio).unwrap();
        let effluent = ion_of(&run.effluent, Ion::K);
        for (t, printed) in [0.5, 0.75, 1.0, 1.25, 1.5].into_iter().zip(row) {
            let time_s = t * x / 3.0 / diffusion;
            let found = value_at(&run.effluent.bv, &effluent, COLUMN_VOID + time_s / COLUMN_SERVICE_S_PER_BV) / 0.010;
            println!("x {x}, nu {nu}, T {t}: {found:.5}, table {printed:.5}");
            assert!((found - printed).abs() < 2e-3, "x {x}, nu {nu}, T {t}: {found} against {printed}");
        }
    }
}

/// The level below is the limit of the level above (algebra): fast beads are film and equilibrium, whatever goes on in
/// them; fast films too are equilibrium, with the front at its stoichiometric place.
#[test]
fn levels_meet_where_rates_are_fast() {
    let case = |kinetics, film, bead| {
        let mut case = sodium_calcium_column(4.0, 6.0, 2.6, rates(film, bead, 0.0));
        case.kinetics = kinetics;
        case.cells = 200.into();
        let run = case.load(&loaded(&[(Ion::NA, 1.0)]), 400.0).unwrap();
        let effluent = ion_of(&run.effluent, Ion::CA);
        (1..40).map(|k| value_at(&run.effluent.bv, &effluent, 10.0 * f64::from(k)) / 0.006).collect::<Vec<_>>()
    };
    let apart = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
    let (radial, lumped) = (case(Kinetics::Radial, 0.1, 1e3), case(Kinetics::Lumped, 0.1, 1e3));
    println!("fast beads: {:.1e}", apart(&radial, &lumped));
    assert!(apart(&radial, &lumped) < 2e-3, "{}", apart(&radial, &lumped));
    let (radial, equilibrium) = (case(Kinetics::Radial, 1e4, 1e3), case(Kinetics::Equilibrium, 1e4, 1e3));
    println!("fast beads and film: {:.1e}", apart(&radial, &equilibrium));
    assert!(apart(&radial, &equilibrium) < 5e-3, "{}", apart(&radial, &equilibrium));
}

/// Softeners whose ions differ: the ledger closes, every shell holds Q, nothing is negative beyond rounding, ten fitted
/// shells say what forty ordinary ones do.
#[test]
fn a_softener_of_radial_beads_settles_and_closes_its_ledger() {
    use brinefront::inputs::regeneration::Direction;
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let mut case = softener(direction, 100.0);
        case = radial(&case, &[(Ion::NA, 1e-10), (Ion::MG, 2.5e-11), (Ion::CA, 2e-11)]);
        case.cells = 60.into();
        let settled = brinefront::cycle::steady::settle(&CyclePlan::new(&case).unwrap(), None, &unwatched).unwrap();
        assert!(settled.settling.settled, "{}", settled.settling.search_end);
        assert!(settled.history.ledger_error < 1e-10, "{}", settled.history.ledger_error);
        let report = case.cycle().unwrap();
        let mut fine = case.clone();
        fine.shells = 40.into();
        let fine = fine.cycle().unwrap();
        let (a, b) = (&report.figures, &fine.figures);
        println!(
            "{direction:?}: capacity {} and {}, run {} and {}, half-run leakage {} and {}",
            a.capacity_eq_per_l,
            b.capacity_eq_per_l,
            a.run_length_bv,
            b.run_length_bv,
            a.leakage_half_run_mg_per_l_caco3,
            b.leakage_half_run_mg_per_l_caco3
        );
        assert!((a.capacity_eq_per_l / b.capacity_eq_per_l - 1.0).abs() < 1e-3);
        assert!((a.leakage_half_run_mg_per_l_caco3 / b.leakage_half_run_mg_per_l_caco3 - 1.0).abs() < 1e-2);
        for step in settled.history.steps() {
            for (cell, q) in step.loading.chunks_exact(3).enumerate() {
                assert!(
                    (q.iter().sum::<f64>() / settled.plan.model.capacity - 1.0).abs() < 1e-10,
                    "{:?} {cell} {:e}",
                    step.name,
                    q.iter().sum::<f64>() / settled.plan.model.capacity - 1.0
                );
                assert!(q.iter().all(|q| *q > -1e-12), "{:?} {cell}: {q:?}", step.name);
            }
        }
    }
}

/// Sizes of bead behind one film: one size given as three equal ones is one size; a spread about the same mean takes up
/// faster at first and slower at last, as its small and its large beads do by themselves (F. Helfferich 1962, from memory).
#[test]
fn beads_of_several_sizes_take_up_each_at_its_own_pace() {
    let sizes = |parts: &[(f64, f64)]| {
        let mut case = sodium_potassium_column(5.0, 5.0, 1.0, rates(FAST, 1.0, 0.0));
        case = radial(&case, &[(Ion::NA, 2e-11), (Ion::K, 2e-11)]);
        case.resin.bead_sizes =
            parts.iter().map(|(diameter_mm, share)| BeadSize { diameter_mm: *diameter_mm, share: *share }).collect();
        case
    };
    let times = [0.001, 0.01, 0.1, 0.3];
    let one = uptake::<2>(&sizes(&[]), Ion::NA, Ion::K, Ion::K, &times);
    let thrice = uptake::<2>(&sizes(&[(0.5, 0.3), (0.5, 0.3), (0.5, 0.4)]), Ion::NA, Ion::K, Ion::K, &times);
    assert!(one.iter().zip(&thrice).all(|(a, b)| (a - b).abs() < 1e-12), "{one:?} {thrice:?}");
    // Without a film each size goes its own way: the sum is the sum of Crank's series, at times scaled by diameter.
    let crank = |fo: f64| {
        let terms = (1..400).map(|n| f64::from(n * n)).map(|n| (-n * std::f64::consts::PI.powi(2) * fo).exp() / n);
        1.0 - 6.0 / std::f64::consts::PI.powi(2) * terms.sum::<f64>()
    };
    let spread = [(0.3, 0.3), (0.5, 0.4), (0.7, 0.3)];
    let found = uptake::<2>(&sizes(&spread), Ion::NA, Ion::K, Ion::K, &times.map(|t| t * (0.5_f64 / 0.3).powi(2)));
    for (at, found) in times.iter().zip(found) {
        let exact: f64 = spread.iter().map(|(d, share)| share * crank(at * (0.5 / d).powi(2))).sum();
        println!("Fo {at}: {found:.5}, exact {exact:.5}");
        assert!((found - exact).abs() < 5e-4, "{at}: {found} against {exact}");
    }
}

/// Through a whole cycle a spread of sizes costs capacity, beside beads of one size with the same mean rate of uptake, that
/// of the mean of 1/d^2 (algebra; ten per cent of uptake falls behind in the large ones); the ledger closes.
#[test]
fn a_softener_of_mixed_sizes_settles() {
    use brinefront::inputs::regeneration::Direction;
    let mut case = softener(Direction::CounterCurrent, 100.0);
    case.kinetics = Kinetics::Radial;
    case.rates.bead_per_s = None;
    case.cells = 60.into();
    let spread = [(0.35, 0.25), (0.5, 0.5), (0.75, 0.25)];
    let nominal = case.resin.bead_diameter_mm;
    case.resin.bead_diameter_mm = spread.iter().map(|(d, share)| share / (d * d)).sum::<f64>().powf(-0.5);
    let one = case.cycle().unwrap().figures;
    case.resin.bead_sizes = spread.map(|(diameter_mm, share)| BeadSize { diameter_mm, share }).to_vec();
    case.resin.bead_diameter_mm = nominal;
    let mixed = case.cycle().unwrap().figures;
    println!("capacity {} and {}", one.capacity_eq_per_l, mixed.capacity_eq_per_l);
    assert!(mixed.residual < 1e-6 && mixed.ledger_error < 1e-10, "{} {}", mixed.residual, mixed.ledger_error);
    assert!(mixed.capacity_eq_per_l < one.capacity_eq_per_l);
}
