//! Plan: a case made into numbers. Every default is filled in and every step resolved, in SI and equivalents per litre.
//!
//! [`model`] holds the coefficients, gathered from [`waters`], [`rates`], [`beads`], [`tubes`], [`activities`] and
//! [`solid_mixing`], with the constants of the [`scheme`]; [`lifting`] asks from which liquid on a flow lifts its bed. [`recipe`] fills in what the steps of a
//! recipe leave open ([`resolved_steps`]), [`steps`] has a step as it is marched, [`service`] those of the run, [`reclaim`]
//! what is kept for the next regeneration. [`cycle_plan`] is the whole cycle and [`run_plan`] a single run: rooms
//! after this one take these and no case.

pub mod activities;
pub mod beads;
pub mod cycle_plan;
mod layers;
pub mod lifting;
pub mod model;
pub mod rates;
pub mod recipe;
pub mod reclaim;
pub mod resolved_steps;
pub mod run_plan;
pub mod scheme;
pub mod service;
pub mod solid_mixing;
pub mod steps;
pub mod tubes;
pub mod waters;
