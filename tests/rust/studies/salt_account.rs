//! Where the salt went: shares that sum to the dose, whatever the order, and stand for cycles that anybody can run.
#![allow(clippy::unwrap_used, reason = "a run that fails is a test that fails")]

use brinefront::inputs::case::Kinetics;
use brinefront::inputs::recipe::Recipe;
use brinefront::inputs::recipe_steps::FreeStep;
use brinefront::inputs::regeneration::{BrineWater, Direction};
use brinefront::study::{SaltAccount, salt_account::Order};
use brinefront::units::constants::MOLAR_MASS_NACL_G_PER_MOL;
use brinefront::{Case, Note, Outcome};
use brinefront_tests::cases::softener;

/// A co-current softener with every effect: brine made with feed, on a bed turned over.
fn everything() -> Case {
    let mut case = softener(Direction::CoCurrent, 96.0);
    case.cells = 24.into();
    case.regeneration.brine_water = BrineWater::Feed;
    case
}

fn account(case: &Case, order: Order) -> SaltAccount {
    case.salt_account(order).unwrap()
}

fn sum(account: &SaltAccount) -> f64 {
    account.shares.iter().map(|share| share.share_g_per_l).sum()
}

fn share(account: &SaltAccount, name: &str) -> f64 {
    account.shares.iter().find(|share| share.name == name).unwrap().share_g_per_l
}

fn names(account: &SaltAccount) -> Vec<&'static str> {
    account.shares.iter().map(|share| share.name).collect()
}

#[test]
fn shares_sum_to_the_dose_in_either_order() {
    let case = everything();
    let (ladder, shapley) = (account(&case, Order::Ladder), account(&case, Order::Shapley));
    assert_eq!(names(&ladder), ["equilibrium", "dispersion", "film and bead", "brine water", "bed mixing", "exchange"]);
    assert_eq!(names(&shapley), names(&ladder));
    assert_eq!((ladder.runs, shapley.runs), (5, 16));
    for found in [&ladder, &shapley] {
        assert!(found.warnings.is_empty(), "{:?}", found.warnings);
        assert_eq!(found.without, ["stirred spaces", "maldistribution"]);
        assert!((sum(found) - 96.0).abs() < 1e-12, "{}", sum(found));
        let of_dose: f64 = found.shares.iter().map(|share| share.share_of_dose).sum();
        assert!((of_dose - 1.0).abs() < 1e-14);
    }
    // Both ends are single beds; what lies between is the same in total, and charged otherwise.
    for name in ["equilibrium", "exchange"] {
        assert_eq!(share(&ladder, name), share(&shapley, name));
    }
    assert!((share(&ladder, "dispersion") - share(&shapley, "dispersion")).abs() > 0.01);
    assert!(ladder.shares.iter().all(|share| share.sound && share.capacity_eq_per_l.is_some()));
}

/// A ladder's rung is a cycle of its own; the last is the case's.
#[test]
fn rungs_are_cycles_that_anybody_can_run() {
    let case = everything();
    let found = account(&case, Order::Ladder);
    let capacity = |case: &Case| case.cycle().unwrap().figures.capacity_eq_per_l;
    let rung = |place: usize| found.shares[place].capacity_eq_per_l.unwrap();
    assert_eq!(rung(5), capacity(&case));
    assert_eq!(rung(4), rung(5));
    let mut plug_flow = case.clone();
    plug_flow.kinetics = Kinetics::Equilibrium;
    plug_flow.regeneration.brine_water = BrineWater::Soft;
    plug_flow.regeneration.backwash_mixing = Some(0.0);
    assert_eq!(rung(1), capacity(&plug_flow));
    plug_flow.rates.dispersion_m2_per_s = Some(0.0);
    assert_eq!(rung(0), capacity(&plug_flow));
    let exchanged = rung(5) * MOLAR_MASS_NACL_G_PER_MOL;
    assert!((share(&found, "exchange") - exchanged).abs() < 1e-12);
}

