//! The words that reports are written in, all of them: names of what is an enumeration elsewhere, and the sentences of notes,
//! rules of design, targets of a site, outcomes and comparisons.

pub mod amounts;
pub(crate) mod as_words;
mod comparison;
mod design_rules;
mod lifted_bed;
mod names;
mod not_soft;
mod notes;
mod numbers;
mod outcome;
mod site_targets;
