//! Between Python objects and the crate's plain data.

use std::collections::BTreeMap;
use std::str::FromStr;

use brinefront::inputs::amounts;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::water::ConcentrationUnit;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping, PySequence, PyString};
use pythonize::pythonize;
use serde::Serialize;
use serde_json::Value;

use crate::errors;
use crate::inputs;
use crate::number::{InField, Number, in_field, is_flag, is_quantity, of_ion};

/// A mapping from ion symbols to numbers; `field` is named in errors.
pub fn ion_map(field: &str, mapping: &Bound<'_, PyAny>) -> PyResult<BTreeMap<Ion, f64>> {
    numbers_by_ion(field, mapping, |ion, amount| amount.extract::<Number<'_>>()?.in_field(&format!("{field}.{ion}")))
}

/// A mapping from ion symbols to concentrations; those with units, also as text, are converted into `unit`, that of an
/// analysis.
pub fn concentrations(field: &str, mapping: &Bound<'_, PyAny>, unit: &str) -> PyResult<BTreeMap<Ion, f64>> {
    let analysis = unit.parse::<ConcentrationUnit>();
    numbers_by_ion(field, mapping, |ion, amount| {
        let name = format!("{field}.{ion}");
        if let (Ok(text), Ok(analysis)) = (amount.cast::<PyString>(), &analysis) {
            return amounts::of_ion(&name, ion, &text.to_string(), *analysis).map_err(errors::to_python);
        }
        match amount.extract::<Number<'_>>()? {
            Number::Quantity(quantity) => of_ion(&name, ion.symbol(), &quantity, unit),
            plain => plain.in_field(&name),
        }
    })
}

fn numbers_by_ion(
    field: &str,
    mapping: &Bound<'_, PyAny>,
    plain: impl Fn(Ion, &Bound<'_, PyAny>) -> PyResult<f64>,
) -> PyResult<BTreeMap<Ion, f64>> {
    let items = mapping.cast::<PyMapping>().map_err(|_| {
        pyo3::exceptions::PyTypeError::new_err(format!("{field}: expected a dict of ion symbols to numbers"))
    })?;
    let mut found = BTreeMap::new();
    for item in items.items()?.iter() {
        let (symbol, amount): (String, Bound<'_, PyAny>) = item.extract()?;
        let ion = Ion::parse(field, &symbol).map_err(errors::to_python)?;
        found.insert(ion, plain(ion, &amount)?);
    }
    Ok(found)
}

/// Ions by their symbols.
pub fn ions(field: &str, symbols: &[String]) -> PyResult<Vec<Ion>> {
    symbols.iter().map(|symbol| Ion::parse(field, symbol).map_err(errors::to_python)).collect()
}

/// A dict by ion symbol.
pub fn ion_dict<'py>(py: Python<'py>, by_ion: &BTreeMap<Ion, f64>) -> PyResult<Bound<'py, PyDict>> {
    let dict = PyDict::new(py);
    for (ion, value) in by_ion {
        dict.set_item(ion.symbol(), value)?;
    }
    Ok(dict)
}

/// A choice by its name; `field` is named in errors.
pub fn named<T: FromStr<Err = brinefront::Error>>(field: &str, name: &str) -> PyResult<T> {
    name.parse().map_err(|error: brinefront::Error| errors::to_python(error.in_field(field)))
}

/// The name that a serialised enum goes by.
pub fn name_of<T: Serialize>(value: &T) -> PyResult<String> {
    match serde_json::to_value(value) {
        Ok(Value::String(name)) => Ok(name),
        _ => Err(errors::internal("an option without a name")),
    }
}

/// A whole number, with any other refused in the field's name and never as an overflow.
pub fn whole(field: &str, number: &Bound<'_, PyAny>, limits: &str) -> PyResult<usize> {
    if is_flag(number)? {
        return Err(errors::value(field, number, limits));
    }
    if is_quantity(number)? {
        return whole(field, &in_field(field, number)?, limits);
    }
    number.extract::<usize>().map_err(|_| errors::value(field, number, limits))
}

/// A whole number, at least 1.
pub fn count(field: &str, number: &Bound<'_, PyAny>) -> PyResult<usize> {
    let limits = "must be a whole number, at least 1";
    match whole(field, number, limits)? {
        0 => Err(errors::value(field, 0, limits)),
        found => Ok(found),
    }
}

/// The number that a quantity is in a field.
type Plain<'call, 'py> = dyn Fn(&str, &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyAny>> + 'call;

/// Lists in lists, at most: a case file has no more than four.
const MOST_NESTED: usize = 16;

/// A Python value as a value of a case file; `name` is the field it is meant for.
///
/// `plain` gives the number that a quantity is in a field.
pub fn to_value<'py>(name: &str, object: &Bound<'py, PyAny>, plain: &Plain<'_, 'py>) -> PyResult<Value> {
    nested(name, object, plain, 0)
}

fn nested<'py>(name: &str, object: &Bound<'py, PyAny>, plain: &Plain<'_, 'py>, depth: usize) -> PyResult<Value> {
    if depth > MOST_NESTED {
        let limits = format!("is nested deeper than {MOST_NESTED} lists or dicts, or holds itself");
        return Err(errors::value(name, "a list or a dict", &limits));
    }
    if object.is_none() {
        return Ok(Value::Null);
    }
    if let Some(part) = inputs::part_to_value(object)? {
        return Ok(part);
    }
    if is_flag(object)? {
        return Ok(Value::Bool(object.is_truthy()?));
    }
    if let Ok(text) = object.cast::<PyString>() {
        return Ok(Value::String(text.to_string()));
    }
    if is_quantity(object)? {
        return nested(name, &plain(name, object)?, plain, depth + 1);
    }
    if let Ok(number) = object.extract::<i64>() {
        return Ok(Value::Number(number.into()));
    }
    if let Ok(number) = object.extract::<f64>() {
        return serde_json::Number::from_f64(number)
            .map(Value::Number)
            .ok_or_else(|| errors::value(name, number, "must be a finite number"));
    }
    if let Ok(mapping) = object.cast::<PyMapping>() {
        let mut table = serde_json::Map::new();
        for item in mapping.items()?.iter() {
            let (key, value): (String, Bound<'py, PyAny>) = item.extract()?;
            let value = nested(&format!("{name}.{key}"), &value, plain, depth + 1)?;
            table.insert(key, value);
        }
        return Ok(Value::Object(table));
    }
    if let Ok(sequence) = object.cast::<PySequence>() {
        let items: PyResult<Vec<Value>> = sequence
            .try_iter()?
            .enumerate()
            .map(|(place, item)| nested(&format!("{name}.{place}"), &item?, plain, depth + 1))
            .collect();
        return Ok(Value::Array(items?));
    }
    Err(errors::value(name, object.repr()?, "must be a number, a text, a list, a dict, or a part of a case"))
}

/// A serialisable value as Python sees it: fields by name in their order, an absent value as None, and each number as it is,
/// also where it is not finite.
pub fn plain<'py, T: Serialize>(py: Python<'py>, value: &T) -> PyResult<Bound<'py, PyAny>> {
    pythonize(py, value).map_err(|e| errors::internal(&e.to_string()))
}
