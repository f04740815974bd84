//! Units: the only room that knows a unit other than SI, and the constants with their sources.
//!
//! [`constants`] holds physical constants and definitions, [`convert`] crosses between trade units and the project's
//! own, [`amounts`] reads a number with its unit.
//! Anything that multiplies by 3600, 1000 or 7000 belongs here.

pub mod amounts;
pub mod constants;
pub mod convert;
