//! brinefront.

pub mod bed;
pub mod cycle;
pub mod error;
pub mod inputs;
pub mod laws;
pub mod numerics;
pub mod report;
pub mod study;
pub mod units;

pub use error::{Error, Result};
