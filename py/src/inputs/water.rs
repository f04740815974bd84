//! A water.

use brinefront::inputs::ion::Ion;
use brinefront::inputs::water::{self, ConcentrationUnit};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::{concentrations, ion_dict};
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// A water as analysed.
///
/// With no anion given, chloride takes the balance. With any anion given, an imbalance above 5 % of the total (common
/// practice, no source) is an error unless `balance` names the ion that closes it; anions are stretched to meet the
/// cations below that.
///
/// Parameters
/// ----------
/// ions : mapping of str to float or Quantity
///     Concentration of each ion by its symbol, as `ions` has them, 0 to 1e6 in `unit`. Quantities are converted into
///     it, whether mass, moles, equivalents or mass as calcium carbonate.
/// unit : {"mg/L", "mg/L CaCO3", "mmol/L", "meq/L"}, default "mg/L"
///     Unit of the concentrations.
/// temperature_c : float or Quantity, default 20.0
///     Temperature [C], 1 to 45. The default is room temperature (a choice, no source): rates and brine depend on it.
/// balance : str, optional
///     Symbol of the ion whose concentration is set so that charges balance, whatever was given for it.
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
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Water(pub water::Water);

#[pymethods]
impl Water {
    #[new]
    #[pyo3(
        signature = (ions, unit = "mg/L", *, temperature_c = Number::Plain(20.0), balance = None),
        text_signature = "(ions, unit='mg/L', *, temperature_c=20.0, balance=None)"
    )]
    fn new(ions: &Bound<'_, PyAny>, unit: &str, temperature_c: Number<'_>, balance: Option<&str>) -> PyResult<Self> {
        numbers!("water": temperature_c);
        let unit = ConcentrationUnit::parse(unit).map_err(to_python)?;
        Self::checked(water::Water {
            ions: concentrations("water.ions", ions, unit.name())?,
            unit,
            temperature_c,
            balance: balance.map(|symbol| Ion::parse("water.balance", symbol)).transpose().map_err(to_python)?,
        })
    }

    /// Concentration of each ion as given, in `unit`.
    #[getter]
    fn ions<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        ion_dict(py, &self.0.ions)
    }

    /// Unit of the analysis.
    #[getter]
    fn unit(&self) -> &'static str {
        self.0.unit.name()
    }

    /// Temperature [C].
    #[getter]
    fn temperature_c(&self) -> f64 {
        self.0.temperature_c
    }

    /// The ion that closes the charge balance, if one was named.
    #[getter]
    fn balance(&self) -> Option<&'static str> {
        self.0.balance.map(Ion::symbol)
    }

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

    /// Read a water from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Water
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
        Self::checked(text::from_json(text, "water")?)
    }

    /// The water as JSON text.
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
        let repr = Repr::of("Water")
            .bare(&text::dict_repr(&self.0.ions))
            .word("unit", self.unit())
            .number("temperature_c", self.0.temperature_c);
        match self.balance() {
            Some(ion) => repr.word("balance", ion),
            None => repr,
        }
        .end()
    }
}

impl Water {
    fn checked(water: water::Water) -> PyResult<Self> {
        water.validate().map_err(to_python)?;
        Ok(Self(water))
    }
}
