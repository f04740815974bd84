//! Bad input is refused with the field's dotted name, the value given and what would be allowed; nothing panics.
#![allow(clippy::unwrap_used, reason = "what is refused here is unwrapped as an error")]

use brinefront::cycle::run::Loading;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::Selectivity;
use brinefront::study::{self, At};
use brinefront::units::convert::convert;
use brinefront::{Case, Error};
use brinefront_tests::cases::{loaded, softener};

fn case() -> Case {
    softener(Direction::CoCurrent, 96.0)
}

/// The parts of a refusal of a value.
fn parts(error: Error) -> (String, String, String) {
    match error {
        Error::Value { field, value, limits, .. } => (field.to_string(), value, limits.to_string()),
        Error::NoSuchField { field, value, reason } => (field.to_string(), value, reason),
        other => (String::new(), String::new(), format!("not an error about a value: {other}")),
    }
}

/// One change to a good case, and what the refusal must say of it.
fn refused(name: &str, value: f64, limits: &[&str]) {
    let error = case().with(name, value.into()).unwrap_err();
    let text = error.to_string();
    let (field, given, allowed) = parts(error);
    assert_eq!(field, name, "{text}");
    assert!(!given.is_empty() && text.contains(&given), "{text}");
    for limit in limits {
        assert!(allowed.contains(limit), "{text} does not say {limit}");
    }
}

#[test]
fn numbers_out_of_limits() {
    refused("regeneration.dose_g_per_l", -5.0, &["1", "2000", "g of salt per litre of resin"]);
    refused("regeneration.dose_g_per_l", 1e9, &["2000"]);
    refused("regeneration.flow_bv_per_h", 0.0, &["0.05", "100", "BV/h"]);
    refused("regeneration.slow_rinse_bv", -1.0, &["0", "BV"]);
    refused("regeneration.backwash_mixing", 1.5, &["0", "1"]);
    refused("service.flow_bv_per_h", -20.0, &["1000", "BV/h"]);
    refused("service.limit_mg_per_l_caco3", 0.0, &["mg/L as CaCO3"]);
    refused("service.volume_bv", -3.0, &["BV"]);
    refused("resin.capacity_eq_per_l", 0.0, &["0.1", "5", "eq per litre of bed"]);
    refused("resin.void_fraction", 1.2, &["0.2", "0.7"]);
    refused("resin.bead_diameter_mm", 600.0, &["mm"]);
    refused("resin.selectivity.Ca", -2.6, &["0.001", "1000"]);
    refused("bed.depth_m", -0.9, &["0.01", "20", "m"]);
    refused("rates.film_per_s", -1.0, &["1/s"]);
    refused("rates.dispersion_m2_per_s", -1e-6, &["m2/s"]);
    refused("water.temperature_c", 80.0, &["1", "45", "C"]);
    refused("water.ions.Ca", -80.0, &["0", "mg/L"]);
    refused("tolerance", 1.0, &["0.1"]);
}

/// JSON has no such numbers, the Rust interface has.
#[test]
fn numbers_that_are_none() {
    for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let mut dose = case();
        dose.regeneration.dose_g_per_l = bad;
        let mut depth = case();
        depth.bed.depth_m = Some(bad);
        let mut ion = case();
        ion.water.ions.insert(Ion::CA, bad);
        let mut film = case();
        film.rates.film_per_s = Some(bad);
        let mut tolerance = case();
        tolerance.tolerance = bad;
        for (case, field) in [
            (dose, "regeneration.dose_g_per_l"),
            (depth, "bed.depth_m"),
            (ion, "water.ions.Ca"),
            (film, "rates.film_per_s"),
            (tolerance, "tolerance"),
        ] {
            let (found, given, _) = parts(case.cycle().unwrap_err());
            assert_eq!((found.as_str(), given), (field, bad.to_string()));
        }
    }
}

#[test]
fn numbers_of_cells() {
    for cells in [0, 3, 1_000_000] {
        let mut case = case();
        case.cells = cells.into();
        let (field, value, limits) = parts(case.validate().unwrap_err());
        assert_eq!((field.as_str(), value), ("cells", cells.to_string()));
        assert!(limits.contains('4') && limits.contains("20000"), "{limits}");
    }
}

#[test]
fn brine_above_saturation() {
    let (field, value, limits) = parts(case().with("regeneration.strength_percent", 30.0.into()).unwrap_err());
    assert_eq!((field.as_str(), value.as_str()), ("regeneration.strength_percent", "30"));
    // 26.35 % by weight at 15 C (R. W. Potter and others 1977).
    assert!(limits.contains("saturation") && limits.contains("26.35"), "{limits}");
    let mut strong = case();
    strong.regeneration.strength_percent = None;
    strong.regeneration.normality_eq_per_l = Some(7.0);
    let (field, value, limits) = parts(strong.cycle().unwrap_err());
    assert_eq!((field.as_str(), value.as_str()), ("regeneration.normality_eq_per_l", "7"));
    assert!(limits.contains("saturation") && limits.contains("eq/L"), "{limits}");
    let mut both = case();
    both.regeneration.normality_eq_per_l = Some(1.0);
    assert!(both.validate().unwrap_err().to_string().contains("not both"));
}

