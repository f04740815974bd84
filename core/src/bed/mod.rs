//! Bed: where the laws meet the numerics. The finite-volume column: its state, implicit step and ledger.
//!
//! [`state`] is what a bed holds, [`mod@column`] takes one implicit time step: `transport` has the fluxes out of cells,
//! `exchange` what a cell exchanges with its beads, made of stores, and `solver` solves the two together, by a march along the
//! flow, which looks ahead where dispersion rules, and at rest by Newton over all cells. [`isotherm`] is the exchange equilibrium, [`ledger`] adds up what
//! passed the ends, [`hydraulics`] computes what a flow does to the bed, [`solid_mixing`] moves the beads themselves, [`vessel`]
//! puts stirred spaces around the bed and columns side by side where the flow is uneven. Cell indices live here and nowhere
//! else.

mod cell_block;
pub mod column;
mod exchange;
pub mod hydraulics;
pub mod isotherm;
pub mod ledger;
mod profile;
mod refusal;
pub mod solid_mixing;
mod solver;
mod spacing;
pub mod state;
mod stirred_space;
mod time_step;
mod transport;
pub mod vessel;
