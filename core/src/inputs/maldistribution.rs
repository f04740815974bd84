//! Uneven flow over the section of a bed, as stream tubes that do not mix.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::{within, within_if};

/// Most tubes of a log-normal spread.
const MOST_TUBES: usize = 20;

/// How unevenly water goes through the section of a bed: either a log-normal `spread` over tubes of equal area, or two
/// tubes, of which the fast one has `fast_flow_share` of the flow in `fast_area_share` of the area.
///
/// Tubes run side by side the whole depth of the bed and do not mix. Service and fast rinse go by the tubes' service flows,
/// brine and slow rinse by their regenerant flows. Both have the same distribution, and over the area of the bed the
/// coefficient of correlation between them is `correlation`, exactly: a share `correlation` of the bed has the same rank in
/// both, and in the rest every rank in service meets every rank in regeneration, in proportion to their areas. A
/// correlation of 1 takes n tubes, a smaller one n x n.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Maldistribution {
    /// Standard deviation of the logarithm of the flow, 0 to 1; 0 is even.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spread: Option<f64>,
    /// Tubes of the log-normal spread, 1 to 20; each has the mean flow of its share of the section.
    #[serde(default = "default_tubes")]
    pub tubes: usize,
    /// Share of the flow in the fast tube.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fast_flow_share: Option<f64>,
    /// Share of the area that the fast tube has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fast_area_share: Option<f64>,
    /// Correlation of service and regenerant flows, 0 to 1; at 1 the same tubes are fast in both.
    #[serde(default = "default_correlation")]
    pub correlation: f64,
}

/// What a bed takes up is within 0.3 % of that of many tubes (`tests/rust/bed/vessel.rs`, spread 0.3). A run to a low limit is decided by the fastest tube, and the finer a log-normal is cut,
/// the faster that is: in the built-in scenario, to 17 of 299 mg/L and at a spread of 0.2, 20 tubes run 6 % shorter than 5.
fn default_tubes() -> usize {
    5
}

/// What makes a tube fast, a collector that draws on one side or beads packed loosely, is there in both.
fn default_correlation() -> f64 {
    1.0
}

impl Default for Maldistribution {
    fn default() -> Self {
        Self {
            spread: None,
            tubes: default_tubes(),
            fast_flow_share: None,
            fast_area_share: None,
            correlation: default_correlation(),
        }
    }
}

impl Maldistribution {
    /// A log-normal spread with everything else as it is by default.
    pub fn with_spread(spread: f64) -> Self {
        Self { spread: Some(spread), ..Self::default() }
    }

    /// Check that one of the two ways is chosen, and its values.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        within_if("maldistribution.spread", self.spread, 0.0, 1.0, "")?;
        within("maldistribution.correlation", self.correlation, 0.0, 1.0, "")?;
        if !(1..=MOST_TUBES).contains(&self.tubes) {
            return Err(Error::value("maldistribution.tubes", self.tubes, format!("must be from 1 to {MOST_TUBES}")));
        }
        within_if("maldistribution.fast_flow_share", self.fast_flow_share, 1e-3, 0.999, "")?;
        within_if("maldistribution.fast_area_share", self.fast_area_share, 1e-3, 0.999, "")?;
        match (self.spread, self.fast_flow_share, self.fast_area_share) {
            (Some(_), None, None) => Ok(()),
            (None, Some(flow), Some(area)) if flow >= area => Ok(()),
            (None, Some(flow), Some(area)) => Err(Error::value(
                "maldistribution.fast_flow_share",
                flow,
                format!("must be at least fast_area_share, {area}: the fast tube has more than its share of the flow"),
            )),
            _ => Err(Error::value(
                "maldistribution",
                "neither or both",
                "give spread, or fast_flow_share and fast_area_share",
            )),
        }
    }
}
