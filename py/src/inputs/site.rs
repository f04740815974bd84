//! Where a softener stands.

use brinefront::inputs::site;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// What a softener has to deliver, and what its owner allows it; figures per week come from it.
///
/// Parameters
/// ----------
/// name : str
///     What it is called.
/// water_use_m3_per_day : float or Quantity
///     Soft water used [m3/day], 1e-6 to 1e7.
/// salt_budget_kg_per_week : float or Quantity, optional
///     Salt the owner pays for [kg/week], 0 to 1e9.
/// accepted_leakage_mg_per_l_caco3 : float or Quantity, optional
///     Leakage that the users accept, as a mean over the run [mg/L as CaCO3], 0 to 1e6.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> bf.default_case().replace({"site": bf.Site("Heron Weir", 12.0)}).site
/// Site(name='Heron Weir', water_use_m3_per_day=12.0)
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Site(pub site::Site);

#[pymethods]
impl Site {
    #[new]
    #[pyo3(signature = (name, water_use_m3_per_day, *, salt_budget_kg_per_week = None, accepted_leakage_mg_per_l_caco3 = None))]
    fn new(
        name: String,
        water_use_m3_per_day: Number<'_>,
        salt_budget_kg_per_week: Option<Number<'_>>,
        accepted_leakage_mg_per_l_caco3: Option<Number<'_>>,
    ) -> PyResult<Self> {
        numbers!("site": water_use_m3_per_day, salt_budget_kg_per_week, accepted_leakage_mg_per_l_caco3);
        Self::checked(site::Site {
            name,
            water_use_m3_per_day,
            salt_budget_kg_per_week,
            accepted_leakage_mg_per_l_caco3,
        })
    }

    /// What it is called.
    #[getter]
    fn name(&self) -> &str {
        &self.0.name
    }

    /// Soft water used [m3/day].
    #[getter]
    fn water_use_m3_per_day(&self) -> f64 {
        self.0.water_use_m3_per_day
    }

    /// Salt the owner pays for [kg/week].
    #[getter]
    fn salt_budget_kg_per_week(&self) -> Option<f64> {
        self.0.salt_budget_kg_per_week
    }

    /// Mean leakage that the users accept [mg/L as CaCO3].
    #[getter]
    fn accepted_leakage_mg_per_l_caco3(&self) -> Option<f64> {
        self.0.accepted_leakage_mg_per_l_caco3
    }

    /// Read a site from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Site
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
        Self::checked(text::from_json(text, "site")?)
    }

    /// The site as JSON text.
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

    pub(super) fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        Ok(Repr::of("Site")
            .text(py, "name", &self.0.name)?
            .number("water_use_m3_per_day", self.0.water_use_m3_per_day)
            .number_if("salt_budget_kg_per_week", self.0.salt_budget_kg_per_week)
            .number_if("accepted_leakage_mg_per_l_caco3", self.0.accepted_leakage_mg_per_l_caco3)
            .end())
    }
}

impl Site {
    fn checked(site: site::Site) -> PyResult<Self> {
        site.validate().map_err(to_python)?;
        Ok(Self(site))
    }
}
