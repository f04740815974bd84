//! Films in which every ion has its own mobility: one factor on the film resistance of each cell.
//!
//! The factor is the same for all ions of a cell, so that their exchange still sums to 0, and it is lagged: taken from
//! liquid and beads as the last time step left them. Within a step the film is linear.

use crate::bed::cell_block::Place;
use crate::bed::exchange::condensed::{Condensed, LaggedFrom};
use crate::bed::exchange::store::{Beginning, Store};
use crate::bed::isotherm::Isotherm;
use crate::bed::profile::Profile;
use crate::bed::time_step::BlockWeights;
use crate::laws::equilibrium::power;
use crate::laws::film_coupling::film_fluxes;
use crate::numerics::rows::Rows;

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
    /// How near the profile inside a film must come, relative.
    accuracy: f64,
    /// Film resistance over the resistance of the step.
    factor: Rows<1>,
}

impl<const N: usize> CoupledFilm<N> {
    /// Factors of 1 to begin with; `None` where ions share their diffusivity or there is no film.
    pub fn store(begins: &Beginning<'_, N>) -> Option<Box<dyn Store<N>>> {
        let rates = begins.rates;
        let coupling = rates.film_coupling.filter(|_| rates.film_s > 0.0 && rates.bead_s > 0.0)?;
        Some(Box::new(Self {
            diffusivity: std::array::from_fn(|i| begins.model.relative_diffusivity[i]),
            co_ion_charge: coupling.co_ion_charge,
            slope: coupling.slope,
            film_over_bead: rates.film_s / rates.bead_s,
            accuracy: begins.model.scheme.film_accuracy,
            factor: Rows::filled(begins.liquid.length(), 1.0),
        }))
    }
}

impl<const N: usize> Store<N> for CoupledFilm<N> {
    fn condense(
        &mut self,
        _weights: &BlockWeights,
        _liquid: &Rows<N>,
        _lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    ) {
        let factor = self.factor.lanes(0, place.start);
        out.film = out.film * factor;
        out.film_s = out.film_s * factor;
    }

    /// Factors from what the bed holds, in which the last ones are still at work.
    ///
    /// At the beads' surface (C - C*)/Rf = (q* - q)/Rb and q* = m C*, so C* = (C + (Rf/Rb) q)/(1 + (Rf/Rb) m).
    /// In beads with shells the surface's loading is known, and C* = q*/m.
    fn lag(&mut self, now: &Profile<N>, isotherm: &Isotherm<N>, before: &[Box<dyn Store<N>>]) {
        for j in 0..now.cells() {
            let (liquid, loading) = (now.liquid.at(j), now.loading.at(j));
            let rho = now.ratio.row(0)[j];
            let apparent = before.iter().find_map(|store| store.selectivity(j));
            let selectivity = apparent.unwrap_or(isotherm.selectivity);
            let surface = before.iter().find_map(|store| store.surface(j));
            let resistances = self.film_over_bead * self.factor.row(0)[j];
            let at_bead: [f64; N] = std::array::from_fn(|i| {
                let m = selectivity[i] * power(rho, isotherm.valence[i]);
                match surface {
                    Some(surface) => surface[i] / m,
                    None => (liquid[i] + resistances * loading[i]) / (1.0 + resistances * m),
                }
            });

            let film =
                film_fluxes(&liquid, &at_bead, &self.diffusivity, &isotherm.valence, self.co_ion_charge, self.accuracy);
            if let Some(film) = film {
                self.factor.row_mut(0)[j] = film.effective_m2_per_s.powf(-self.slope);
            }
        }
    }
}
