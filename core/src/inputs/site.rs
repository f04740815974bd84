//! Where a softener stands: what it has to deliver, and what its owner allows it.

use serde::{Deserialize, Serialize};

use crate::error::Result;
use crate::inputs::check::{within, within_if};

/// A site; it turns figures per cycle into figures per week.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// What it is called.
    pub name: String,
    /// Soft water used \[m3/day\].
    pub water_use_m3_per_day: f64,
    /// Salt the owner pays for \[kg/week\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salt_budget_kg_per_week: Option<f64>,
    /// Hardness leakage the users accept, as a mean over the run \[mg/L as CaCO3\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub accepted_leakage_mg_per_l_caco3: Option<f64>,
}

impl Site {
    /// Check every value.
    ///
    /// # Errors
    /// [`crate::Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        within("site.water_use_m3_per_day", self.water_use_m3_per_day, 1e-6, 1e7, "m3/day")?;
        within_if("site.salt_budget_kg_per_week", self.salt_budget_kg_per_week, 0.0, 1e9, "kg/week")?;
        within_if(
            "site.accepted_leakage_mg_per_l_caco3",
            self.accepted_leakage_mg_per_l_caco3,
            0.0,
            1e6,
            "mg/L as CaCO3",
        )
    }
}
