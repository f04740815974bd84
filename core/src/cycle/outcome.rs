//! How the search for a cyclic steady state ended.

use serde::Serialize;

/// What a cycle, or a row of them, came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Outcome {
    /// Soft nowhere: the effluent was above the limit when the limit was armed, and would be after a run as short as
    /// its regeneration has waste.
    NeverSoft,
    /// Soft after shorter runs: the cycle as it is asked for has no steady state below its limit, a metered one has.
    CannotRecover,
    /// The cycle repeats itself.
    Settled,
    /// The search was given up.
    Unsettled,
    /// One cycle of a row from new resin, where no steady one is sought.
    FromNewResin,
}

/// How the search ended, with its numbers. Changes are those of the loading over a cycle, relative to capacity.
///
/// It serialises as a table of its numbers under their names, with the outcome as `kind`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum SearchEnd {
    /// The effluent was above the limit when the limit was armed, and no metered run settles below the limit.
    NeverSoft {
        /// The cycle it happened in.
        cycles: usize,
        /// The least dose with which the cycle settles \[g per litre of resin\], if one was looked for and found.
        soft_from_dose_g_per_l: Option<f64>,
    },
    /// The effluent was above the limit when the limit was armed, but shorter runs settle below the limit.
    CannotRecover {
        /// The cycle it happened in.
        cycles: usize,
        /// The longest metered run that settles below the limit \[bed volumes\].
        longest_metered_bv: f64,
        /// The least dose with which the cycle settles \[g per litre of resin\], if one was looked for and found.
        soft_from_dose_g_per_l: Option<f64>,
    },
    /// The cycle repeats itself.
    Settled {
        /// Cycles run.
        cycles: usize,
        /// Change over the last one; where it is above [`crate::cycle::steady::SETTLED`], the largest over the last few, which no longer falls: what
        /// the time steps can hold.
        change: f64,
    },
    /// The search was given up.
    Unsettled {
        /// Cycles run.
        cycles: usize,
        /// Change over the last one.
        last: f64,
        /// The least change of the last few.
        least: f64,
        /// Do the changes go up and down, rather than fall slowly?
        hunts: bool,
        /// After how many cycles the bed comes back, if it does: a true oscillation.
        period_cycles: Option<usize>,
    },
    /// One cycle of a row from new resin, where no steady one is sought.
    FromNewResin {
        /// Its place in the row, from 1.
        cycle: usize,
        /// Change over it.
        change: f64,
    },
}

impl SearchEnd {
    /// What the cycle came to.
    pub fn outcome(self) -> Outcome {
        match self {
            Self::NeverSoft { .. } => Outcome::NeverSoft,
            Self::CannotRecover { .. } => Outcome::CannotRecover,
            Self::Settled { .. } => Outcome::Settled,
            Self::Unsettled { .. } => Outcome::Unsettled,
            Self::FromNewResin { .. } => Outcome::FromNewResin,
        }
    }

    /// The longest metered run that settles below the limit \[bed volumes\], where the cycle as asked for cannot.
    pub fn longest_metered_bv(self) -> Option<f64> {
        match self {
            Self::CannotRecover { longest_metered_bv, .. } => Some(longest_metered_bv),
            _ => None,
        }
    }

    /// The least dose with which the cycle would settle \[g per litre of resin\], where it does not and one was found.
    pub fn soft_from_dose_g_per_l(self) -> Option<f64> {
        match self {
            Self::NeverSoft { soft_from_dose_g_per_l, .. } | Self::CannotRecover { soft_from_dose_g_per_l, .. } => {
                soft_from_dose_g_per_l
            }
            _ => None,
        }
    }
}
