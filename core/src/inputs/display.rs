//! How numbers are shown to a reader; it enters no computation.

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::Result;

/// The units that tables, pictures and reports are in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "lowercase")]
#[names(field = "display.units")]
pub enum DisplayUnits {
    /// Metric ones alone.
    Metric,
    /// Those of the trade in the United States alone: pounds, gallons, grains, feet.
    Us,
    /// Metric ones, with those of the trade beside them in tables.
    #[default]
    Both,
}

/// How the figures of a case are shown to a reader.
#[inputs(part = "display", positional(units))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Display {
    /// Units of tables, pictures and reports; names of figures and data for machines stay as they are.
    #[field(words = "units of tables, pictures and reports", choices("metric", "us", "both"), required, sample = "us")]
    #[field(off = "metric units, with those of the trade beside them in tables")]
    #[field(source = "Both unless given.", standing = "choice, no source")]
    pub units: DisplayUnits,
}

impl Display {
    /// Check every value: a choice of names has been checked as it was read.
    ///
    /// # Errors
    /// None.
    pub fn validate(&self) -> Result<()> {
        Ok(())
    }
}
