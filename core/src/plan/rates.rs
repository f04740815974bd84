//! Rates of the exchange and of dispersion, as they follow from a step's water and flow.

use num_dual::{Dual64, first_derivative};

use crate::error::Result;
use crate::inputs::case::{Case, Kinetics};
use crate::inputs::rates::{FilmCorrelation, FilmDiffusion};
use crate::laws::{bead, density, diffusivity, dispersion, film, viscosity};
use crate::plan::beads::{bead_sizes, hardness_weighted};
use crate::plan::resolved_steps::StepWater;
use crate::plan::waters::Waters;
use crate::units::convert::{bv_per_h_to_m_per_s, kilo, milli};

/// What the rates of a step are computed from.
#[derive(Debug, Clone)]
pub struct Rates {
    equilibrium: bool,
    film_per_s: Option<f64>,
    film_correlation: FilmCorrelation,
    film_diffusion: FilmDiffusion,
    bead_per_s: f64,
    dispersion_m2_per_s: Option<f64>,
    /// Nominal diameter of the beads \[m\].
    pub bead_diameter_m: f64,
    /// Diameter \[m\] and share of each size of bead.
    film_sizes: Vec<(f64, f64)>,
    /// Diffusivity in water at 25 C that film rates are correlated with \[m2/s\].
    pub ionic_m2_per_s_25: f64,
    void_fraction: f64,
    depth_m: f64,
}

/// Rates and flow of one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepRates {
    /// Superficial velocity \[m/s\], 0 or more.
    pub velocity: f64,
    /// Film resistance 1/kf_a \[s\]; 0 at equilibrium.
    pub film_s: f64,
    /// Bead resistance 1/kb \[s\]; 0 at equilibrium.
    pub bead_s: f64,
    /// Interstitial dispersion \[m2/s\].
    pub dispersion: f64,
    /// How unlike ions share the film, where each has its own diffusivity.
    pub film_coupling: Option<FilmCoupling>,
}

/// What a film of unlike ions needs besides their diffusivities.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmCoupling {
    /// Mean charge of the step's co-ions, weighted by equivalents.
    pub co_ion_charge: f64,
    /// Power of the diffusivity that the film coefficient goes with: 2/3 for a boundary layer, 1 in still liquid.
    pub slope: f64,
}

impl Rates {
    /// What a case says of them, in waters of its own.
    ///
    /// # Errors
    /// [`crate::Error::Value`] naming an ion whose diffusivity in the bead is not known.
    pub(super) fn of(case: &Case, waters: &Waters) -> Result<Self> {
        let bead_diameter_m = milli(case.resin.bead_diameter_mm);
        let bead_25 = hardness_weighted(case, &waters.feed, |ion| case.resin.bead_diffusivity_of(ion))?;
        let activation = kilo(case.resin.bead_activation_kj_per_mol);
        let bead_m2_per_s = bead::arrhenius(bead_25, activation, waters.temperature_k);
        Ok(Self {
            equilibrium: case.kinetics == Kinetics::Equilibrium,
            film_per_s: case.rates.film_per_s,
            film_correlation: case.rates.film_correlation,
            film_diffusion: case.rates.film_diffusion,
            bead_per_s: case.rates.bead_per_s.unwrap_or_else(|| bead::bead_rate_per_s(bead_m2_per_s, bead_diameter_m)),
            dispersion_m2_per_s: case.rates.dispersion_m2_per_s,
            bead_diameter_m,
            film_sizes: {
                let sizes = bead_sizes(case);
                let whole: f64 = sizes.iter().map(|size| size.share).sum();
                sizes.iter().map(|size| (milli(size.diameter_mm), size.share / whole)).collect()
            },
            ionic_m2_per_s_25: hardness_weighted(case, &waters.feed, |ion| Ok(ion.data().diffusivity_m2_per_s))?,
            void_fraction: case.resin.void_fraction,
            depth_m: case.bed.depth_m(),
        })
    }

