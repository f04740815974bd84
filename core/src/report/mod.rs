//! Report: what is read off a finished run. Leakage, capacity, salt efficiency, waste, profiles; no integration here.

pub mod figures;
pub mod tables;
