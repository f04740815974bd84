//! Two or more strategies set against each other, at equal dose or at equal leakage.

use std::sync::atomic::{AtomicUsize, Ordering};

use crate::cycle::{Progress, Watch, unwatched};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::report::CycleReport;
use crate::report::comparison::{At, Comparison, DOSES_G_PER_L, LeakageTarget};
use crate::study::{least_salt, threads};

/// The dose is found to this share.
const DOSE_ACCURACY: f64 = 2e-3;

/// Compare cases; one case is set against its mirror.
///
/// At equal leakage every case must deliver the shortest of the runs as given, at no more than the largest of the
/// half-run leakages as given: the smallest dose that does so is found for each, within
/// [`DOSES_G_PER_L`](crate::DOSES_G_PER_L).
///
/// # Errors
/// As [`Case::cycle`]; [`Error::Value`] for no case, or, at equal leakage, for a case that no dose brings to the common
/// one or whose recipe gives its brine by volume alone.
pub fn compare(cases: &[Case], at: At) -> Result<Comparison> {
    compare_watched(cases, at, &unwatched)
}

/// [`compare`] under a watcher, which is called from the threads that the cases are run on.
///
/// # Errors
/// As [`compare`]; [`Error::Interrupted`] from the watcher.
pub fn compare_watched(cases: &[Case], at: At, watch: &Watch<'_>) -> Result<Comparison> {
    let cases = strategies(cases)?;
    if at == At::Leakage {
        return Err(Error::value("at", at.name(), "needs a leakage: see compare_at_leakage"));
    }
    if at == At::EqualLeakage {
        follow_dose(&cases)?;
    }
    let as_given = all(&cases, watch, Case::cycle_watched)?;
    let mut effort: Effort = as_given.iter().map(|cycle| &cycle.effort).sum();
    let cycles = match at {
        At::EqualDose | At::Leakage => as_given,
        At::EqualLeakage => {
            let duty = Duty::of(&as_given)?;
            let found = all(&cases, watch, |case, watch| duty.least_dose(case, watch))?;
            found.iter().for_each(|(_, tried)| effort.add(tried));
            found.into_iter().map(|(cycle, _)| cycle).collect()
        }
    };
    Ok(Comparison { cycles, at, target: None, bounds: Vec::new(), effort })
}

/// Valid cases: those given, or the one that is and its mirror.
fn strategies(cases: &[Case]) -> Result<Vec<Case>> {
    let cases: Vec<Case> = match cases {
        [] => return Err(Error::value("cases", "none", "give at least one case")),
        [case] => vec![case.clone(), case.mirrored()],
        several => several.to_vec(),
    };
    cases.iter().try_for_each(Case::validate_cycle)?;
    Ok(cases)
}

/// Where the dose is sought, recipes must follow it.
fn follow_dose(cases: &[Case]) -> Result<()> {
    let by_volume = |case: &Case| case.recipe.as_ref().is_some_and(|recipe| !recipe.follows_dose());
    if cases.iter().any(by_volume) {
        return Err(Error::value(
            "recipe",
            "brine by volume alone",
            "at equal leakage the dose is sought, and no brine step follows it: leave one without volume_bv and minutes",
        ));
    }
    Ok(())
}

/// The least salt for each volume of soft water with which each strategy stays within a leakage; one case is set against
/// its mirror.
///
/// Where the target holds the run, that is the least dose of [`DOSES_G_PER_L`](crate::DOSES_G_PER_L) that delivers it. Where
/// the run is free, it is the dose from [`FREE_RUN_DOSE_G_PER_L`](crate::FREE_RUN_DOSE_G_PER_L) up whose longest run within
/// the leakage needs least salt for its water. The leakage limit of a case holds besides, its meter does not.
/// [`Comparison::bounds`] has what bounds each.
///
/// # Errors
/// As [`Case::cycle`]; [`Error::Value`] for no case, a target that is not a number above 0 or not below the hardness of a
/// feed, or a recipe that gives its brine by volume alone.
pub fn compare_at_leakage(cases: &[Case], target: LeakageTarget) -> Result<Comparison> {
    compare_at_leakage_watched(cases, target, &unwatched)
}

