//! The one error type: what was attempted, on which field, with which value, and what was allowed.

use std::error::Error as StdError;
use std::fmt::{self, Display, Formatter};
use std::sync::Arc;

use serde::{Serialize, Serializer};
use thiserror::Error;

/// A result whose error is [`enum@Error`].
pub type Result<T> = std::result::Result<T, Error>;

/// Everything that can go wrong, one variant for each thing a caller could do about it.
///
/// A bed that never settles or a service that is never soft is an *outcome* and is reported by the result itself.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum Error {
    /// A value outside what its field allows.
    #[error("{field} = {value}: {limits}")]
    Value {
        /// The field.
        field: FieldName,
        /// The value that was given, as text.
        value: String,
        /// What would have been allowed, with its unit.
        limits: Limits,
    },
    /// A name that no field has.
    #[error("{field} = {value}: {reason}")]
    NoSuchField {
        /// The name that was given.
        field: FieldName,
        /// The value it was to have, as text.
        value: String,
        /// What is wrong, in one line.
        reason: String,
    },
    /// A case file or a text that cannot be understood.
    #[error("{source_name}: {reason}")]
    Text {
        /// The file's path, or what the text is.
        source_name: String,
        /// What is wrong with it, in one line.
        reason: String,
        /// The reader's own error.
        source: Cause,
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
        /// The system's own error.
        source: Cause,
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
    pub fn value(field: impl Into<FieldName>, value: impl Display, limits: impl Into<Limits>) -> Self {
        Self::Value { field: field.into(), value: shortened(&value.to_string()), limits: limits.into() }
    }

    /// A text that cannot be understood, and its reader's own error.
    pub fn text(
        source_name: impl Into<String>,
        reason: impl Into<String>,
        source: impl StdError + Send + Sync + 'static,
    ) -> Self {
        Self::Text { source_name: source_name.into(), reason: reason.into(), source: Cause::new(source) }
    }

    /// A refused value as that of another field, and any other error as it is.
    #[must_use]
    pub fn in_field(self, field: impl Into<FieldName>) -> Self {
        match self {
            Self::Value { value, limits, .. } => Self::Value { field: field.into(), value, limits },
            other => other,
        }
    }
}

/// Letters of what was given that an error repeats.
const REPEATED: usize = 200;

/// A text as an error repeats it: one that nobody would read to its end is cut, and its length said.
pub(crate) fn shortened(text: &str) -> String {
    match text.char_indices().nth(REPEATED) {
        None => text.to_string(),
        Some(_) => {
            let beginning: String = text.chars().take(REPEATED / 2).collect();
            format!("{beginning}... ({} characters)", text.chars().count())
        }
    }
}

/// As its message.
impl Serialize for Error {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

/// Dotted name of a field, as in a case file: `regeneration.dose_g_per_l`; or of an argument: `threads`.
///
/// It compares with texts: `field == "service.volume_bv"`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FieldName(String);

impl FieldName {
    /// The name as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl Display for FieldName {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl AsRef<str> for FieldName {
    fn as_ref(&self) -> &str {
        &self.0
    }
}

impl PartialEq<str> for FieldName {
    fn eq(&self, other: &str) -> bool {
        self.0 == other
    }
}

impl PartialEq<&str> for FieldName {
    fn eq(&self, other: &&str) -> bool {
        self.0 == *other
    }
}

impl<T: Into<String>> From<T> for FieldName {
    fn from(name: T) -> Self {
        Self(shortened(&name.into()))
    }
}

/// What a field allows. [`Display`] has it as a sentence.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Limits {
    /// A finite number from `low` to `high`.
    Range {
        /// The least.
        low: f64,
        /// The most.
        high: f64,
        /// The unit of both; empty for a bare number.
        unit: &'static str,
    },
    /// A whole number from `low` to `high`.
    Whole {
        /// The least.
        low: usize,
        /// The most.
        high: usize,
    },
    /// One of several names.
    OneOf {
        /// The names.
        names: &'static [&'static str],
        /// What stands before them in the sentence, where another than "must be".
        before: Option<&'static str>,
    },
    /// What only a sentence says: a rule between fields.
    Words(String),
}

