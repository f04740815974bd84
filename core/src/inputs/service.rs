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
        if self.limit_mg_per_l_caco3.is_none() && self.volume_bv.is_none() {
            return Err(Error::value("service", "no end", "give limit_mg_per_l_caco3, volume_bv, or both"));
        }
        Ok(())
    }
}
