//! Laws at one point.

use brinefront::inputs::resin::{Resin, Selectivity};
use brinefront::laws::equilibrium::resin_fractions;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::convert::ion_map;
use crate::errors::to_python;

/// Equivalent fractions on a resin in equilibrium with a solution, a dict by ion.
///
/// `solution` holds cations in eq/L. `selectivity` holds Gaines-Thomas coefficients against sodium in the
/// normality/capacity form, or names a published set. The capacity is per litre of packed bed.
#[pyfunction]
#[pyo3(signature = (solution, selectivity, capacity_eq_per_l))]
pub fn equilibrium<'py>(
    py: Python<'py>,
    solution: &Bound<'py, PyAny>,
    selectivity: &Bound<'py, PyAny>,
    capacity_eq_per_l: f64,
) -> PyResult<Bound<'py, PyDict>> {
    let selectivity = match selectivity.extract::<String>() {
        Ok(name) => Selectivity::Named(name),
        Err(_) => Selectivity::Given(ion_map("selectivity", selectivity)?),
    };
    let resin = Resin { selectivity, capacity_eq_per_l, ..Resin::default() };
    resin.validate().map_err(to_python)?;
    let mut liquid = Vec::new();
    for (ion, concentration) in ion_map("solution", solution)? {
        liquid.push((ion, concentration, resin.selectivity_of(ion).map_err(to_python)?));
    }
    let fractions = PyDict::new(py);
    for (ion, fraction) in resin_fractions(&liquid, capacity_eq_per_l).map_err(to_python)? {
        fractions.set_item(ion.symbol(), fraction)?;
    }
    Ok(fractions)
}
