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

/// The number that decides whether a law was measured at such a flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum DecidingNumber {
    /// Reynolds number of a bead over the solid fraction, of Ergun's equation.
    ParticleReynolds,
    /// Vessel diameter over bead diameter, of Ergun's equation.
    VesselOverBeadDiameter,
    /// Void fraction of the expanded bed, of the law of Richardson and Zaki.
    ExpandedVoidFraction,
    /// Reynolds number at the onset of lifting, of the law of Wen and Yu.
    OnsetReynolds,
    /// Reynolds number of a settling bead, of the law of Cheng.
    TerminalReynolds,
}

/// Where a correlation was used, beside the range it was measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Validity {
    /// The number that decides.
    pub number: DecidingNumber,
    /// What it was.
    pub found: f64,
    /// What was measured, as (lowest, highest).
    pub limits: (f64, f64),
    /// Whether it lies within.
    pub within: bool,
}

impl Validity {
    fn new(number: DecidingNumber, found: f64, limits: (f64, f64)) -> Self {
        Self { number, found, limits, within: limits.0 <= found && found <= limits.1 }
    }
}
