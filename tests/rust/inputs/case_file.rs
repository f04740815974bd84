//! The case file: read as written by hand, written back, and refused with line and key where it is wrong.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a file that cannot be read is a test that fails")]

use std::fs;
use std::path::PathBuf;

use brinefront::inputs::case::{Kinetics, SCHEMA};
use brinefront::inputs::cells::Cells;
use brinefront::inputs::display::DisplayUnits;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::{BrineWater, Direction};
use brinefront::inputs::resin::{BeadDiffusivity, Selectivity};
use brinefront::inputs::scenario::default_case;
use brinefront::inputs::service::ServiceFlow;
use brinefront::inputs::water::ConcentrationUnit;
use brinefront::{Case, Error};
use brinefront_tests::cases::softener;

/// As somebody would write it: what has a default is left out.
const SHORT: &str = r#"
schema = 1

[water]
unit = "mg/L CaCO3"
[water.ions]
Ca = 200
Mg = 100
Na = 130

[bed]
depth_m = 0.9
volume_l = 60

[service]
flow_bv_per_h = 20
limit_mg_per_l_caco3 = 17

[regeneration]
direction = "counter-current"
dose_g_per_l = 80
"#;

/// Every optional key used once.
const LONG: &str = r#"
schema = 1
name = "pilot"
cells = 60
kinetics = "equilibrium"
activity = "pitzer"
tolerance = 1e-4
hardness_ions = ["Mg", "Ca", "Sr"]

[water]
unit = "meq/L"
temperature_c = 12.5
balance = "Cl"
ions = { Ca = 4.0, Mg = 2.0, Na = 2.6, Sr = 0.1, HCO3 = 5.0 }

[resin]
capacity_eq_per_l = 2.0
selectivity = { Mg = 1.66, Ca = 2.6, Sr = 3.3 }
selectivity_basis = "bead"
selectivity_at_eq_per_l = 0.1
bead_diameter_mm = 0.7
void_fraction = 0.4
bead_diffusivity_m2_per_s = { Mg = 1e-11, Ca = 2e-11, Sr = 1e-11 }
bead_activation_kj_per_mol = 25

[bed]
depth_m = 1.2
diameter_m = 0.5

[rates]
film_per_s = 0.1
film_correlation = "wilson-geankoplis"
film_diffusion = "by-ion"
bead_per_s = 0.005
dispersion_m2_per_s = 1e-6

[service]
flow_bv_per_h = 25
volume_bv = 150
service_flow = "up"

[regeneration]
direction = "co-current"
salt = "NaCl"
dose_g_per_l = 120
normality_eq_per_l = 1.5
flow_bv_per_h = 4
brine_water = "feed"
soft_water_leakage_mg_per_l_caco3 = 2
slow_rinse_bv = 2
fast_rinse_bv = 4
fast_rinse_flow_bv_per_h = 15
backwash_mixing = 0.3
backwash_flow_m_per_h = 12
backwash_min = 8

[site]
name = "Heron Weir laundry"
water_use_m3_per_day = 10
salt_budget_kg_per_week = 60
accepted_leakage_mg_per_l_caco3 = 5

[display]
units = "us"
"#;

#[test]
fn a_short_file_is_filled_with_defaults() {
    let case = Case::from_toml(SHORT, "short.toml").unwrap();
    assert_eq!(case.schema, SCHEMA);
    assert_eq!((case.cells, case.kinetics), (Cells::Auto, Kinetics::Lumped));
    assert_eq!(case.water.unit, ConcentrationUnit::MgPerLCaco3);
    assert!(case.water.chloride_assumed());
    // 300 mg/L as CaCO3 is 300/50.043 meq/L (molar masses).
    let hardness = case.water.composition().unwrap().sum_of(&case.hardness_ions);
    assert!((hardness * 1e3 - 300.0 / 50.043).abs() < 1e-4, "{hardness}");
    assert_eq!(case.regeneration.backwash_minutes(), 0.0);
    assert_eq!(case.service.service_flow, ServiceFlow::Down);
}

#[test]
fn every_key_is_read() {
    let case = Case::from_toml(LONG, "long.toml").unwrap();
    assert_eq!(case.name.as_deref(), Some("pilot"));
    assert_eq!((case.cells, case.kinetics, case.tolerance), (Cells::Number(60), Kinetics::Equilibrium, 1e-4));
    assert_eq!(case.hardness_ions.len(), 3);
    assert_eq!((case.water.balance, case.water.temperature_c), (Some(Ion::CL), 12.5));
    let Selectivity::Given(given) = &case.resin.selectivity else { panic!("{:?}", case.resin.selectivity) };
    assert_eq!(given[&Ion::CA], 2.6);
    // Per litre of bead: a divalent K is divided by 1 - eps (algebra).
    assert!((case.resin.selectivity_of(Ion::CA).unwrap() - 2.6 / 0.6).abs() < 1e-12);
    assert!(matches!(&case.resin.bead_diffusivity_m2_per_s, BeadDiffusivity::ByIon(d) if d[&Ion::MG] == 1e-11));
    assert_eq!(case.rates.film_diffusion.name(), "by-ion");
    assert_eq!((case.rates.film_correlation.name(), case.rates.bead_per_s), ("wilson-geankoplis", Some(0.005)));
    assert_eq!((case.service.service_flow, case.service.limit_mg_per_l_caco3), (ServiceFlow::Up, None));
    let regeneration = &case.regeneration;
    assert_eq!((regeneration.direction, regeneration.brine_water), (Direction::CoCurrent, BrineWater::Feed));
    assert_eq!((regeneration.normality_eq_per_l, regeneration.strength_percent), (Some(1.5), None));
    assert_eq!((regeneration.mixing(), regeneration.backwash_minutes()), (0.3, 8.0));
    assert_eq!(case.site.as_ref().unwrap().salt_budget_kg_per_week, Some(60.0));
    assert_eq!(case.display.as_ref().unwrap().units, DisplayUnits::Us);
}

