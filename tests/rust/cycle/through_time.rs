//! The bed through one cycle: the recording against the cycle that is reported, and against what conservation says.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use std::ops::Range;

use brinefront::Case;
use brinefront::Error;
use brinefront::inputs::bed::LiftedMixing;
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::cells::Cells;
use brinefront::inputs::maldistribution::Maldistribution;
use brinefront::inputs::recipe_steps::StepName;
use brinefront::inputs::regeneration::Direction;
use brinefront::report::CycleReport;
use brinefront::report::tables::Curve;
use brinefront::report::through_time::ThroughTime;
use brinefront_tests::cases::softener;
use ndarray::{Array3, ArrayView2, Axis};

fn case(direction: Direction) -> Case {
    let mut case = softener(direction, 96.0);
    case.cells = 40.into();
    case
}

fn recorded(case: &Case, moments: usize) -> (CycleReport, ThroughTime) {
    (case.cycle().unwrap(), case.through_time(None, moments).unwrap())
}

/// One moment of a table, cells x ions.
fn bed(table: &Array3<f64>, moment: usize) -> ArrayView2<'_, f64> {
    table.index_axis(Axis(0), moment)
}

/// Moments of one step after the other.
fn by_step(found: &ThroughTime) -> Vec<(StepName, Range<usize>)> {
    let mut steps: Vec<(StepName, Range<usize>)> = Vec::new();
    for (moment, step) in found.step.iter().enumerate() {
        match steps.last_mut() {
            Some((name, range)) if name == step => range.end = moment + 1,
            _ => steps.push((*step, moment..moment + 1)),
        }
    }
    steps
}

/// The steps of a cycle; a service with a rest is three of the recording's, of which the last is its end.
fn assert_ends_are_the_profiles(cycle: &CycleReport, found: &ThroughTime) {
    let mut steps = by_step(found);
    let service = steps.pop().unwrap();
    if cycle.figures.restart_before_mg_per_l_caco3.is_some() && steps.last().unwrap().0 == StepName::Standby {
        let before = steps.len() - 2;
        assert_eq!(steps[before].0, StepName::Service);
        steps.truncate(before);
    }
    steps.push(service);
    assert_eq!(steps.iter().map(|(name, _)| *name).collect::<Vec<_>>(), cycle.profiles.steps);
    for (place, (name, range)) in steps.iter().enumerate() {
        let (last, first) = (range.end - 1, range.start);
        let profile = bed(&cycle.profiles.loading_eq_per_l, place);
        assert_eq!(bed(&found.loading_eq_per_l, last), profile, "loading after {name:?}");
        let profile = bed(&cycle.profiles.liquid_eq_per_l, place);
        assert_eq!(bed(&found.liquid_eq_per_l, last), profile, "liquid after {name:?}");
        if place > 0 {
            assert_eq!(
                bed(&found.loading_eq_per_l, first),
                bed(&found.loading_eq_per_l, first - 1),
                "{name:?} begins with what it finds"
            );
        }
    }
}

#[test]
fn each_step_ends_with_its_profile_to_the_last_bit() {
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let (cycle, found) = recorded(&case(direction), 100);
        assert!(cycle.figures.settled);
        assert_ends_are_the_profiles(&cycle, &found);
    }
}

#[test]
fn and_so_it_is_with_everything_that_makes_a_cycle_special() {
    let mut rested = case(Direction::CounterCurrent);
    rested.service.standby_after_bv = Some(40.0);
    rested.service.standby_hours = Some(8.0);
    let mut reclaiming = case(Direction::CounterCurrent);
    reclaiming.regeneration.reclaim_from_bv = Some(1.2);
    reclaiming.regeneration.reclaim_to_bv = Some(1.7);
    let mut lifted = case(Direction::CounterCurrent);
    lifted.bed.lifted_mixing = LiftedMixing::Full;
    lifted.regeneration.flow_bv_per_h = 2.0;
    let mut uneven = case(Direction::CoCurrent);
    uneven.maldistribution = Some(Maldistribution { tubes: 3, ..Maldistribution::with_spread(0.2) });
    uneven.bed.freeboard_l = 20.0;
    let mut radial = case(Direction::CounterCurrent);
    radial.cells = 20.into();
    radial.kinetics = Kinetics::Radial;
    radial.rates.bead_per_s = None;
    for case in [rested, reclaiming, lifted, uneven, radial] {
        let (cycle, found) = recorded(&case, 80);
        assert_eq!(found.step.len(), 80);
        assert_ends_are_the_profiles(&cycle, &found);
    }
}

