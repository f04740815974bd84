//! What a step's flow does to the bed: pressure lost, lifting, expansion, and whether its liquid keeps behind its front.

use crate::laws::film::reynolds;
use crate::laws::hydraulics::stability::{Displacement, WhereStable};
use crate::laws::hydraulics::{Liquid, Validity, ergun, expansion, fluidisation, settling};
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
    /// What a report should mention.
    pub notes: Vec<HydraulicNote>,
    /// Laws that were used outside the range they were measured in and that `notes` leave out.
    pub limits: Vec<HydraulicNote>,
}

/// What a report should mention of a step's hydraulics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HydraulicNote {
    /// An upflow that is no backwash lifts the bed.
    Lifted(Upflow),
    /// An upflow takes the beads out of the vessel.
    CarriedAway(Upflow),
    /// A law was used outside the range it was measured in.
    OutsideRange(Validity),
    /// The liquid may run ahead of its front.
    Fingers {
        /// Superficial velocity \[m/h\].
        velocity_m_per_h: f64,
        /// Does the flow go up?
        upward: bool,
        /// The front is stable only above this velocity \[m/h\].
        stable_above_m_per_h: Option<f64>,
        /// The front is stable only below this velocity \[m/h\].
        stable_below_m_per_h: Option<f64>,
    },
}

/// An upflow against what it lifts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Upflow {
    /// Superficial velocity \[m/h\].
    pub velocity_m_per_h: f64,
    /// Velocity from which it lifts a bed that nothing holds \[m/h\].
    pub lifts_from_m_per_h: f64,
    /// Bead diameter \[mm\].
    pub bead_diameter_mm: f64,
    /// Density of a wet bead \[kg/m3\].
    pub wet_density_kg_per_m3: f64,
}

/// A note on a law that was used outside its range.
fn outside(validity: Validity) -> Option<HydraulicNote> {
    (!validity.within).then_some(HydraulicNote::OutsideRange(validity))
}

fn fingers(velocity_m_per_s: f64, upward: bool, stable: WhereStable) -> HydraulicNote {
    let (above, below) = match stable {
        WhereStable::Above(u) => (Some(u), None),
        WhereStable::Below(u) => (None, Some(u)),
        WhereStable::Nowhere => (None, None),
    };
    HydraulicNote::Fingers {
        velocity_m_per_h: m_per_s_to_m_per_h(velocity_m_per_s),
        upward,
        stable_above_m_per_h: above.map(m_per_s_to_m_per_h),
        stable_below_m_per_h: below.map(m_per_s_to_m_per_h),
    }
}

impl Model {
    /// Hydraulics of a step with such a flow.
    pub fn hydraulics(&self, flow: StepFlow) -> StepHydraulics {
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
            let upflow = Upflow {
                velocity_m_per_h: found.velocity_m_per_h,
                lifts_from_m_per_h: m_per_s_to_m_per_h(lifting.onset_m_per_s),
                bead_diameter_mm: kilo(beads.diameter_m),
                wet_density_kg_per_m3: beads.wet_density_kg_per_m3,
            };
            let what = if rise.is_finite() {
                found.bed = BedState::Expanded;
                found.expansion_percent = Some(fraction_to_percent(rise));
                found.limits.extend(outside(open.validity(u)));
                (!flow.backwash).then_some(HydraulicNote::Lifted(upflow))
            } else {
                found.bed = BedState::CarriedAway;
                Some(HydraulicNote::CarriedAway(upflow))
            };
            found.notes.extend(what);
            found.notes.extend(outside(fluidisation::validity(beads, liquid)));
        } else {
            found.bed = if would_lift { BedState::HeldDown } else { BedState::Settled };
            let pressure = ergun::pressure_drop_pa(u, liquid, beads.diameter_m, self.void_fraction, self.depth_m);
            found.pressure_drop_kpa = Some(milli(pressure));
            let wall = ergun::wall_validity(beads.diameter_m, self.vessel_diameter_m);
            found.notes.extend(outside(wall));
            let measured = ergun::validity(u, beads.diameter_m, self.void_fraction, liquid);
            found.limits.extend(outside(measured));
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
            found.notes.extend(front.where_stable(u).map(|stable| fingers(u, flow.upward, stable)));
        }
        found
    }
}
