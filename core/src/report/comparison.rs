//! Strategies set against each other.

use brinefront_derive::Names;
use serde::{Deserialize, Serialize};

use crate::numerics::effort::Effort;
use crate::report::CycleReport;

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
}

/// Strategies side by side.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Comparison {
    /// One report a case, in the order given; a single case is followed by its mirror.
    pub cycles: Vec<CycleReport>,
    /// What was held equal.
    pub at: At,
    /// What all of it cost: at equal leakage every dose that was tried, not the cycles shown alone.
    pub effort: Effort,
}
