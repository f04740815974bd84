//! A bed above its limit told apart from one that is soft after shorter runs; the least salt for a leakage. Checked against
//! what the words mean, by further cycles on either side of each edge: no source is needed.
#![allow(clippy::unwrap_used, reason = "a cycle that cannot be run is a test that fails")]

use brinefront::inputs::case::Case;
use brinefront::inputs::regeneration::Direction;
use brinefront::study::{At, LeakageBound, LeakageMeasure, LeakageTarget, compare, compare_at_leakage};
use brinefront::{CycleReport, DOSES_G_PER_L, FREE_RUN_DOSE_G_PER_L, Outcome, Site, StopReason};
use brinefront_tests::cases::softener;

/// The softener on few cells: what is asked here does not depend on how many.
fn small(direction: Direction, dose_g_per_l: f64) -> Case {
    Case { cells: 40.into(), ..softener(direction, dose_g_per_l) }
}

fn steady(case: &Case) -> CycleReport {
    case.cycle().unwrap()
}

/// Is a case metered at a run within its limit, in all of the run and in the mean?
fn holds(case: &Case, run_bv: f64) -> bool {
    let mut metered = case.clone();
    metered.service.volume_bv = Some(run_bv);
    let figures = steady(&metered).figures;
    figures.settled
        && figures.stop_reason == StopReason::Throughput
        && figures.leakage_mean_mg_per_l_caco3 <= case.service.limit_mg_per_l_caco3.unwrap()
}

#[test]
fn a_bed_that_is_soft_after_shorter_runs_says_so_with_the_longest_and_the_dose() {
    let case = small(Direction::CoCurrent, 25.0);
    let cycle = steady(&case);
    let figures = &cycle.figures;
    assert_eq!((figures.outcome, figures.run_length_bv), (Outcome::CannotRecover, 0.0), "{}", figures.search_end);
    let longest = figures.longest_metered_bv.unwrap();
    assert!(holds(&case, longest) && holds(&case, 0.5 * longest), "{longest} BV does not settle below the limit");
    assert!(!holds(&case, 1.03 * longest), "more than {longest} BV settles below the limit too");
    let metered = &cycle.longest_metered.as_ref().unwrap().figures;
    assert!(metered.settled && (metered.run_length_bv / longest - 1.0).abs() < 1e-9);
    let dose = figures.soft_from_dose_g_per_l.unwrap();
    let with = |dose| Case {
        regeneration: brinefront::inputs::regeneration::Regeneration {
            dose_g_per_l: dose,
            ..case.regeneration.clone()
        },
        ..case.clone()
    };
    assert!(steady(&with(1.01 * dose)).figures.settled && !steady(&with(0.97 * dose)).figures.settled, "{dose} g/L");
    let words = compare(&[case], At::EqualDose).unwrap().sentence();
    assert!(words.contains("Co-current cannot recover") && words.contains("Counter-current leaks"), "{words}");
}

#[test]
fn a_bed_that_no_run_makes_soft_is_never_soft() {
    let mut case = small(Direction::CoCurrent, 20.0);
    case.service.limit_mg_per_l_caco3 = Some(1e-6);
    let figures = steady(&case).figures;
    assert_eq!((figures.outcome, figures.longest_metered_bv), (Outcome::NeverSoft, None));
    assert!(figures.leakage_initial_mg_per_l_caco3 > 1e-6);
}

fn target(measure: LeakageMeasure, mg_per_l_caco3: f64, run_bv: Option<f64>) -> LeakageTarget {
    LeakageTarget { measure, mg_per_l_caco3, run_bv }
}

