//! What stands beside the figures: rules of design, targets of the site, soft water that a regeneration takes, and what is
//! taken for granted of a bed that its upflow lifts.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::{
    At, BrineWater, Case, CycleReport, Direction, Ion, LiftedMixing, Note, Rule, Site, Target, Weight, compare,
};
use brinefront_tests::cases::tiny;

fn with_site(direction: Direction) -> Case {
    let mut case = tiny(direction, 96.0);
    case.site = Some(Site {
        salt_budget_kg_per_week: Some(60.0),
        accepted_leakage_mg_per_l_caco3: Some(5.0),
        use_days: 5,
        ..Site::new("a laundry".into(), 10.0)
    });
    case
}

fn close(found: f64, expected: f64) {
    assert!((found / expected - 1.0).abs() < 1e-12, "{found} is not {expected}");
}

#[test]
fn every_rule_is_held_against_the_steps_as_run() {
    let cycle = with_site(Direction::CoCurrent).cycle().unwrap();
    let found = |rule| cycle.design_rules.iter().find(|each| each.rule == rule).unwrap();
    assert_eq!(cycle.design_rules.len(), 14);
    close(found(Rule::ServiceVelocity).found, 18.0);
    close(found(Rule::SpecificFlow).found, 20.0);
    close(found(Rule::BedDepth).found, 0.9);
    close(found(Rule::SaltDose).found, 96.0);
    close(found(Rule::BrineStrength).found, 10.0);
    close(found(Rule::BrineFlow).found, 3.0);
    close(found(Rule::BrineTime).found, 20.0 * cycle.figures.brine_volume_bv);
    close(found(Rule::SlowRinse).found, 1.5);
    close(found(Rule::FastRinse).found, 3.0);
    close(found(Rule::BackwashRate).found, 15.0);
    close(found(Rule::RegenerationsADay).found, cycle.figures.regenerations_per_week.unwrap() / 5.0);
    let service = cycle.steps.iter().find(|row| row.step.words() == "service").unwrap();
    close(found(Rule::HeadLoss).found, service.pressure_drop_kpa.unwrap());
    let outside = |rule| !found(rule).inside;
    assert!(outside(Rule::ServiceVelocity) && outside(Rule::FastRinse) && outside(Rule::BrineTime));
    assert!(!outside(Rule::SlowRinse) && !outside(Rule::BrineFlow) && !outside(Rule::SaltDose));
}

#[test]
fn a_week_counts_the_soft_water_that_is_left_for_use() {
    let soft = with_site(Direction::CounterCurrent).cycle().unwrap();
    let figures = &soft.figures;
    close(figures.soft_water_used_bv, figures.brine_volume_bv + 1.5);
    close(figures.soft_water_l, figures.run_length_l - figures.soft_water_used_bv * soft.case.bed.volume_l());
    close(figures.regenerations_per_week.unwrap(), 5.0 * 10.0e3 / figures.soft_water_l);
    close(figures.salt_kg_per_m3.unwrap(), figures.salt_kg_per_week.unwrap() / 50.0);

    let mut case = with_site(Direction::CounterCurrent);
    case.regeneration.brine_water = BrineWater::Feed;
    let hard = case.cycle().unwrap().figures;
    assert_eq!((hard.soft_water_used_bv, hard.soft_water_l), (0.0, hard.run_length_l));
}

