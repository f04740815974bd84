//! Bed: where the laws meet the numerics. The finite-volume column: its model, state, implicit step and ledger.
//!
//! [`model`] turns a case into coefficients with the constants of the [`scheme`], [`state`] is what a bed holds,
//! [`mod@column`] takes one implicit time step: `transport` has the fluxes out of cells, `exchange` what a cell exchanges
//! with its beads, made of stores, and `solver` solves the two together, by a march along the flow or, where dispersion
//! rules, by Newton over all cells. [`isotherm`] is the exchange equilibrium, [`activities`] what makes it apparent in a
//! liquid, [`ledger`] adds up what passed the ends, [`hydraulics`] says what a flow does to the bed, [`solid_mixing`] moves
//! the beads themselves, [`vessel`] puts stirred spaces around the bed and cuts it into [`tubes`] where the flow is uneven.
//! Cell indices live here and nowhere else.

pub mod activities;
mod cell_block;
pub mod column;
mod exchange;
pub mod hydraulics;
pub mod isotherm;
pub mod ledger;
pub mod model;
mod profile;
mod refusal;
pub mod scheme;
pub mod solid_mixing;
mod solver;
mod space;
pub mod state;
mod time_step;
mod transport;
pub mod tubes;
pub mod vessel;