#[test]
fn a_free_run_is_the_longest_within_the_leakage_and_no_other_dose_needs_less_salt() {
    let case = small(Direction::CoCurrent, 96.0);
    let asked = target(LeakageMeasure::Mean, 1.0, None);
    let found = compare_at_leakage(std::slice::from_ref(&case), asked).unwrap();
    assert_eq!((found.at, found.target, found.bounds.len()), (At::Leakage, Some(asked), 2));
    let best = &found.cycles[0];
    assert!(best.figures.settled && best.figures.leakage_mean_mg_per_l_caco3 <= 1.0, "{:?}", best.figures);
    assert_eq!(found.bounds[0], LeakageBound::Leakage);
    let mut longer = best.case.clone();
    longer.service.volume_bv = longer.service.volume_bv.map(|run| 1.02 * run);
    assert!(steady(&longer).figures.leakage_mean_mg_per_l_caco3 > 1.0);
    // At other doses runs that need a little less salt for their water leak too much.
    for factor in [0.6, 0.8, 1.25, 1.6] {
        let mut other = best.case.clone();
        other.regeneration.dose_g_per_l *= factor;
        other.service.volume_bv = other.service.volume_bv.map(|run| 1.03 * factor * run);
        let figures = steady(&other).figures;
        let meets = figures.stop_reason == StopReason::Throughput && figures.leakage_mean_mg_per_l_caco3 <= 1.0;
        assert!(!meets, "{} g/L needs less salt", other.regeneration.dose_g_per_l);
    }
    // The other direction needs less; a dose is as small as is tried.
    let against = &found.cycles[1];
    assert_eq!(found.bounds[1], LeakageBound::LeastDose);
    assert!(against.figures.salt_kg_per_m3 < best.figures.salt_kg_per_m3);
    assert!(found.sentence().contains("bound by the least dose"), "{}", found.sentence());
    // The answer begins with it, whatever the order of the columns, and says who needs less than whom.
    let needs = |cycle: &CycleReport| cycle.figures.salt_kg_per_m3.unwrap();
    let less = 100.0 * (1.0 - needs(against) / needs(best));
    let ends = format!(
        ": counter-current needs at least {less:.0} % less than co-current. These runs keep no reserve: set the meter lower. The search is good to 4 %."
    );
    assert!(found.sentence().ends_with(&ends) && less > 4.0, "{}", found.sentence());
    let place = |name: &str| found.sentence().find(&format!("{name} needs")).unwrap();
    assert!(place("counter-current") < place("co-current"), "{}", found.sentence());
    assert!(found.sentence_us().ends_with(&ends), "{}", found.sentence_us());
}

/// Salt for another run than the one asked for is no less and no more than salt for that.
#[test]
fn a_strategy_that_misses_the_run_is_set_against_none_that_delivers_it() {
    let case = small(Direction::CoCurrent, 96.0);
    let found = compare_at_leakage(&[case], target(LeakageMeasure::HalfRun, 1e-3, Some(200.0))).unwrap();
    assert_eq!(found.bounds[0], LeakageBound::Run, "{}", found.sentence());
    assert_ne!(found.bounds[1], LeakageBound::Run, "{}", found.sentence());
    let said = found.sentence();
    assert!(said.find("counter-current needs").unwrap() < said.find("co-current needs").unwrap(), "{said}");
    assert!(!said.contains(" % less") && !said.contains("the same within"), "{said}");
}

/// Water that is not soft may be asked for too: then no figure calls it soft, and the answer has its salt all the same.
#[test]
fn a_leakage_that_is_not_soft_is_answered_as_what_it_is() {
    let mut case = small(Direction::CoCurrent, 96.0);
    case.service.limit_mg_per_l_caco3 = None;
    case.service.volume_bv = Some(60.0);
    let found = compare_at_leakage(&[case], target(LeakageMeasure::Mean, 200.0, None)).unwrap();
    let said = found.sentence();
    assert!(found.cycles.iter().all(|cycle| !cycle.figures.delivers_soft_water), "{said}");
    assert!(said.contains("kg of salt per m3 of water that is not soft") && !said.contains("NaN"), "{said}");
}

