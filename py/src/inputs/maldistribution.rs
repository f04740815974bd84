//! Uneven flow over the section of a bed.

use brinefront::inputs::maldistribution;
use brinefront::plan::tubes::tubes;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::whole;
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// Uneven flow through the section of a bed, as stream tubes that run its whole depth and do not mix.
///
/// Either a log-normal `spread` over `tubes` of equal area, each with the mean flow of its share of the section; or two
/// tubes, of which the fast one has `fast_flow_share` of the flow in `fast_area_share` of the area. What leaves is
/// mixed by flow.
///
/// Parameters
/// ----------
/// spread : float or Quantity, optional
///     Standard deviation of the logarithm of the flow, 0 to 1; 0 is even.
/// tubes : int, optional
///     Tubes of the spread, 1 to 20; 5 if None, which takes up within 0.3 % of what many tubes do (measured on this
///     model).
/// fast_flow_share : float or Quantity, optional
///     Share of the flow in the fast tube, `fast_area_share` to 0.999.
/// fast_area_share : float or Quantity, optional
///     Share of the area that the fast tube has, 0.001 to 0.999.
/// correlation : float or Quantity, default 1.0
///     Coefficient of correlation of service and regenerant flows over the area, 0 to 1: that share of the bed has the
///     same rank in both (a choice, no source: what makes a tube fast is there in both).
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, or neither or both of the two ways.
///
/// Notes
/// -----
/// The tail of a log-normal is cut finer by more tubes: a run to a low limit, which the fastest tube decides, becomes
/// shorter with them. Service and fast rinse go by the tubes' service flows, brine and slow rinse by their regenerant
/// flows, which have the same distribution. A correlation of 1 takes n tubes, a smaller one n x n; the time of a run
/// rises with them.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> bf.Maldistribution(fast_flow_share=0.5, fast_area_share=0.25).stream_tubes()
/// [(0.75, 0.6666666666666666, 0.6666666666666666), (0.25, 2.0, 2.0)]
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

    /// Every stream tube: share of the area, and velocities over the mean of the section.
    ///
    /// Returns
    /// -------
    /// list of tuple of float
    ///     Share of the area, velocity in service and velocity of the regenerant of each tube, the velocities over the
    ///     mean.
    fn stream_tubes(&self) -> Vec<(f64, f64, f64)> {
        tubes(Some(&self.0)).iter().map(|tube| (tube.area, tube.service, tube.regenerant)).collect()
    }

    /// Read an uneven flow from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Maldistribution
    ///     As it was.
    ///
    /// Raises
    /// ------
    /// CaseFileError
    ///     For a text that cannot be understood.
    /// InputError
    ///     For a value out of limits.
    #[classmethod]
    fn from_json(_class: &Bound<'_, PyType>, text: &str) -> PyResult<Self> {
        Self::checked(text::from_json(text, "maldistribution")?)
    }

    /// The uneven flow as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
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
