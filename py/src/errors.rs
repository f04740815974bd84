//! From the crate's error to the Python exception that a caller can act on.

use std::path::Path;

use brinefront::Error;
use pyo3::prelude::*;

/// The exceptions as `errors.py` defines them; it imports nothing, so this upward name is safe.
mod exceptions {
    use pyo3::import_exception;
    import_exception!(brinefront.errors, InputError);
    import_exception!(brinefront.errors, CaseFileError);
    import_exception!(brinefront.errors, CaseFileNotFoundError);
    import_exception!(brinefront.errors, CaseFileAccessError);
    import_exception!(brinefront.errors, SolverError);
}
use exceptions::{CaseFileAccessError, CaseFileError, CaseFileNotFoundError, InputError, SolverError};

/// The Python exception for an error of the crate.
pub fn to_python(error: Error) -> PyErr {
    match error {
        Error::Value { field, value, limits, source_name } => {
            let limits = limits.beside(&value);
            InputError::new_err((field.to_string(), value, limits, source_name))
        }
        Error::NoSuchField { field, value, reason } => InputError::new_err((field.to_string(), value, reason)),
        Error::Text { .. } => CaseFileError::new_err(error.to_string()),
        Error::File { ref path, .. } if !Path::new(path).exists() => CaseFileNotFoundError::new_err(error.to_string()),
        Error::File { .. } => CaseFileAccessError::new_err(error.to_string()),
        Error::StepTooSmall { .. } => SolverError::new_err(error.to_string()),
        Error::Interrupted => pyo3::exceptions::PyKeyboardInterrupt::new_err("interrupted"),
        _ => SolverError::new_err(error.to_string()),
    }
}

/// An out-of-limits value, raised by the skin itself.
pub fn value(field: &str, value: impl std::fmt::Display, limits: &str) -> PyErr {
    to_python(Error::value(field, value, limits))
}

/// A failure of the program itself.
pub fn internal(what: &str) -> PyErr {
    SolverError::new_err(format!("internal error: {what}"))
}
