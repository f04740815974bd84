//! Arguments named without their unit, each a text with one: `Regeneration("co-current", dose="8 lb/ft3")`.

use brinefront::Error;
use brinefront::inputs::amounts::{in_field_by_beds, in_field_of, named_without_unit, written};
use pyo3::exceptions::PyTypeError;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyFloat, PyString};

use crate::errors::{self, to_python};
use crate::inputs::Case;
use crate::number::{Number, in_field, is_quantity};

/// The number that a text with its unit is in a field of cases, whose beds turn volumes of water into bed volumes.
///
/// Parameters
/// ----------
/// cases : sequence of Case
///     Volumes of water must be one number in all of their beds.
/// field : str
///     Dotted name of the field, which carries the unit wanted.
/// name : str
///     What errors call it.
/// text : str
///     A number with its unit.
///
/// Returns
/// -------
/// float
///     The number in the field's unit.
///
/// Raises
/// ------
/// InputError
///     For a text without number, of another unit, or a volume of water that is another number in each of the beds.
#[pyfunction]
pub fn in_cases(cases: Vec<Bound<'_, Case>>, field: &str, name: &str, text: &str) -> PyResult<f64> {
    let beds = cases.iter().map(|case| &case.get().0.bed);
    in_field_by_beds(field, name, text, beds).map_err(to_python)
}

/// What a constructor was given beyond the arguments that it names.
pub struct Amounts<'py> {
    class: &'static str,
    owner: &'static str,
    part: &'static str,
    /// The argument, the field it stands for, and its value.
    given: Vec<(String, &'static str, Bound<'py, PyAny>)>,
}

impl<'py> Amounts<'py> {
    /// Of a class whose fields are those of the struct `owner`; `part` stands before a field's name in errors.
    pub fn of(
        class: &'static str,
        owner: &'static str,
        part: &'static str,
        given: Option<&Bound<'py, PyDict>>,
    ) -> PyResult<Self> {
        let mut named = Vec::new();
        for (name, value) in given.into_iter().flatten() {
            let name: String = name.extract()?;
            let Some(key) = named_without_unit(owner, &name) else {
                let words = format!("{class}.__new__() got an unexpected keyword argument '{name}'");
                return Err(PyTypeError::new_err(words));
            };
            named.push((name, key, value));
        }
        Ok(Self { class, owner, part, given: named })
    }

    /// The number of a field: what was given without its unit, else `plain`, of which `default` counts as not given.
    pub fn instead(
        &self,
        key: &str,
        plain: Option<Number<'py>>,
        default: Option<f64>,
    ) -> PyResult<Option<Number<'py>>> {
        let is_default = matches!((&plain, default), (Some(Number::Plain(number)), Some(usual)) if *number == usual);
        let found = self.number(key, plain.is_some() && !is_default)?;
        Ok(found.map(|(number, _)| Number::Plain(number)).or(plain))
    }

    /// The same for a field that takes more than a number.
    pub fn object(&self, key: &str, plain: Option<&Bound<'py, PyAny>>) -> PyResult<Option<Bound<'py, PyAny>>> {
        let found = self.number(key, plain.is_some())?;
        Ok(found.map(|(number, py)| PyFloat::new(py, number).into_any()).or_else(|| plain.cloned()))
    }

    fn number(&self, key: &str, is_given: bool) -> PyResult<Option<(f64, Python<'py>)>> {
        let Some((name, _, value)) = self.given.iter().find(|(_, field, _)| *field == key) else { return Ok(None) };
        let named = format!("{}.{name}", self.part);
        if is_given {
            return Err(errors::value(&named, value, &format!("is given twice: also as {key}")));
        }
        if let Ok(text) = value.cast::<PyString>() {
            let number = in_field_of(self.owner, key, &named, &text.to_string()).map_err(to_python)?;
            return Ok(Some((number, value.py())));
        }
        if is_quantity(value)? {
            return Ok(Some((in_field(&format!("{}.{key}", self.part), value)?.extract()?, value.py())));
        }
        Err(errors::value(&named, value, &format!("must be a text with its unit, or {key} a plain number")))
    }

    /// A refusal of a number that was given with its unit: it shows what was given.
    pub fn as_written(&self, error: Error) -> Error {
        match error {
            Error::Value { field, value, limits, source_name } => {
                let key = field.as_str().rsplit('.').next().unwrap_or_default();
                let given = self.given.iter().find(|(_, of, _)| *of == key);
                let value = given.map_or(value.clone(), |(_, of, given)| written(of, &given.to_string(), &value));
                Error::Value { field, value, limits, source_name }
            }
            other => other,
        }
    }

    /// The same for a field that must be given one way or the other.
    pub fn needed(&self, key: &str, plain: Option<Number<'py>>) -> PyResult<Number<'py>> {
        let words = format!("{}.__new__() missing 1 required argument: '{key}'", self.class);
        self.instead(key, plain, None)?.ok_or_else(|| PyTypeError::new_err(words))
    }
}