#[test]
fn a_site_is_told_what_is_met_and_what_is_missed() {
    let cycle = with_site(Direction::CounterCurrent).cycle().unwrap();
    let figures = &cycle.figures;
    let [budget, leakage, used] = &cycle.site_targets[..] else { panic!("three targets") };
    assert_eq!(
        [budget.target, leakage.target, used.target],
        [Target::SaltBudget, Target::AcceptedLeakage, Target::Use]
    );
    assert_eq!((budget.found, budget.asked), (figures.salt_kg_per_week, 60.0));
    assert_eq!(budget.met, figures.salt_kg_per_week.unwrap() <= 60.0);
    assert_eq!(leakage.found, Some(figures.leakage_mean_mg_per_l_caco3));
    let a_day = (24.0 / (figures.run_hours + figures.regeneration_min / 60.0)).min(3.0);
    close(used.found.unwrap(), a_day * figures.soft_water_l / 1000.0);
    assert_eq!((used.asked, used.met), (10.0, used.found.unwrap() >= 10.0));

    // A budget that is closer to what was found than the error of it is.
    let mut near = with_site(Direction::CounterCurrent);
    near.service.volume_bv = None;
    near.cells = brinefront::Cells::Auto;
    let site = near.site.as_mut().unwrap();
    site.salt_budget_kg_per_week = Some(1e3);
    let found = near.cycle().unwrap();
    assert!(found.site_targets[0].met && !found.site_targets[0].within_error);
    let (salt, error) = (found.site_targets[0].found.unwrap(), found.site_targets[0].error.unwrap());
    near.site.as_mut().unwrap().salt_budget_kg_per_week = Some(salt + 0.5 * error);
    let line = near.cycle().unwrap().site_targets[0].to_string();
    assert!(line.starts_with("salt budget: met, within the numerical error"), "{line}");

    let mut none = tiny(Direction::CounterCurrent, 96.0);
    none.site = None;
    assert!(none.cycle().unwrap().site_targets.is_empty());
}

#[test]
fn figures_of_a_packed_bed_say_so_where_its_upflow_lifts_it() {
    let assumed = |held_down, lifted_mixing| {
        let mut case = tiny(Direction::CounterCurrent, 96.0);
        case.bed.held_down = held_down;
        case.bed.lifted_mixing = lifted_mixing;
        case.cycle().unwrap().assumed_of_the_bed()
    };
    let none = LiftedMixing::None;
    assert_eq!(assumed(None, none), Some("assumes the bed is held down"));
    assert_eq!(assumed(Some(true), none), None);
    let packed = assumed(Some(false), none).unwrap();
    assert!(packed.starts_with("shows the packed bed: its upflow lifts it and nothing holds it down"), "{packed}");
    assert!(packed.contains("no lifted_mixing was asked for"), "{packed}");
    assert_eq!(assumed(Some(false), LiftedMixing::Full), None);
    assert_eq!(assumed(None, LiftedMixing::Full), None);
    let downflow: CycleReport = tiny(Direction::CoCurrent, 96.0).cycle().unwrap();
    assert_eq!(downflow.assumed_of_the_bed(), None);
}

/// Without mixing a bed that nothing holds has the figures of one that is held, bit for bit, and the answer says so.
#[test]
fn the_answer_of_a_bed_that_nothing_holds_says_which_bed_it_shows() {
    let with = |held_down| {
        let mut case = tiny(Direction::CounterCurrent, 96.0);
        case.bed.held_down = Some(held_down);
        case
    };
    let (held, free) = (with(true).cycle().unwrap(), with(false).cycle().unwrap());
    assert_eq!(held.figures, free.figures);
    let said = |case| compare(&[case], At::EqualDose).unwrap().sentence();
    let (of_held, of_free) = (said(with(true)), said(with(false)));
    let clause = free.assumed_of_the_bed().unwrap();
    assert_eq!(of_free, format!("The answer for counter-current {clause}. {of_held}"));
    // So fast that it would carry the beads off, it is the packed bed that is shown all the same.
    let mut fast = with(false);
    fast.regeneration.flow_bv_per_h = 100.0;
    let clause = fast.cycle().unwrap().assumed_of_the_bed().unwrap();
    assert!(clause.starts_with("shows the packed bed: its upflow carries its beads away"), "{clause}");
}

