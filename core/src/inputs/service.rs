//! The service run: flow, and where it ends.

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result, figure};

/// Leakage that ends the runs of a case without a limit, where a study needs one \[mg/L as CaCO3\]: one grain a gallon,
/// at which a household softener counts as spent (common practice, no source).
pub const CUSTOMARY_LIMIT_MG_PER_L_CACO3: f64 = 17.0;

/// Which way service water goes through the vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "lowercase")]
#[names(field = "service.service_flow")]
pub enum ServiceFlow {
    /// From the top.
    #[default]
    Down,
    /// From the bottom.
    Up,
}

/// The service run ends at a leakage limit or at a throughput, whichever comes first.
#[inputs(part = "service", positional(flow_bv_per_h))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Service {
    /// Flow \[bed volumes per hour\].
    #[field(words = "flow in service", unit = "BV/h", range = 0.01..=1000.0, sample = 20.0, needs(volume_bv))]
    pub flow_bv_per_h: f64,
    /// Leakage that ends the run \[mg/L as CaCO3\]; below the feed's hardness. One of limit and volume must be given.
    #[field(words = "leakage that ends the run", unit = "mg/L as CaCO3", range = 1e-6..=1e6, sample = 17.0)]
    #[field(off = "no leakage limit: the volume ends the run")]
    #[field(source = "One of limit and volume must be given.", standing = "choice, no source")]
    pub limit_mg_per_l_caco3: Option<f64>,
    /// Throughput that ends the run \[bed volumes\].
    #[field(words = "throughput that ends the run", unit = "BV", range = 0.01..=1e7, sample = 100.0)]
    #[field(off = "no metered volume: the limit ends the run")]
    #[field(source = "One of limit and volume must be given.", standing = "choice, no source")]
    pub volume_bv: Option<f64>,
    /// Direction of service through the vessel.
    #[field(words = "direction of service through the vessel", choices("down", "up"), default = "down")]
    #[field(source = "From the top.", standing = "common practice, no source")]
    pub service_flow: ServiceFlow,
    /// Rest in the middle of the run \[h\]; a limit is armed again one void volume after it.
    #[field(words = "rest in the run", unit = "h", range = 1e-3..=1e5, sample = 8.0, needs(volume_bv, standby_after_bv))]
    #[field(off = "no rest in the run", source = "No rest unless given.", standing = "choice, no source")]
    pub standby_hours: Option<f64>,
    /// Throughput after which it comes \[bed volumes\]; a run that ends before has none.
    #[field(words = "throughput after which the rest comes", unit = "BV", range = 0.01..=1e7)]
    #[field(off = "no rest in the run", source = "No rest unless given.", standing = "choice, no source")]
    #[field(sample = 50.0, needs(volume_bv, standby_hours))]
    pub standby_after_bv: Option<f64>,
}

impl Service {
    /// Check every value.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        self.check_ranges()?;
        let (hours, after) = (self.standby_hours, self.standby_after_bv);
        if hours.is_some() != after.is_some() {
            let missing = if hours.is_some() { "service.standby_after_bv" } else { "service.standby_hours" };
            return Err(Error::value(missing, "none", "give standby_hours and standby_after_bv together, or neither"));
        }
        if let (Some(after), Some(volume)) = (after, self.volume_bv)
            && after >= volume
        {
            return Err(Error::value(
                "service.standby_after_bv",
                figure(after, &[volume]),
                format!("must be below service.volume_bv, {} BV: the run would be over", figure(volume, &[after])),
            ));
        }
        if self.limit_mg_per_l_caco3.is_none() && self.volume_bv.is_none() {
            return Err(Error::value("service", "no end", "give limit_mg_per_l_caco3, volume_bv, or both"));
        }
        Ok(())
    }
}
