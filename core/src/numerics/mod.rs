//! Numerics: what would be true for heat or traffic too. Slices and closures, without their physical meaning.
//!
//! [`grid`] cuts a line into cells, [`regrid`] reads one grid off another, [`limiter`] makes second-order face values, [`bdf`] advances time and controls its error, [`block`] solves
//! block-tridiagonal systems, [`fixed_point`] accelerates repetition, [`event`] finds the moment a limit is met,
//! [`curve`] makes samples dense enough for straight lines, [`rows`] holds tables and [`lanes`]
//! works on several of their numbers at a time, [`sphere`] cuts a sphere into shells, [`effort`] counts what all that cost.
//! [`fronts`] needs no cells: it follows the jumps of one conservation law.

pub mod bdf;
pub mod block;
pub mod curve;
pub mod effort;
pub mod event;
pub mod fixed_point;
pub mod fronts;
pub mod grid;
pub mod lanes;
pub mod limiter;
pub mod regrid;
pub mod rows;
pub mod sphere;