#[test]
fn what_is_written_is_read_back_the_same() {
    let short = Case::from_toml(SHORT, "short.toml").unwrap();
    let long = Case::from_toml(LONG, "long.toml").unwrap();
    for case in [short, long, default_case(), default_case().mirrored(), softener(Direction::CoCurrent, 96.0)] {
        let text = case.to_toml().unwrap();
        assert!(text.starts_with("schema = 1"), "{text}");
        assert_eq!(Case::from_toml(&text, "written").unwrap(), case);
        assert_eq!(Case::from_json(&case.to_json().unwrap()).unwrap(), case);
        // Written again it is the same text: a file does not change by being read.
        assert_eq!(Case::from_toml(&text, "written").unwrap().to_toml().unwrap(), text);
    }
}

/// What is wrong, where, and what would be right.
fn refusal(text: &str) -> (String, String) {
    match Case::from_toml(text, "my.toml").unwrap_err() {
        Error::Text { source_name, reason, .. } => (source_name, reason),
        Error::Value { field, value, limits, .. } => (field.to_string(), format!("{value}: {limits}")),
        other => (String::new(), other.to_string()),
    }
}

#[test]
fn unknown_keys_are_refused_with_line_and_key() {
    for (known, unknown, key) in [
        ("dose_g_per_l", "dose_g_per_litre", "dose_g_per_litre"),
        ("limit_mg_per_l_caco3", "limit_in_degrees", "limit_in_degrees"),
        ("depth_m", "depht_m", "depht_m"),
        ("schema = 1", "schema = 1\ncolour = 3", "colour"),
    ] {
        let text = SHORT.replace(known, unknown);
        let line = 1 + text[..text.find(key).unwrap()].matches('\n').count();
        let (source, reason) = refusal(&text);
        assert_eq!(source, "my.toml");
        assert!(reason.contains(key), "{reason}");
        assert!(reason.contains(&format!("line {line}")), "line {line}: {reason}");
    }
}

#[test]
fn another_schema_or_none_is_refused() {
    let (field, reason) = refusal(&SHORT.replace("schema = 1", "schema = 2"));
    assert!(field == "schema" && reason.contains("reads schema 1"), "{field}: {reason}");
    let (source, reason) = refusal(&SHORT.replace("schema = 1", ""));
    assert!(source == "my.toml" && reason.contains("schema"), "{reason}");
}

#[test]
fn values_of_the_wrong_kind_are_refused() {
    for (right, wrong, word) in [
        ("dose_g_per_l = 80", "dose_g_per_l = \"eighty\"", "eighty"),
        ("direction = \"counter-current\"", "direction = \"upward\"", "upward"),
        ("Ca = 200", "Xx = 200", "Xx"),
        ("unit = \"mg/L CaCO3\"", "unit = \"ppm\"", "ppm"),
        ("dose_g_per_l = 80", "dose_g_per_l = -80", "dose_g_per_l"),
        ("dose_g_per_l = 80", "dose_g_per_l = nan", "dose_g_per_l"),
        ("[bed]", "[bed", "line"),
    ] {
        let (named, reason) = refusal(&SHORT.replace(right, wrong));
        assert!(!named.is_empty() && format!("{named} {reason}").contains(word), "{wrong}: {named}: {reason}");
    }
}

#[test]
fn files_that_are_no_text_or_not_there() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    let good = folder.join("case_file_good.toml");
    fs::write(&good, SHORT).unwrap();
    assert_eq!(Case::from_toml_file(&good).unwrap(), Case::from_toml(SHORT, "short.toml").unwrap());
    let binary = folder.join("case_file_binary.toml");
    fs::write(&binary, [b'a', 0xff, 0xfe, 0x00]).unwrap();
    for (path, word) in [(&binary, "UTF-8"), (&folder.join("case_file_nowhere.toml"), "read"), (&folder, "read")] {
        let error = Case::from_toml_file(path).unwrap_err();
        assert!(matches!(error, Error::File { action: "read", .. }), "{error}");
        let text = error.to_string();
        assert!(text.contains(word) && text.contains(&path.display().to_string()), "{text}");
    }
    fs::remove_file(good).unwrap();
    fs::remove_file(binary).unwrap();
}
