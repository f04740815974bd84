//! A case turned into coefficients: immutable, in SI and equivalents per litre.

use std::sync::Arc;

use crate::error::Result;
use crate::inputs::case::{Case, Kinetics};
use crate::inputs::ion::Ion;
use crate::inputs::service::ServiceFlow;
use crate::laws::hydraulics::Beads;
use crate::numerics::grid::{Grid, Layers};
use crate::plan::activities::Activities;
use crate::plan::beads::{Inside, SorbedSalt};
use crate::plan::rates::{OutsideRange, Rates, StepRates};
use crate::plan::resolved_steps::StepWater;
use crate::plan::scheme::Scheme;
use crate::plan::solid_mixing::SolidMixing;
use crate::plan::tubes::{Tube, tubes};
use crate::plan::waters::Waters;

/// Everything about a case that does not change while it runs.
#[derive(Debug, Clone)]
pub struct Model {
    /// The cations, in the order of every array; the first is sodium, the reference.
    pub ions: Vec<Ion>,
    /// Charge of each.
    pub valence: Vec<u32>,
    /// Selectivity of each against sodium, per litre of bed; with activities, at infinite dilution.
    pub selectivity: Vec<f64>,
    /// Activity coefficients of the liquid; `None` for an ideal one.
    pub activities: Option<Arc<Activities>>,
    /// 1 where an ion counts as hardness, else 0.
    pub hardness: Vec<f64>,
    /// Total capacity Q \[eq/L of bed\].
    pub capacity: f64,
    /// Void fraction between the beads.
    pub void_fraction: f64,
    /// Depth \[m\].
    pub depth_m: f64,
    /// Cells along the bed, from the service inlet.
    pub grid: Arc<Grid>,
    /// Layers at its ends that cells are cut to.
    pub layers: Layers,
    /// Volume of the bed \[L\].
    pub volume_l: f64,
    /// Does service enter at the top?
    pub service_down: bool,
    /// Error allowed in one time step.
    pub tolerance: f64,
    /// Inner diameter of the vessel \[m\].
    pub vessel_diameter_m: f64,
    /// Density of a wet bead \[kg/m3\].
    pub wet_bead_kg_per_m3: f64,
    /// Is the bed kept from rising?
    pub held_down: bool,
    /// What goes on inside the beads, where kinetics are radial or by interdiffusion.
    pub inside: Option<Inside>,
    /// Salt in the liquid inside the beads, where it counts.
    pub sorbed: Option<SorbedSalt>,
    /// How beads mix where a step lifts them; none where none does.
    pub lifted_mixing: Option<SolidMixing>,
    /// Diffusivity of each in water over the mean that film rates are correlated with.
    pub relative_diffusivity: Vec<f64>,
    /// Stirred spaces at the service inlet and at the service outlet \[bed volumes\].
    pub spaces_bv: [f64; 2],
    /// Parts of the section that differ in velocity; one where the flow is even.
    pub tubes: Vec<Tube>,
    /// What flows through it, step by step.
    pub waters: Waters,
    /// Constants of the column's scheme; no case sets them.
    pub scheme: Scheme,
    rates: Rates,
}

