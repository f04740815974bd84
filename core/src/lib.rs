//! brinefront computes how a bed of strong-acid cation resin is loaded and regenerated: for a water, a resin, a vessel
//! and a recipe, how much hardness leaks, how much capacity the salt buys, where the salt goes, and what reaches the
//! drain.
//!
//! # Which question, which call
//!
//! - *What does this softener do, cycle after cycle?* [`study::cycle`] runs it to its cyclic steady state and reports
//!   [`report::figures::Figures`], curves, profiles and waste.
//! - *Co-current or counter-current?* [`study::compare()`] sets a case against its mirror, at equal dose or at equal leakage.
//! - *What does another kilogram of salt buy?* [`study::sweep()`] runs a grid of cases in parallel.
//! - *And over more cases than memory should hold?* [`study::sweep_each`] hands over one point after the other.
//! - *How does this bed load, or elute, once?* [`study::load`] and [`study::elute`].
//! - *How does a new bed come to its cycle?* [`study::cycles`].
//! - *Where are its waves, and what does equilibrium allow?* [`study::waves()`], [`study::efficiency_ceiling`].
//! - *From which balances, and when do they fail?* [`theory`].
//!
//! ```
//! use brinefront::{cycle::unwatched, inputs::scenario::default_case, study};
//!
//! let mut case = default_case();
//! case.cells = 50.into();
//! case.regeneration.dose_g_per_l = 80.0;
//! let both = study::compare(&[case], study::At::EqualDose, &unwatched)?;
//! println!("{}", both.sentence());
//! let (counter, co) = (&both.cycles[0].figures, &both.cycles[1].figures);
//! assert!(counter.leakage_half_run_mg_per_l_caco3 < 0.2 * co.leakage_half_run_mg_per_l_caco3);
//! # Ok::<(), brinefront::Error>(())
//! ```
//!
//! # Where things are
//!
//! A value changes type as it moves and never turns back: text, [`inputs::case::Case`], [`plan::cycle_plan::CyclePlan`],
//! [`bed::state::State`], [`cycle::history::CycleHistory`], [`report::CycleReport`]. The rooms stand in that order, and a
//! room imports only from the rooms before it:
//!
//! - [`numerics`] limiters, block solves, time steps, events, fixed points, counts of effort: no word of chemistry;
//! - [`units`] conversions and constants, each with its source;
//! - [`inputs`] ions, water, salt, resin, bed, recipe, case: plain data, valid once built;
//! - [`laws`] one law a file: equilibrium, film, bead, dispersion, density, viscosity; no cells, no clock;
//! - [`plan`] a case made into numbers: every default filled in, every step resolved;
//! - [`bed`] laws meet numerics: the finite-volume column, its state, implicit step and ledger;
//! - [`cycle`] a step, a whole cycle, the cyclic steady state, the history it records;
//! - [`report`] read off a finished run;
//! - [`study`] more than one run; the only room with threads.
//!
//! Inside, concentrations are equivalents per litre of solution and loadings equivalents per litre of packed bed; lengths
//! and times are SI. At the boundary every name carries its unit.
//!
//! # What it is not
//!
//! Results are estimates for study. They certify nothing, and a design for drinking water, boilers or discharge needs a
//! licensed professional and the local code.

pub mod bed;
pub mod cycle;
pub mod error;
pub mod inputs;
pub mod laws;
pub mod numerics;
pub mod plan;
pub mod report;
pub mod study;
/// The theory notes: documentation alone.
#[doc = include_str!(concat!(env!("OUT_DIR"), "/theory.md"))]
pub mod theory {}
pub mod units;

pub use error::{Error, Result};
pub use inputs::case::Case;

/// The examples of the README are tested with the crate's own.
#[cfg(doctest)]
#[doc = include_str!("../../README.md")]
struct Readme;
