//! brinefront.

pub mod error;
pub mod inputs;
pub mod units;

pub use error::{Error, Result};
