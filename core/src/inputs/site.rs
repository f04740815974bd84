//! Where a softener stands: what it has to deliver, and what its owner allows it.

use brinefront_derive::inputs;
use serde::{Deserialize, Serialize};

use crate::error::Result;
use crate::inputs::check::check_name;

/// A site; it turns figures per cycle into figures per week.
#[inputs(part = "site", positional(name, water_use_m3_per_day))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Site {
    /// What it is called.
    #[field(words = "site", sample = "a laundry")]
    #[field(off = "no site: no figures a week", source = "No site unless given.", standing = "choice, no source")]
    pub name: String,
    /// Soft water used \[m3/day\].
    #[field(words = "soft water used", unit = "m3/day", range = 1e-6..=1e7, sample = 10.0)]
    #[field(off = "no site: no figures a week", source = "No site unless given.", standing = "choice, no source")]
    pub water_use_m3_per_day: f64,
    /// Days of a week on which that much is used; a week's figures are for these.
    #[field(words = "days of use in a week", range = 1..=7, default = 7, quiet, sample = 5)]
    #[field(source = "Every day unless given.", standing = "choice, no source")]
    pub use_days: usize,
    /// Salt the owner pays for \[kg/week\].
    #[field(words = "salt the owner pays for", unit = "kg/week", range = 0.0..=1e9, sample = 60.0)]
    #[field(off = "no budget", source = "No budget unless given.", standing = "choice, no source")]
    pub salt_budget_kg_per_week: Option<f64>,
    /// Hardness leakage the users accept, as a mean over the run \[mg/L as CaCO3\].
    #[field(words = "leakage the users accept, mean over the run", unit = "mg/L as CaCO3", range = 0.0..=1e6)]
    #[field(off = "none given", source = "None unless given.", standing = "choice, no source", sample = 5.0)]
    pub accepted_leakage_mg_per_l_caco3: Option<f64>,
}

impl Site {
    /// Check every value.
    ///
    /// # Errors
    /// [`Error::Value`](crate::Error::Value) naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        check_name("site.name", &self.name)?;
        self.check_ranges()
    }
}
