//! Inputs: what a user gives. Plain data with the unit in every name, valid once built, read and written by serde.
//!
//! What is said of a field is said beside it, in `#[field(...)]`; [`field`] has the shape of such a record and [`fields`] all of them.
//!
//! One noun a file: [`ion`], [`water`], [`salt`], [`resin`], [`selectivity_sets`], [`diffusivity_sets`], [`activity`],
//! [`bed`], [`rates`], [`service`], [`regeneration`], [`recipe_steps`], [`recipe`], [`maldistribution`], [`site`], [`display`], [`cells`],
//! gathered in [`case`]; [`number_or_word`] is what cells and shells have in common. [`case_file`] reads and writes it, `changes` sets it by dotted names, [`amounts`] reads numbers with
//! units in both; [`scenario`] is the built-in case. A fact belongs here, its law in `laws`.

pub mod activity;
pub mod amounts;
pub mod bed;
pub mod case;
pub mod case_file;
pub mod cells;
mod changes;
mod check;
pub mod diffusivity_sets;
pub mod display;
pub mod field;
pub mod fields;
pub mod ion;
pub mod maldistribution;
pub mod number_or_word;
pub mod rates;
pub mod recipe;
pub mod recipe_steps;
pub mod regeneration;
pub mod resin;
pub mod salt;
mod salt_purity;
pub mod scenario;
pub mod selectivity_sets;
pub mod service;
pub mod site;
pub mod water;