    /// Rates of a step fed with `water` at `flow_bv_per_h`.
    pub(super) fn of_step(&self, waters: &Waters, water: StepWater, flow_bv_per_h: f64) -> StepRates {
        let d_p = self.bead_diameter_m;
        let flow = self.flow_past_beads(waters, water, flow_bv_per_h);
        let film_per_s = self.film_per_s.unwrap_or_else(|| {
            // The films of all sizes side by side.
            let of_size = |(diameter_m, share): &(f64, f64)| {
                let reynolds = flow.reynolds * diameter_m / d_p;
                let sherwood = self.film_correlation.sherwood(reynolds, flow.schmidt, self.void_fraction);
                let coefficient = film::coefficient_m_per_s(sherwood, flow.ionic_m2_per_s, *diameter_m);
                share * film::film_rate_per_s(coefficient, self.void_fraction, *diameter_m)
            };
            self.film_sizes.iter().map(of_size).sum()
        });
        let dispersion = self
            .dispersion_m2_per_s
            .unwrap_or_else(|| dispersion::axial_m2_per_s(flow.velocity, d_p, flow.density, flow.viscosity));
        let resistance = |rate: f64| if self.equilibrium { 0.0 } else { 1.0 / rate };
        StepRates {
            velocity: flow.velocity,
            film_s: resistance(film_per_s),
            bead_s: resistance(self.bead_per_s),
            dispersion,
            film_coupling: (self.film_diffusion == FilmDiffusion::ByIon).then(|| FilmCoupling {
                co_ion_charge: waters.of_step(water).co_ion_charge(),
                slope: self.film_slope(&flow),
            }),
        }
    }

    /// The correlations of a step that are used outside their range.
    pub(super) fn outside_range(&self, waters: &Waters, water: StepWater, flow_bv_per_h: f64) -> Vec<OutsideRange> {
        if flow_bv_per_h <= 0.0 || self.equilibrium {
            return Vec::new();
        }
        let flow = self.flow_past_beads(waters, water, flow_bv_per_h);
        let film = self.film_per_s.is_none().then(|| self.film_correlation.validity(flow.reynolds, flow.schmidt));
        let dispersion = self.dispersion_m2_per_s.is_none().then(|| dispersion::validity(flow.reynolds));
        let film = film.filter(|film| !film.within).map(|film| OutsideRange::Film(self.film_correlation, film));
        film.into_iter().chain(dispersion.filter(|found| !found.within).map(OutsideRange::Dispersion)).collect()
    }

    fn flow_past_beads(&self, waters: &Waters, water: StepWater, flow_bv_per_h: f64) -> FlowPastBeads {
        let velocity = bv_per_h_to_m_per_s(flow_bv_per_h, self.depth_m);
        let weight = if water == StepWater::Brine { waters.salt_weight_fraction } else { 0.0 };
        let viscosity = viscosity::brine_pa_s(waters.salt, weight, waters.temperature_k);
        let density = density::brine_kg_per_m3(waters.salt, weight, waters.temperature_k);
        let ionic_m2_per_s = diffusivity::ionic_m2_per_s(self.ionic_m2_per_s_25, waters.temperature_k, viscosity);
        FlowPastBeads {
            velocity,
            viscosity,
            density,
            ionic_m2_per_s,
            reynolds: film::reynolds(velocity, self.bead_diameter_m, density, viscosity),
            schmidt: film::schmidt(density, viscosity, ionic_m2_per_s),
        }
    }

    /// d ln k_f/d ln D of the correlation at a step's flow. A given film rate is taken to go as its correlation would.
    fn film_slope(&self, flow: &FlowPastBeads) -> f64 {
        if flow.reynolds <= 0.0 {
            // Still liquid: Sh is a constant.
            return 1.0;
        }
        let coefficient = |ionic: Dual64| {
            let schmidt = film::schmidt(flow.density.into(), flow.viscosity.into(), ionic);
            let sherwood = self.film_correlation.sherwood(flow.reynolds.into(), schmidt, self.void_fraction.into());
            film::coefficient_m_per_s(sherwood, ionic, self.bead_diameter_m.into())
        };
        let (value, slope) = first_derivative(coefficient, flow.ionic_m2_per_s);
        slope * flow.ionic_m2_per_s / value
    }
}

/// A correlation that was used outside the range it was measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OutsideRange {
    /// That of the film.
    Film(FilmCorrelation, film::Validity),
    /// That of the dispersion.
    Dispersion(dispersion::Validity),
}

/// The numbers that the correlations of one step are read at, in SI.
struct FlowPastBeads {
    velocity: f64,
    viscosity: f64,
    density: f64,
    ionic_m2_per_s: f64,
    reynolds: f64,
    schmidt: f64,
}
