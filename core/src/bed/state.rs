//! What a bed holds: loading and liquid of every cell.

use crate::bed::isotherm::Isotherm;
use crate::error::{Error, Result};
use crate::numerics::grid::Grid;
use crate::plan::model::Model;

/// Loading and liquid along the bed, cell 0 at the service inlet.
#[derive(Debug, Clone, PartialEq)]
pub struct State<const N: usize> {
    /// Loading q \[eq per litre of bed\]; shape (cells).
    pub loading: Vec<[f64; N]>,
    /// Liquid C \[eq per litre of liquid\]; shape (cells).
    pub liquid: Vec<[f64; N]>,
    /// q_1*/C_1* at the beads' surface: where the next search for it starts; shape (cells).
    pub ratio: Vec<f64>,
    /// Loading by size and shell of the beads, from the centre outwards, their surface last, where kinetics are radial; of
    /// core and layer where they are by interdiffusion; shape (sizes x (shells + 1), cells), else empty. [`State::loading`] is
    /// their mean.
    pub inside: Vec<Vec<[f64; N]>>,
    /// Salt in the liquid inside the beads \[eq/L of bed\], where it counts; shape (cells), else empty.
    pub sorbed: Vec<[f64; N]>,
}

/// Move values towards a proposal as far as each of them stays positive.
pub fn shift_towards(values: &mut [f64], proposal: &[f64]) {
    let mut share = 1.0_f64;
    for (q, aim) in values.iter().zip(proposal) {
        if *aim < 0.0 {
            share = share.min(q / (q - aim));
        }
    }
    // Short of the edge, so that no value of an ion that is there is lost to rounding.
    let share = if share < 1.0 { 0.9 * share } else { 1.0 };
    for (q, aim) in values.iter_mut().zip(proposal) {
        *q += share * (aim - *q);
    }
}

/// Mean over the bed of what its cells hold.
fn mean<const N: usize>(grid: &Grid, cells: &[[f64; N]]) -> [f64; N] {
    let heights = grid.heights();
    let sum = |i: usize| cells.iter().zip(heights).map(|(value, height)| height * value[i]).sum::<f64>();
    std::array::from_fn(|i| sum(i) / heights.len() as f64)
}

impl<const N: usize> State<N> {
    /// A uniform bed with fractions `y` of its capacity, its void full of liquid of `normality` in equilibrium with it.
    ///
    /// # Errors
    /// [`Error::Value`] for fractions that are negative or do not sum to 1.
    pub fn uniform(model: &Model, y: [f64; N], normality: f64) -> Result<Self> {
        let sum: f64 = y.iter().sum();
        if y.iter().any(|v| !(v.is_finite() && *v >= 0.0)) || (sum - 1.0).abs() > 1e-6 {
            return Err(Error::value("from_loading", format!("{y:?}"), "must be fractions from 0 that sum to 1"));
        }
        let isotherm = Isotherm::<N>::new(model);
        let loading: [f64; N] = y.map(|v| v / sum * model.capacity);
        let (liquid, ratio) = isotherm
            .solution_from_loading(model, &loading, normality)?
            .ok_or_else(|| Error::value("from_loading", format!("{y:?}"), "has no liquid in equilibrium with it"))?;
        Ok(Self::filled(model, loading, liquid, ratio))
    }

    /// A uniform bed in equilibrium with a liquid \[eq/L\], which fills its void.
    ///
    /// # Errors
    /// [`Error::Value`] if the liquid holds no cation.
    pub fn in_equilibrium_with(model: &Model, liquid: [f64; N]) -> Result<Self> {
        let (loading, ratio) = Isotherm::<N>::new(model)
            .loading_from_solution(model, &liquid)?
            .ok_or_else(|| Error::value("from_loading", "feed", "the feed holds no cation"))?;
        Ok(Self::filled(model, loading, liquid, ratio))
    }

    fn filled(model: &Model, loading: [f64; N], liquid: [f64; N], ratio: f64) -> Self {
        let cells = model.cells();
        let shells = model.inside.as_ref().map_or(0, |inside| inside.shares().len());
        Self {
            loading: vec![loading; cells],
            liquid: vec![liquid; cells],
            ratio: vec![ratio; cells],
            inside: vec![vec![loading; cells]; shells],
            sorbed: model.sorbed.map_or_else(Vec::new, |salt| {
                let normality: f64 = liquid.iter().sum();
                vec![liquid.map(|c| salt.eq_per_l(normality) * c / normality.max(f64::MIN_POSITIVE)); cells]
            }),
        }
    }

