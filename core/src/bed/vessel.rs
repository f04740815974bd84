//! A bed as installed: stirred spaces above and below it, and stream tubes where the flow is uneven.
//!
//! ```text
//! inlet -> space -> tubes side by side, each a column with its own velocity -> mixed by flow -> space -> outlet
//! ```
//!
//! All of it takes common time steps. Spaces without volume are left out, and one tube is a column by itself.

use crate::bed::column::{Column, Refusal, Trial};
use crate::bed::ledger::Ledger;
use crate::bed::state::{State, shift_towards};
use crate::bed::stirred_space::{Inflow, Space};
use crate::inputs::recipe_steps::StepName;
use crate::numerics::bdf::Weights;
use crate::numerics::effort::Effort;
use crate::numerics::lanes::larger;
use crate::plan::model::Model;
use crate::plan::rates::StepRates;
use crate::plan::resolved_steps::StepWater;
use crate::plan::tubes::Tube;

/// What a vessel holds. Cell 0 of every bed, and space 0, are at the service inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct VesselState<const N: usize> {
    /// The bed of each of [`Model::tubes`]; each a litre of bed to itself, whatever its area.
    pub tubes: Vec<State<N>>,
    /// Liquid in the spaces before and behind the bed \[eq/L\]; of no meaning where [`Model::spaces_bv`] is 0.
    pub spaces: [[f64; N]; 2],
}

impl<const N: usize> VesselState<N> {
    /// All tubes like one bed, the spaces full of the liquid at its ends.
    pub fn uniform(model: &Model, bed: State<N>) -> Self {
        let at = |end: Option<&[f64; N]>| end.copied().unwrap_or([0.0; N]);
        let spaces = [at(bed.liquid.first()), at(bed.liquid.last())];
        Self { tubes: vec![bed; model.tubes.len()], spaces }
    }

    /// Turn the vessel round, so that its first space is where the liquid enters.
    pub fn reverse(&mut self) {
        self.tubes.iter_mut().for_each(State::reverse);
        self.spaces.reverse();
    }

    /// Mean over the tubes, by area, of rows of as many numbers.
    fn mean(model: &Model, rows: impl Iterator<Item = Vec<f64>>) -> Vec<f64> {
        let mut mean = Vec::new();
        for (tube, row) in model.tubes.iter().zip(rows) {
            mean.resize(row.len(), 0.0);
            mean.iter_mut().zip(&row).for_each(|(sum, value)| *sum += tube.area * value);
        }
        mean
    }

    /// Loading, mean of the tubes by area \[eq/L of bed\]; shape (cells x N).
    pub fn loading(&self, model: &Model) -> Vec<f64> {
        Self::mean(model, self.tubes.iter().map(|bed| bed.loading.as_flattened().to_vec()))
    }

    /// Liquid between the beads, mean of the tubes by area \[eq/L\]; shape (cells x N).
    pub fn liquid(&self, model: &Model) -> Vec<f64> {
        Self::mean(model, self.tubes.iter().map(|bed| bed.liquid.as_flattened().to_vec()))
    }

    /// Loading of every tube \[eq/L of bed\]; shape (tubes x cells x N), empty for one tube.
    pub fn tube_loading(&self) -> Vec<f64> {
        match self.tubes.as_slice() {
            [_] => Vec::new(),
            several => several.iter().flat_map(|bed| bed.loading.as_flattened()).copied().collect(),
        }
    }

    /// Everything in bed and spaces \[eq per litre of bed\].
    pub fn held(&self, model: &Model) -> [f64; N] {
        let mut held = [0.0; N];
        for (tube, bed) in model.tubes.iter().zip(&self.tubes) {
            let of_tube = bed.held(model);
            (0..N).for_each(|i| held[i] += tube.area * of_tube[i]);
        }
        for (volume, liquid) in model.spaces_bv.iter().zip(&self.spaces) {
            (0..N).for_each(|i| held[i] += volume * liquid[i]);
        }
        held
    }

    /// Mean loading of the bed \[eq per litre of bed\].
    pub fn mean_loading(&self, model: &Model) -> [f64; N] {
        let mut mean = [0.0; N];
        for (tube, bed) in model.tubes.iter().zip(&self.tubes) {
            let of_tube = bed.mean_loading(&model.grid);
            (0..N).for_each(|i| mean[i] += tube.area * of_tube[i]);
        }
        mean
    }

