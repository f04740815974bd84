//! Numbers as Python gives them: plain, or as a quantity whose unit is converted into that of the field it is for.

use pyo3::inspect::PyStaticExpr;
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyFloat, PyInt};

use crate::errors;

/// A number, or a quantity that waits for the name of its field.
pub enum Number<'py> {
    Plain(f64),
    Quantity(Bound<'py, PyAny>),
    /// True or False, which Python counts as numbers; refused by its field.
    Flag(Bound<'py, PyAny>),
}

impl<'py> FromPyObject<'_, 'py> for Number<'py> {
    type Error = PyErr;
    // The alias of `brinefront.units.quantity`, which the stubs import.
    const INPUT_TYPE: PyStaticExpr = PyStaticExpr::Name { id: "Number" };

    fn extract(object: Borrowed<'_, 'py, PyAny>) -> PyResult<Self> {
        if is_flag(&object)? {
            return Ok(Self::Flag(object.to_owned()));
        }
        if is_quantity(&object)? { Ok(Self::Quantity(object.to_owned())) } else { object.extract().map(Self::Plain) }
    }
}

/// Is an object True or False, Python's own or numpy's?
pub fn is_flag(object: &Bound<'_, PyAny>) -> PyResult<bool> {
    if object.is_instance_of::<PyBool>() {
        return Ok(true);
    }
    if object.is_instance_of::<PyFloat>() || object.is_instance_of::<PyInt>() {
        return Ok(false);
    }
    Ok(matches!(object.get_type().name()?.to_str()?, "bool" | "bool_"))
}

/// The error for True or False where a field takes a number.
pub fn no_number(field: &str, flag: &Bound<'_, PyAny>) -> PyErr {
    errors::value(field, flag, "must be a number, not True or False")
}

/// Has an object a magnitude and units? A plain number is known by its type alone.
pub fn is_quantity(object: &Bound<'_, PyAny>) -> PyResult<bool> {
    if object.is_instance_of::<PyFloat>() || object.is_instance_of::<PyInt>() {
        return Ok(false);
    }
    Ok(object.hasattr("magnitude")? && object.hasattr("units")?)
}

/// A quantity in the unit of `field`, a plain number.
pub fn in_field<'py>(field: &str, quantity: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyAny>> {
    rules(quantity.py(), "in_field")?.call1((field, quantity))
}

/// The concentration of an ion, given with units, in the `unit` of an analysis.
pub fn of_ion(field: &str, symbol: &str, quantity: &Bound<'_, PyAny>, unit: &str) -> PyResult<f64> {
    rules(quantity.py(), "of_ion")?.call1((field, symbol, quantity, unit))?.extract()
}

/// A quantity for a case in which the fields `changed` change with it: its bed and the unit of its water are known.
pub fn in_case<'py>(
    case: &Bound<'py, PyAny>,
    changed: &Bound<'py, PyAny>,
    field: &str,
    quantity: &Bound<'py, PyAny>,
) -> PyResult<Bound<'py, PyAny>> {
    rules(quantity.py(), "in_case")?.call1((case, changed, field, quantity))
}

/// The function `name` of the only room that knows what a quantity is.
pub fn rules<'py>(py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyAny>> {
    py.import("brinefront.units.quantities")?.getattr(name)
}

/// What becomes a plain number once its field is named.
pub trait InField {
    type Found;

    /// The number in the unit of `field`.
    fn in_field(self, field: &str) -> PyResult<Self::Found>;
}

impl InField for Number<'_> {
    type Found = f64;

    fn in_field(self, field: &str) -> PyResult<f64> {
        match self {
            Self::Plain(number) => Ok(number),
            Self::Quantity(quantity) => in_field(field, &quantity)?.extract(),
            Self::Flag(flag) => Err(no_number(field, &flag)),
        }
    }
}

impl<T: InField> InField for Option<T> {
    type Found = Option<T::Found>;

    fn in_field(self, field: &str) -> PyResult<Self::Found> {
        self.map(|given| given.in_field(field)).transpose()
    }
}

/// Turn arguments into plain numbers, each in the unit of the field of its name: `numbers!("bed": depth_m, volume_l)`.
macro_rules! numbers {
    ($part:literal: $($name:ident),+ $(,)?) => {
        $(let $name = $crate::number::InField::in_field($name, concat!($part, ".", stringify!($name)))?;)+
    };
    ($($name:ident),+ $(,)?) => {
        $(let $name = $crate::number::InField::in_field($name, stringify!($name))?;)+
    };
}
pub(crate) use numbers;
