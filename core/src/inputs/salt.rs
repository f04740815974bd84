//! Regenerant salts as data: one row each.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::units::constants::MOLAR_MASS_NACL_G_PER_MOL;

/// A salt that a resin is regenerated with; its anion is chloride.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Salt {
    /// Sodium chloride.
    #[default]
    #[serde(rename = "NaCl")]
    SodiumChloride,
}

impl Salt {
    /// Formula, as in a case file.
    pub fn formula(self) -> &'static str {
        match self {
            Self::SodiumChloride => "NaCl",
        }
    }

    /// Find a salt by its formula.
    ///
    /// # Errors
    /// [`Error::Value`] naming the salts known.
    pub fn parse(formula: &str) -> Result<Self> {
        match formula {
            "NaCl" => Ok(Self::SodiumChloride),
            _ => Err(Error::value("regeneration.salt", formula, "not a salt known here; known: NaCl")),
        }
    }

    /// The cation that takes the hardness' place.
    pub fn cation(self) -> Ion {
        match self {
            Self::SodiumChloride => Ion::NA,
        }
    }

    /// Mass of one equivalent \[g/eq\].
    pub fn g_per_eq(self) -> f64 {
        match self {
            Self::SodiumChloride => MOLAR_MASS_NACL_G_PER_MOL,
        }
    }

    /// Strength of the saturated brine \[percent by weight\] at a temperature \[C\].
    ///
    /// NaCl: 26.218 + 0.0072 t + 0.000106 t^2, 0 to 800 C (R. W. Potter, S. Babcock, D. L. Brown 1977, J. Res. USGS).
    pub fn saturation_percent(self, temperature_c: f64) -> f64 {
        match self {
            Self::SodiumChloride => 26.218 + temperature_c * (0.0072 + temperature_c * 0.000_106),
        }
    }
}
