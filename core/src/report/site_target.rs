//! What a site asks of its softener, and whether a cycle gives it: values alone, [`crate::report::wording`] makes a line of
//! each.

use serde::Serialize;

use crate::inputs::site::Site;
use crate::report::design_rule::MOST_REGENERATIONS_A_DAY;
use crate::report::figures::{Figures, LEAST_LEAKAGE_MG_PER_L_CACO3};
use crate::units::convert::{milli, min_to_h};

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Target {
    /// No more salt a week, as it is sold, than the owner pays for.
    SaltBudget,
    /// No more leakage, as a mean over the run, than the users accept.
    AcceptedLeakage,
    /// As much soft water on a day as is used, from one vessel: run and regeneration in turn, at most three
    /// regenerations a day.
    Use,
}

/// A target of a site, and what the cycle came to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct SiteTarget {
    /// What is asked.
    pub target: Target,
    /// What the cycle came to, in `unit`; none where it delivers no soft water.
    pub found: Option<f64>,
    /// What is asked, in `unit`.
    pub asked: f64,
    /// Unit of both.
    pub unit: &'static str,
    /// Is it met?
    pub met: bool,
    /// Numerical error of what was found, in `unit`; none if no other grid was run.
    pub error: Option<f64>,
    /// Is the margin, to either side, smaller than that error?
    pub within_error: bool,
    /// Is what was found bound by the most regenerations that a day has room for?
    pub bound_by_regenerations: bool,
}

impl SiteTarget {
    fn of(target: Target, (found, asked): (Option<f64>, f64), unit: &'static str, error: Option<f64>) -> Self {
        let enough = |found: f64| match target {
            Target::Use => found >= asked,
            Target::SaltBudget | Target::AcceptedLeakage => found <= asked,
        };
        let margin = found.map(|found| (found - asked).abs());
        Self {
            target,
            found,
            asked,
            unit,
            met: found.is_some_and(enough),
            error,
            within_error: margin.zip(error).is_some_and(|(margin, error)| margin < error),
            bound_by_regenerations: false,
        }
    }
}

/// The targets of a site, each against the figures of a cycle.
pub(super) fn targets(site: &Site, figures: &Figures) -> Vec<SiteTarget> {
    let soft = figures.soft_water_l > 0.0;
    // What the regeneration takes is known; the run alone is off.
    let of_net = figures.run_length_l / figures.soft_water_l;
    let run_error = figures.run_length_error_fraction.filter(|_| soft).map(|share| share * of_net);
    let budget = site.salt_budget_kg_per_week.map(|asked| {
        let found = figures.salt_as_sold_kg_per_week.or(figures.salt_kg_per_week);
        let error = found.zip(run_error).map(|(found, share)| found * share);
        SiteTarget::of(Target::SaltBudget, (found, asked), "kg/week", error)
    });
    let leakage = site.accepted_leakage_mg_per_l_caco3.map(|asked| {
        let mean = figures.leakage_mean_mg_per_l_caco3;
        let share = figures.leakage_mean_error_fraction;
        let error = share.map(|share| share * mean.max(LEAST_LEAKAGE_MG_PER_L_CACO3));
        let found = (!figures.never_soft()).then_some(mean);
        SiteTarget::of(Target::AcceptedLeakage, (found, asked), "mg/L as CaCO3", error)
    });
    // A longer run is as much longer in time: where no regeneration waits, the error of its length is the most that the
    // water of a day is off by.
    let delivered = soft.then(|| milli(figures.soft_water_l) * cycles_a_day(figures));
    let error = delivered.zip(run_error).map(|(found, share)| found * share);
    let bound_by_regenerations = soft && cycles_a_day(figures) >= MOST_REGENERATIONS_A_DAY;
    let used = SiteTarget {
        bound_by_regenerations,
        ..SiteTarget::of(Target::Use, (delivered, site.water_use_m3_per_day), "m3/day", error)
    };
    [budget, leakage, Some(used)].into_iter().flatten().collect()
}

/// Cycles that one vessel can go through in a day.
fn cycles_a_day(figures: &Figures) -> f64 {
    (24.0 / (figures.run_hours + min_to_h(figures.regeneration_min))).min(MOST_REGENERATIONS_A_DAY)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_margin_below_the_error_is_said_to_be() {
        let budget = |found, error| SiteTarget::of(Target::SaltBudget, (found, 60.0), "kg/week", error);
        let near = budget(Some(59.0), Some(2.0));
        assert!(near.met && near.within_error);
        let far = budget(Some(50.0), Some(2.0));
        assert!(far.met && !far.within_error);
        let over = budget(Some(61.0), Some(2.0));
        assert!(!over.met && over.within_error);
        // No soft water, no salt for it: the budget is not met by that.
        let none = budget(None, None);
        assert!(!none.met && !none.within_error);
        let used = |found| SiteTarget::of(Target::Use, (found, 10.0), "m3/day", None).met;
        assert_eq!((used(Some(10.0)), used(Some(9.9)), used(None)), (true, false, false));
    }
}
