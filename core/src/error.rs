//! The one error type: what was attempted, on which field, with which value, and what was allowed.

use thiserror::Error;

/// A result whose error is [`enum@Error`].
pub type Result<T> = std::result::Result<T, Error>;

/// Everything that can go wrong, one variant for each thing a caller could do about it.
///
/// A bed that never settles or a service that is never soft is an *outcome* and is reported by the result itself.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Error {
    /// A value outside what its field allows.
    #[error("{field} = {value}: {limits}")]
    Value {
        /// Dotted name of the field, as in a case file (`regeneration.dose_g_per_l`).
        field: String,
        /// The value that was given, as text.
        value: String,
        /// What would have been allowed, with its unit.
        limits: String,
    },
    /// A case file or a text that cannot be understood.
    #[error("{source_name}: {reason}")]
    Text {
        /// The file's path, or what the text is.
        source_name: String,
        /// What is wrong with it, in one line.
        reason: String,
    },
    /// A file that cannot be read or written.
    #[error("cannot {action} {path}: {reason}")]
    File {
        /// `read` or `write`.
        action: &'static str,
        /// The path as given.
        path: String,
        /// The system's reason.
        reason: String,
    },
    /// The step size fell below what the clock can resolve.
    #[error(
        "{step}: the time step fell to {step_s:.3e} s at {time_s:.1} s ({cause}; cell {cell}); \
         ask for a looser tolerance or more cells, or check the rates"
    )]
    StepTooSmall {
        /// The recipe step that was running.
        step: String,
        /// Time within that step \[s\].
        time_s: f64,
        /// The last step tried \[s\].
        step_s: f64,
        /// What made the last trial fail.
        cause: String,
        /// The cell where it failed, counted from the service inlet.
        cell: usize,
    },
    /// The caller asked for the run to stop.
    #[error("interrupted")]
    Interrupted,
}

impl Error {
    /// An out-of-limits value; `limits` says what would be allowed.
    pub fn value(field: impl Into<String>, value: impl std::fmt::Display, limits: impl Into<String>) -> Self {
        Self::Value { field: field.into(), value: value.to_string(), limits: limits.into() }
    }
}
