//! The words that reports are written in, all of them: names of what is an enumeration elsewhere, and the sentences of notes,
//! outcomes and comparisons.

pub(crate) mod as_words;
mod comparison;
mod names;
mod notes;
mod outcome;
