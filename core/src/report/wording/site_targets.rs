//! Targets of a site, a line each; without a full stop, so that they can be listed.

use std::fmt::{Display, Formatter, Result};

use crate::report::design_rule::MOST_REGENERATIONS_A_DAY;
use crate::report::figures::LEAST_LEAKAGE_MG_PER_L_CACO3;
use crate::report::site_target::{SiteTarget, Target};
use crate::report::wording::numbers::short;

impl Display for SiteTarget {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        let Self { target, found, asked, unit, met, within_error, bound_by_regenerations, .. } = self;
        let judged = if *met { "met" } else { "missed" };
        let near = if *within_error { ", within the numerical error" } else { "" };
        write!(f, "{target}: {judged}{near}: ")?;
        let asked = short(*asked);
        // What no titration reads is not given digits.
        let found = found.map(|found| match target {
            Target::AcceptedLeakage if found < LEAST_LEAKAGE_MG_PER_L_CACO3 => {
                format!("less than {LEAST_LEAKAGE_MG_PER_L_CACO3}")
            }
            _ => short(found),
        });
        match (found, target) {
            (None, _) => write!(f, "no soft water is delivered ({asked} {unit} asked)"),
            (Some(found), Target::SaltBudget) => write!(f, "{found} {unit}, at most {asked} allowed"),
            (Some(found), Target::AcceptedLeakage) => {
                write!(f, "{found} {unit}, mean over the run, at most {asked} accepted")
            }
            (Some(found), Target::Use) => {
                let bound = if *bound_by_regenerations {
                    format!(" with {MOST_REGENERATIONS_A_DAY} regenerations a day")
                } else {
                    String::new()
                };
                write!(f, "one vessel gives {found} {unit} at most{bound}, {asked} used")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_target_says_what_was_found_and_what_is_asked() {
        let target = |target, found, met, within_error| {
            SiteTarget {
                target,
                found,
                asked: 60.0,
                unit: "kg/week",
                met,
                error: None,
                within_error,
                bound_by_regenerations: target == Target::Use && found.is_some(),
            }
            .to_string()
        };
        assert_eq!(
            target(Target::SaltBudget, Some(58.9), true, true),
            "salt budget: met, within the numerical error: 58.9 kg/week, at most 60.0 allowed"
        );
        assert_eq!(
            target(Target::Use, Some(12.0), false, false),
            "water use: missed: one vessel gives 12.0 kg/week at most with 3 regenerations a day, 60.0 used"
        );
        assert_eq!(
            target(Target::Use, None, false, false),
            "water use: missed: no soft water is delivered (60.0 kg/week asked)"
        );
    }
}
