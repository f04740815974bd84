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
    #[error("{}{field} = {value}: {}", begun(source_name.as_deref()), limits.beside(value))]
    Value {
        /// The field.
        field: FieldName,
        /// The value that was given, as text; a number with its unit as it was written.
        value: String,
        /// What would have been allowed, with its unit.
        limits: Limits,
        /// The file or text that the value stands in, if it was read from one.
        source_name: Option<String>,
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
        Self::Value {
            field: field.into(),
            value: shortened(&value.to_string()),
            limits: limits.into(),
            source_name: None,
        }
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
            Self::Value { value, limits, source_name, .. } => {
                Self::Value { field: field.into(), value, limits, source_name }
            }
            other => other,
        }
    }

    /// A refused value as one that stands in a file or a text, and any other error as it is.
    #[must_use]
    pub(crate) fn in_source(self, name: &str) -> Self {
        match self {
            Self::Value { field, value, limits, source_name: None } => {
                Self::Value { field, value, limits, source_name: Some(name.to_string()) }
            }
            other => other,
        }
    }
}

/// How a message begins that is about a file or a text.
fn begun(source_name: Option<&str>) -> String {
    source_name.map_or_else(String::new, |name| format!("{name}: "))
}

/// Figures of a number in an error, unless more are needed.
const FIGURES: usize = 5;
/// Figures that tell any two numbers apart.
const ALL_FIGURES: usize = 17;

/// A number as an error has it: whole ones as they are, others with five figures, and more only where fewer would hide on
/// which side of one of `limits` it is.
pub(crate) fn figure(value: f64, limits: &[f64]) -> String {
    if !value.is_finite() || value.fract() == 0.0 {
        return value.to_string();
    }
    let with = |figures: usize| {
        let whole = value.abs().log10().floor().max(0.0) as usize + 1;
        format!("{value:.*e}", figures.max(whole) - 1).parse().unwrap_or(value)
    };
    let tells = |shown: &f64| limits.iter().all(|limit| shown.partial_cmp(limit) == value.partial_cmp(limit));
    (FIGURES..ALL_FIGURES).map(with).find(tells).unwrap_or(value).to_string()
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

impl Limits {
    /// The sentence beside a value that was refused: the ends of a range have as many figures as tell them from it.
    pub fn beside(&self, value: &str) -> String {
        let Self::Range { low, high, unit } = self else { return self.to_string() };
        let from: Vec<f64> = value.parse().into_iter().collect();
        let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
        format!("must be a number from {} to {}{unit}", figure(*low, &from), figure(*high, &from))
    }
}

impl Display for Limits {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self {
            Self::Range { .. } => f.write_str(&self.beside("")),
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
        let space = Limits::Range { low: 0.0, high: 1_130.973_355, unit: "L" };
        assert_eq!(space.to_string(), "must be a number from 0 to 1131 L");
        assert_eq!(space.beside("1130.98"), "must be a number from 0 to 1130.97 L");
        assert_eq!(Limits::Whole { low: 2, high: 100 }.to_string(), "must be from 2 to 100");
        let names = |names, before| Limits::OneOf { names, before }.to_string();
        assert_eq!(names(&["a"], None), "must be a");
        assert_eq!(names(&["a", "b"], None), "must be a or b");
        assert_eq!(names(&["a", "b", "c"], None), "must be a, b or c");
        assert_eq!(names(&["a", "b", "c"], Some("known:")), "known: a, b, c");
        assert_eq!(Limits::from("give both").to_string(), "give both");
    }

    #[test]
    fn a_number_has_five_figures_unless_more_tell_it_from_a_limit() {
        assert_eq!(figure(0.160_184_633_739_601_37, &[1.0, 640.0]), "0.16018");
        assert_eq!(figure(-5.0, &[1.0]), "-5");
        assert_eq!(figure(1_234_567.0, &[]), "1234567");
        assert_eq!(figure(1_234_567.8, &[]), "1234568");
        assert_eq!(figure(640.000_01, &[1.0, 640.0]), "640.00001");
        assert_eq!(figure(0.999_999_999, &[1.0, 640.0]), "0.999999999");
        assert_eq!(figure(f64::NAN, &[1.0]), "NaN");
        let next = 1.0_f64.next_up();
        assert_eq!(figure(next, &[1.0]).parse::<f64>().map(f64::to_bits), Ok(next.to_bits()));
    }

    #[test]
    fn a_value_that_stands_in_a_file_is_said_to() {
        let error = Error::value("cells", 0, "must be from 1").in_source("my.toml");
        assert_eq!(error.to_string(), "my.toml: cells = 0: must be from 1");
        assert_eq!(error.clone().in_source("other.toml"), error);
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
