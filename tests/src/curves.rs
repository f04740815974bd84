//! Readings taken off an effluent or a profile.

use brinefront::inputs::ion::Ion;
use brinefront::report::tables::{Curve, Profiles};

/// One ion of an effluent \[eq/L\]; zeros if the curve does not know it.
pub fn ion_of(curve: &Curve, ion: Ion) -> Vec<f64> {
    match curve.ions.iter().position(|known| *known == ion) {
        Some(column) => curve.eq_per_l.column(column).to_vec(),
        None => vec![0.0; curve.bv.len()],
    }
}

/// Normality of an effluent \[eq/L\]: the sum over its cations.
pub fn normality_of(curve: &Curve) -> Vec<f64> {
    curve.eq_per_l.rows().into_iter().map(|row| row.sum()).collect()
}

/// Loading of one ion along the bed after the last step \[eq/L of bed\].
pub fn loading_of(profiles: &Profiles, ion: Ion) -> Vec<f64> {
    along_the_bed(profiles, ion, &profiles.loading_eq_per_l)
}

/// Liquid concentration of one ion along the bed after the last step \[eq/L\].
pub fn liquid_of(profiles: &Profiles, ion: Ion) -> Vec<f64> {
    along_the_bed(profiles, ion, &profiles.liquid_eq_per_l)
}

fn along_the_bed(profiles: &Profiles, ion: Ion, table: &ndarray::Array3<f64>) -> Vec<f64> {
    let last = profiles.steps.len() - 1;
    match profiles.ions.iter().position(|known| *known == ion) {
        Some(column) => (0..profiles.depth_m.len()).map(|cell| table[[last, cell, column]]).collect(),
        None => vec![0.0; profiles.depth_m.len()],
    }
}

/// Value at `at` on the straight lines through samples.
pub fn value_at(x: &[f64], y: &[f64], at: f64) -> f64 {
    let k = x.partition_point(|x| *x < at).clamp(1, x.len() - 1);
    y[k - 1] + (y[k] - y[k - 1]) * (at - x[k - 1]) / (x[k] - x[k - 1])
}

/// Where the straight lines through samples first rise through a level; not a number if they never do.
pub fn rises_through(x: &[f64], y: &[f64], level: f64) -> f64 {
    (1..x.len())
        .find(|k| y[k - 1] < level && y[*k] >= level)
        .map_or(f64::NAN, |k| x[k - 1] + (x[k] - x[k - 1]) * (level - y[k - 1]) / (y[k] - y[k - 1]))
}

/// Volume of the sharp front that holds back as much as this curve: the integral of 1 - y/full, by trapezia.
pub fn stoichiometric_volume(x: &[f64], y: &[f64], full: f64) -> f64 {
    (1..x.len()).map(|k| (x[k] - x[k - 1]) * (1.0 - 0.5 * (y[k] + y[k - 1]) / full)).sum()
}
