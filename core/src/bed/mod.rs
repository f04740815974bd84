//! Bed: where the laws meet the numerics. The finite-volume column: its model, state, implicit step and ledger.
//!
//! [`model`] turns a case into coefficients, [`state`] is what a bed holds, [`mod@column`] takes one implicit time step
//! (by [`march`] along the flow, or by [`newton`] where dispersion rules), `beads` condenses what goes on inside them,
//! `sorbed` is the salt in their liquid, [`activities`] gives each cell its apparent selectivity, [`ledger`] adds up what
//! passed its ends, [`hydraulics`] says what a flow does to it, [`solid_mixing`] moves the beads themselves,
//! [`vessel`] puts stirred spaces around the bed and cuts it into [`tubes`] where the flow is uneven.
//! Cell indices live here and nowhere else.

pub mod activities;
mod beads;
pub mod column;
mod faces;
mod film;
pub mod hydraulics;
pub mod ledger;
pub mod march;
pub mod model;
pub mod newton;
pub mod solid_mixing;
mod sorbed;
mod space;
pub mod state;
pub mod tubes;
pub mod vessel;
