//! The service run: flow, and where it ends.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::{within, within_if};

/// Which way service water goes through the vessel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum ServiceFlow {
    /// From the top.
    #[default]
    Down,
    /// From the bottom.
    Up,
}

/// The service run ends at a leakage limit or at a throughput, whichever comes first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Service {
    /// Flow \[bed volumes per hour\].
    pub flow_bv_per_h: f64,
    /// Leakage that ends the run \[mg/L as CaCO3\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub limit_mg_per_l_caco3: Option<f64>,
    /// Throughput that ends the run \[bed volumes\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume_bv: Option<f64>,
    /// Direction of service through the vessel.
    #[serde(default)]
    pub service_flow: ServiceFlow,
    /// Rest in the middle of the run \[h\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standby_hours: Option<f64>,
    /// Throughput after which it comes \[bed volumes\]; a run that ends before has none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standby_after_bv: Option<f64>,
}

impl Service {
    /// Check every value.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        within("service.flow_bv_per_h", self.flow_bv_per_h, 0.01, 1000.0, "BV/h")?;
        within_if("service.limit_mg_per_l_caco3", self.limit_mg_per_l_caco3, 1e-6, 1e6, "mg/L as CaCO3")?;
        within_if("service.volume_bv", self.volume_bv, 0.01, 1e7, "BV")?;
        within_if("service.standby_hours", self.standby_hours, 1e-3, 1e5, "h")?;
        within_if("service.standby_after_bv", self.standby_after_bv, 0.01, 1e7, "BV")?;
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
                after,
                format!("must be below service.volume_bv, {volume} BV: the run would be over"),
            ));
        }
        if self.limit_mg_per_l_caco3.is_none() && self.volume_bv.is_none() {
            return Err(Error::value("service", "no end", "give limit_mg_per_l_caco3, volume_bv, or both"));
        }
        Ok(())
    }
}
