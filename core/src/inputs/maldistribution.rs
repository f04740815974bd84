//! Uneven flow over the section of a bed, as stream tubes that do not mix.

use brinefront_derive::inputs;
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};

/// How unevenly water goes through the section of a bed: either a log-normal `spread` over tubes of equal area, or two
/// tubes, of which the fast one has `fast_flow_share` of the flow in `fast_area_share` of the area.
///
/// Tubes run side by side the whole depth of the bed and do not mix. Service and fast rinse go by the tubes' service flows,
/// brine and slow rinse by their regenerant flows. Both have the same distribution, and over the area of the bed the
/// coefficient of correlation between them is `correlation`, exactly: a share `correlation` of the bed has the same rank in
/// both, and in the rest every rank in service meets every rank in regeneration, in proportion to their areas. A
/// correlation of 1 takes n tubes, a smaller one n x n.
#[inputs(part = "maldistribution", positional(spread))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Maldistribution {
    /// Standard deviation of the logarithm of the flow; 0 is even.
    #[field(words = "spread of the flow over the section", unit = "of ln flow", in_errors = "", range = 0.0..=1.0)]
    #[field(off = "flow is even", source = "Even unless given.", standing = "choice, no source", sample = 0.2)]
    pub spread: Option<f64>,
    /// Tubes of the log-normal spread; each has the mean flow of its share of the section. The finer a log-normal is cut,
    /// the faster is its fastest tube, which decides a run to a low limit: in the built-in scenario, to 17 of 299 mg/L and
    /// at a spread of 0.2, 20 tubes run 6 % shorter than 5.
    #[field(words = "stream tubes", range = 1..=20, late = "tubes", default = 5, acts = "with a spread of the flow")]
    #[field(
        source = "What a bed takes up is within 0.3 % of that of many tubes (measured on this model); a run to a low limit \
                  depends on how finely the spread is cut.",
        standing = "choice, no source"
    )]
    #[field(sample = 7, needs(spread))]
    pub tubes: usize,
    /// Share of the flow in the fast tube; at least its share of the area.
    #[field(words = "share of the flow in the fast tube", unit = "none", range = 1e-3..=0.999, late = "tubes")]
    #[field(off = "no fast tube", source = "Even unless given.", standing = "choice, no source")]
    #[field(sample = 0.3, needs(fast_area_share))]
    pub fast_flow_share: Option<f64>,
    /// Share of the area that the fast tube has.
    #[field(words = "share of the area of the fast tube", unit = "none", range = 1e-3..=0.999, late = "tubes")]
    #[field(off = "no fast tube", source = "Even unless given.", standing = "choice, no source")]
    #[field(sample = 0.2, needs(fast_flow_share))]
    pub fast_area_share: Option<f64>,
    /// Correlation of service and regenerant flows over the area; that share of the bed has the same rank in both.
    #[field(words = "correlation of service and regenerant flows", unit = "none", range = 0.0..=1.0)]
    #[field(default = 1.0, in_signature, acts = "with uneven flow")]
    #[field(
        source = "What makes a tube fast, a collector that draws on one side or beads packed loosely, is there in both.",
        standing = "choice, no source"
    )]
    #[field(sample = 0.5, needs(spread))]
    pub correlation: f64,
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
        self.check_ranges()?;
        self.check_tubes()?;
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
