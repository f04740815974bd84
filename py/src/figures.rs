//! The figures of a cycle: what is said of each, and their values.

use brinefront::inputs::field::Kind;
use brinefront::report::figure::Value;
use brinefront::report::figures::Figures;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

use crate::convert::name_of;
use crate::report::search_end;

/// What is said of every figure of a cycle, in their order.
///
/// Returns
/// -------
/// list of dict
///     `name`, `doc`, `words`, `unit` (empty for what is no number, and for a count), `kind` ("number", "whole", "flag" or
///     "text"), `error_of` (the figure whose numerical error it is, or None) and `tables`, the place from 0 in each table
///     that shows it, by the table's name.
#[pyfunction]
pub fn figures(py: Python<'_>) -> PyResult<Bound<'_, PyList>> {
    let found = PyList::empty(py);
    for figure in Figures::FIGURES {
        let record = PyDict::new(py);
        record.set_item("name", figure.name)?;
        record.set_item("doc", figure.doc)?;
        record.set_item("words", figure.words)?;
        record.set_item("unit", figure.unit)?;
        record.set_item("kind", name_of::<Kind>(&figure.kind)?)?;
        record.set_item("error_of", figure.error_of)?;
        let tables = PyDict::new(py);
        for (table, place) in figure.tables {
            tables.set_item(table.name(), place)?;
        }
        record.set_item("tables", tables)?;
        found.append(record)?;
    }
    Ok(found)
}

/// Figures by name, each of its own type; a number is as it is, also where it is not finite, and None where there is none.
pub fn by_name<'py>(py: Python<'py>, found: &Figures) -> PyResult<Bound<'py, PyDict>> {
    let data = PyDict::new(py);
    for (figure, value) in Figures::FIGURES.iter().zip(found.values()) {
        match value {
            Value::Number(number) => data.set_item(figure.name, number)?,
            Value::Whole(number) => data.set_item(figure.name, number)?,
            Value::Flag(flag) => data.set_item(figure.name, flag)?,
            Value::Text(text) => data.set_item(figure.name, text)?,
            Value::SearchEnd(end) => data.set_item(figure.name, search_end(py, end)?)?,
        }
    }
    Ok(data)
}