    /// Mean liquid in bed and spaces, by volume \[eq/L\].
    pub fn mean_liquid(&self, model: &Model) -> [f64; N] {
        let mut sum = [0.0; N];
        for (tube, bed) in model.tubes.iter().zip(&self.tubes) {
            let share = tube.area * model.void_fraction / model.liquid_bv();
            let mean = bed.mean_liquid(&model.grid);
            (0..N).for_each(|i| sum[i] += share * mean[i]);
        }
        for (volume, liquid) in model.spaces_bv.iter().zip(&self.spaces) {
            (0..N).for_each(|i| sum[i] += volume / model.liquid_bv() * liquid[i]);
        }
        sum
    }

    /// Replace a fraction of the liquid in voids and spaces by another.
    pub fn displace_liquid(&mut self, fraction: f64, liquid: &[f64; N]) {
        self.tubes.iter_mut().for_each(|bed| bed.displace_liquid(fraction, liquid));
        for space in &mut self.spaces {
            (0..N).for_each(|i| space[i] += fraction * (liquid[i] - space[i]));
        }
    }

    /// Turn a fraction of the bed over, from its first cell or from its last, across the tubes: every bead in it gets the
    /// mean loading.
    pub fn mix_resin(&mut self, model: &Model, fraction: f64, from_first: bool) {
        if let [bed] = self.tubes.as_mut_slice() {
            bed.mix_resin(&model.grid, fraction, from_first);
            return;
        }
        if fraction <= 0.0 {
            return;
        }
        // As in a bed by itself, with the tubes' areas as weights of the mean.
        let inside = model.grid.within(fraction, from_first);
        let mut tables: Vec<Vec<&mut Vec<[f64; N]>>> = self.tubes.iter_mut().map(State::of_the_beads).collect();
        let rows = tables.first().map_or(0, Vec::len);
        for row in 0..rows {
            let mut mean = [0.0; N];
            for (tube, tables) in model.tubes.iter().zip(&tables) {
                for ((q, inside), height) in tables[row].iter().zip(&inside).zip(model.grid.shares()) {
                    let weight = tube.area * inside * height / fraction;
                    (0..N).for_each(|i| mean[i] += weight * q[i]);
                }
            }
            for tables in &mut tables {
                for (q, inside) in tables[row].iter_mut().zip(&inside) {
                    (0..N).for_each(|i| q[i] += inside * (mean[i] - q[i]));
                }
            }
        }
    }

    /// What a cycle hands to the next one and must give back, all in equivalents per litre of bed: the loadings of every
    /// tube ([`State::loadings`]), then the spaces, where there are any.
    pub fn handed_on(&self, model: &Model) -> Vec<f64> {
        let mut values: Vec<f64> = self.tubes.iter().flat_map(|bed| bed.loadings(model)).collect();
        for (volume, liquid) in model.spaces_bv.iter().zip(&self.spaces).filter(|(volume, _)| **volume > 0.0) {
            values.extend(liquid.iter().map(|c| volume * c));
        }
        values
    }

    /// Move towards other values of [`VesselState::handed_on`], each bed and space as far as every value stays positive.
    pub fn shift_towards(&mut self, proposal: &[f64], model: &Model) {
        let mut rest = proposal;
        for bed in &mut self.tubes {
            let own;
            (own, rest) = rest.split_at(bed.loadings(model).len());
            bed.shift_towards(own, model);
        }
        for (volume, liquid) in model.spaces_bv.iter().zip(&mut self.spaces).filter(|(volume, _)| **volume > 0.0) {
            let own;
            (own, rest) = rest.split_at(N);
            let proposed: Vec<f64> = own.iter().map(|held| held / volume).collect();
            shift_towards(liquid, &proposed);
        }
    }
}

/// What goes through a vessel in one recipe step.
#[derive(Debug, Clone, Copy)]
pub struct Passage<const N: usize> {
    /// The step.
    pub step: StepName,
    /// Its water.
    pub water: StepWater,
    /// Flow \[BV/h\].
    pub flow_bv_per_h: f64,
    /// Velocity and resistances at the mean flow.
    pub rates: StepRates,
    /// What enters \[eq/L\].
    pub inlet: [f64; N],
    /// Does it enter where service does?
    pub with_service: bool,
}

/// A vessel with its history within one recipe step.
#[derive(Debug)]
pub struct Vessel<const N: usize> {
    /// Counts, those of its columns included once a trial is over.
    pub effort: Effort,
    tubes: Vec<Tube>,
    /// Share of the flow that goes through each tube.
    flow_shares: Vec<f64>,
    columns: Vec<Column<N>>,
    before: Option<Space<N>>,
    behind: Option<Space<N>>,
    inlet: [f64; N],
    tolerance: f64,
    steps_before: [Option<f64>; 2],
    trial_s: f64,
    cells: usize,
    with_service: bool,
    /// What [`VesselState::spaces`] said, along the flow.
    spaces: [[f64; N]; 2],
}

