//! A service run.

use brinefront::inputs::service;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::{from_name, name_of};
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// The service run: its flow, and where it ends, at a leakage limit or a throughput, whichever is first.
///
/// Parameters
/// ----------
/// flow_bv_per_h : float or Quantity
///     Flow [bed volumes per hour], 0.01 to 1000.
/// limit_mg_per_l_caco3 : float or Quantity, optional
///     Leakage that ends the run [mg/L as CaCO3], 1e-6 to below the feed's hardness.
/// volume_bv : float or Quantity, optional
///     Throughput that ends the run [bed volumes], 0.01 to 1e7. One of limit and volume must be given.
/// service_flow : {"down", "up"}, default "down"
///     The way through the vessel.
/// standby_hours : float or Quantity, optional
///     Rest in the middle of the run [h], 0.001 to 1e5; none if None. A limit is armed again one void volume after it.
/// standby_after_bv : float or Quantity, optional
///     Throughput after which the rest comes [bed volumes], 0.01 to 1e7 and below `volume_bv`.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, a run without an end, or a rest without its place.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> bf.Service(20.0, limit_mg_per_l_caco3=17.0)
/// Service(flow_bv_per_h=20.0, limit_mg_per_l_caco3=17.0, service_flow='down')
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Service(pub service::Service);

#[pymethods]
impl Service {
    #[new]
    #[pyo3(signature = (
        flow_bv_per_h, *, limit_mg_per_l_caco3 = None, volume_bv = None, service_flow = "down", standby_hours = None,
        standby_after_bv = None,
    ))]
    fn new(
        flow_bv_per_h: Number<'_>,
        limit_mg_per_l_caco3: Option<Number<'_>>,
        volume_bv: Option<Number<'_>>,
        service_flow: &str,
        standby_hours: Option<Number<'_>>,
        standby_after_bv: Option<Number<'_>>,
    ) -> PyResult<Self> {
        numbers!("service": flow_bv_per_h, limit_mg_per_l_caco3, volume_bv, standby_hours, standby_after_bv);
        Self::checked(service::Service {
            flow_bv_per_h,
            limit_mg_per_l_caco3,
            volume_bv,
            service_flow: from_name("service.service_flow", service_flow, "must be down or up")?,
            standby_hours,
            standby_after_bv,
        })
    }

    /// Flow [bed volumes per hour].
    #[getter]
    fn flow_bv_per_h(&self) -> f64 {
        self.0.flow_bv_per_h
    }

    /// Leakage that ends the run [mg/L as CaCO3].
    #[getter]
    fn limit_mg_per_l_caco3(&self) -> Option<f64> {
        self.0.limit_mg_per_l_caco3
    }

    /// Throughput that ends the run [bed volumes].
    #[getter]
    fn volume_bv(&self) -> Option<f64> {
        self.0.volume_bv
    }

    /// The way through the vessel: "down" or "up".
    #[getter]
    fn service_flow(&self) -> PyResult<String> {
        name_of(&self.0.service_flow)
    }

    /// Rest in the middle of the run [h], if it has one.
    #[getter]
    fn standby_hours(&self) -> Option<f64> {
        self.0.standby_hours
    }

    /// Throughput after which the rest comes [bed volumes].
    #[getter]
    fn standby_after_bv(&self) -> Option<f64> {
        self.0.standby_after_bv
    }

    /// Read a service run from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Service
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
        Self::checked(text::from_json(text, "service")?)
    }

    /// The service run as JSON text.
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

    pub(super) fn __repr__(&self) -> PyResult<String> {
        Ok(Repr::of("Service")
            .number("flow_bv_per_h", self.0.flow_bv_per_h)
            .number_if("limit_mg_per_l_caco3", self.0.limit_mg_per_l_caco3)
            .number_if("volume_bv", self.0.volume_bv)
            .word("service_flow", &self.service_flow()?)
            .number_if("standby_hours", self.0.standby_hours)
            .number_if("standby_after_bv", self.0.standby_after_bv)
            .end())
    }
}

impl Service {
    fn checked(service: service::Service) -> PyResult<Self> {
        service.validate().map_err(to_python)?;
        Ok(Self(service))
    }
}
