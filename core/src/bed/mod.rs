//! Bed: where the laws meet the numerics. The finite-volume column: its model, state, implicit step and ledger.
//!
//! [`model`] turns a case into coefficients, [`state`] is what a bed holds, [`mod@column`] takes one implicit time step
//! (by [`march`] along the flow, or by [`newton`] where dispersion rules), [`ledger`] adds up what passed its ends, [`hydraulics`] says what a
//! flow does to it.
//! Cell indices live here and nowhere else.

pub mod column;
mod faces;
mod film;
pub mod hydraulics;
pub mod ledger;
pub mod march;
pub mod model;
pub mod newton;
pub mod state;