impl Display for Limits {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Range { low, high, unit: "" } => write!(f, "must be a number from {low} to {high}"),
            Self::Range { low, high, unit } => write!(f, "must be a number from {low} to {high} {unit}"),
            Self::Whole { low, high } => write!(f, "must be from {low} to {high}"),
            Self::OneOf { names, before: Some(before) } => write!(f, "{before} {}", names.join(", ")),
            Self::OneOf { names: [others @ .., last], before: None } if !others.is_empty() => {
                write!(f, "must be {} or {last}", others.join(", "))
            }
            Self::OneOf { names, before: None } => write!(f, "must be {}", names.join(", ")),
            Self::Words(words) => f.write_str(words),
        }
    }
}

impl<T: Into<String>> From<T> for Limits {
    fn from(words: T) -> Self {
        Self::Words(words.into())
    }
}

/// The error of another library that caused one of ours. Two are equal if they read the same.
#[derive(Debug, Clone)]
pub struct Cause(Arc<dyn StdError + Send + Sync>);

impl Cause {
    /// Keep an error.
    pub fn new(error: impl StdError + Send + Sync + 'static) -> Self {
        Self(Arc::new(error))
    }

    /// The error itself, to be downcast.
    pub fn get(&self) -> &(dyn StdError + Send + Sync + 'static) {
        &*self.0
    }
}

impl Display for Cause {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl StdError for Cause {
    fn source(&self) -> Option<&(dyn StdError + 'static)> {
        self.0.source()
    }
}

impl PartialEq for Cause {
    fn eq(&self, other: &Self) -> bool {
        self.to_string() == other.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn limits_are_sentences() {
        let range = |unit| Limits::Range { low: 0.5, high: 1e4, unit }.to_string();
        assert_eq!(range("BV/h"), "must be a number from 0.5 to 10000 BV/h");
        assert_eq!(range(""), "must be a number from 0.5 to 10000");
        assert_eq!(Limits::Whole { low: 2, high: 100 }.to_string(), "must be from 2 to 100");
        let names = |names, before| Limits::OneOf { names, before }.to_string();
        assert_eq!(names(&["a"], None), "must be a");
        assert_eq!(names(&["a", "b"], None), "must be a or b");
        assert_eq!(names(&["a", "b", "c"], None), "must be a, b or c");
        assert_eq!(names(&["a", "b", "c"], Some("known:")), "known: a, b, c");
        assert_eq!(Limits::from("give both").to_string(), "give both");
    }

    #[test]
    fn what_was_given_is_not_repeated_to_its_end() {
        let long = "\u{e9}".repeat(1_000_000);
        let message = Error::value(long.clone(), &long, "must be short").to_string();
        assert!(message.len() < 600 && message.contains("... (1000000 characters): must be short"), "{message}");
        let short = "x".repeat(REPEATED);
        assert_eq!(shortened(&short), short);
    }

    #[test]
    fn a_field_compares_with_a_text_and_a_cause_by_what_it_says() {
        let error = Error::value("bed.depth_m", 0.0, "give it");
        assert!(matches!(&error, Error::Value { field, .. } if *field == "bed.depth_m" && *field != "bed"));
        let io = || std::io::Error::other("disk full");
        assert_eq!(Error::text("case", "no", io()), Error::text("case", "no", io()));
        assert_ne!(Error::text("case", "no", io()), Error::text("case", "no", std::io::Error::other("gone")));
    }

    #[test]
    fn the_error_behind_another_can_be_reached() {
        let error = Error::text("case", "no", std::io::Error::other("disk full"));
        let behind = StdError::source(&error).and_then(|source| source.downcast_ref::<Cause>()).map(Cause::get);
        assert!(behind.is_some_and(|behind| behind.is::<std::io::Error>() && behind.to_string() == "disk full"));
    }
}
