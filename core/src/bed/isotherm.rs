//! The ion-exchange isotherm of a bed: its constants as arrays of fixed size, and what is in equilibrium with what.

use crate::error::Result;
use crate::laws::equilibrium::{loading_from_solution, solution_from_loading};
use crate::plan::model::Model;

/// Iterations in which a liquid and its apparent selectivity have found each other.
const MOST_ITERATIONS: usize = 200;
/// Change of a concentration, relative to the normality, below which they have.
const FOUND: f64 = 1e-14;

/// Constants of the exchange equilibrium as arrays of fixed size.
#[derive(Debug, Clone, Copy)]
pub struct Isotherm<const N: usize> {
    /// Selectivity against the first ion; with activities, at infinite dilution.
    pub selectivity: [f64; N],
    /// Charges.
    pub valence: [u32; N],
    /// Total capacity \[eq/L of bed\].
    pub capacity: f64,
}

impl<const N: usize> Isotherm<N> {
    /// Take the constants from a model with N ions.
    pub fn new(model: &Model) -> Self {
        Self {
            selectivity: std::array::from_fn(|i| model.selectivity[i]),
            valence: std::array::from_fn(|i| model.valence[i]),
            capacity: model.capacity,
        }
    }

    /// Apparent selectivity in a liquid \[eq/L\].
    fn at(&self, model: &Model, liquid: &[f64; N]) -> Result<[f64; N]> {
        let Some(activities) = &model.activities else {
            return Ok(self.selectivity);
        };
        let factors = activities.factors(liquid)?;
        Ok(std::array::from_fn(|i| self.selectivity[i] * factors[i]))
    }

    /// The loading \[eq/L of bed\] in equilibrium with a liquid \[eq/L\], and rho. `None` if the liquid holds no cation.
    pub(super) fn loading_from_solution(&self, model: &Model, liquid: &[f64; N]) -> Result<Option<([f64; N], f64)>> {
        let selectivity = self.at(model, liquid)?;
        Ok(loading_from_solution(liquid, &selectivity, &self.valence, self.capacity))
    }

    /// A liquid of `normality` \[eq/L\] in equilibrium with a loading, and rho: by repetition where its own activities
    /// decide on its K. `None` if there is none.
    pub(super) fn solution_from_loading(
        &self,
        model: &Model,
        loading: &[f64; N],
        normality: f64,
    ) -> Result<Option<([f64; N], f64)>> {
        let mut found = solution_from_loading(loading, &self.selectivity, &self.valence, normality);
        if model.activities.is_none() {
            return Ok(found);
        }
        for _ in 0..MOST_ITERATIONS {
            let Some((liquid, _)) = found else { break };
            let next = solution_from_loading(loading, &self.at(model, &liquid)?, &self.valence, normality);
            let moved =
                |(next, _): &([f64; N], f64)| next.iter().zip(&liquid).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            if next.as_ref().is_some_and(|next| moved(next) <= FOUND * normality) {
                return Ok(next);
            }
            found = next;
        }
        Ok(None)
    }
}
