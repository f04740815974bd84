//! Every answer can be written by serde.
#![allow(clippy::unwrap_used, reason = "a test that fails is meant to panic")]

use brinefront::{At, Direction, Loading, Order, WAVE_LEVELS, compare, sweep};
use brinefront_tests::cases::tiny;
use serde_json::{Value, json, to_value};

#[test]
fn every_answer_is_written_with_its_numbers() {
    let case = tiny(Direction::CounterCurrent, 96.0);
    let both = compare(std::slice::from_ref(&case), At::EqualDose).unwrap();
    let written = to_value(&both).unwrap();
    assert_eq!(written["at"], "equal-dose");
    let (found, cycle) = (&both.cycles[0], &written["cycles"][0]);
    assert_eq!(cycle["figures"]["run_length_bv"], found.figures.run_length_bv);
    assert_eq!(cycle["figures"]["stop_reason"], found.figures.stop_reason.words());
    assert_eq!(cycle["case"], to_value(&found.case).unwrap());
    // Arrays keep their shape.
    let (profile, shape) = (&cycle["profiles"]["loading_eq_per_l"], found.profiles.loading_eq_per_l.shape());
    assert_eq!(profile["dim"], json!(shape));
    assert_eq!(profile["data"][1], found.profiles.loading_eq_per_l.as_slice().unwrap()[1]);
    assert_eq!(cycle["leakage"]["bv"][1], found.leakage.bv[1]);

    let run = case.load(&Loading::Feed, 2.0).unwrap();
    assert_eq!(to_value(&run).unwrap()["ledger_error"], run.ledger_error);
    assert_eq!(to_value(case.through_time(None, 10).unwrap()).unwrap()["bv"].as_array().map(Vec::len), Some(10));
    assert!(to_value(case.hydraulics().unwrap()).unwrap()[0]["velocity_m_per_h"].is_number());
    assert!(to_value(case.waves(WAVE_LEVELS).unwrap()).unwrap()["pieces"].is_array());
    assert_eq!(to_value(case.efficiency_ceiling(&[96.0]).unwrap()).unwrap()[1]["dose_g_per_l"], 96.0);
    assert_eq!(to_value(case.salt_account(Order::Ladder).unwrap()).unwrap()["order"], "ladder");
}

#[test]
fn a_point_that_could_not_be_run_is_written_as_its_error() {
    let axes = [("regeneration.dose_g_per_l".to_string(), vec![96.0.into(), Value::from(-1.0)])];
    let found = sweep(&tiny(Direction::CounterCurrent, 96.0), &axes, None).unwrap();
    let written = to_value(&found).unwrap();
    assert_eq!(written["axes"], json!([["regeneration.dose_g_per_l", [96.0, -1.0]]]));
    let points = &written["points"];
    assert_eq!(points[0]["Ok"]["effort"]["steps"], found.points[0].as_ref().unwrap().effort.steps);
    let refused = found.points[1].as_ref().unwrap_err();
    assert_eq!(points[1]["Err"], refused.to_string());
}