#[test]
fn cells_that_are_to_be_found_are_found_again() {
    let mut case = case(Direction::CounterCurrent);
    case.cells = Cells::Auto;
    case.accuracy = 0.2;
    let (cycle, found) = recorded(&case, 60);
    assert_eq!(found.depth_m.len(), cycle.figures.cells);
    assert_ends_are_the_profiles(&cycle, &found);
}

#[test]
fn a_cycle_from_new_resin_is_the_one_that_was_run() {
    let case = case(Direction::CoCurrent);
    let cycles = case.cycles(3).unwrap();
    for (n, cycle) in (1..).zip(&cycles) {
        let found = case.through_time(Some(n), 60).unwrap();
        assert_ends_are_the_profiles(cycle, &found);
    }
    // The first is service alone, on sodium-form beads.
    let first = case.through_time(Some(1), 60).unwrap();
    assert!(first.step.iter().all(|step| *step == StepName::Service));
    let sodium = bed(&first.loading_eq_per_l, 0).index_axis_move(Axis(1), 0);
    assert!(sodium.iter().all(|q| (q - 1.9).abs() < 1e-12));
}

#[test]
fn moments_are_spread_over_throughput_with_a_fair_share_for_brine() {
    let (cycle, found) = recorded(&case(Direction::CoCurrent), 200);
    assert_eq!(found.step.len(), 200);
    let (mut bv, mut minutes) = (0.0, 0.0);
    for ((name, range), step) in by_step(&found).into_iter().zip(&cycle.steps) {
        let (first, last) = (range.start, range.end - 1);
        assert!((found.bv[first] - bv).abs() < 1e-9 && (found.minutes[first] - minutes).abs() < 1e-9);
        bv += step.volume_bv;
        minutes += step.minutes;
        assert!((found.bv[last] - bv).abs() < 1e-9 && (found.minutes[last] - minutes).abs() < 1e-9, "{name:?}");
        let apart = step.volume_bv / (range.len() - 1) as f64;
        for pair in found.bv[range.clone()].windows(2) {
            assert!((pair[1] - pair[0] - apart).abs() < 1e-9);
        }
        match name {
            StepName::Backwash => assert_eq!(range.len(), 2, "nothing between its start and its end is known"),
            _ => assert!(range.len() >= 20, "{name:?} has {} moments of 200", range.len()),
        }
    }
}

#[test]
fn a_rest_is_seen_at_its_start_and_its_end_and_nothing_leaves() {
    let mut case = case(Direction::CounterCurrent);
    case.service.standby_after_bv = Some(40.0);
    case.service.standby_hours = Some(8.0);
    let (_, found) = recorded(&case, 100);
    let steps = by_step(&found);
    let (name, rest) = &steps[steps.len() - 2];
    assert_eq!(*name, StepName::Standby);
    assert!(rest.len() >= 2);
    let (first, last) = (rest.start, rest.end - 1);
    assert_eq!(found.bv[first], found.bv[last]);
    assert!((found.minutes[last] - found.minutes[first] - 480.0).abs() < 1e-6);
    let leaves = |moments: Range<usize>| moments.flat_map(|k| found.effluent_eq_per_l.row(k).to_vec());
    assert!(leaves(rest.clone()).all(|c| c.is_nan()));
    assert!(leaves(0..first).all(|c| c >= 0.0));
    assert!(leaves(last + 1..100).all(|c| c >= 0.0));
}

/// Value of a column where a curve stands at this throughput.
fn on_curve(curve: &Curve, bv: f64, ion: usize) -> (f64, f64) {
    let rows = |wanted: &dyn Fn(f64) -> bool| curve.bv.iter().position(|at| wanted(*at));
    let after = rows(&|at| at >= bv - 1e-9).unwrap_or(curve.bv.len() - 1);
    let before = after.saturating_sub(1);
    let (a, b) = (curve.eq_per_l[(before, ion)], curve.eq_per_l[(after, ion)]);
    (a.min(b), a.max(b))
}

#[test]
fn what_leaves_is_what_the_curves_show() {
    let (cycle, found) = recorded(&case(Direction::CounterCurrent), 150);
    let between: f64 = cycle.steps[..cycle.steps.len() - 1].iter().map(|step| step.volume_bv).sum();
    for (name, range) in by_step(&found) {
        // Where two steps meet the curve of the waste has both values at one throughput.
        for moment in range.start + 1..range.end - 1 {
            for ion in 0..found.ions.len() {
                let at = found.bv[moment];
                let (low, high) = match name {
                    StepName::Service => on_curve(&cycle.leakage, at - between, ion),
                    _ => on_curve(&cycle.waste_curve, at, ion),
                };
                let value = found.effluent_eq_per_l[(moment, ion)];
                assert!(value >= low * (1.0 - 1e-9) && value <= high * (1.0 + 1e-9), "{name:?}: {low} {value} {high}");
            }
        }
    }
}

