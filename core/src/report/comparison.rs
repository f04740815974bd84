//! Strategies set against each other.

use crate::error::{Error, Result};
use crate::numerics::effort::Effort;
use crate::report::CycleReport;

/// What is held equal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum At {
    /// Each case as given.
    #[default]
    EqualDose,
    /// The salt each needs for the same half-run leakage and run length.
    EqualLeakage,
}

impl At {
    /// The name, as on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Self::EqualDose => "equal-dose",
            Self::EqualLeakage => "equal-leakage",
        }
    }

    /// Find it by name.
    ///
    /// # Errors
    /// [`Error::Value`] naming the two.
    pub fn parse(name: &str) -> Result<Self> {
        [Self::EqualDose, Self::EqualLeakage]
            .into_iter()
            .find(|at| at.name() == name)
            .ok_or_else(|| Error::value("at", name, "must be equal-dose or equal-leakage"))
    }
}

/// Strategies side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// One report a case, in the order given; a single case is followed by its mirror.
    pub cycles: Vec<CycleReport>,
    /// What was held equal.
    pub at: At,
    /// What all of it cost: at equal leakage every dose that was tried, not the cycles shown alone.
    pub effort: Effort,
}
