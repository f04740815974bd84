//! How the search for a cyclic steady state ended.

use serde::Serialize;

/// What a cycle, or a row of them, came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Outcome {
    /// The effluent was above the limit when the limit was armed: no steady cycle was sought.
    NeverSoft,
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
    /// The effluent was above the limit when the limit was armed: no steady cycle was sought.
    NeverSoft {
        /// The cycle it happened in.
        cycles: usize,
    },
    /// The cycle repeats itself.
    Settled {
        /// Cycles run.
        cycles: usize,
        /// Change over the last one.
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
            Self::Settled { .. } => Outcome::Settled,
            Self::Unsettled { .. } => Outcome::Unsettled,
            Self::FromNewResin { .. } => Outcome::FromNewResin,
        }
    }
}
