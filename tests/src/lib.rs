//! Fixtures that tests and benchmarks share.
//!
//! [`cases`] are beds to run, [`closed_forms`] what theory says they do, [`curves`] readings taken off an effluent,
//! [`process`] what the system counts.

pub mod cases;
pub mod closed_forms;
pub mod curves;
pub mod process;
