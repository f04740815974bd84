//! The table of ions.

use brinefront::inputs::ion::Ion;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

/// The ions known here, cations first.
///
/// Returns
/// -------
/// list of dict
///     `symbol`, `name`, `charge` with its sign, `molar_mass_g_per_mol`, `g_per_eq` (mass of one equivalent) and
///     `diffusivity_m2_per_s` (in water at infinite dilution and 25 C).
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> {ion["symbol"]: round(ion["g_per_eq"], 2) for ion in bf.ions()}["Ca"]
/// 20.04
#[pyfunction]
pub fn ions(py: Python<'_>) -> PyResult<Bound<'_, PyList>> {
    let found = PyList::empty(py);
    for ion in Ion::all() {
        let (row, data) = (PyDict::new(py), ion.data());
        row.set_item("symbol", data.symbol)?;
        row.set_item("name", data.name)?;
        row.set_item("charge", data.charge)?;
        row.set_item("molar_mass_g_per_mol", data.molar_mass_g_per_mol)?;
        row.set_item("g_per_eq", ion.g_per_eq())?;
        row.set_item("diffusivity_m2_per_s", data.diffusivity_m2_per_s)?;
        found.append(row)?;
    }
    Ok(found)
}
