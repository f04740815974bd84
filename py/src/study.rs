//! More than one run.

use brinefront::study::{self, At};
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde_json::Value;

use crate::convert::{count, to_value};
use crate::enter::enter;
use crate::inputs::Case;
use crate::{errors, report};

/// Compare strategies at equal dose or equal leakage: `(cycles, at, sentence)`.
#[pyfunction]
pub fn compare<'py>(
    py: Python<'py>,
    cases: Vec<Bound<'py, Case>>,
    at: &str,
    progress: Option<Py<PyAny>>,
) -> PyResult<(Vec<Bound<'py, PyAny>>, String, String)> {
    let point = At::parse(at).map_err(errors::to_python)?;
    let cases: Vec<_> = cases.iter().map(|case| case.get().0.clone()).collect();
    let found = enter(py, progress, |watch| study::compare(&cases, point, watch))?;
    let cycles: PyResult<Vec<_>> = found.cycles.into_iter().map(|one| report::cycle(py, one)).collect();
    Ok((cycles?, at.to_string(), found.sentence))
}

/// Run a grid of cases: one `dict` of figures or one error text for each point, in row-major order of the axes.
#[pyfunction]
pub fn sweep<'py>(
    py: Python<'py>,
    case: &Bound<'py, Case>,
    axes: &Bound<'py, PyDict>,
    threads: Option<&Bound<'py, PyAny>>,
    progress: Option<Py<PyAny>>,
) -> PyResult<Vec<(Option<Bound<'py, PyAny>>, String)>> {
    let mut named: Vec<(String, Vec<Value>)> = Vec::with_capacity(axes.len());
    for (name, values) in axes {
        let name: String = name.extract()?;
        let values: PyResult<Vec<Value>> = values.try_iter()?.map(|value| to_value(&name, &value?)).collect();
        named.push((name, values?));
    }
    let threads = threads.map(|number| count("threads", number)).transpose()?;
    let case = case.get().0.clone();
    let found = enter(py, progress, |watch| study::sweep(&case, &named, threads, watch))?;
    found
        .figures
        .into_iter()
        .map(|point| match point {
            Ok(figures) => Ok((Some(report::plain(py, &figures)?), String::new())),
            Err(error) => Ok((None, error.to_string())),
        })
        .collect()
}
