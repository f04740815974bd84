//! Single runs against closed forms of exchange: linear, constant pattern, equilibrium theory, leakage.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::report::RunReport;
use brinefront_tests::cases::{
    COLUMN_CAPACITY, COLUMN_SERVICE_S_PER_BV, COLUMN_VOID, loaded, rates, sodium_calcium_column,
    sodium_potassium_column,
};
use brinefront_tests::closed_forms::{Control, Isotherm, constant_pattern_s, j_function};
use brinefront_tests::curves::{ion_of, rises_through, stoichiometric_volume, value_at};

/// A rate \[1/s\] so large that its resistance is nothing beside the other's.
const FAST: f64 = 1e4;

/// Load a sodium bed.
fn onto_sodium(case: &Case, volume_bv: f64) -> RunReport {
    case.load(&loaded(&[(Ion::NA, 1.0)]), volume_bv).unwrap()
}

/// Largest distance of an effluent from J(x, y) where exchange is linear, q* = (Q/N) C*.
///
/// Then the two resistances add up to one on the liquid side, 1/k = 1/kf_a + N/(Q kb), and in the time T since the water
/// first came by, u dC/dz = -k (C - q N/Q) = -dq/dT: x = k L/u, y = k T N/Q, T = (BV - eps) L/u.
fn distance_from_j(case: &Case, incoming: Ion, normality: f64) -> f64 {
    let ratio = normality / COLUMN_CAPACITY;
    let transfer = 1.0 / (1.0 / case.rates.film_per_s.unwrap() + ratio / case.rates.bead_per_s.unwrap());
    let units = transfer * COLUMN_SERVICE_S_PER_BV;
    let run = onto_sodium(case, COLUMN_VOID + 2.5 / ratio);
    let effluent = ion_of(&run.effluent, incoming);
    let feed = case.water.composition().unwrap().of(incoming);
    let mut worst = 0.0_f64;
    for k in 1..=100 {
        let bv = COLUMN_VOID + f64::from(k) / 100.0 * 2.5 / ratio;
        let expected = j_function(units, units * ratio * (bv - COLUMN_VOID));
        worst = worst.max((value_at(&run.effluent.bv, &effluent, bv) / feed - expected).abs());
    }
    worst
}

/// N. K. Hiester, T. Vermeulen (1952), Chem. Eng. Prog. 48, 505 (from memory); J computed by its series.
#[test]
fn equal_affinity_gives_the_j_function() {
    for (film, bead, cells) in [(0.1, FAST, 200), (0.2, 1e-3, 200), (FAST, 5e-4, 200), (0.5, FAST, 400)] {
        let mut case = sodium_potassium_column(4.0, 6.0, 1.0, rates(film, bead, 0.0));
        case.cells = cells.into();
        case.tolerance = 1e-5;
        let worst = distance_from_j(&case, Ion::K, 0.010);
        println!("film {film}, bead {bead}, {cells} cells: {worst:.1e} from J");
        assert!(worst < 1e-3, "film {film}, bead {bead}: {worst}");
    }
}

/// At N = K Q the separation factor of calcium against sodium is 1 whatever the composition (algebra), so that a divalent
/// ion loads along the same J.
#[test]
fn at_n_equal_k_q_calcium_loads_like_a_linear_ion() {
    let selectivity = 0.5;
    let normality = selectivity * COLUMN_CAPACITY;
    for (film, bead) in [(0.1, FAST), (0.2, 0.1), (FAST, 0.1)] {
        let mut case = sodium_calcium_column(400.0 * normality, 600.0 * normality, selectivity, rates(film, bead, 0.0));
        case.cells = 200.into();
        case.tolerance = 1e-5;
        let worst = distance_from_j(&case, Ion::CA, normality);
        println!("film {film}, bead {bead}: {worst:.1e} from J");
        assert!(worst < 1e-3, "film {film}, bead {bead}: {worst}");
    }
}

/// The front on a sodium bed fed with the other ion alone: its width against the constant pattern, its place against
/// stoichiometry, eps + Q/N (both algebra; see `constant_pattern_s`).
fn constant_pattern(case: &Case, incoming: Ion, isotherm: Isotherm, control: Control) {
    let normality = 0.010;
    let place = COLUMN_VOID + COLUMN_CAPACITY / normality;
    let run = onto_sodium(case, 2.0 * place);
    let effluent = ion_of(&run.effluent, incoming);
    let time_s = |level: f64| COLUMN_SERVICE_S_PER_BV * rises_through(&run.effluent.bv, &effluent, level * normality);
    for (low, high) in [(0.1, 0.5), (0.5, 0.9)] {
        let found = time_s(high) - time_s(low);
        let expected = constant_pattern_s(&isotherm, control, low, high);
        println!("{incoming} {control:?} {low} to {high}: {found:.1} s against {expected:.1} s");
        assert!((found / expected - 1.0).abs() < 5e-3, "{incoming}, {control:?}, {low} to {high}: {found}, {expected}");
    }
    let stoichiometric = stoichiometric_volume(&run.effluent.bv, &effluent, normality);
    assert!((stoichiometric / place - 1.0).abs() < 1e-3, "{stoichiometric} BV against {place} BV");
}