impl<const N: usize> Vessel<N> {
    /// A vessel that begins a recipe step.
    pub fn new(model: &Model, mut state: VesselState<N>, passage: &Passage<N>) -> Self {
        let mut spaces_bv = model.spaces_bv;
        if !passage.with_service {
            state.reverse();
            spaces_bv.reverse();
        }
        let flow = passage.rates.velocity / model.depth_m;
        let before = Space::new(spaces_bv[0], flow, state.spaces[0], true);
        let behind = Space::new(spaces_bv[1], flow, state.spaces[1], false);
        let entering = before.as_ref().map_or(passage.inlet, Space::liquid);
        let column = |(tube, bed): (&Tube, &State<N>)| {
            let velocity = tube.velocity(passage.step);
            let rates = match model.tubes.as_slice() {
                [_] => passage.rates,
                _ => model.step_rates(passage.water, velocity * passage.flow_bv_per_h),
            };
            let column = Column::new(model, bed, rates, entering, passage.with_service);
            if behind.is_some() { column.before_space() } else { column }
        };
        Self {
            effort: Effort::default(),
            flow_shares: model.tubes.iter().map(|tube| tube.area * tube.velocity(passage.step)).collect(),
            columns: model.tubes.iter().zip(&state.tubes).map(column).collect(),
            tubes: model.tubes.clone(),
            before,
            behind,
            inlet: passage.inlet,
            tolerance: model.tolerance,
            steps_before: [None; 2],
            trial_s: 0.0,
            cells: model.cells(),
            with_service: passage.with_service,
            spaces: state.spaces,
        }
    }

    /// What the vessel holds now, as [`VesselState`] has it.
    pub fn state(&self) -> VesselState<N> {
        let liquid = |space: &Option<Space<N>>, else_: [f64; N]| space.as_ref().map_or(else_, Space::liquid);
        let mut state = VesselState {
            tubes: self.columns.iter().map(Column::state).collect(),
            spaces: [liquid(&self.before, self.spaces[0]), liquid(&self.behind, self.spaces[1])],
        };
        if !self.with_service {
            state.reverse();
        }
        state
    }

    /// The shortest time in which the liquid crosses a cell or would fill a space \[s\]; infinite without flow.
    pub fn shortest_transit_s(&self) -> f64 {
        let spaces = self.before.iter().chain(&self.behind).map(Space::transit_s);
        self.columns.iter().map(Column::cell_transit_s).chain(spaces).fold(f64::INFINITY, f64::min)
    }

    /// Concentration of the liquid that leaves now \[eq/L\].
    pub fn outlet(&self) -> [f64; N] {
        match &self.behind {
            Some(space) => space.liquid(),
            None => self.mixed(self.columns.iter().map(Column::outlet)),
        }
    }

    /// What entered and left since the recipe step began \[eq per litre of bed\].
    pub fn ledger(&self) -> Ledger<N> {
        let mut ledger = Ledger::default();
        for (tube, column) in self.tubes.iter().zip(&self.columns) {
            let of_column = column.ledger;
            ledger.count(&of_column.entered.map(|eq| tube.area * eq), &of_column.left.map(|eq| tube.area * eq));
        }
        if let Some(space) = &self.before {
            ledger.entered = space.entered;
        }
        if let Some(space) = &self.behind {
            ledger.left = space.left;
        }
        ledger
    }

    /// The cell where the trial step is worst, over all tubes and counted from the service inlet.
    pub fn worst_cell(&self) -> usize {
        let worst = self.columns.iter().map(Column::worst_cell).max_by(|(_, a), (_, b)| a.total_cmp(b));
        self.place_in_service(worst.map_or(0, |(cell, _)| cell))
    }

    /// A cell that is counted along the flow, counted from the service inlet.
    fn place_in_service(&self, cell: usize) -> usize {
        if self.with_service { cell } else { self.cells - 1 - cell }
    }

    /// Mean of the tubes by flow.
    fn mixed(&self, outlets: impl Iterator<Item = [f64; N]>) -> [f64; N] {
        let mut mean = [0.0; N];
        for (share, outlet) in self.flow_shares.iter().zip(outlets) {
            (0..N).for_each(|i| mean[i] += share * outlet[i]);
        }
        mean
    }

    /// Solve a trial step of `h` seconds, without taking it.
    ///
    /// # Errors
    /// A [`Refusal`], with the reason why a smaller step is needed; its cell is counted from the service inlet.
    pub fn try_step(&mut self, h: f64) -> Result<Trial<N>, Refusal> {
        let found = self.solve(h).map_err(|refused| refused.counted(|cell| self.place_in_service(cell)));
        // What columns count beside their steps is the vessel's.
        for column in &mut self.columns {
            self.effort.add(&Effort { steps: 0, ..std::mem::take(&mut column.effort) });
        }
        found
    }