/// What the bed gains between two moments of service is what entered less what left, ion by ion (conservation). What left
/// is the integral of the effluent by trapezoids through the moments, hence the margin.
#[test]
fn the_ledger_closes_between_any_two_moments_of_service() {
    let (_, found) = recorded(&case(Direction::CounterCurrent), 1200);
    let (_, range) = by_step(&found).pop().unwrap();
    let void_fraction = 0.38;
    // 60 mg/L of Na, 24 of Mg, 80 of Ca, over their equivalent masses.
    let feed = [60.0 / 22_989.769_28, 24.0 / 12_152.5, 80.0 / 20_039.0];
    let cells = found.depth_m.len() as f64;
    let held = |moment: usize, ion: usize| {
        let loading = bed(&found.loading_eq_per_l, moment).column(ion).sum();
        (loading + void_fraction * bed(&found.liquid_eq_per_l, moment).column(ion).sum()) / cells
    };
    for (ion, feed) in feed.iter().enumerate() {
        let (first, last) = (range.start, range.end - 1);
        for (a, b) in [(first, first + 20), (first + 100, first + 101), (last - 50, last), (first, last)] {
            let left: f64 = (a..b)
                .map(|k| {
                    let mean = 0.5 * (found.effluent_eq_per_l[(k, ion)] + found.effluent_eq_per_l[(k + 1, ion)]);
                    mean * (found.bv[k + 1] - found.bv[k])
                })
                .sum();
            let entered = feed * (found.bv[b] - found.bv[a]);
            let gained = held(b, ion) - held(a, ion);
            let miss = (gained - (entered - left)).abs() / entered.max(left);
            assert!(miss < 2e-3, "ion {ion} from {a} to {b}: {miss:.1e}");
        }
    }
}

/// On the line between two time steps loadings still fill the capacity, and nothing is negative.
#[test]
fn every_moment_is_a_bed_that_could_be() {
    let (_, found) = recorded(&case(Direction::CoCurrent), 200);
    for moment in 0..200 {
        for column in bed(&found.loading_eq_per_l, moment).rows() {
            assert!((column.sum() / 1.9 - 1.0).abs() < 1e-9);
        }
    }
    assert!(found.loading_eq_per_l.iter().chain(&found.liquid_eq_per_l).all(|value| *value >= 0.0));
}

/// Nothing holds back the normality of the liquid: its front passes a bed at the velocity of the liquid between the beads,
/// so that half a void volume of brine fills half the bed, from the end where it enters (algebra).
#[test]
fn the_brine_stands_where_it_should() {
    for (direction, from_the_top) in [(Direction::CoCurrent, true), (Direction::CounterCurrent, false)] {
        let (_, found) = recorded(&case(direction), 2000);
        let (_, brine) = by_step(&found).into_iter().find(|(name, _)| *name == StepName::Brine).unwrap();
        let began = found.bv[brine.start];
        let moment = brine.clone().find(|k| found.bv[*k] - began >= 0.5 * 0.38).unwrap();
        let normality: Vec<f64> = bed(&found.liquid_eq_per_l, moment).rows().into_iter().map(|row| row.sum()).collect();
        let half = 0.5 * normality.iter().fold(0.0_f64, |high, n| high.max(*n));
        let filled = normality.iter().filter(|n| **n > half).count() as f64 / normality.len() as f64;
        assert!((filled - 0.5).abs() < 0.05, "{filled}");
        assert_eq!(normality[0] > half, from_the_top);
    }
}

#[test]
fn a_number_of_moments_that_makes_no_sense_is_refused() {
    let case = case(Direction::CoCurrent);
    for moments in [0, 1, 9, 5001] {
        let Err(Error::Value { field, value, limits, .. }) = case.through_time(None, moments) else {
            panic!("{moments} moments were taken");
        };
        assert_eq!((field.as_str(), value), ("moments", moments.to_string()));
        assert!(limits.to_string().contains("5000"));
    }
    // Backwash, brine, two rinses and service: two each.
    assert_eq!(case.through_time(None, 10).unwrap().step.len(), 10);
}
