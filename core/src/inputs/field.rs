//! What is said of a field of a case, as plain facts: [`brinefront_derive::inputs`] writes them from the field's own
//! attributes, and tables, docstrings and checks are made of them.

use serde::{Serialize, Serializer};
use serde_json::Value;

/// What a field holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Kind {
    /// A number.
    Number,
    /// A whole number.
    Whole,
    /// Yes or no.
    Flag,
    /// A text.
    Text,
    /// One of several names.
    Choice,
    /// Numbers by ion.
    ByIon,
    /// A part of a case.
    Part,
    /// Of a kind of its own.
    Other,
}

/// What a source is worth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub enum Standing {
    /// A source that was read.
    #[serde(rename = "published")]
    Published,
    /// Recalled; the source was not at hand.
    #[serde(rename = "from memory")]
    FromMemory,
    /// What is usually done.
    #[serde(rename = "common practice, no source")]
    CommonPractice,
    /// What this package does where no value is given.
    #[serde(rename = "choice, no source")]
    Choice,
    /// So by definition.
    #[serde(rename = "definition")]
    Definition,
}

/// One name of a choice, and where what it stands for comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[non_exhaustive]
pub struct Named {
    /// As in a case file.
    pub name: &'static str,
    /// Its source, empty if it needs none.
    pub source: &'static str,
    /// What that is worth.
    pub standing: Option<Standing>,
}

/// What is said of one field.
#[derive(Debug, Clone, Copy, Serialize)]
#[non_exhaustive]
pub struct Field {
    /// The struct that holds it.
    pub owner: &'static str,
    /// Its dotted name in a case file; `*` is an ion or a place in a list.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Its doc comment.
    pub doc: &'static str,
    /// What it is called in a report.
    pub words: &'static str,
    /// Its unit in a report; none for a bare number and what is no number.
    pub unit: Option<&'static str>,
    /// Least and most.
    pub range: Option<(f64, f64)>,
    /// The same in words, also where a rule between fields decides.
    pub limits: Option<&'static str>,
    /// Its default, as in a case file.
    #[serde(serialize_with = "evaluated")]
    pub default: Option<fn() -> Value>,
    /// Where the default comes from, or what absence means.
    pub source: Option<&'static str>,
    /// What the source is worth.
    pub standing: Option<Standing>,
    /// What it means that the field is at its default or absent, if it then does nothing at all.
    pub off: Option<&'static str>,
    /// What is taken where it is absent.
    pub unset: Option<&'static str>,
    /// When it acts, if not always.
    pub acts: Option<&'static str>,
    /// The beginning of the names of fields that take its place.
    pub unless: Option<&'static str>,
    /// The field that holds its unit.
    pub unit_of: Option<&'static str>,
    /// Must it be given?
    pub required: bool,
    /// The names of a choice.
    pub choices: &'static [Named],
    /// A value to try, as JSON.
    pub sample: Option<&'static str>,
    /// The fields of the same struct that must be given with it.
    pub needs: &'static [&'static str],
}

impl Field {
    /// A record without facts.
    pub const EMPTY: Self = Self {
        owner: "",
        name: "",
        kind: Kind::Other,
        doc: "",
        words: "",
        unit: None,
        range: None,
        limits: None,
        default: None,
        source: None,
        standing: None,
        off: None,
        unset: None,
        acts: None,
        unless: None,
        unit_of: None,
        required: false,
        choices: &[],
        sample: None,
        needs: &[],
    };
}

fn evaluated<S: Serializer>(default: &Option<fn() -> Value>, serializer: S) -> Result<S::Ok, S::Error> {
    default.map(|found| found()).serialize(serializer)
}

#[cfg(test)]
mod tests {
    use brinefront_derive::inputs;
    use serde::Deserialize;

    use super::*;

    /// A made-up part of a case.
    #[inputs(part = "pump")]
    #[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
    struct Pump {
        /// Head at no flow \[m\].
        #[field(words = "head", unit = "m", range = 1.0..=50.0, default = 20.0, quiet, sample = 12.5)]
        #[field(source = "A usual head.", standing = "common practice, no source")]
        head_m: f64,
        /// Pumps side by side.
        #[field(words = "pumps", range = 1..=4, late = "count", default = 1, sample = 2, needs(head_m))]
        #[field(source = "One unless given.", standing = "choice, no source")]
        pumps: usize,
        /// Speed \[1/s\].
        #[field(words = "speed", unit = "1/s", range = 1e-3..=1e3, off = "as the mains turn it", sample = 25.0)]
        #[field(source = "None unless given.", standing = "choice, no source")]
        speed_per_s: Option<f64>,
    }

    #[test]
    fn a_field_reaches_files_checks_and_records_from_one_place() {
        let usual: Pump = serde_json::from_str("{}").unwrap();
        assert_eq!(usual, Pump::default());
        assert_eq!((usual.head_m, usual.pumps, usual.speed_per_s), (20.0, 1, None));
        // What is quiet, and what is absent, stays out of a file.
        assert_eq!(serde_json::to_string(&usual).unwrap(), r#"{"pumps":1}"#);
        assert!(serde_json::from_str::<Pump>(r#"{"power": 1.0}"#).is_err());

        let message = |pump: Pump| {
            let error = pump.check_ranges().and_then(|()| pump.check_count()).unwrap_err();
            error.to_string()
        };
        let high = message(Pump { head_m: 51.0, pumps: 9, ..Pump::default() });
        assert_eq!(high, "pump.head_m = 51: must be a number from 1 to 50 m");
        assert_eq!(message(Pump { pumps: 9, ..Pump::default() }), "pump.pumps = 9: must be from 1 to 4");
        let fast = message(Pump { speed_per_s: Some(f64::NAN), ..Pump::default() });
        assert_eq!(fast, "pump.speed_per_s = NaN: must be a number from 0.001 to 1000 1/s");

        let [head, pumps, speed] = Pump::FIELDS else { panic!("three records") };
        assert_eq!((head.name, head.words, head.unit, head.kind), ("pump.head_m", "head", Some("m"), Kind::Number));
        assert_eq!((head.range, head.limits), (Some((1.0, 50.0)), Some("1 to 50")));
        assert_eq!(head.default.map(|default| default()), Some(Value::from(20.0)));
        assert_eq!((head.source, head.standing), (Some("A usual head."), Some(Standing::CommonPractice)));
        assert_eq!((pumps.kind, pumps.sample, pumps.needs), (Kind::Whole, Some("2"), ["head_m"].as_slice()));
        assert_eq!((speed.off, speed.required), (Some("as the mains turn it"), false));
        assert!(speed.default.is_none() && speed.doc == "Speed [1/s].");
    }
}
