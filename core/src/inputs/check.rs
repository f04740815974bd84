//! Range checks that name field, value and limits; and a check of names when the crate is compiled.

use crate::error::{Error, Limits, Result, figure};

/// Finite and within `low..=high`; the error has `unit`.
pub(super) fn within(field: &str, value: f64, low: f64, high: f64, unit: &'static str) -> Result<()> {
    if value.is_finite() && (low..=high).contains(&value) {
        return Ok(());
    }
    Err(Error::value(field, figure(value, &[low, high]), Limits::Range { low, high, unit }))
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

/// Most letters of a name.
const MOST_LETTERS: usize = 100;

/// A name in one line that tables and pictures have room for.
pub(super) fn check_name(field: &str, name: &str) -> Result<()> {
    let letters = name.chars().count();
    if letters > MOST_LETTERS {
        return Err(Error::value(field, name, format!("must be at most {MOST_LETTERS} characters, has {letters}")));
    }
    let breaks = |letter: char| letter.is_control() || matches!(letter, '\u{2028}' | '\u{2029}');
    if name.contains(breaks) {
        let shown = name.escape_debug().to_string();
        return Err(Error::value(field, shown, "must be one line without control characters"));
    }
    Ok(())
}

/// Are two lists of names the same?
pub(super) const fn same_names(these: &[&str], those: &[&str]) -> bool {
    if these.len() != those.len() {
        return false;
    }
    let mut place = 0;
    while place < these.len() {
        let (this, that) = (these[place].as_bytes(), those[place].as_bytes());
        if this.len() != that.len() {
            return false;
        }
        let mut at = 0;
        while at < this.len() {
            if this[at] != that[at] {
                return false;
            }
            at += 1;
        }
        place += 1;
    }
    true
}