/// Turning the bed over lays well regenerated beads at the outlet of a co-current bed: capacity rises by up to a few per
/// cent, so its share is below 0. Resistances and hard brine water cost salt.
#[test]
fn shares_have_their_signs() {
    let found = account(&everything(), Order::Ladder);
    let mixing = share(&found, "bed mixing");
    assert!((-0.03 * 96.0..0.0).contains(&mixing), "{mixing}");
    for name in ["equilibrium", "dispersion", "film and bead", "brine water"] {
        assert!(share(&found, name) > 0.0, "{name}: {}", share(&found, name));
    }
}

#[test]
fn an_ideal_bed_has_exchange_and_equilibrium_alone() {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    case.cells = 20.into();
    case.kinetics = Kinetics::Equilibrium;
    case.rates.dispersion_m2_per_s = Some(0.0);
    for order in [Order::Ladder, Order::Shapley] {
        let found = account(&case, order);
        assert_eq!(names(&found), ["equilibrium", "exchange"]);
        assert_eq!(
            found.without,
            ["dispersion", "film and bead", "stirred spaces", "brine water", "bed mixing", "maldistribution"]
        );
        assert_eq!(found.runs, 1);
        assert!((sum(&found) - 96.0).abs() < 1e-12);
    }
}

/// A meter fixes what is removed: it is set aside, and its case gives the account of one that goes to the limit.
#[test]
fn a_meter_is_set_aside_and_a_missing_limit_replaced() {
    let to_limit = everything();
    let mut metered = to_limit.clone();
    metered.service.volume_bv = Some(50.0);
    let (plain, found) = (account(&to_limit, Order::Ladder), account(&metered, Order::Ladder));
    assert_eq!(plain.shares, found.shares);
    assert!(
        found.notes.iter().any(|note| note.to_string().contains("50 bed volumes are set aside")),
        "{:?}",
        found.notes
    );
    assert_eq!(found.case.service.volume_bv, None);
    let mut no_limit = metered.clone();
    no_limit.service.limit_mg_per_l_caco3 = None;
    let customary = account(&no_limit, Order::Ladder);
    assert_eq!(customary.limit_mg_per_l_caco3, 17.0);
    assert_eq!(customary.shares, plain.shares);
    assert!(customary.notes.iter().any(|note| note.to_string().contains("no leakage limit")), "{:?}", customary.notes);
    // A feed that is softer than the customary limit needs one of its own.
    for value in no_limit.water.ions.values_mut() {
        *value *= 0.03;
    }
    let refused = no_limit.salt_account(Order::Ladder).unwrap_err().to_string();
    assert!(refused.contains("limit_mg_per_l_caco3 = none") && refused.contains("give a lower one"), "{refused}");
}

#[test]
fn a_bed_that_is_never_soft_is_named() {
    // Runs of some 14 bed volumes would keep the higher limit, none would keep the lower one.
    for (limit, outcome) in [(0.5, "cannot recover"), (0.1, "never soft")] {
        let mut case = everything();
        case.regeneration.dose_g_per_l = 40.0;
        case.service.limit_mg_per_l_caco3 = Some(limit);
        let found = account(&case, Order::Ladder);
        // The case itself is what a reader is warned of; the beds within it are notes.
        let [warning] = &found.warnings[..] else { panic!("{:?}", found.warnings) };
        assert!(warning.to_string().starts_with("the bed with"), "{warning}");
        let inner = found.notes.iter().filter(|note| matches!(note, Note::BedWithEffects { .. }));
        assert_eq!(inner.clone().count(), found.runs - 1, "{:?}", found.notes);
        let ideal = format!("the ideal bed: {outcome}: ");
        assert!(inner.clone().any(|note| note.to_string().starts_with(&ideal)), "{:?}", found.notes);
        assert!(found.shares.iter().all(|share| !share.sound));
        assert!((sum(&found) - 40.0).abs() < 1e-12);
    }
}