#[test]
fn a_front_of_potassium_keeps_its_pattern() {
    let isotherm = Isotherm { selectivity: 3.0, valence: 1, capacity_over_normality: 200.0 };
    for (control, film, bead) in [(Control::Film(0.2), 0.2, FAST), (Control::Bead(1.2e-3), FAST, 1.2e-3)] {
        let mut case = sodium_potassium_column(0.0, 10.0, 3.0, rates(film, bead, 0.0));
        case.cells = 200.into();
        case.tolerance = 1e-5;
        constant_pattern(&case, Ion::K, isotherm, control);
    }
}

#[test]
fn a_front_of_calcium_keeps_its_pattern() {
    let isotherm = Isotherm { selectivity: 2.606, valence: 2, capacity_over_normality: 200.0 };
    for (control, film, bead) in [(Control::Film(0.05), 0.05, FAST), (Control::Bead(4e-4), FAST, 4e-4)] {
        let mut case = sodium_calcium_column(0.0, 10.0, 2.606, rates(film, bead, 0.0));
        case.cells = 200.into();
        case.tolerance = 1e-5;
        constant_pattern(&case, Ion::CA, isotherm, control);
    }
}

/// Equilibrium theory: a shock from a sodium bed to X_Ca = 0.5 at 0.01 eq/L passes at eps + Q (Y - 0)/(N (X - 0)) =
/// eps + 387.80 BV, with Y = 0.96950 from the closed quadratic at K = 2.606, Q = 2.0 eq/L (computed apart from this code).
#[test]
fn the_shock_passes_where_equilibrium_theory_puts_it() {
    let mut case = sodium_calcium_column(5.0, 5.0, 2.606, rates(1.0, 1.0, 0.0));
    case.kinetics = Kinetics::Equilibrium;
    let run = onto_sodium(&case, 450.0);
    let calcium = ion_of(&run.effluent, Ion::CA);
    let place = COLUMN_VOID + 387.80;
    let half = rises_through(&run.effluent.bv, &calcium, 0.0025);
    let stoichiometric = stoichiometric_volume(&run.effluent.bv, &calcium, 0.005);
    println!("half height at {half:.2} BV, stoichiometric front at {stoichiometric:.2} BV, theory {place:.2} BV");
    assert!((half / place - 1.0).abs() < 5e-3, "{half} BV against {place} BV");
    assert!((stoichiometric / place - 1.0).abs() < 5e-4, "{stoichiometric} BV against {place} BV");
}

/// A monovalent ion that the resin dislikes spreads by itself: liquid of fraction X leaves at eps + (Q/N) dY/dX, with
/// Y = K X/(1 + (K - 1) X) (equilibrium theory, D. DeVault 1943, J. Am. Chem. Soc. 65, 532, from memory).
#[test]
fn an_unfavourable_ion_spreads_as_equilibrium_theory_says() {
    let selectivity = 0.4;
    let mut case = sodium_potassium_column(0.0, 10.0, selectivity, rates(1.0, 1.0, 0.0));
    case.kinetics = Kinetics::Equilibrium;
    case.cells = 400.into();
    let run = onto_sodium(&case, 600.0);
    let potassium = ion_of(&run.effluent, Ion::K);
    for x in [0.2_f64, 0.4, 0.6, 0.8] {
        let slope = selectivity / (1.0 + (selectivity - 1.0) * x).powi(2);
        let expected = COLUMN_VOID + 200.0 * slope;
        let found = rises_through(&run.effluent.bv, &potassium, x * 0.010);
        println!("X = {x}: {found:.2} BV against {expected:.2} BV");
        assert!((found / expected - 1.0).abs() < 5e-3, "X = {x}: {found} BV against {expected} BV");
    }
}

/// Leakage of a bed that holds a fraction X of calcium throughout: X/(1-X)^2 N^2/(K Q) for small leakage (algebra from
/// mass action), so with the square of the feed's normality.
#[test]
fn leakage_of_a_uniform_bed_goes_with_the_square_of_the_normality() {
    let selectivity = 2.606;
    for fraction in [0.05, 0.2, 0.3] {
        let leakage: Vec<f64> = [0.005, 0.010]
            .into_iter()
            .map(|normality| {
                let meq = 1e3 * normality;
                let case = sodium_calcium_column(0.4 * meq, 0.6 * meq, selectivity, rates(0.1, 0.006, 2e-6));
                let bed = loaded(&[(Ion::NA, 1.0 - fraction), (Ion::CA, fraction)]);
                let run = case.load(&bed, 5.0).unwrap();
                let calcium = ion_of(&run.effluent, Ion::CA);
                let found = value_at(&run.effluent.bv, &calcium, 4.0);
                let expected =
                    fraction / (1.0 - fraction).powi(2) * normality * normality / (selectivity * COLUMN_CAPACITY);
                println!("X = {fraction}, N = {normality}: {found:.4e} eq/L against {expected:.4e} eq/L");
                assert!((found / expected - 1.0).abs() < 0.01, "X = {fraction}, N = {normality}: {found}, {expected}");
                found
            })
            .collect();
        let slope = (leakage[1] / leakage[0]).log2();
        assert!((slope - 2.0).abs() < 0.02, "X = {fraction}: slope {slope}");
    }
}
