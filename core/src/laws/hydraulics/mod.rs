//! Hydraulics of a bed: what a flow does to the beads, and beads to a flow.
//!
//! [`ergun`] pressure drop, [`settling`] of one bead, [`expansion`] of a backwashed bed, [`fluidisation`] where an upflow
//! begins to lift it, [`stability`] of one liquid following another.
//!
//! Beads are spheres of one size. Superficial velocities \[m/s\], SI throughout.

use num_dual::DualNum;

use super::{density, viscosity};
use crate::inputs::salt::Salt;

pub mod ergun;
pub mod expansion;
pub mod fluidisation;
pub mod settling;
pub mod stability;

/// A liquid as a bed feels it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Liquid<S> {
    /// Density \[kg/m3\].
    pub density_kg_per_m3: S,
    /// Dynamic viscosity \[Pa s\].
    pub viscosity_pa_s: S,
}

impl<S: DualNum<Primitive = f64> + Copy> Liquid<S> {
    /// Water at a temperature \[K\].
    pub fn water(temperature_k: S) -> Self {
        Self {
            density_kg_per_m3: density::water_kg_per_m3(temperature_k),
            viscosity_pa_s: viscosity::water_pa_s(temperature_k),
        }
    }

    /// Brine of a weight fraction at a temperature \[K\].
    pub fn brine(salt: Salt, weight_fraction: S, temperature_k: S) -> Self {
        Self {
            density_kg_per_m3: density::brine_kg_per_m3(salt, weight_fraction, temperature_k),
            viscosity_pa_s: viscosity::brine_pa_s(salt, weight_fraction, temperature_k),
        }
    }
}

/// Beads of one size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beads<S> {
    /// Diameter \[m\].
    pub diameter_m: S,
    /// Density of a wet bead \[kg/m3\].
    pub wet_density_kg_per_m3: S,
}

/// Where a correlation was used, beside the range it was measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Validity {
    /// The number that decides.
    pub number: &'static str,
    /// What it was.
    pub found: f64,
    /// What was measured, as (lowest, highest).
    pub limits: (f64, f64),
    /// Whether it lies within.
    pub within: bool,
}

impl Validity {
    fn new(number: &'static str, found: f64, limits: (f64, f64)) -> Self {
        Self { number, found, limits, within: limits.0 <= found && found <= limits.1 }
    }

    /// A line for a report, if the correlation was used outside its range.
    pub fn note(&self, step: &str, law: &str) -> Option<String> {
        let (low, high) = self.limits;
        (!self.within).then(|| {
            format!("{step}: {law} was measured for {} {low} to {high}, here it is {:.3}", self.number, self.found)
        })
    }
}
