//! What a single run starts from.

use brinefront::cycle::run::Loading;
use pyo3::prelude::*;

use crate::convert::ion_map;
use crate::errors;

/// "feed", or equivalent fractions by ion.
pub fn loading(given: &Bound<'_, PyAny>) -> PyResult<Loading> {
    match given.extract::<String>() {
        Ok(name) if name == "feed" => Ok(Loading::Feed),
        Ok(name) => {
            Err(errors::value("from_loading", name, "must be \"feed\" or a dict of equivalent fractions by ion"))
        }
        Err(_) => Ok(Loading::Fractions(ion_map("from_loading", given)?)),
    }
}