#[test]
fn waters_that_cannot_be() {
    let mut unbalanced = case();
    unbalanced.water.ions.insert(Ion::CL, 10.0);
    let (field, value, limits) = parts(unbalanced.validate().unwrap_err());
    assert_eq!(field, "water.ions");
    assert!(value.contains("meq/L") && limits.contains("5 %") && limits.contains("balance"), "{value}: {limits}");
    unbalanced.water.balance = Some(Ion::CL);
    unbalanced.validate().unwrap();

    let mut overfull = case();
    overfull.water.ions.insert(Ion::SO4, 4000.0);
    overfull.water.balance = Some(Ion::CL);
    assert_eq!(parts(overfull.validate().unwrap_err()).0, "water.balance");

    let mut empty = case();
    empty.water.ions.clear();
    assert_eq!(parts(empty.validate().unwrap_err()).0, "water.ions");

    let mut soft = case();
    soft.water.ions.retain(|ion, _| *ion == Ion::NA);
    assert!(parts(soft.cycle().unwrap_err()).2.contains("nothing to soften"));
    // A single run needs no hardness.
    soft.load(&loaded(&[(Ion::NA, 1.0)]), 1.0).unwrap();
}

#[test]
fn an_ion_without_a_coefficient_is_named() {
    let mut case = case();
    case.water.ions.insert(Ion::K, 5.0);
    let (field, _, limits) = parts(case.validate().unwrap_err());
    assert!(field == "resin.selectivity.K" && limits.contains("potassium"), "{field}: {limits}");
    case.resin.selectivity = Selectivity::Named("BonnerSmith1957".into());
    case.validate().unwrap();
    case.resin.selectivity = Selectivity::Named("Nobody1900".into());
    let (field, value, limits) = parts(case.validate().unwrap_err());
    assert_eq!((field.as_str(), value.as_str()), ("resin.selectivity", "Nobody1900"));
    assert!(limits.contains("BonnerSmith1957"), "{limits}");
    let error = Ion::parse("water.ions", "Xx").unwrap_err().to_string();
    assert!(error.contains("water.ions") && error.contains("Xx") && error.contains("Ca"), "{error}");
}

#[test]
fn services_and_beds_half_given() {
    let mut endless = case();
    endless.service.limit_mg_per_l_caco3 = None;
    assert!(parts(endless.validate().unwrap_err()).2.contains("volume_bv"));
    let mut above_feed = case();
    above_feed.service.limit_mg_per_l_caco3 = Some(400.0);
    let (field, value, limits) = parts(above_feed.cycle().unwrap_err());
    assert_eq!((field.as_str(), value.as_str()), ("service.limit_mg_per_l_caco3", "400"));
    assert!(limits.contains("298.6"), "the feed's hardness is said: {limits}");
    let mut over = case();
    over.bed.volume_l = Some(60.0);
    assert!(parts(over.validate().unwrap_err()).2.contains("two of"));
    let mut under = case();
    under.bed.diameter_m = None;
    assert!(parts(under.validate().unwrap_err()).2.contains("two of"));
    let mut unmixed = case();
    unmixed.regeneration.backwash_min = Some(0.0);
    unmixed.regeneration.backwash_mixing = Some(0.5);
    assert_eq!(parts(unmixed.validate().unwrap_err()).0, "regeneration.backwash_mixing");
    let mut softness = case();
    softness.hardness_ions = vec![Ion::NA];
    assert_eq!(parts(softness.validate().unwrap_err()).0, "hardness_ions");
}

#[test]
fn names_that_are_no_fields() {
    for name in ["regeneration.dosage", "dose_g_per_l", "water.ions.Ca.mg", "service.limits", ""] {
        let error = case().with(name, 1.0.into()).unwrap_err().to_string();
        assert!(error.contains(name) && error.contains("field"), "{name}: {error}");
    }
    let error = case().with("regeneration.dose_g_per_l", "much".into()).unwrap_err().to_string();
    assert!(error.contains("regeneration.dose_g_per_l") && error.contains("much"), "{error}");
}

#[test]
fn loadings_volumes_and_normalities_of_single_runs() {
    let load = |bed: &Loading, volume: f64| case().load(bed, volume).map(|_| ()).unwrap_err();
    let sodium = loaded(&[(Ion::NA, 1.0)]);
    for volume in [0.0, -1.0, f64::NAN, 1e9] {
        assert_eq!(parts(load(&sodium, volume)).0, "volume_bv");
    }
    for bed in
        [loaded(&[(Ion::NA, 0.7)]), loaded(&[(Ion::NA, 1.5), (Ion::CA, -0.5)]), loaded(&[]), loaded(&[(Ion::CL, 1.0)])]
    {
        assert_eq!(parts(load(&bed, 10.0)).0, "from_loading", "{bed:?}");
    }
    // Potassium in the bed without a coefficient is found before anything is run.
    assert_eq!(parts(load(&loaded(&[(Ion::K, 1.0)]), 10.0)).0, "resin.selectivity.K");
    for normality in [0.0, -1.0, f64::NAN, 1e3] {
        let error = case().elute(&sodium, 1.0, normality).map(|_| ()).unwrap_err();
        assert_eq!(parts(error).0, "normality_eq_per_l");
    }
}

#[test]
fn studies_of_nothing() {
    assert_eq!(parts(study::compare(&[], At::EqualDose).unwrap_err()).0, "cases");
    assert_eq!(parts(study::sweep(&case(), &[], None).map(|_| ()).unwrap_err()).0, "axes");
    let sweep = |name: &str, values: Vec<serde_json::Value>| {
        parts(study::sweep(&case(), &[(name.to_string(), values)], None).map(|_| ()).unwrap_err())
    };
    assert_eq!(sweep("regeneration.dose_g_per_l", vec![]).0, "regeneration.dose_g_per_l");
    assert_eq!(sweep("regeneration.dosage", vec![1.0.into()]).0, "regeneration.dosage");
    assert_eq!(parts(case().cycles(0).unwrap_err()).0, "n");
    assert_eq!(parts("equal-salt".parse::<At>().unwrap_err()).0, "at");
    assert_eq!(parts(convert(1.0, "gr/gal", "lb/ft3").unwrap_err()).0, "target");
}
