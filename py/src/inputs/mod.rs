//! Inputs as frozen Python values: equal by content, picklable, with a repr in the shape of their constructor.
//!
//! A class is made of what is said of its fields in the crate; its file here has its summary and examples, and
//! what it can do beyond holding them. [`argument`] has the fields of a kind of their own.

mod argument;
mod bed;
mod case;
mod display;
mod ion;
mod maldistribution;
mod rates;
mod recipe;
mod records;
mod regeneration;
mod resin;
mod service;
mod site;
mod text;
mod water;

pub use bed::Bed;
pub use case::{Case, case_file, default_case, said_in_toml};
pub use display::Display;
pub use ion::ions;
pub use maldistribution::Maldistribution;
pub use rates::Rates;
pub use recipe::{Backwash, Brine, FastRinse, Recipe, SlowRinse, Standby};
pub use records::fields;
pub use regeneration::Regeneration;
pub use resin::Resin;
pub use service::Service;
pub use site::Site;
pub use water::Water;

use pyo3::prelude::*;
use serde::Serialize;
use serde_json::Value;

/// A part of a case, or a step of its recipe, as a value of a case file, if the object is one.
pub fn part_to_value(object: &Bound<'_, PyAny>) -> PyResult<Option<Value>> {
    fn value_of<T: Serialize>(part: &T) -> PyResult<Option<Value>> {
        serde_json::to_value(part).map(Some).map_err(|e| crate::errors::internal(&e.to_string()))
    }
    if let Ok(part) = object.cast::<Water>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Resin>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Bed>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Rates>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Service>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Regeneration>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Site>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Display>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Maldistribution>() {
        return value_of(&part.get().0);
    }
    if let Ok(part) = object.cast::<Recipe>() {
        return value_of(&part.get().0);
    }
    recipe::step_of(object).map_or(Ok(None), |step| value_of(&step))
}