impl Model {
    /// Compute the coefficients of a valid case; `also` names ions that a given loading brings in.
    ///
    /// # Errors
    /// [`crate::Error::Value`] for a case that is not valid, or a brine normality above saturation.
    pub fn new(case: &Case, also: &[Ion]) -> Result<Self> {
        case.validate()?;
        let mut ions = case.cations()?;
        ions.extend_from_slice(also);
        ions.sort_unstable();
        ions.dedup();
        let waters = Waters::of(case)?;
        let rates = Rates::of(case, &waters)?;
        let activities = Activities::new(case.activity, &ions, &waters.feed, case.water.temperature_c)?;
        if let Some(activities) = &activities {
            activities.check_strength("the feed", waters.feed.normality())?;
            activities.check_strength("brine", waters.brine.normality())?;
        }
        let selectivity = |ion: &Ion| {
            let coefficient = case.resin.coefficient_of(*ion)?;
            activities.as_ref().map_or(Ok(coefficient.value()), |known| known.thermodynamic(&coefficient))
        };
        Ok(Self {
            valence: ions.iter().map(|ion| ion.valence()).collect(),
            selectivity: ions.iter().map(selectivity).collect::<Result<_>>()?,
            activities: activities.map(Arc::new),
            hardness: ions.iter().map(|ion| f64::from(u8::from(case.hardness_ions.contains(ion)))).collect(),
            relative_diffusivity: ions
                .iter()
                .map(|ion| ion.data().diffusivity_m2_per_s / rates.ionic_m2_per_s_25)
                .collect(),
            inside: matches!(case.kinetics, Kinetics::Radial | Kinetics::Interdiffusion)
                .then(|| Inside::of(case, &ions, waters.temperature_k))
                .transpose()?,
            ions,
            capacity: case.resin.aged_capacity_eq_per_l(),
            void_fraction: case.resin.void_fraction,
            depth_m: case.bed.depth_m(),
            grid: Arc::new(Grid::even(case.cells.number()?)),
            layers: Layers::default(),
            volume_l: case.bed.volume_l(),
            service_down: case.service.service_flow == ServiceFlow::Down,
            tolerance: case.tolerance,
            vessel_diameter_m: case.bed.diameter_m(),
            wet_bead_kg_per_m3: case.resin.wet_bead_kg_per_m3,
            held_down: case.bed.is_held_down(),
            sorbed: case.resin.sorbed_salt.then(|| SorbedSalt::of(case, waters.temperature_k)),
            lifted_mixing: SolidMixing::of(&case.bed),
            spaces_bv: {
                let [above, below] = [case.bed.freeboard_l, case.bed.under_bed_l].map(|l| l / case.bed.volume_l());
                if case.service.service_flow == ServiceFlow::Down { [above, below] } else { [below, above] }
            },
            tubes: tubes(case.maldistribution.as_ref()),
            waters,
            scheme: Scheme::DEFAULT,
            rates,
        })
    }

    /// The same on another grid, with another error allowed in one time step.
    #[must_use]
    pub fn on_grid(&self, cells: usize, tolerance: f64) -> Self {
        Self { grid: Arc::new(Grid::graded(cells, self.layers)), tolerance, ..self.clone() }
    }

    /// The same with thin cells where they are wanted.
    #[must_use]
    pub fn with_layers(self, layers: Layers) -> Self {
        Self { grid: Arc::new(Grid::graded(self.cells(), layers)), layers, ..self }
    }

    /// How many cells there are along the bed.
    pub fn cells(&self) -> usize {
        self.grid.cells()
    }

    /// Mean height of a cell \[m\].
    pub fn cell_m(&self) -> f64 {
        self.depth_m / self.cells() as f64
    }

    /// Liquid in the vessel: voids between the beads, and the spaces \[bed volumes\].
    pub fn liquid_bv(&self) -> f64 {
        self.void_fraction + self.spaces_bv[0] + self.spaces_bv[1]
    }

    /// The cations of a step's water in the order of [`Model::ions`] \[eq/L\].
    pub fn cations_of(&self, water: StepWater) -> Vec<f64> {
        let composition = self.waters.of_step(water);
        self.ions.iter().map(|ion| composition.of(*ion)).collect()
    }

    /// Rates of a step fed with `water` at `flow_bv_per_h`.
    pub fn step_rates(&self, water: StepWater, flow_bv_per_h: f64) -> StepRates {
        self.rates.of_step(&self.waters, water, flow_bv_per_h)
    }

    /// The correlations of a step that are used outside their range.
    pub fn outside_range(&self, water: StepWater, flow_bv_per_h: f64) -> Vec<OutsideRange> {
        self.rates.outside_range(&self.waters, water, flow_bv_per_h)
    }

    /// The beads as a flow feels them.
    pub fn beads(&self) -> Beads<f64> {
        Beads { diameter_m: self.rates.bead_diameter_m, wet_density_kg_per_m3: self.wet_bead_kg_per_m3 }
    }
}