/// A mean can be met by a run whose last water is hard: that is said, and what is bought of a salt that is not pure.
#[test]
fn a_run_that_ends_far_above_the_mean_asked_for_says_so() {
    let mut case = small(Direction::CoCurrent, 96.0);
    case.service.limit_mg_per_l_caco3 = None;
    case.service.volume_bv = Some(60.0);
    case.regeneration.salt_purity_percent = Some(80.0);
    case.site = Some(Site::new("a laundry".into(), 10.0));
    let found = compare_at_leakage(&[case], target(LeakageMeasure::Mean, 5.0, None)).unwrap();
    let said = found.sentence();
    assert!(found.cycles.iter().all(|cycle| cycle.figures.leakage_end_mg_per_l_caco3 > 15.0), "{said}");
    assert_eq!(said.matches(" mg/L by its end; bound by").count(), 2, "{said}");
    let week = found.cycles[0].figures.salt_as_sold_kg_per_week.unwrap();
    assert!(
        said.contains(&format!("{week:.1} kg a week as sold"))
            || said.contains(&format!("{week:.0} kg a week as sold")),
        "{said}"
    );
}

/// Nobody saves salt by water that is not soft.
#[test]
fn no_saving_is_said_of_water_that_is_not_soft() {
    let mut case = small(Direction::CounterCurrent, 96.0);
    case.service.limit_mg_per_l_caco3 = None;
    case.service.volume_bv = Some(400.0);
    let found = compare(&[case], At::EqualLeakage).unwrap();
    let said = found.sentence();
    assert!(found.cycles.iter().any(|cycle| !cycle.figures.delivers_soft_water), "{said}");
    assert!(said.contains("delivers no soft water") && !said.contains("% less than"), "{said}");
}

/// The doses that a search tries stand in one place; what is written for users of Python follows it.
#[test]
fn the_docstring_has_the_doses_that_are_tried() {
    let python = include_str!("../../../py/python/brinefront/results/comparison.py");
    let (least, most) = DOSES_G_PER_L;
    let said =
        format!("from {FREE_RUN_DOSE_G_PER_L:.0} to {most:.0} g/L, a held one from {least:.0} to {most:.0} g/L.");
    assert!(python.contains(&said), "comparison.py does not say: {said}");
}

#[test]
fn a_held_run_gets_its_least_dose_and_one_that_none_delivers_says_so() {
    let case = small(Direction::CoCurrent, 96.0);
    let found =
        compare_at_leakage(std::slice::from_ref(&case), target(LeakageMeasure::HalfRun, 2.0, Some(60.0))).unwrap();
    for (cycle, bound) in found.cycles.iter().zip(&found.bounds) {
        assert!(
            (cycle.figures.run_length_bv - 60.0).abs() < 1e-6 && cycle.figures.leakage_half_run_mg_per_l_caco3 <= 2.0
        );
        if *bound != LeakageBound::LeastDose {
            let mut less = cycle.case.clone();
            less.regeneration.dose_g_per_l *= 0.98;
            let figures = steady(&less).figures;
            assert!(figures.run_length_bv < 60.0 * (1.0 - 1e-6) || figures.leakage_half_run_mg_per_l_caco3 > 2.0);
        }
    }
    let far =
        compare_at_leakage(std::slice::from_ref(&case), target(LeakageMeasure::HalfRun, 2.0, Some(5000.0))).unwrap();
    assert_eq!(far.bounds, [LeakageBound::Run, LeakageBound::Run]);
    assert!(
        far.cycles.iter().all(|cycle| cycle.figures.settled && cycle.figures.leakage_half_run_mg_per_l_caco3 <= 2.0)
    );
    assert!(far.sentence().contains("No dose up to 640 g/L delivers"), "{}", far.sentence());
}

#[test]
fn a_leakage_out_of_reach_is_not_met_and_one_that_is_none_is_refused() {
    let case = small(Direction::CoCurrent, 96.0);
    let found = compare_at_leakage(std::slice::from_ref(&case), target(LeakageMeasure::Max, 1e-9, None)).unwrap();
    assert_eq!(found.bounds[0], LeakageBound::NotMet, "{}", found.sentence());
    for wrong in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e4] {
        let refused = compare_at_leakage(std::slice::from_ref(&case), target(LeakageMeasure::End, wrong, None));
        assert!(refused.unwrap_err().to_string().starts_with("end = "), "{wrong}");
    }
    assert!(compare(&[case], At::Leakage).unwrap_err().to_string().contains("needs a leakage"));
}