/// [`compare_at_leakage`] under a watcher, which is called from the threads that the cases are run on.
///
/// # Errors
/// As [`compare_at_leakage`]; [`Error::Interrupted`] from the watcher.
pub fn compare_at_leakage_watched(cases: &[Case], target: LeakageTarget, watch: &Watch<'_>) -> Result<Comparison> {
    target.validate()?;
    let cases = strategies(cases)?;
    follow_dose(&cases)?;
    for case in &cases {
        let hardness = case.water.hardness_mg_per_l_caco3(&case.hardness_ions)?;
        if target.mg_per_l_caco3 >= hardness {
            let reason = format!("must be below the feed's hardness, {hardness:.1} mg/L as CaCO3");
            return Err(Error::value(target.measure.name(), target.mg_per_l_caco3, reason));
        }
    }
    let found = all(&cases, watch, |case, watch| least_salt::of(case, target, watch))?;
    let mut effort = Effort::default();
    found.iter().for_each(|each| effort.add(&each.effort));
    let (cycles, bounds) = found.into_iter().map(|each| (each.cycle, each.bound)).unzip();
    Ok(Comparison { cycles, at: At::Leakage, target: Some(target), bounds, effort })
}

/// Run something on every case in parallel, with one count of what is done.
pub(super) fn all<T: Send>(
    cases: &[Case],
    watch: &Watch<'_>,
    run: impl Fn(&Case, &Watch<'_>) -> Result<T> + Sync,
) -> Result<Vec<T>> {
    let done = AtomicUsize::new(0);
    let total = cases.len();
    let report = |progress: Progress| watch(Progress { done: done.load(Ordering::Relaxed), total, ..progress });
    let one = |case: &Case| {
        let finished = run(case, &report);
        done.fetch_add(1, Ordering::Relaxed);
        finished
    };
    threads::of_all(cases, one)
}

/// What every strategy must deliver.
struct Duty {
    run_bv: f64,
    half_run_mg_per_l_caco3: f64,
}

impl Duty {
    fn of(cycles: &[CycleReport]) -> Result<Self> {
        let soft: Vec<_> = cycles.iter().map(|cycle| &cycle.figures).filter(|f| f.run_length_bv > 0.0).collect();
        if soft.is_empty() {
            return Err(Error::value(
                "service.limit_mg_per_l_caco3",
                "never soft",
                "no case delivers soft water as given",
            ));
        }
        Ok(Self {
            run_bv: soft.iter().map(|f| f.run_length_bv).fold(f64::INFINITY, f64::min),
            half_run_mg_per_l_caco3: soft.iter().map(|f| f.leakage_half_run_mg_per_l_caco3).fold(0.0, f64::max),
        })
    }

    /// A case at a dose, metered at the common run.
    fn at(&self, case: &Case, dose_g_per_l: f64) -> Case {
        let mut metered = case.clone();
        metered.regeneration.dose_g_per_l = dose_g_per_l;
        metered.service.volume_bv = Some(self.run_bv);
        metered
    }

    fn met_by(&self, cycle: &CycleReport) -> bool {
        let figures = &cycle.figures;
        figures.settled
            && figures.run_length_bv >= self.run_bv * (1.0 - 1e-6)
            && figures.leakage_half_run_mg_per_l_caco3 <= self.half_run_mg_per_l_caco3 * (1.0 + 1e-6)
    }

    /// The smallest dose that meets the duty, by bisection in proportion, and what all the doses tried cost.
    fn least_dose(&self, case: &Case, watch: &Watch<'_>) -> Result<(CycleReport, Effort)> {
        let (mut low, mut high) = DOSES_G_PER_L;
        let try_at = |dose: f64| self.at(case, dose).cycle_watched(watch);
        // The dose as given is a good first cut.
        let given = case.regeneration.dose_g_per_l.clamp(low * 1.01, high / 1.01);
        let mut best = None;
        let mut effort = Effort::default();
        let mut dose = given * 1.02;
        while high / low > 1.0 + DOSE_ACCURACY {
            let cycle = try_at(dose)?;
            effort.add(&cycle.effort);
            if self.met_by(&cycle) {
                high = dose;
                best = Some(cycle);
            } else {
                low = dose;
            }
            // Next to the first cut before halving the wide range.
            dose = if best.is_some() && low == DOSES_G_PER_L.0 {
                (0.75 * high).max((low * high).sqrt())
            } else if best.is_none() {
                (1.5 * low).min((low * high).sqrt())
            } else {
                (low * high).sqrt()
            };
        }
        best.map(|cycle| (cycle, effort)).ok_or_else(|| {
            Error::value(
                "regeneration.dose_g_per_l",
                DOSES_G_PER_L.1,
                format!(
                    "no dose up to this brings {} to {:.3} mg/L as CaCO3 at half run over {:.1} BV",
                    case.regeneration.direction.name(),
                    self.half_run_mg_per_l_caco3,
                    self.run_bv
                ),
            )
        })
    }
}