    /// What a cyclic steady state is steady in: the loading of every cell, or of every shell in every cell; shape
    /// (cells, N) or (sizes x shells, cells, N), flat.
    pub fn loadings(&self, model: &Model) -> Vec<f64> {
        let Some(inside) = &model.inside else {
            return self.loading.as_flattened().to_vec();
        };
        let shells = self.inside.iter().zip(inside.shares()).filter(|(_, share)| *share > 0.0);
        shells.flat_map(|(shell, _)| shell.as_flattened()).copied().collect()
    }

    /// Move towards other [`State::loadings`] as far as every value stays positive; sums over ions are kept.
    pub fn shift_towards(&mut self, proposal: &[f64], model: &Model) {
        let mut values = self.loadings(model);
        shift_towards(&mut values, proposal);
        self.set_loadings(&values, model);
    }

    /// Set what [`State::loadings`] gives.
    pub fn set_loadings(&mut self, values: &[f64], model: &Model) {
        let columns = values.as_chunks::<N>().0;
        let cells = self.loading.len();
        let Some(inside) = &model.inside else {
            self.loading.copy_from_slice(columns);
            return;
        };
        let shares = inside.shares();
        let shells = self.inside.iter_mut().zip(&shares).filter(|(_, share)| **share > 0.0);
        for ((shell, _), values) in shells.zip(columns.chunks_exact(cells)) {
            shell.copy_from_slice(values);
        }
        for (j, q) in self.loading.iter_mut().enumerate() {
            for i in 0..N {
                q[i] = shares.iter().zip(&self.inside).map(|(share, shell)| share * shell[j][i]).sum();
            }
        }
    }

    /// Turn the bed round, so that its first cell is where the liquid enters.
    pub fn reverse(&mut self) {
        self.loading.reverse();
        self.liquid.reverse();
        self.ratio.reverse();
        self.inside.iter_mut().for_each(|shell| shell.reverse());
        self.sorbed.reverse();
    }

    /// Mean over the bed of loading plus liquid, in the beads too, \[eq per litre of bed\].
    pub fn held(&self, model: &Model) -> [f64; N] {
        let (loading, liquid) = (mean(&model.grid, &self.loading), mean(&model.grid, &self.liquid));
        let sorbed = if self.sorbed.is_empty() { [0.0; N] } else { mean(&model.grid, &self.sorbed) };
        std::array::from_fn(|i| loading[i] + model.void_fraction * liquid[i] + sorbed[i])
    }

    /// Mean loading of the bed \[eq per litre of bed\].
    pub fn mean_loading(&self, grid: &Grid) -> [f64; N] {
        mean(grid, &self.loading)
    }

    /// Mean of the liquid over the bed \[eq/L\].
    pub fn mean_liquid(&self, grid: &Grid) -> [f64; N] {
        mean(grid, &self.liquid)
    }

    /// Replace a fraction of the void's liquid by another.
    pub fn displace_liquid(&mut self, fraction: f64, liquid: &[f64; N]) {
        for c in &mut self.liquid {
            for i in 0..N {
                c[i] += fraction * (liquid[i] - c[i]);
            }
        }
    }

    /// Everything that beads carry with them when they change places as they are: shell by shell.
    pub(super) fn of_the_beads(&mut self) -> Vec<&mut Vec<[f64; N]>> {
        let salt = (!self.sorbed.is_empty()).then_some(&mut self.sorbed);
        std::iter::once(&mut self.loading).chain(&mut self.inside).chain(salt).collect()
    }

    /// Turn a fraction of the bed over, from its first cell or from its last: every bead in it gets the mean loading.
    /// A cell that lies partly inside gives that part.
    pub fn mix_resin(&mut self, grid: &Grid, fraction: f64, from_first: bool) {
        if fraction <= 0.0 {
            return;
        }
        let inside = grid.within(fraction, from_first);
        for loading in self.of_the_beads() {
            let mut mean = [0.0; N];
            for ((q, inside), height) in loading.iter().zip(&inside).zip(grid.shares()) {
                (0..N).for_each(|i| mean[i] += inside * height / fraction * q[i]);
            }
            for (q, inside) in loading.iter_mut().zip(&inside) {
                (0..N).for_each(|i| q[i] += inside * (mean[i] - q[i]));
            }
        }
    }
}
