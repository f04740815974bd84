//! Films of unlike ions: the law against an integration of the film's own differential equations, and in a bed.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use serde_json::Value;

use brinefront::inputs::ion::Ion;
use brinefront::laws::film_coupling::film_fluxes;

/// A row of numbers, padded with nothing.
fn padded(row: &Value, key: &str) -> [f64; 10] {
    let mut out = [0.0; 10];
    for (slot, value) in out.iter_mut().zip(row[key].as_array().unwrap()) {
        *slot = value.as_f64().unwrap();
    }
    out
}

/// `python/reference_values/film_odes.py` solves two-point boundary value problems with `scipy`: two ions of one charge and
/// of two, three, five and all ten ions, co-ions of charge 1 to 2, liquid and bead far apart and near.
#[test]
fn fluxes_are_those_of_the_film_s_differential_equations() {
    let stored: Value = serde_json::from_str(include_str!("../python/reference_values/film_odes.json")).unwrap();
    let rows = stored["films"].as_array().unwrap();
    assert!(rows.len() >= 14);
    for row in rows {
        let symbols: Vec<&str> = row["ions"].as_array().unwrap().iter().map(|s| s.as_str().unwrap()).collect();
        let (mut d, mut z) = ([1.0; 10], [1; 10]);
        for (i, symbol) in symbols.iter().enumerate() {
            let ion = Ion::parse("ion", symbol).unwrap();
            (d[i], z[i]) = (ion.data().diffusivity_m2_per_s * 1e9, ion.valence());
        }
        // Rows of an ion that is not there must change nothing.
        for i in symbols.len()..10 {
            d[i] = d[0];
        }
        let (liquid, at_bead) = (padded(row, "liquid"), padded(row, "surface"));
        let found = film_fluxes(&liquid, &at_bead, &d, &z, row["co_ion"].as_f64().unwrap(), 1e-13).unwrap();
        let scale = padded(row, "flux").iter().fold(0.0_f64, |most, flux| most.max(flux.abs()));
        for (i, theirs) in padded(row, "flux").iter().enumerate() {
            let ours = found.flux_times_thickness[i];
            assert!((ours - theirs).abs() < 2e-7 * scale, "{symbols:?}, ion {i}: {ours} against {theirs}");
        }
        let normality = row["normality"].as_f64().unwrap();
        assert!((found.surface_normality / normality - 1.0).abs() < 1e-6, "{symbols:?}");
    }
}
