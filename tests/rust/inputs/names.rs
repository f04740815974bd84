//! One set of names for each enumeration: files, texts and errors agree on them.
#![allow(clippy::unwrap_used, reason = "a test that fails is meant to panic")]

use std::fmt::{Debug, Display};
use std::str::FromStr;

use brinefront::{
    ActivityLaw, At, BrineWater, ConcentrationUnit, Direction, Error, FilmCorrelation, FilmDiffusion, Ion, Kinetics,
    LiftedMixing, Order, Outcome, Salt, SelectivityBasis, ServiceFlow, StepName, StopReason,
};
use serde::Serialize;
use serde::de::DeserializeOwned;

/// What is written is read back, as text and as JSON, and what is refused is told every name.
fn agree<T>(all: &[T], names: &[&str])
where
    T: Copy + Debug + PartialEq + Display + FromStr<Err = Error> + Serialize + DeserializeOwned,
{
    assert!(!all.is_empty() && all.len() == names.len());
    for (one, name) in all.iter().zip(names) {
        assert_eq!((one.to_string().as_str(), name.parse()), (*name, Ok(*one)));
        assert_eq!(serde_json::to_value(one).unwrap(), serde_json::Value::from(*name));
        assert_eq!(serde_json::from_value::<T>((*name).into()).unwrap(), *one);
    }
    let refused = "nobody".parse::<T>().unwrap_err();
    assert!(matches!(&refused, Error::Value { value, .. } if value == "nobody"));
    for name in names {
        assert!(refused.to_string().contains(name), "{refused} does not name {name}");
    }
}

#[test]
fn files_texts_and_errors_have_the_same_names() {
    agree(ActivityLaw::ALL, ActivityLaw::NAMES);
    agree(At::ALL, At::NAMES);
    agree(BrineWater::ALL, BrineWater::NAMES);
    agree(ConcentrationUnit::ALL, ConcentrationUnit::NAMES);
    agree(Direction::ALL, Direction::NAMES);
    agree(FilmCorrelation::ALL, FilmCorrelation::NAMES);
    agree(FilmDiffusion::ALL, FilmDiffusion::NAMES);
    agree(Kinetics::ALL, Kinetics::NAMES);
    agree(LiftedMixing::ALL, LiftedMixing::NAMES);
    agree(Order::ALL, Order::NAMES);
    agree(Salt::ALL, Salt::NAMES);
    agree(SelectivityBasis::ALL, SelectivityBasis::NAMES);
    agree(ServiceFlow::ALL, ServiceFlow::NAMES);
    agree(StepName::ALL, StepName::NAMES);
    let ions: Vec<Ion> = Ion::all().collect();
    agree(&ions, &ions.iter().map(|ion| ion.symbol()).collect::<Vec<_>>());
}

/// What a result is told apart by is read back from what is shown and written of it.
#[test]
fn outcomes_and_reasons_are_read_back() {
    fn agree<T>(all: &[T], names: &[&str], field: &str)
    where
        T: Copy + Debug + PartialEq + Display + FromStr<Err = Error> + Serialize,
    {
        assert!(!all.is_empty() && all.len() == names.len());
        for (one, name) in all.iter().zip(names) {
            assert_eq!((one.to_string().as_str(), name.parse()), (*name, Ok(*one)));
            assert_eq!(serde_json::to_value(one).unwrap(), serde_json::Value::from(*name));
            assert_eq!(format!("{one:>20}").trim_start().len(), name.len());
        }
        let refused = "nobody".parse::<T>().unwrap_err().to_string();
        assert!(refused.starts_with(&format!("{field} = nobody: must be {}", names[0])), "{refused}");
    }
    agree(Outcome::ALL, Outcome::NAMES, "outcome");
    agree(StopReason::ALL, StopReason::NAMES, "stop_reason");
    // What another crate may hold a result by is one of all of them.
    assert!(Outcome::ALL.contains(&Outcome::CannotRecover) && StopReason::ALL.contains(&StopReason::Rinsed));
}

/// What methods of public types give and take has a name at the root.
#[test]
fn what_methods_give_has_a_name() {
    let resin = brinefront::default_case().resin;
    let coefficient: brinefront::Coefficient = resin.coefficient_of(Ion::CA).unwrap();
    let scale = brinefront::Scale { ..coefficient.scale().clone() };
    assert!(matches!(scale.form, brinefront::Form::NormalityCapacity(SelectivityBasis::Bed)), "{scale:?}");
    // How relative affinities are read; separation factors need no reading.
    for set in brinefront::SelectivitySet::all().unwrap() {
        let reading: Option<brinefront::Reading> = set.reading;
        assert_eq!(reading.is_some(), set.kind == brinefront::SelectivityKind::Relative, "{}", set.name);
    }
    let validity: brinefront::Validity = FilmCorrelation::Carberry.validity(1.0, 1000.0);
    let limits: brinefront::FilmLimits = validity.limits;
    assert!(limits.reynolds.0 < limits.reynolds.1);
    let case = brinefront::default_case();
    let steps: Vec<brinefront::Step> =
        brinefront::Recipe::of(&case.regeneration).resolved(&case.regeneration, &case.bed, 0.8).unwrap();
    assert!(steps.iter().any(|step| matches!(step.end, brinefront::StepEnd::VolumeBv(_))));
    assert!(steps.iter().any(|step| step.direction == brinefront::StepDirection::AgainstService));
}

#[test]
fn errors_are_sentences_and_name_their_field() {
    let said = |error: Error| error.to_string();
    assert_eq!(
        said("up".parse::<Direction>().unwrap_err()),
        "regeneration.direction = up: must be co-current or counter-current"
    );
    assert_eq!(
        said("film".parse::<Kinetics>().unwrap_err()),
        "kinetics = film: must be equilibrium, lumped, interdiffusion or radial"
    );
    assert_eq!(
        said("CaCl2".parse::<Salt>().unwrap_err()),
        "regeneration.salt = CaCl2: not a salt known here; known: NaCl, KCl"
    );
    let unit = said("ppm".parse::<ConcentrationUnit>().unwrap_err().in_field("target"));
    assert_eq!(unit, "target = ppm: must be one of mg/L, mg/L CaCO3, mmol/L, meq/L");
}

#[test]
fn hard_water_is_the_feed() {
    assert_eq!("hard".parse(), Ok(BrineWater::Feed));
}
