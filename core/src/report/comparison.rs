//! Strategies set against each other.

use brinefront_derive::Names;
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::numerics::effort::Effort;
use crate::report::CycleReport;
use crate::report::read::KeyFigures;

/// Least dose of a run that is free \[g per litre of resin\]: the low end of the rule of design for the dose, in milligrams.
/// With less, the runs that need least salt become too short to be of use.
pub const FREE_RUN_DOSE_G_PER_L: f64 = 48.055;

/// Least and highest dose that is tried where one is sought \[g per litre of resin\].
pub const DOSES_G_PER_L: (f64, f64) = (10.0, 640.0);

/// What is held equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[names(field = "at")]
#[non_exhaustive]
pub enum At {
    /// Each case as given.
    #[default]
    EqualDose,
    /// The salt each needs for the same half-run leakage and run length.
    EqualLeakage,
    /// The least salt for each volume of soft water whose leakage stays within a [`LeakageTarget`].
    Leakage,
}

/// A leakage that can be bounded: what a tank gets, or what an instrument shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[names(field = "measure")]
#[non_exhaustive]
pub enum LeakageMeasure {
    /// The mean over delivered water: what a tank gets.
    Mean,
    /// At half the run: what direction shows in.
    HalfRun,
    /// As service ends.
    End,
    /// The highest of the run.
    Max,
}

/// A leakage that no strategy may pass, over a run that is free or held.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct LeakageTarget {
    /// Which leakage.
    pub measure: LeakageMeasure,
    /// The most it may be \[mg/L as CaCO3\].
    pub mg_per_l_caco3: f64,
    /// The run that every strategy must deliver \[bed volumes\]; none: the run that needs least salt for its water.
    pub run_bv: Option<f64>,
}

impl LeakageTarget {
    /// Check its numbers.
    ///
    /// # Errors
    /// [`Error::Value`] for a leakage or a run that is not above 0, or not finite.
    pub fn validate(&self) -> Result<()> {
        let positive = |name: &'static str, value: f64| {
            if value.is_finite() && value > 0.0 {
                Ok(())
            } else {
                Err(Error::value(name, value, "must be a number above 0"))
            }
        };
        positive(self.measure.name(), self.mg_per_l_caco3)?;
        self.run_bv.map_or(Ok(()), |run| positive("run_bv", run))
    }

    /// The leakage of a cycle that is bounded \[mg/L as CaCO3\].
    pub(crate) fn found_in(&self, key: &KeyFigures) -> f64 {
        match self.measure {
            LeakageMeasure::Mean => key.leakage_mean_mg_per_l_caco3,
            LeakageMeasure::HalfRun => key.leakage_half_run_mg_per_l_caco3,
            LeakageMeasure::End => key.leakage_end_mg_per_l_caco3,
            LeakageMeasure::Max => key.leakage_maximum_mg_per_l_caco3,
        }
    }
}

/// What keeps a strategy from needing less salt for its water.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[names(field = "bound")]
#[non_exhaustive]
pub enum LeakageBound {
    /// A longer run, or less salt, would leak more than the target.
    Leakage,
    /// A longer run, or less salt, would end at the leakage limit of the case.
    Limit,
    /// Less salt, or a longer run, has no steady cycle.
    Unsteady,
    /// No smaller dose was tried.
    LeastDose,
    /// No larger dose was tried.
    MostDose,
    /// The run that was asked for is not delivered with any dose; the cycle is that of the run that needs least salt.
    Run,
    /// No dose and no run meets the target; the cycle is that of the case as given.
    NotMet,
}

/// Strategies side by side.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Comparison {
    /// One report a case, in the order given; a single case is followed by its mirror.
    pub cycles: Vec<CycleReport>,
    /// What was held equal.
    pub at: At,
    /// The leakage that was asked for, if it was.
    pub target: Option<LeakageTarget>,
    /// What bounds each strategy at that leakage, in the order of the cycles; empty without a target.
    pub bounds: Vec<LeakageBound>,
    /// What all of it cost: at equal leakage every dose that was tried, not the cycles shown alone.
    pub effort: Effort,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::design_rule::ECONOMICAL_DOSES_LB_PER_FT3;
    use crate::units::convert::convert;

    #[test]
    fn a_free_run_takes_no_less_salt_than_the_rule_of_design() {
        let least = convert(ECONOMICAL_DOSES_LB_PER_FT3.0, "lb/ft3", "g/L").unwrap();
        assert_eq!(FREE_RUN_DOSE_G_PER_L, (1e3 * least).round() / 1e3);
    }
}
