//! Whole cycles regenerated with potassium chloride.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::salt::Salt;
use brinefront::inputs::scenario::default_case;
use brinefront::plan::model::Model;
use brinefront::report::figures::Figures;

/// Mass of KCl for the equivalents of a mass of NaCl (molar masses).
const EQUAL_EQUIVALENTS: f64 = 74.551 / 58.443;

fn salted(salt: Salt, dose_g_per_l: f64) -> Case {
    let mut case = default_case();
    case.cells = 100.into();
    case.regeneration.salt = salt;
    case.regeneration.dose_g_per_l = dose_g_per_l;
    case.service.volume_bv = None;
    case
}

fn figures(case: &Case) -> Figures {
    let figures = case.cycle().unwrap().figures;
    assert!(figures.settled, "{}", figures.search_end);
    figures
}

/// Density 1064.62 kg/m3 of 10 % at 15 C (M. Laliberte, W. E. Cooper 2004, by the library `thermo` 0.6.1) over 74.551
/// g/eq: 1.4281 eq/L.
#[test]
fn dose_and_strength_give_normality_and_volume() {
    let waters = Model::new(&salted(Salt::PotassiumChloride, 100.0), &[]).unwrap().waters;
    assert!((waters.salt_normality / 1.4281 - 1.0).abs() < 5e-4, "{}", waters.salt_normality);
    assert!((waters.brine_bv * 0.10 * 1064.62 / 100.0 - 1.0).abs() < 5e-4, "{}", waters.brine_bv);
    assert_eq!(waters.salt.cation(), Ion::K);
    let soft = &waters.soft;
    assert!(soft.of(Ion::K) > 0.9 * (waters.feed.of(Ion::CA) + waters.feed.of(Ion::MG)));
    assert!((soft.of(Ion::NA) / waters.feed.of(Ion::NA) - 1.0).abs() < 1e-12);
}

/// 4699 gr/lb is 7000 x 50.043 over 74.551 (derived from atomic weights).
#[test]
fn a_cycle_closes_and_stays_below_the_limit_of_its_salt() {
    for case in [salted(Salt::PotassiumChloride, 96.0), salted(Salt::PotassiumChloride, 96.0).mirrored()] {
        let found = figures(&case);
        println!("{}: {:.0} gr/lb", found.direction.name(), found.salt_efficiency_gr_per_lb);
        assert!(found.ledger_error < 1e-10, "{}", found.ledger_error);
        assert!(found.salt_efficiency_gr_per_lb < 4699.0);
        let limit = found.salt_efficiency_gr_per_lb / found.salt_efficiency_fraction;
        assert!((limit - 4699.0).abs() < 0.5, "{limit}");
        // Soft water brings potassium for hardness, so no sodium is added.
        assert!(found.sodium_added_mg_per_l < 0.1, "{}", found.sodium_added_mg_per_l);
    }
}

/// At equal equivalents the two salts free about as much: only the stoichiometry is certain, no measured comparison was found.
/// Here potassium frees some 15 % more: resin holds it more strongly than sodium, and its brine, 28 % larger at equal strength
/// and flow, has as much longer to work.
#[test]
fn equal_equivalents_free_about_as_much() {
    let sodium = figures(&salted(Salt::SodiumChloride, 96.0)).capacity_eq_per_l;
    let potassium = figures(&salted(Salt::PotassiumChloride, 96.0 * EQUAL_EQUIVALENTS)).capacity_eq_per_l;
    println!("{sodium:.3} and {potassium:.3} eq/L");
    assert!((0.9..1.2).contains(&(potassium / sodium)), "{}", potassium / sodium);
}

#[test]
fn saturation_is_that_of_the_salt() {
    let mut case = salted(Salt::PotassiumChloride, 96.0);
    case.regeneration.strength_percent = Some(25.0);
    let refused = case.validate().unwrap_err().to_string();
    assert!(refused.contains("KCl at 15 C holds at most 24.64 %"), "{refused}");
    case.regeneration.strength_percent = None;
    case.regeneration.normality_eq_per_l = Some(4.5);
    let refused = Model::new(&case, &[]).unwrap_err().to_string();
    assert!(refused.contains("KCl holds at most 3.86"), "{refused}");
}

#[test]
fn a_case_file_names_the_salt() {
    let case = salted(Salt::PotassiumChloride, 96.0);
    let text = case.to_toml().unwrap();
    assert!(text.contains("salt = \"KCl\""), "{text}");
    assert_eq!(Case::from_toml(&text, "text").unwrap(), case);
}
