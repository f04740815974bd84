//! What a step's flow does to the bed: pressure lost, lifting, expansion, and whether its liquid keeps behind its front.

use crate::laws::film::reynolds;
use crate::laws::hydraulics::stability::Displacement;
use crate::laws::hydraulics::{Liquid, ergun, expansion, fluidisation, settling};
use crate::plan::model::Model;
use crate::plan::resolved_steps::StepWater;
use crate::units::convert::{fraction_to_percent, kilo, m_per_s_to_m_per_h, milli};

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

/// What the beads do in a flow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BedState {
    /// Nothing flows.
    AtRest,
    /// They lie as they settled.
    Settled,
    /// The flow would lift them, and something holds them down.
    HeldDown,
    /// The flow holds the bed open.
    Expanded,
    /// The flow takes them out of the vessel: the bed has no depth to state.
    CarriedAway,
}

/// The numbers of a step, and what they should be read with.
#[derive(Debug, Clone, PartialEq)]
pub struct StepHydraulics {
    /// Superficial velocity \[m/h\].
    pub velocity_m_per_h: f64,
    /// Its liquid.
    pub liquid: Liquid<f64>,
    /// Reynolds number of a bead in the superficial flow.
    pub reynolds: f64,
    /// What the beads do.
    pub bed: BedState,
    /// Pressure lost over the settled bed, the liquid's weight apart \[kPa\]; none where the flow lifts it.
    pub pressure_drop_kpa: Option<f64>,
    /// Velocity at which one bead settles in the liquid (Cheng) \[m/h\]; 0 for beads that float.
    pub terminal_m_per_h: f64,
    /// Velocity from which an upflow of the liquid lifts a bed that nothing holds (Wen and Yu) \[m/h\].
    pub onset_m_per_h: f64,
    /// The same for a step that goes up; none for a downflow.
    pub lifts_from_m_per_h: Option<f64>,
    /// Velocity from which an upflow of the liquid carries the beads away (Richardson and Zaki) \[m/h\].
    pub carries_away_from_m_per_h: f64,
    /// Rise of the bed over its settled depth \[%\]; none where the flow does not lift it or carries it away.
    pub expansion_percent: Option<f64>,
    /// Does the liquid keep behind its front (Hill)? None where it finds its like, rests, or keeps the bed in motion.
    pub front_is_stable: Option<bool>,
    /// Velocity at which its front changes between stable and not \[m/h\]; none if it never does.
    pub front_critical_m_per_h: Option<f64>,
    /// Lines for a report.
    pub notes: Vec<String>,
    /// Laws that were used outside the range they were measured in and that `notes` leave out.
    pub limits: Vec<String>,
}

impl Model {
    /// Hydraulics of a step called `step`.
    pub fn hydraulics(&self, step: &str, flow: StepFlow) -> StepHydraulics {
        let u = flow.velocity_m_per_s;
        let liquid = self.waters.liquid(flow.water);
        let beads = self.beads();
        let lifting = fluidisation::lifting(u, beads, liquid);
        let open = expansion::FluidisedBed::new(beads, liquid, self.vessel_diameter_m);
        let mut found = StepHydraulics {
            velocity_m_per_h: m_per_s_to_m_per_h(u),
            liquid,
            reynolds: reynolds(u, beads.diameter_m, liquid.density_kg_per_m3, liquid.viscosity_pa_s),
            bed: BedState::AtRest,
            pressure_drop_kpa: None,
            terminal_m_per_h: m_per_s_to_m_per_h(settling::terminal_velocity_m_per_s(beads, liquid)),
            onset_m_per_h: m_per_s_to_m_per_h(lifting.onset_m_per_s),
            lifts_from_m_per_h: None,
            carries_away_from_m_per_h: m_per_s_to_m_per_h(open.carrying_m_per_s),
            expansion_percent: None,
            front_is_stable: None,
            front_critical_m_per_h: None,
            notes: Vec::new(),
            limits: Vec::new(),
        };
        if u <= 0.0 {
            return found;
        }
        if flow.upward {
            found.lifts_from_m_per_h = Some(m_per_s_to_m_per_h(lifting.onset_m_per_s));
        }
        let would_lift = flow.upward && lifting.lifts;
        if would_lift && (flow.backwash || !self.held_down) {
            let rise = open.expansion(u, self.void_fraction);
            let what = if rise.is_finite() {
                found.bed = BedState::Expanded;
                found.expansion_percent = Some(fraction_to_percent(rise));
                let trusted = open.validity(u);
                found.limits.extend(trusted.note(step, "the expansion (Richardson and Zaki)"));
                (!flow.backwash).then_some("lifts")
            } else {
                found.bed = BedState::CarriedAway;
                Some("carries away")
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
            found.bed = if would_lift { BedState::HeldDown } else { BedState::Settled };
            let pressure = ergun::pressure_drop_pa(u, liquid, beads.diameter_m, self.void_fraction, self.depth_m);
            found.pressure_drop_kpa = Some(milli(pressure));
            let wall = ergun::wall_validity(beads.diameter_m, self.vessel_diameter_m);
            found.notes.extend(wall.note(step, "the pressure drop (Ergun)"));
            let measured = ergun::validity(u, beads.diameter_m, self.void_fraction, liquid);
            found.limits.extend(measured.note(step, "the pressure drop (Ergun)"));
        }
        let front = Displacement {
            entering: liquid,
            leaving: self.waters.liquid(flow.finds),
            upward: flow.upward,
            bead_diameter_m: beads.diameter_m,
            void_fraction: self.void_fraction,
        };
        // A bed in motion has no front to keep.
        if front.entering != front.leaving && !flow.backwash {
            found.front_is_stable = Some(front.is_stable(u));
            found.front_critical_m_per_h = front.critical_velocity_m_per_s().map(m_per_s_to_m_per_h);
            found.notes.extend(front.note(step, u));
        }
        found
    }
}
