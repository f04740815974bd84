//! A named set of diffusivities in a case: the same as its numbers, kept in files, and refused where an ion has none.
#![allow(clippy::unwrap_used, reason = "a case that fails is a test that fails")]

use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::{BeadDiffusivity, Selectivity};
use brinefront::plan::model::Model;
use brinefront::{Case, DiffusivityKind, DiffusivitySet, Error};
use brinefront_tests::cases::{loaded, tiny};

fn with(kinetics: Kinetics, diffusivity: BeadDiffusivity) -> Case {
    let mut case = Case { kinetics, ..tiny(Direction::CoCurrent, 96.0) };
    case.rates.bead_per_s = None;
    case.resin.bead_diffusivity_m2_per_s = diffusivity;
    case
}

fn naming(kinetics: Kinetics, set: &str) -> Case {
    with(kinetics, BeadDiffusivity::Named(set.into()))
}

fn by_ion(kinetics: Kinetics, numbers: [(Ion, f64); 3]) -> Case {
    with(kinetics, BeadDiffusivity::ByIon(numbers.into()))
}

/// The field that a refusal names, and what it says.
fn refusal(error: Error) -> (String, String) {
    let text = error.to_string();
    match error {
        Error::Value { field, .. } => (field.to_string(), text),
        _ => (String::new(), text),
    }
}

#[test]
fn a_case_that_names_a_set_is_one_with_its_numbers() {
    let numbers = [(Ion::NA, 9.4e-11), (Ion::MG, 1e-11), (Ion::CA, 1e-11)];
    for kinetics in [Kinetics::Lumped, Kinetics::Interdiffusion, Kinetics::Radial] {
        let (named, given) = (naming(kinetics, "AboutTenthOfSodium"), by_ion(kinetics, numbers));
        assert_eq!(Model::new(&named, &[]).unwrap().inside, Model::new(&given, &[]).unwrap().inside);
        assert_eq!(named.cycle().unwrap().figures, given.cycle().unwrap().figures, "{kinetics}");
    }
}

/// D0 (w/(2 - w))^2 with w = 0.59 (algebra).
#[test]
fn a_case_that_names_the_rule_is_one_with_its_closed_form() {
    let detour = (0.59_f64 / 1.41).powi(2);
    let numbers = [(Ion::NA, 1.334e-9), (Ion::MG, 0.7057e-9), (Ion::CA, 0.7918e-9)].map(|(ion, d)| (ion, d * detour));
    for kinetics in [Kinetics::Interdiffusion, Kinetics::Radial] {
        let [named, given] = [naming(kinetics, "MackieMeares1955"), by_ion(kinetics, numbers)]
            .map(|case| Model::new(&case, &[]).unwrap().inside.unwrap().sizes[0].per_s.clone());
        for (one, other) in named.iter().zip(&given) {
            assert!((one / other - 1.0).abs() < 1e-12, "{one} against {other}");
        }
    }
}

#[test]
fn a_name_is_kept_in_files_and_set_as_a_change() {
    let case = naming(Kinetics::Radial, "AboutTenthOfSodium");
    let text = case.to_toml().unwrap();
    assert!(text.contains("bead_diffusivity_m2_per_s = \"AboutTenthOfSodium\""), "{text}");
    assert_eq!(Case::from_toml(&text, "written").unwrap(), case);
    assert_eq!(Case::from_json(&case.to_json().unwrap()).unwrap(), case);
    let changed = tiny(Direction::CoCurrent, 96.0).with("resin.bead_diffusivity_m2_per_s", "MackieMeares1955".into());
    let named = BeadDiffusivity::Named("MackieMeares1955".into());
    assert_eq!(changed.unwrap().resin.bead_diffusivity_m2_per_s, named);
}

#[test]
fn what_a_set_does_not_hold_is_refused_by_ion() {
    let case = tiny(Direction::CoCurrent, 96.0);
    let change = |name: &str| refusal(case.with("resin.bead_diffusivity_m2_per_s", name.into()).unwrap_err());
    let (field, text) = change("BoydSoldano1953");
    assert_eq!(field, "resin.bead_diffusivity_m2_per_s.Mg");
    assert!(text.contains("magnesium") && text.contains("(AboutTenthOfSodium, MackieMeares1955)"), "{text}");
    let (field, text) = change("1.5e-11 m2/s");
    assert_eq!(field, "resin.bead_diffusivity_m2_per_s");
    for name in DiffusivitySet::names() {
        assert!(text.contains(name), "{text}");
    }
    // An ion that a loading alone brings in.
    let mut case = naming(Kinetics::Radial, "AboutTenthOfSodium");
    case.resin.selectivity = Selectivity::Named("BonnerSmith1957".into());
    let ammonium: Ion = "NH4".parse().unwrap();
    let (field, _) = refusal(case.load(&loaded(&[(ammonium, 1.0)]), 10.0).map(|_| ()).unwrap_err());
    assert_eq!(field, "resin.bead_diffusivity_m2_per_s.NH4");
}

#[test]
fn sets_are_open_to_other_crates() {
    let rules = DiffusivitySet::all().unwrap().iter().filter(|set| set.kind == DiffusivityKind::Obstruction);
    assert_eq!(rules.map(|set| set.name.as_str()).collect::<Vec<_>>(), ["MackieMeares1955"]);
}
