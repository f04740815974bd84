//! Fixtures that tests and benchmarks share.
//!
//! [`cases`] are beds to run, [`drawn`] softeners at random, [`closed_forms`] what theory says they do, [`curves`] readings
//! taken off an effluent, [`process`] what the system counts; [`coverage`] and [`settling`] are surveys over drawn beds. The
//! program `figures` writes every figure of 200 drawn softeners down to the last bit, and compares them with those written
//! before.

pub mod cases;
pub mod closed_forms;
pub mod coverage;
pub mod curves;
pub mod drawn;
pub mod process;
pub mod settling;

/// The examples of the project's README are tested with the crate's own.
#[cfg(doctest)]
#[doc = include_str!("../../README.md")]
struct Readme;
