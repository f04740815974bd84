//! Uneven flow over the section of a bed.

use brinefront::bed::tubes::tubes;
use brinefront::inputs::maldistribution;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::whole;
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// How unevenly water goes through the section of a bed, as stream tubes that run its whole depth and do not mix.
///
/// Either a log-normal `spread` (standard deviation of the logarithm of the flow, 0 to 1) over `tubes` of equal area, each with
/// the mean flow of its share of the section; or two tubes, of which the fast one has `fast_flow_share` of the flow in
/// `fast_area_share` of the area. What leaves is mixed by flow. The tail of a log-normal is cut finer by more tubes: a run to a
/// low limit, which the fastest tube decides, becomes shorter with them.
///
/// Service and fast rinse go by the tubes' service flows, brine and slow rinse by their regenerant flows, which have the same
/// distribution. `correlation` (0 to 1) is their coefficient of correlation over the area of the bed: that share of it has the
/// same rank in both, in the rest every rank in service meets every rank in regeneration. 1 takes n tubes, less n x n; the time
/// of a run rises with them.
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Maldistribution(pub maldistribution::Maldistribution);

#[pymethods]
impl Maldistribution {
    #[new]
    #[pyo3(
        signature = (
            spread = None, *, tubes = None, fast_flow_share = None, fast_area_share = None,
            correlation = Number::Plain(1.0),
        ),
        text_signature = "(spread=None, *, tubes=None, fast_flow_share=None, fast_area_share=None, correlation=1.0)"
    )]
    fn new(
        spread: Option<Number<'_>>,
        tubes: Option<&Bound<'_, PyAny>>,
        fast_flow_share: Option<Number<'_>>,
        fast_area_share: Option<Number<'_>>,
        correlation: Number<'_>,
    ) -> PyResult<Self> {
        numbers!("maldistribution": spread, fast_flow_share, fast_area_share, correlation);
        let default = maldistribution::Maldistribution::default();
        let tubes = match tubes {
            Some(number) => whole("maldistribution.tubes", number, "must be a whole number from 1 to 20")?,
            None => default.tubes,
        };
        Self::checked(maldistribution::Maldistribution { spread, tubes, fast_flow_share, fast_area_share, correlation })
    }

    /// Standard deviation of the logarithm of the flow, if given.
    #[getter]
    fn spread(&self) -> Option<f64> {
        self.0.spread
    }

    /// Tubes of the log-normal spread.
    #[getter]
    fn tubes(&self) -> usize {
        self.0.tubes
    }

    /// Share of the flow in the fast tube, if given.
    #[getter]
    fn fast_flow_share(&self) -> Option<f64> {
        self.0.fast_flow_share
    }

    /// Share of the area that the fast tube has, if given.
    #[getter]
    fn fast_area_share(&self) -> Option<f64> {
        self.0.fast_area_share
    }

    /// Correlation of service and regenerant flows.
    #[getter]
    fn correlation(&self) -> f64 {
        self.0.correlation
    }

    /// Every stream tube: share of the area, and velocities in service and of the regenerant over the mean of the section.
    fn stream_tubes(&self) -> Vec<(f64, f64, f64)> {
        tubes(Some(&self.0)).iter().map(|tube| (tube.area, tube.service, tube.regenerant)).collect()
    }

    /// Read it from JSON text.
    #[classmethod]
    fn from_json(_class: &Bound<'_, PyType>, text: &str) -> PyResult<Self> {
        Self::checked(text::from_json(text, "maldistribution")?)
    }

    /// It as JSON text.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.0)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    pub(super) fn __repr__(&self) -> String {
        let repr = Repr::of("Maldistribution").number_if("spread", self.0.spread);
        let repr = if self.0.spread.is_some() { repr.raw("tubes", &self.0.tubes.to_string()) } else { repr };
        repr.number_if("fast_flow_share", self.0.fast_flow_share)
            .number_if("fast_area_share", self.0.fast_area_share)
            .number("correlation", self.0.correlation)
            .end()
    }
}

impl Maldistribution {
    fn checked(found: maldistribution::Maldistribution) -> PyResult<Self> {
        found.validate().map_err(to_python)?;
        Ok(Self(found))
    }
}
