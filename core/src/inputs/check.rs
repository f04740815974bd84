//! Range checks that name field, value and limits.

use crate::error::{Error, Limits, Result};

/// Finite and within `low..=high`; the error has `unit`.
pub(super) fn within(field: &str, value: f64, low: f64, high: f64, unit: &'static str) -> Result<()> {
    if value.is_finite() && (low..=high).contains(&value) {
        return Ok(());
    }
    Err(Error::value(field, value, Limits::Range { low, high, unit }))
}

/// As [`within`], for a value that may be absent.
pub(super) fn within_if(field: &str, value: Option<f64>, low: f64, high: f64, unit: &'static str) -> Result<()> {
    value.map_or(Ok(()), |v| within(field, v, low, high, unit))
}

/// A whole number within `low..=high`.
pub(super) fn whole_within(field: &str, value: usize, low: usize, high: usize) -> Result<()> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(Error::value(field, value, Limits::Whole { low, high }))
}
