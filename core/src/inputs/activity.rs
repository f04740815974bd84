//! Which law of activity coefficients a case is computed with; [`crate::laws::activity`] has the laws.

use brinefront_derive::Names;
use serde::{Deserialize, Serialize};

/// A law of activity coefficients.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "lowercase")]
#[names(field = "activity")]
#[non_exhaustive]
pub enum ActivityLaw {
    /// Every coefficient is 1.
    #[default]
    Ideal,
    /// Davies' formula, to an ionic strength of 0.5 mol/kg.
    Davies,
    /// Pitzer's equations with the parameters of Harvie, Moller and Weare (1984).
    Pitzer,
}

impl ActivityLaw {
    /// Is every coefficient 1?
    pub fn is_ideal(&self) -> bool {
        *self == Self::Ideal
    }
}
