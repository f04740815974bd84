//! Conversions between trade units.

use brinefront::inputs::ion::Ion;
use brinefront::inputs::water::ConcentrationUnit;
use brinefront::units::convert;
use pyo3::prelude::*;

use crate::errors::to_python;
use crate::number::{Number, no_number, rules};

/// Convert a number from one unit into another that measures the same thing.
///
/// Parameters
/// ----------
/// value : float or Quantity
///     The number; a quantity is taken into `source` first, whatever its own unit.
/// source : str
///     Its unit, one of `brinefront.units.names`.
/// target : str
///     The unit wanted.
///
/// Returns
/// -------
/// float
///     The number in `target`.
///
/// Raises
/// ------
/// InputError
///     For a unit that is not known, or two that measure different things.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> round(bf.units.convert(6.0, "lb/ft3", "g/L"), 2)
/// 96.11
#[pyfunction]
pub fn convert_unit(py: Python<'_>, value: Number<'_>, source: &str, target: &str) -> PyResult<f64> {
    let value = match value {
        Number::Plain(number) => number,
        Number::Quantity(quantity) => rules(py, "in_unit")?.call1((source, quantity))?.extract()?,
        Number::Flag(flag) => return Err(no_number("value", &flag)),
    };
    convert::convert(value, source, target).map_err(to_python)
}

/// Convert the concentration of an ion between the units that an analysis may have.
#[pyfunction]
pub fn convert_concentration(symbol: &str, value: f64, source: &str, target: &str) -> PyResult<f64> {
    let ion = Ion::parse("symbol", symbol).map_err(to_python)?;
    let given = source.parse::<ConcentrationUnit>().map_err(to_python)?;
    let wanted = target.parse::<ConcentrationUnit>().map_err(to_python)?;
    Ok(wanted.convert(ion, value, given))
}

/// The names of the units that `convert` knows.
///
/// Returns
/// -------
/// list of str
///     As `source` and `target` take them.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> "gr/gal" in bf.units.names()
/// True
#[pyfunction]
pub fn unit_names() -> Vec<&'static str> {
    convert::unit_names().collect()
}
