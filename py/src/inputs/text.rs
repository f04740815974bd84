//! What every input shares: JSON for pickling, and a repr in the shape of its constructor.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use brinefront::inputs::ion::Ion;
use pyo3::prelude::*;
use pyo3::types::{PyString, PyTuple, PyType};
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::errors;

/// A part of a case as JSON text.
pub fn to_json<T: Serialize>(part: &T) -> PyResult<String> {
    serde_json::to_string(part).map_err(|e| errors::internal(&e.to_string()))
}

/// A part of a case from JSON text.
pub fn from_json<T: DeserializeOwned>(text: &str, what: &str) -> PyResult<T> {
    serde_json::from_str(text).map_err(|e| errors::to_python(brinefront::Error::text(what, e.to_string(), e)))
}

/// `(cls.from_json, (text,))`: pickle and deepcopy.
pub fn reduce<'py>(class: &Bound<'py, PyType>, text: String) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
    Ok((class.getattr("from_json")?, PyTuple::new(class.py(), [text])?))
}

/// Writes `Name(a, b=1.0)`.
pub struct Repr(String);

impl Repr {
    /// Start with the class's name.
    pub fn of(class: &str) -> Self {
        Self(format!("{class}("))
    }

    /// Text as it is given, without a name: a positional argument.
    pub fn bare(mut self, text: &str) -> Self {
        self.separate();
        self.0.push_str(text);
        self
    }

    /// Text as it is given.
    pub fn raw(mut self, name: &str, text: &str) -> Self {
        self.separate();
        let _ = write!(self.0, "{name}={text}");
        self
    }

    /// The finished text.
    pub fn end(self) -> String {
        self.0 + ")"
    }

    fn separate(&mut self) {
        if !self.0.ends_with('(') {
            self.0.push_str(", ");
        }
    }
}

/// Free text, quoted as Python does.
pub fn quoted(py: Python<'_>, text: &str) -> PyResult<String> {
    Ok(PyString::new(py, text).repr()?.to_string())
}

/// `{'Ca': 80.0, 'Mg': 24.0}`
pub fn dict_repr(by_ion: &BTreeMap<Ion, f64>) -> String {
    let items: Vec<_> = by_ion.iter().map(|(ion, value)| format!("'{ion}': {value:?}")).collect();
    format!("{{{}}}", items.join(", "))
}
