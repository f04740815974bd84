//! Spent regenerant kept for the next regeneration.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::Case;
use brinefront::cycle::{steady, unwatched};
use brinefront::inputs::recipe::Recipe;
use brinefront::inputs::recipe_steps::{Backwash, Brine, FreeStep, Rinse, StepName};
use brinefront::inputs::regeneration::Direction;
use brinefront::plan::cycle_plan::CyclePlan;
use brinefront::report::CycleReport;
use brinefront::study::{self, At};
use brinefront_tests::cases::{softener, tiny};

fn reclaiming(case: &Case, from_bv: f64, to_bv: f64) -> Case {
    let mut case = case.clone();
    case.regeneration.reclaim_from_bv = Some(from_bv);
    case.regeneration.reclaim_to_bv = Some(to_bv);
    case
}

fn run(case: &Case) -> CycleReport {
    let cycle = case.cycle().unwrap();
    assert!(cycle.figures.settled && cycle.figures.ledger_error < 1e-10, "{}", cycle.figures.search_end);
    cycle
}

#[test]
fn what_is_kept_comes_back_unchanged_once_settled() {
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let mut case = softener(direction, 96.0);
        case.cells = 60.into();
        let case = reclaiming(&case, 1.2, 1.7);
        let found = steady::settle(&CyclePlan::new(&case).unwrap(), None, &unwatched).unwrap();
        let (reclaimed, kept) = (found.history.reclaimed.unwrap(), found.history.kept.unwrap());
        let residual = found.settling.residual * 1.9 * (1.0 + 1e-9);
        assert!(found.settling.settled);
        for (before, after) in reclaimed.iter().zip(&kept) {
            assert!((before - after).abs() <= residual && *after > 0.0, "{before} {after}");
        }
        // As one step ahead of the brine, and what is kept is half a bed volume of what left.
        let place = found.history.regeneration.iter().position(|step| step.name == StepName::ReclaimedBrine).unwrap();
        assert_eq!(found.history.regeneration[place + 1].name, StepName::Brine);
        let step = &found.history.regeneration[place];
        assert!((step.volume_bv - 0.5).abs() < 1e-9);
        for (entered, held) in step.entered.iter().zip(&reclaimed) {
            assert!((entered - held).abs() < 1e-12, "{entered} {held}");
        }
    }
}

/// Salt that comes back is salt not bought: at the same dose there is more capacity, at the same duty less dose.
#[test]
fn reclaimed_salt_buys_capacity() {
    let mut plain = softener(Direction::CounterCurrent, 96.0);
    plain.cells = 40.into();
    let kept = reclaiming(&plain, 1.2, 1.7);
    let (without, with) = (run(&plain), run(&kept));
    let (a, b) = (&without.figures, &with.figures);
    assert!(
        b.capacity_eq_per_l > 1.03 * a.capacity_eq_per_l && b.salt_efficiency_gr_per_lb > a.salt_efficiency_gr_per_lb
    );
    assert_eq!((a.dose_g_per_l, a.reclaimed_volume_bv), (b.dose_g_per_l, None));
    assert!((b.reclaimed_volume_bv.unwrap() - 0.5).abs() < 1e-12);
    let hard = b.reclaimed_hardness_fraction.unwrap();
    assert!(hard > 0.05 && hard < 0.6, "{hard}");
    let salt = b.reclaimed_salt_g_per_l.unwrap();
    assert!(
        (salt / (0.5 * b.reclaimed_normality_eq_per_l.unwrap() * 58.443 * (1.0 - hard)) - 1.0).abs() < 1e-3,
        "{salt}"
    );
    // As much goes to the drain: the salt that was bought, and the hardness that service took out.
    assert!((b.waste_volume_bv - a.waste_volume_bv).abs() < 1e-9);
    assert!((b.waste_chloride_g / a.waste_chloride_g - 1.0).abs() < 1e-6);
    let taken = b.capacity_eq_per_l + b.rinse_loss_eq_per_l;
    let drained = |c: &CycleReport| c.figures.waste_hardness_g_caco3;
    assert!(drained(&with) / drained(&without) > 1.0 && taken > 0.0);
    // What was kept is the stretch of the curve that leaves then.
    let (mut sum, curve) = (0.0, &with.waste_curve);
    for row in 1..curve.bv.len() {
        let (x0, x1) = (curve.bv[row - 1].max(1.2), curve.bv[row].min(1.7));
        if x1 > x0 {
            let of = |x: f64| curve.ions.iter().enumerate().map(|(i, _)| curve.at(x, i)).sum::<f64>();
            sum += 0.5 * (x1 - x0) * (of(x0) + of(x1));
        }
    }
    assert!((sum / (0.5 * b.reclaimed_normality_eq_per_l.unwrap()) - 1.0).abs() < 5e-3, "{sum}");
}

#[test]
fn the_same_duty_takes_less_salt() {
    let mut plain = tiny(Direction::CoCurrent, 120.0);
    plain.service.volume_bv = None;
    let both = study::compare(&[plain.clone(), reclaiming(&plain, 1.2, 1.7)], At::EqualLeakage).unwrap();
    let [without, with] = &both.cycles[..] else { unreachable!("two cases") };
    let saved = 1.0 - with.figures.dose_g_per_l / without.figures.dose_g_per_l;
    assert!(saved > 0.02 && saved < 0.5, "{saved}");
}

#[test]
fn the_tank_is_full_of_fresh_brine_before_the_first_regeneration() {
    let case = reclaiming(&tiny(Direction::CounterCurrent, 96.0), 1.2, 1.7);
    let cycles = case.cycles(3).unwrap();
    assert_eq!(cycles[0].figures.reclaimed_volume_bv, None);
    assert_eq!(cycles[1].figures.reclaimed_hardness_fraction, Some(0.0));
    assert!(cycles[2].figures.reclaimed_hardness_fraction.unwrap() > 0.0);
    assert!(cycles.iter().all(|cycle| cycle.figures.ledger_error < 1e-10));
}

#[test]
fn what_does_not_leave_cannot_be_kept() {
    let case = tiny(Direction::CounterCurrent, 96.0);
    let refused = |case: &Case| case.cycle().unwrap_err().to_string();
    assert!(refused(&reclaiming(&case, 1.7, 1.2)).contains("must be above regeneration.reclaim_from_bv"));
    let mut half = case.clone();
    half.regeneration.reclaim_from_bv = Some(1.0);
    assert!(refused(&half).contains("give it with reclaim_from_bv"));
    // 0.895 BV of brine, rinses of 1.5 and 3 BV, and the reclaimed itself.
    let message = refused(&reclaiming(&case, 6.0, 6.5));
    assert!(message.contains("must be at most 5.89") && message.contains("reclaim_to_bv"), "{message}");
    let open = |rinse: FreeStep| {
        let steps = vec![FreeStep::Brine(Brine::default()), rinse, FreeStep::FastRinse(Rinse::default())];
        Case { recipe: Some(Recipe { steps }), ..reclaiming(&case, 1.2, 1.8) }
    };
    let until = Rinse { until_chloride_mg_per_l: Some(2000.0), at_most_bv: Some(4.0), ..Rinse::default() };
    assert!(refused(&open(FreeStep::SlowRinse(until))).contains("must be at most 1.4"));
    assert!(refused(&open(FreeStep::Backwash(Backwash::default()))).contains("must be at most 1.4"));
}