    fn solve(&mut self, h: f64) -> Result<Trial<N>, Refusal> {
        let weights = Weights::new(h, self.steps_before);
        let mut miss = 0.0_f64;
        if let Some(space) = &mut self.before {
            let inflow = space.of_constant(&weights, &self.inlet);
            space.try_step(&weights, &inflow).map_err(|_| Refusal::Negative { cell: 0 })?;
            miss = miss.max(space.miss());
            for column in &mut self.columns {
                column.set_inlet(space.trial_liquid(), space.memory());
            }
        }
        let mut whole = Trial { error: 0.0, order: weights.order, outlet: [0.0; N] };
        let mut scale = self.inlet.iter().sum::<f64>();
        for (share, column) in self.flow_shares.iter().zip(&mut self.columns) {
            let trial = column.try_step(h)?;
            whole.error = larger(whole.error, trial.error);
            (0..N).for_each(|i| whole.outlet[i] += share * trial.outlet[i]);
            scale = scale.max(column.normality_scale());
        }
        if let Some(space) = &mut self.behind {
            let mut inflow = Inflow { remembered: [0.0; N], new: [0.0; N] };
            for (tube, column) in self.tubes.iter().zip(&self.columns) {
                let (remembered, new) = column.trial_outflow();
                for i in 0..N {
                    inflow.remembered[i] += tube.area * remembered[i];
                    inflow.new[i] += tube.area * new[i];
                }
            }
            space.try_step(&weights, &inflow).map_err(|_| Refusal::Negative { cell: self.cells - 1 })?;
            miss = miss.max(space.miss());
            scale = scale.max(space.liquid().iter().sum());
            whole.outlet = space.trial_liquid();
        }
        // As in a column, a first step has no history to predict from.
        if weights.order > 1 && miss > 0.0 {
            whole.error = larger(whole.error, miss / scale * weights.error_fraction / self.tolerance);
        }
        self.trial_s = h;
        Ok(whole)
    }

    /// Take the trial step that was solved last.
    pub fn accept(&mut self) {
        self.columns.iter_mut().for_each(Column::accept);
        self.before.iter_mut().chain(&mut self.behind).for_each(Space::accept);
        self.steps_before = [Some(self.trial_s), self.steps_before[0]];
        self.effort.steps += 1;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::maldistribution::Maldistribution;
    use crate::inputs::scenario::default_case;
    use crate::plan::cycle_plan::CyclePlan;

    const N: usize = 3;

    /// The cell that is worst, and its tube's place, after a few steps of brine into a vessel of the feed's loading.
    fn worst(with_service: bool, fast_tube_last: bool) -> (usize, usize) {
        let uneven = Some(Maldistribution::with_spread(0.5));
        let case = crate::Case { maldistribution: uneven, cells: 20.into(), ..default_case() };
        let plan = CyclePlan::new(&case).unwrap();
        let mut model = plan.model.on_grid(20, 1e-3);
        if fast_tube_last {
            model.tubes.sort_by(|a, b| a.regenerant.total_cmp(&b.regenerant));
        } else {
            model.tubes.sort_by(|a, b| b.regenerant.total_cmp(&a.regenerant));
        }
        let brine = plan.regeneration.iter().find(|step| step.name == StepName::Brine).unwrap();
        let feed: [f64; N] = std::array::from_fn(|i| model.cations_of(StepWater::Feed)[i]);
        let bed = State::in_equilibrium_with(&model, feed).unwrap();
        let passage = Passage {
            step: brine.name,
            water: brine.water,
            flow_bv_per_h: brine.flow_bv_per_h,
            rates: brine.rates,
            inlet: std::array::from_fn(|i| brine.inlet[i]),
            with_service,
        };
        let mut vessel = Vessel::new(&model, VesselState::uniform(&model, bed), &passage);
        // The front of brine is about a quarter down the mean tube.
        for _ in 0..100 {
            vessel.try_step(1.0).unwrap();
            vessel.accept();
        }
        vessel.try_step(1.0).unwrap();
        let tubes = vessel.columns.iter().map(Column::worst_cell).enumerate();
        let (tube, _) = tubes.max_by(|(_, (_, a)), (_, (_, b))| a.total_cmp(b)).unwrap();
        (vessel.worst_cell(), tube)
    }

    #[test]
    fn the_worst_cell_is_counted_from_the_service_inlet_over_all_tubes() {
        let (along, first) = worst(true, false);
        let (against, _) = worst(false, false);
        // The same bed seen from its other end.
        assert_eq!(along + against, 19, "{along} {against}");
        // The same tubes in another order.
        let (again, last) = worst(true, true);
        assert_eq!((again, last), (along, 4 - first));
    }
}
