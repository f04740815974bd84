//! A water.

use brinefront::inputs::ion::Ion;
use brinefront::inputs::water;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::convert::ion_dict;
use crate::errors::to_python;

brinefront::fields_of_water! {
    brinefront_derive::python_class;
    /// A water as analysed.
    ///
    /// With no anion given, chloride takes the balance. With any anion given, an imbalance above 5 % of the total (common
    /// practice, no source) is an error unless `balance` names the ion that closes it; anions are stretched to meet the
    /// cations below that.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, a water without cations, or charges that do not balance.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> water = bf.Water({"Ca": 80.0, "Mg": 24.0, "Na": 28.0}, temperature_c=15.0)
    /// >>> round(water.hardness_mg_per_l_caco3, 1)
    /// 298.6
    /// >>> water.chloride_assumed
    /// True
    class Water("water") of water::Water {
        /// Whether chloride was assumed because no anion was given.
        #[getter]
        fn chloride_assumed(&self) -> bool {
            self.0.chloride_assumed()
        }

        /// Calcium and magnesium [mg/L as CaCO3].
        #[getter]
        fn hardness_mg_per_l_caco3(&self) -> PyResult<f64> {
            self.0.hardness_mg_per_l_caco3(&[Ion::MG, Ion::CA]).map_err(to_python)
        }

        /// Dissolved solids [mg/L]: the mass of all ions, charges balanced, hydrogen carbonate as it stands in the water.
        #[getter]
        fn dissolved_solids_mg_per_l(&self) -> PyResult<f64> {
            self.0.dissolved_solids_mg_per_l().map_err(to_python)
        }

        /// Normality [eq/L]: the sum over cations, which the anions equal.
        #[getter]
        fn normality_eq_per_l(&self) -> PyResult<f64> {
            Ok(self.0.composition().map_err(to_python)?.normality())
        }

        /// Each ion [eq/L], charges balanced.
        #[getter]
        fn eq_per_l<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
            ion_dict(py, &self.0.composition().map_err(to_python)?.eq_per_l)
        }
    }
}
