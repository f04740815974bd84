//! Equilibrium theory: the wave picture of a cycle, and the efficiency it allows.

use pyo3::prelude::*;

use crate::convert::{count, plain};
use crate::enter::enter;
use crate::inputs::Case;

/// The waves of a case's cycle: figures by name, steps and pieces of paths as lists of dicts.
#[pyfunction]
pub fn waves<'py>(py: Python<'py>, case: &Bound<'py, Case>, levels: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyAny>> {
    let levels = count("levels", levels)?;
    let case = case.get().0.clone();
    let found = enter(py, None, |_| case.waves(levels))?;
    plain(py, &found)
}

/// The ceiling at each dose, co-current first: a list of dicts.
#[pyfunction]
pub fn efficiency_ceiling<'py>(
    py: Python<'py>,
    case: &Bound<'py, Case>,
    doses_g_per_l: Vec<f64>,
) -> PyResult<Bound<'py, PyAny>> {
    let case = case.get().0.clone();
    let found = enter(py, None, |_| case.efficiency_ceiling(&doses_g_per_l))?;
    plain(py, &found)
}
