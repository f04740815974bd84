//! What is said of every field of a case.

use brinefront::inputs::fields::fields as all;
use pyo3::prelude::*;
use pyo3::types::PyList;
use serde_json::Value;

use crate::convert::plain;
use crate::errors::internal;

/// What is known of every field of a case: meaning, unit, limits, default and where that comes from.
///
/// Returns
/// -------
/// list of dict
///     `name` is the dotted name in a case file, with `*` for an ion or a place in a list; `owner` its class, so that a name
///     that several steps have comes once for each. `kind`, `doc`, `words`, `unit`, `range` (least and most), `limits` (in
///     words), `default`, `source`, `standing` (what the source is worth), `off` and `unset` (what absence means), `acts`
///     (when it acts), `unless` (beginning of the names that take its place), `unit_of` (field that holds its unit),
///     `required`, `choices`, `sample` (a value to try) and `needs` (what must be given with it); None where there is none.
#[pyfunction]
pub fn fields(py: Python<'_>) -> PyResult<Bound<'_, PyList>> {
    let found = PyList::empty(py);
    for field in all() {
        let record = plain(py, field)?;
        if let Some(sample) = field.sample {
            let value: Value = serde_json::from_str(sample).map_err(|e| internal(&e.to_string()))?;
            record.set_item("sample", plain(py, &value)?)?;
        }
        found.append(record)?;
    }
    Ok(found)
}
