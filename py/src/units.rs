//! Conversions between trade units.

use brinefront::units::convert;
use pyo3::prelude::*;

use crate::errors::to_python;

/// Convert `value` from one unit into another that measures the same thing.
#[pyfunction]
pub fn convert_unit(value: f64, source: &str, target: &str) -> PyResult<f64> {
    convert::convert(value, source, target).map_err(to_python)
}

/// The names of the units that `convert` knows.
#[pyfunction]
pub fn unit_names() -> Vec<&'static str> {
    convert::unit_names().collect()
}
