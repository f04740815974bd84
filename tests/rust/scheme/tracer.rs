//! An inert tracer against the closed forms of dispersion: the normality of the liquid, which exchange conserves.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::inputs::ion::Ion;
use brinefront_tests::cases::{
    COLUMN_BRINE_BV_PER_H, COLUMN_DEPTH_M, COLUMN_VOID, column, loaded, rates, sodium_column,
};
use brinefront_tests::curves::{liquid_of, normality_of, value_at};

/// Times T = v t/L, which for a bed of length L is throughput over void.
const TIMES: [f64; 6] = [0.5, 0.75, 1.0, 1.25, 1.5, 2.0];

/// Step into a finite column closed at both ends, outlet, by Pe = v L/D. H. Brenner (1962), Chem. Eng. Sci. 17, 229; the
/// paper's tables were not seen, the values are computed by its eigenvalue series and by Laplace inversion, which agree
/// to these digits.
const BRENNER: [(f64, [f64; 6]); 4] = [
    (5.0, [0.1568059, 0.3968155, 0.6025011, 0.7474312, 0.8421937, 0.9396013]),
    (10.0, [0.0681142, 0.3118168, 0.5803327, 0.7706260, 0.8820557, 0.9715277]),
    (20.0, [0.0151488, 0.2128510, 0.5598892, 0.8118167, 0.9319101, 0.9932153]),
    (50.0, [2.423482e-4, 0.0858047, 0.5390885, 0.8911931, 0.9849729, 0.9998849]),
];

/// Step into a long column, concentration of the flux at z = L, by Pe = v L/D. A. Ogata, R. B. Banks (1961), USGS Prof.
/// Paper 411-A (form seen in lecture notes, values computed from it): the flux concentration obeys the same equation as
/// the resident one, with the inlet step itself as its boundary value.
const OGATA_BANKS: [(f64, [f64; 6]); 5] = [
    (5.0, [0.1908618, 0.4277848, 0.6161631, 0.7467064, 0.8333690, 0.9273093]),
    (10.0, [0.0800668, 0.3278984, 0.5852889, 0.7663012, 0.8745247, 0.9662205]),
    (20.0, [0.0174534, 0.2208708, 0.5616070, 0.8079456, 0.9279040, 0.9921061]),
    (50.0, [2.754566e-4, 0.0882576, 0.5395067, 0.8892417, 0.9842082, 0.9998685]),
    (100.0, [3.853e-7, 0.0240731, 0.5280705, 0.9510699, 0.9984803, 0.9999998]),
];

/// Normality of the void at the start and of what enters \[eq/L\].
const BEFORE: f64 = 0.010;
const ENTERING: f64 = 1.2;

fn step_height(normality: f64) -> f64 {
    (normality - BEFORE) / (ENTERING - BEFORE)
}

/// Interstitial velocity of the brine in a bed of a depth \[m/s\].
fn interstitial(depth_m: f64) -> f64 {
    COLUMN_BRINE_BV_PER_H * depth_m / 3600.0 / COLUMN_VOID
}

#[test]
fn the_outlet_of_a_closed_column_is_brenner_s() {
    let mut worst = 0.0_f64;
    for (peclet, tabled) in BRENNER {
        let dispersion = interstitial(COLUMN_DEPTH_M) * COLUMN_DEPTH_M / peclet;
        let alone = sodium_column(1e3 * BEFORE, dispersion);
        // The same bed where the water would bring hardness: its liquid and beads hold sodium alone, whatever the feed.
        let hard = column(
            &[(Ion::NA, 500.0 * BEFORE), (Ion::CA, 500.0 * BEFORE)],
            &[(Ion::CA, 2.6)],
            rates(0.1, 0.006, dispersion),
        );
        for mut case in [alone, hard] {
            case.cells = 200.into();
            case.tolerance = 1e-5;
            let run = case.elute(&loaded(&[(Ion::NA, 1.0)]), 2.1 * COLUMN_VOID, ENTERING).unwrap();
            let normality = normality_of(&run.effluent);
            for (time, expected) in TIMES.into_iter().zip(tabled) {
                let found = step_height(value_at(&run.effluent.bv, &normality, time * COLUMN_VOID));
                worst = worst.max((found - expected).abs());
                assert!((found - expected).abs() < 5e-4, "Pe {peclet}, T {time}: {found} against {expected}");
            }
        }
    }
    println!("largest deviation from Brenner's step: {worst:.1e}");
}

/// What flows past z = L of a column four times as long, where its end is out of reach (its reflection there is below
/// exp(-3 Pe)): C - (D/v) dC/dz, both by the four cells around.
#[test]
fn the_flux_in_a_long_column_is_ogata_and_banks_s() {
    const LENGTHS: usize = 4;
    let cells_a_length = 200;
    let mut worst = 0.0_f64;
    for (peclet, tabled) in OGATA_BANKS {
        let depth_m = LENGTHS as f64 * COLUMN_DEPTH_M;
        let velocity = interstitial(depth_m);
        let dispersion = velocity * COLUMN_DEPTH_M / peclet;
        let mut case = sodium_column(1e3 * BEFORE, dispersion);
        case.bed.depth_m = Some(depth_m);
        case.cells = (LENGTHS * cells_a_length).into();
        case.tolerance = 3e-6;
        for (time, expected) in TIMES.into_iter().zip(tabled) {
            let volume_bv = time * COLUMN_VOID / LENGTHS as f64;
            let run = case.elute(&loaded(&[(Ion::NA, 1.0)]), volume_bv, ENTERING).unwrap();
            let c = liquid_of(&run.loading, Ion::NA);
            let (j, dz) = (cells_a_length, COLUMN_DEPTH_M / cells_a_length as f64);
            let value = (9.0 * (c[j - 1] + c[j]) - (c[j - 2] + c[j + 1])) / 16.0;
            let slope = (27.0 * (c[j] - c[j - 1]) - (c[j + 1] - c[j - 2])) / (24.0 * dz);
            let found = step_height(value - dispersion / velocity * slope);
            worst = worst.max((found - expected).abs());
            assert!((found - expected).abs() < 5e-4, "Pe {peclet}, T {time}: {found} against {expected}");
        }
    }
    println!("largest deviation from Ogata and Banks's step: {worst:.1e}");
}
