//! Hydraulics of a bed: what a flow does to the beads, and beads to a flow.
//!
//! [`ergun`] pressure drop, [`settling`] of one bead, [`expansion`] of a backwashed bed, [`fluidisation`] where an upflow
//! begins to lift it, [`stability`] of one liquid following another. [`notes`] says what of it a step should be read with.
//!
//! Beads are spheres of one size. Superficial velocities \[m/s\], SI throughout.

use num_dual::DualNum;

use super::{density, viscosity};
use crate::inputs::salt::Salt;
use crate::units::convert::m_per_s_to_m_per_h;

pub mod ergun;
pub mod expansion;
pub mod fluidisation;
pub mod settling;
pub mod stability;

/// Density of a wet gel bead in sodium form \[kg/m3\]: 1260 to 1320 (F. Helfferich 1962, *Ion Exchange*, and handbooks,
/// from memory), near the middle.
pub const WET_BEAD_KG_PER_M3: f64 = 1280.0;

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

/// A flow through a bed, for [`notes`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BedFlow {
    /// Superficial velocity \[m/s\], positive.
    pub velocity_m_per_s: f64,
    /// Does it go up?
    pub upward: bool,
    /// The liquid.
    pub liquid: Liquid<f64>,
    /// The beads.
    pub beads: Beads<f64>,
    /// Void fraction of the settled bed.
    pub void_fraction: f64,
    /// Inner diameter of the vessel \[m\].
    pub vessel_diameter_m: f64,
    /// Is the bed kept from rising (packed full, held by an inert layer or a blocking flow)?
    pub held_down: bool,
}

/// What a step should be read with: a line for each correlation outside its range, and one if the flow lifts the bed.
///
/// A standing bed has no notes.
pub fn notes(step: &str, flow: &BedFlow) -> Vec<String> {
    let u = flow.velocity_m_per_s;
    if u <= 0.0 {
        return Vec::new();
    }
    let mut notes = Vec::new();
    let (beads, liquid) = (flow.beads, flow.liquid);
    let lifting = fluidisation::lifting(u, beads, liquid);
    if flow.upward && lifting.lifts && !flow.held_down {
        notes.push(format!(
            "{step}: {:.2} m/h upward lifts an unblocked bed of {:.2} mm beads (from {:.2} m/h on)",
            m_per_s_to_m_per_h(u),
            beads.diameter_m * 1e3,
            m_per_s_to_m_per_h(lifting.onset_m_per_s)
        ));
        notes.extend(fluidisation::validity(beads, liquid).note(step, "the onset of lifting (Wen and Yu)"));
        let bed = expansion::FluidisedBed::new(beads, liquid, flow.vessel_diameter_m);
        notes.extend(bed.validity(u).note(step, "bed expansion (Richardson and Zaki)"));
    } else {
        let found = ergun::validity(u, beads.diameter_m, flow.void_fraction, liquid);
        notes.extend(found.note(step, "the pressure drop (Ergun)"));
        notes.extend(
            ergun::wall_validity(beads.diameter_m, flow.vessel_diameter_m).note(step, "the pressure drop (Ergun)"),
        );
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn brine_upward(velocity_m_per_h: f64) -> BedFlow {
        BedFlow {
            velocity_m_per_s: velocity_m_per_h / 3600.0,
            upward: true,
            liquid: Liquid::brine(Salt::SodiumChloride, 0.10, 293.15),
            beads: Beads { diameter_m: 0.6e-3, wet_density_kg_per_m3: WET_BEAD_KG_PER_M3 },
            void_fraction: 0.38,
            vessel_diameter_m: 0.4,
            held_down: false,
        }
    }

    #[test]
    fn an_upflow_that_lifts_is_noted_unless_it_is_held_down() {
        let lifted = notes("brine", &brine_upward(2.7));
        assert!(lifted[0].contains("lifts an unblocked bed of 0.60 mm beads (from 1.35 m/h on)"), "{lifted:?}");
        for still in [
            brine_upward(1.0),
            BedFlow { held_down: true, ..brine_upward(2.7) },
            BedFlow { upward: false, ..brine_upward(2.7) },
        ] {
            let said = notes("brine", &still);
            assert!(!said.iter().any(|line| line.contains("lifts")), "{said:?}");
        }
        assert!(notes("standby", &brine_upward(0.0)).is_empty());
    }

    #[test]
    fn a_slow_flow_is_outside_ergun_s_range_and_says_so() {
        let said = notes("brine", &BedFlow { upward: false, ..brine_upward(2.7) });
        assert_eq!(said.len(), 1, "{said:?}");
        assert!(said[0].contains("Re/(1 - eps) 1.2 to 4200, here it is 0.65"), "{said:?}");
        let service = BedFlow {
            upward: false,
            velocity_m_per_s: 20.0 / 3600.0,
            liquid: Liquid::water(293.15),
            ..brine_upward(0.0)
        };
        assert!(notes("service", &service).is_empty());
        let narrow = BedFlow { vessel_diameter_m: 5e-3, ..service };
        assert!(notes("service", &narrow)[0].contains("vessel diameter over bead diameter"));
    }
}