/// Half of the feed's hardness, or what the site accepts, is the most that soft water may have where no limit ends a run.
#[test]
fn water_that_stays_hard_counts_as_no_soft_water() {
    let with = |run_bv, accepted, limit| {
        let mut case = with_site(Direction::CoCurrent);
        case.service.volume_bv = Some(run_bv);
        case.service.limit_mg_per_l_caco3 = limit;
        case.site.as_mut().unwrap().accepted_leakage_mg_per_l_caco3 = accepted;
        case.cycle().unwrap()
    };
    let not_soft = |cycle: &CycleReport| {
        cycle.notes.iter().find(|note| matches!(note, Note::NotSoft { .. })).map(ToString::to_string)
    };
    let hard = with(2000.0, None, None);
    let (figures, half) = (&hard.figures, 0.5 * hard.figures.feed_hardness_mg_per_l_caco3);
    let mean = figures.leakage_mean_mg_per_l_caco3;
    assert!(mean > half && figures.run_length_l > 0.0 && !figures.delivers_soft_water);
    assert!(figures.soft_water_l <= 0.0);
    let of_soft_water = [
        figures.salt_kg_per_m3,
        figures.regenerations_per_week,
        figures.salt_kg_per_week,
        figures.chloride_kg_per_week,
        figures.waste_m3_per_week,
    ];
    assert_eq!(of_soft_water, [None; 5]);
    assert!(hard.site_targets.iter().filter(|each| each.target != Target::AcceptedLeakage).all(|each| !each.met));
    let values =
        Note::NotSoft { leakage_mean_mg_per_l_caco3: mean, most_mg_per_l_caco3: half, accepted_by_site: false };
    assert!(hard.notes.contains(&values) && values.weight() == Weight::Acts, "{:?}", hard.notes);
    assert!(not_soft(&hard).unwrap().contains("more than half of the feed's hardness"), "{:?}", not_soft(&hard));
    let said = compare(&[hard.case.clone(), with(60.0, None, None).case], At::EqualDose).unwrap().sentence();
    assert!(said.contains("delivers no soft water: it leaks") && said.matches("no soft water").count() == 1, "{said}");

    // Soft by half of the feed, not by what the site accepts.
    let usual = with(60.0, None, None);
    let leaks = usual.figures.leakage_mean_mg_per_l_caco3;
    assert!(usual.figures.delivers_soft_water && usual.figures.salt_kg_per_m3.is_some() && not_soft(&usual).is_none());
    let strict = with(60.0, Some(0.9 * leaks), None);
    assert!(!strict.figures.delivers_soft_water && strict.figures.salt_kg_per_week.is_none());
    assert!(not_soft(&strict).unwrap().contains("that the site accepts"), "{:?}", not_soft(&strict));
    assert!(with(60.0, Some(leaks), None).figures.delivers_soft_water);
    // A limit says by itself how far water is soft; what the site accepts is then a target alone.
    let limited = with(60.0, Some(0.9 * leaks), Some(17.0));
    assert!(limited.figures.delivers_soft_water && limited.figures.salt_kg_per_week.is_some());
    assert!(not_soft(&limited).is_none() && limited.site_targets.iter().any(|each| !each.met));
}

#[test]
fn iron_in_the_feed_is_noted_with_the_allowance_of_practice() {
    let mut case = tiny(Direction::CoCurrent, 96.0);
    case.water.ions.insert(Ion::FE, 2.0);
    if let brinefront::Selectivity::Given(given) = &mut case.resin.selectivity {
        given.insert(Ion::FE, 2.0);
    }
    let notes = case.cycle().unwrap().notes;
    let iron = notes.iter().find(|note| matches!(note, Note::Fouling { .. })).unwrap();
    assert_eq!(iron.weight(), Weight::Acts);
    let line = iron.to_string();
    assert!(line.contains("2.00 mg/L") && line.contains("68.5 to 171 mg/L as CaCO3"), "{line}");
    assert!(line.contains("regenerated like the other divalents, which practice does not count on"), "{line}");
}
