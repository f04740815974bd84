//! What a step's flow does to the bed: pressure lost, lifting, expansion, and whether its liquid keeps behind its front.

use crate::bed::model::Model;
use crate::inputs::recipe::StepWater;
use crate::laws::hydraulics::stability::Displacement;
use crate::laws::hydraulics::{ergun, expansion, fluidisation};
use crate::units::convert::{kilo, m_per_s_to_m_per_h, milli};

/// A flow through the bed, as a step makes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepFlow {
    /// Its liquid.
    pub water: StepWater,
    /// The liquid that it finds in the bed.
    pub finds: StepWater,
    /// Superficial velocity \[m/s\].
    pub velocity_m_per_s: f64,
    /// Does it go up?
    pub upward: bool,
    /// Is it meant to raise the bed?
    pub backwash: bool,
}

/// The numbers of a step, and what they should be read with.
#[derive(Debug, Clone, PartialEq)]
pub struct StepHydraulics {
    /// Superficial velocity \[m/h\].
    pub velocity_m_per_h: f64,
    /// Pressure lost over the settled bed, the liquid's weight apart \[kPa\]; none where the flow lifts it.
    pub pressure_drop_kpa: Option<f64>,
    /// Velocity from which an upflow of this liquid lifts a bed that nothing holds \[m/h\]; none for a downflow.
    pub lifts_from_m_per_h: Option<f64>,
    /// Rise of the bed over its settled depth \[%\]; none where the flow does not lift it.
    pub expansion_percent: Option<f64>,
    /// Lines for a report.
    pub notes: Vec<String>,
}

impl Model {
    /// Hydraulics of a step called `step`.
    pub fn hydraulics(&self, step: &str, flow: StepFlow) -> StepHydraulics {
        let u = flow.velocity_m_per_s;
        let liquid = self.liquid(flow.water);
        let beads = self.beads();
        let mut found = StepHydraulics {
            velocity_m_per_h: m_per_s_to_m_per_h(u),
            pressure_drop_kpa: None,
            lifts_from_m_per_h: None,
            expansion_percent: None,
            notes: Vec::new(),
        };
        if u <= 0.0 {
            return found;
        }
        let lifting = fluidisation::lifting(u, beads, liquid);
        if flow.upward {
            found.lifts_from_m_per_h = Some(m_per_s_to_m_per_h(lifting.onset_m_per_s));
        }
        if flow.upward && lifting.lifts && (flow.backwash || !self.held_down) {
            let bed = expansion::FluidisedBed::new(beads, liquid, self.vessel_diameter_m);
            let rise = bed.expansion(u, self.void_fraction);
            found.expansion_percent = Some(1e2 * rise);
            let what = match (rise.is_finite(), flow.backwash) {
                (false, _) => Some("carries away"),
                (true, false) => Some("lifts"),
                (true, true) => None,
            };
            found.notes.extend(what.map(|what| {
                format!(
                    "{step}: {:.2} m/h upward {what} an unblocked bed of {:.2} mm beads of {:.0} kg/m3 (lifts from {:.2} m/h on)",
                    m_per_s_to_m_per_h(u),
                    kilo(beads.diameter_m),
                    beads.wet_density_kg_per_m3,
                    m_per_s_to_m_per_h(lifting.onset_m_per_s)
                )
            }));
            found.notes.extend(fluidisation::validity(beads, liquid).note(step, "the onset of lifting (Wen and Yu)"));
        } else {
            let pressure = ergun::pressure_drop_pa(u, liquid, beads.diameter_m, self.void_fraction, self.depth_m);
            found.pressure_drop_kpa = Some(milli(pressure));
            let wall = ergun::wall_validity(beads.diameter_m, self.vessel_diameter_m);
            found.notes.extend(wall.note(step, "the pressure drop (Ergun)"));
        }
        let front = Displacement {
            entering: liquid,
            leaving: self.liquid(flow.finds),
            upward: flow.upward,
            bead_diameter_m: beads.diameter_m,
            void_fraction: self.void_fraction,
        };
        // A bed in motion has no front to keep.
        if front.entering != front.leaving && !flow.backwash {
            found.notes.extend(front.note(step, u));
        }
        found
    }
}