/// A bed that shorter runs would keep soft is not called never soft, neither the case nor one within the account.
#[test]
fn a_bed_that_cannot_recover_is_not_called_never_soft() {
    let mut case = softener(Direction::CoCurrent, 25.0);
    case.cells = 40.into();
    let found = account(&case, Order::Ladder);
    let of_hard = |note: &Note| match note {
        Note::BedWithEffects { search_end, never_soft: true, .. } => Some((search_end.outcome(), note.to_string())),
        _ => None,
    };
    let hard: Vec<_> = found.notes.iter().chain(&found.warnings).filter_map(of_hard).collect();
    let outcome = case.cycle().unwrap().figures.outcome;
    assert_eq!(outcome, Outcome::CannotRecover);
    let [warning] = &found.warnings[..] else { panic!("{:?}", found.warnings) };
    assert!(warning.to_string().contains(": cannot recover: after such a run"), "{warning}");
    assert!(!hard.is_empty());
    for (outcome, line) in &hard {
        assert_eq!(line.contains("never soft"), *outcome == Outcome::NeverSoft, "{line}");
        assert!(line.contains(&outcome.to_string()) && line.ends_with("its capacity counts as 0"), "{line}");
    }
}

/// A recipe's own words are switched off as well, and its salt is what is shared.
#[test]
fn a_free_recipe_is_accounted_for() {
    let mut case = everything();
    let mut recipe = Recipe::of(&case.regeneration);
    for step in &mut recipe.steps {
        match step {
            FreeStep::Backwash(backwash) => backwash.mixing = Some(1.0),
            FreeStep::Brine(brine) => brine.volume_bv = Some(0.6),
            _ => {}
        }
    }
    case.recipe = Some(recipe);
    let found = account(&case, Order::Ladder);
    assert!(found.dose_g_per_l < 70.0, "{}", found.dose_g_per_l);
    assert!((sum(&found) - found.dose_g_per_l).abs() < 1e-12);
    assert!(names(&found).contains(&"bed mixing") && share(&found, "bed mixing") < 0.0);
}

/// Errors come from the two grids of a search, and a share below its error says so.
#[test]
fn shares_say_how_far_the_grid_may_blur_them() {
    let mut case = everything();
    case.cells = 60.into();
    let found = account(&case, Order::Ladder);
    let error = |name: &str| found.shares.iter().find(|share| share.name == name).unwrap().share_error_g_per_l.unwrap();
    // A front without film or dispersion is blurred by the grid alone.
    assert!(error("equilibrium") > 5.0 * error("exchange"));
    // A finer grid moves the plug-flow rung by less than the error says, and by more than nothing.
    let mut fine = case.clone();
    fine.cells = 120.into();
    let moved = (share(&account(&fine, Order::Ladder), "equilibrium") - share(&found, "equilibrium")).abs();
    assert!(moved < error("equilibrium") && moved > 0.2 * error("equilibrium"), "{moved}");
    assert_eq!(
        found.notes.iter().any(|note| note.to_string().starts_with("the share of dispersion")),
        error("dispersion") > share(&found, "dispersion").abs()
    );
}

/// Liquid that stands above the bed and an uneven flow cost capacity, each on a rung of its own.
#[test]
fn spaces_and_uneven_flow_have_their_rungs() {
    let mut case = softener(Direction::CounterCurrent, 96.0);
    case.cells = 20.into();
    case.bed.freeboard_l = 0.3 * case.bed.volume_l();
    case.maldistribution = Some(serde_json::from_str(r#"{"spread": 0.2, "tubes": 2}"#).unwrap());
    let found = account(&case, Order::Ladder);
    assert!((sum(&found) - 96.0).abs() < 1e-12);
    assert!(share(&found, "stirred spaces") > 0.0 && share(&found, "maldistribution") > 0.0);
}
