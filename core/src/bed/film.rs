//! Films in which every ion has its own mobility: one factor on the film resistance of each cell.
//!
//! The factor is the same for all ions of a cell, so that their exchange still sums to nothing, and it is taken from liquid
//! and beads as the last time step left them: within a step the film is linear, and nothing of the solver changes.

use crate::bed::activities::Apparent;
use crate::bed::beads::Beads;
use crate::bed::column::Profile;
use crate::bed::model::{Model, StepRates};
use crate::bed::state::Exchange;
use crate::laws::equilibrium::power;
use crate::laws::film_coupling::film_fluxes;
use crate::numerics::rows::Rows;

/// How near the profile inside a film must come, relative.
const ACCURACY: f64 = 1e-3;

/// What films are computed with, and their factors.
#[derive(Debug, Clone)]
pub(super) struct CoupledFilm<const N: usize> {
    /// Diffusivity of each ion over that which the film rate was correlated with.
    diffusivity: [f64; N],
    co_ion_charge: f64,
    /// Power of the effective diffusivity that a film coefficient goes with.
    slope: f64,
    /// Film over bead resistance, the factor left out.
    film_over_bead: f64,
    /// Film resistance over the resistance of the step.
    pub factor: Rows<1>,
}

impl<const N: usize> CoupledFilm<N> {
    /// Factors of 1 to begin with; `None` where ions share their diffusivity or there is no film.
    pub fn new(model: &Model, rates: &StepRates, cells: usize) -> Option<Box<Self>> {
        let coupling = rates.film_coupling.filter(|_| rates.film_s > 0.0 && rates.bead_s > 0.0)?;
        Some(Box::new(Self {
            diffusivity: std::array::from_fn(|i| model.relative_diffusivity[i]),
            co_ion_charge: coupling.co_ion_charge,
            slope: coupling.slope,
            film_over_bead: rates.film_s / rates.bead_s,
            factor: Rows::filled(cells, 1.0),
        }))
    }

    /// Factors from what the bed holds, in which the last ones still stand.
    ///
    /// At the beads' surface (C - C*)/Rf = (q* - q)/Rb and q* = m C*, so C* = (C + (Rf/Rb) q)/(1 + (Rf/Rb) m).
    /// In beads with shells the surface's loading is known, and C* = q*/m.
    pub fn renew(
        &mut self,
        exchange: &Exchange<N>,
        now: &Profile<N>,
        apparent: Option<&Apparent<N>>,
        beads: Option<&Beads<N>>,
    ) {
        for j in 0..now.ratio.length() {
            let (liquid, loading) = (now.liquid.at(j), now.loading.at(j));
            let rho = now.ratio.row(0)[j];
            let selectivity = apparent.map_or(exchange.selectivity, |apparent| apparent.selectivity.at(j));
            let surface = beads.map(|beads| beads.surface_at(j));
            let resistances = self.film_over_bead * self.factor.row(0)[j];
            let at_bead: [f64; N] = std::array::from_fn(|i| {
                let m = selectivity[i] * power(rho, exchange.valence[i]);
                match surface {
                    Some(surface) => surface[i] / m,
                    None => (liquid[i] + resistances * loading[i]) / (1.0 + resistances * m),
                }
            });
            let film =
                film_fluxes(&liquid, &at_bead, &self.diffusivity, &exchange.valence, self.co_ion_charge, ACCURACY);
            if let Some(film) = film {
                self.factor.row_mut(0)[j] = film.effective_m2_per_s.powf(-self.slope);
            }
        }
    }
}
