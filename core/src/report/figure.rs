//! What is said of a figure of a cycle, and its value, as plain facts: [`brinefront_derive::Figures`] writes them from a
//! struct's own attributes, and tables, docstrings and the Python package's figures are made of them.

use crate::cycle::outcome::{Outcome, SearchEnd};
use crate::inputs::field::Kind;
use crate::inputs::regeneration::Direction;
use crate::plan::steps::StopReason;

/// A table that shows some of the figures in an order of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Table {
    /// What a reader of a comparison asks first.
    Key,
    /// A sweep as it is printed.
    Sweep,
    /// How the search for the steady cycle went.
    Search,
}

impl Table {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Key => "key",
            Self::Sweep => "sweep",
            Self::Search => "search",
        }
    }
}

/// What is said of one figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub struct Figure {
    /// Its field.
    pub name: &'static str,
    /// Its doc comment.
    pub doc: &'static str,
    /// What it is called in a report.
    pub words: &'static str,
    /// Its unit in a report; empty for what is no number, and for a count.
    pub unit: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// The figure whose numerical error it is.
    pub error_of: Option<&'static str>,
    /// The tables that show it, with its place in each from 0.
    pub tables: &'static [(Table, usize)],
}

/// The value of a figure.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A number, if there is one.
    Number(Option<f64>),
    /// A whole number.
    Whole(usize),
    /// Yes or no.
    Flag(bool),
    /// A name.
    Text(&'static str),
    /// How the search for the steady cycle ended.
    SearchEnd(SearchEnd),
}

/// A type that a figure may have.
pub trait Valued {
    /// What it holds.
    const KIND: Kind;

    /// The value of a figure of this type.
    fn value(&self) -> Value;
}

impl Valued for f64 {
    const KIND: Kind = Kind::Number;

    fn value(&self) -> Value {
        Value::Number(Some(*self))
    }
}

impl Valued for Option<f64> {
    const KIND: Kind = Kind::Number;

    fn value(&self) -> Value {
        Value::Number(*self)
    }
}

impl Valued for usize {
    const KIND: Kind = Kind::Whole;

    fn value(&self) -> Value {
        Value::Whole(*self)
    }
}

impl Valued for bool {
    const KIND: Kind = Kind::Flag;

    fn value(&self) -> Value {
        Value::Flag(*self)
    }
}

impl Valued for Direction {
    const KIND: Kind = Kind::Text;

    fn value(&self) -> Value {
        Value::Text(self.name())
    }
}

impl Valued for StopReason {
    const KIND: Kind = Kind::Text;

    fn value(&self) -> Value {
        Value::Text(self.words())
    }
}

impl Valued for Outcome {
    const KIND: Kind = Kind::Text;

    fn value(&self) -> Value {
        Value::Text(self.words())
    }
}

impl Valued for SearchEnd {
    const KIND: Kind = Kind::Text;

    fn value(&self) -> Value {
        Value::SearchEnd(*self)
    }
}

#[cfg(test)]
mod tests {
    use brinefront_derive::Figures;

    use super::*;

    /// Figures of a made-up pump.
    #[derive(Figures)]
    struct Pump {
        /// Head at no flow \[m\].
        #[figure(words = "head", unit = "m", tables(key))]
        head_m: f64,
        /// Pumps side by side.
        #[figure(words = "pumps", tables(key, search))]
        pumps: usize,
        /// Speed \[1/s\].
        #[figure(words = "speed", unit = "1/s", tables(key(after = head_m)))]
        speed_per_s: Option<f64>,
        /// Numerical error of the head.
        #[figure(words = "error of the head", unit = "of it", error_of = head_m)]
        head_error_fraction: f64,
    }

    #[test]
    fn a_figure_reaches_its_record_and_its_tables_from_one_place() {
        let [head, pumps, speed, error] = Pump::FIGURES else { panic!("four records") };
        assert_eq!((head.name, head.words, head.unit, head.kind), ("head_m", "head", "m", Kind::Number));
        assert_eq!(head.doc, "Head at no flow [m].");
        assert_eq!((pumps.unit, pumps.kind), ("", Kind::Whole));
        assert_eq!((error.error_of, error.tables), (Some("head_m"), [].as_slice()));
        assert_eq!(head.tables, [(Table::Key, 0)]);
        assert_eq!(speed.tables, [(Table::Key, 1)]);
        assert_eq!(pumps.tables, [(Table::Key, 2), (Table::Search, 0)]);
    }

    #[test]
    fn values_keep_what_is_no_number_apart_from_what_is_not_there() {
        let pump = Pump { head_m: f64::INFINITY, pumps: 2, speed_per_s: None, head_error_fraction: 0.0 };
        let [head, pumps, speed, error] = &pump.values()[..] else { panic!("four values") };
        assert_eq!((head, pumps), (&Value::Number(Some(f64::INFINITY)), &Value::Whole(2)));
        assert_eq!((speed, error), (&Value::Number(None), &Value::Number(Some(0.0))));
    }
}
