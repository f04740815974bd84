//! Which law of activity coefficients a case is computed with; [`crate::laws::activity`] has the laws.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};

/// A law of activity coefficients.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
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
    /// The name, as in a case file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Ideal => "ideal",
            Self::Davies => "davies",
            Self::Pitzer => "pitzer",
        }
    }

    /// Find a law by name.
    ///
    /// # Errors
    /// [`Error::Value`] naming the laws.
    pub fn parse(name: &str) -> Result<Self> {
        [Self::Ideal, Self::Davies, Self::Pitzer]
            .into_iter()
            .find(|law| law.name() == name)
            .ok_or_else(|| Error::value("activity", name, "must be ideal, davies or pitzer"))
    }

    /// Is every coefficient 1?
    pub fn is_ideal(&self) -> bool {
        *self == Self::Ideal
    }
}
