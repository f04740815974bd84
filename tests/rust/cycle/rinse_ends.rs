//! Steps that end on what leaves: a rinse that stops when chloride or hardness has fallen to a level.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::bed::state::State;
use brinefront::bed::vessel::VesselState;
use brinefront::cycle::history::StepHistory;
use brinefront::cycle::step::run_step;
use brinefront::cycle::{Progress, unwatched};
use brinefront::inputs::ion::Ion;
use brinefront::inputs::recipe_steps::StepName;
use brinefront::inputs::scenario::default_case;
use brinefront::plan::model::Model;
use brinefront::plan::resolved_steps::{Step, StepDirection, StepEnd, StepWater};
use brinefront::plan::steps::{PlannedStep, StopReason};

/// The cations of a water as an array \[eq/L\].
fn cations(model: &Model, water: StepWater) -> [f64; 3] {
    model.cations_of(water).try_into().unwrap()
}

/// Brine through a loaded bed, then a rinse with soft water that ends as asked.
fn rinsed(end: StepEnd) -> (Model, StepHistory) {
    let model = Model::new(&Case { cells: 100.into(), ..default_case() }, &[]).unwrap();
    let bed = State::<3>::in_equilibrium_with(&model, cations(&model, StepWater::Feed)).unwrap();
    let bed = VesselState::uniform(&model, bed);
    let step = |name, water, end| Step {
        name,
        water,
        flow_bv_per_h: 3.0,
        direction: StepDirection::AgainstService,
        end,
        mixing: 0.0,
    };
    let brine = step(StepName::Brine, StepWater::Brine, StepEnd::VolumeBv(model.waters.brine_bv));
    let rinse = step(StepName::SlowRinse, StepWater::Soft, end);
    let (bed, _) =
        run_step(&model, bed, &PlannedStep::of(&model, &brine), &[], &unwatched, Progress::default()).unwrap();
    let (_, rinse) =
        run_step(&model, bed, &PlannedStep::of(&model, &rinse), &[], &unwatched, Progress::default()).unwrap();
    (model, rinse)
}

/// The last sample of the effluent \[eq/L\].
fn last(step: &StepHistory) -> &[f64] {
    &step.sample_eq_per_l[step.sample_eq_per_l.len() - 3..]
}

#[test]
fn a_rinse_ends_where_chloride_has_fallen_to_its_level() {
    let (model, rinse) = rinsed(StepEnd::ChlorideBelow { mg_per_l: 500.0, at_most_bv: 5.0 });
    assert_eq!(rinse.stop, StopReason::Rinsed);
    let chloride = model.waters.chloride_eq_per_l(last(&rinse).iter().sum()) * Ion::CL.g_per_eq() * 1e3;
    assert!((chloride - 500.0).abs() < 1e-3, "{chloride} mg/L");
    assert!(rinse.volume_bv > model.void_fraction && rinse.volume_bv < 2.0, "{} BV", rinse.volume_bv);
}

#[test]
fn a_rinse_ends_where_hardness_has_fallen_to_its_level() {
    let (model, rinse) = rinsed(StepEnd::HardnessBelow { mg_per_l_caco3: 20.0, at_most_bv: 5.0 });
    assert_eq!(rinse.stop, StopReason::Rinsed);
    let hardness: f64 = last(&rinse).iter().zip(&model.hardness).map(|(c, counts)| c * counts).sum();
    // 50.043 g of CaCO3 an equivalent, from atomic weights.
    assert!((hardness * 50_043.0 - 20.0).abs() < 1e-3, "{} mg/L as CaCO3", hardness * 50_043.0);
}

#[test]
fn a_level_that_is_never_met_ends_at_the_volume_allowed() {
    let (_, rinse) = rinsed(StepEnd::ChlorideBelow { mg_per_l: 1.0, at_most_bv: 1.5 });
    assert_eq!(rinse.stop, StopReason::Throughput);
    assert!((rinse.volume_bv - 1.5).abs() < 1e-9, "{} BV", rinse.volume_bv);
}
