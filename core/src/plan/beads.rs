//! What is known of the beads before a bed is marched: their sizes, diffusivities, and the salt that they hold.

use crate::error::Result;
use crate::inputs::case::{Case, Kinetics};
use crate::inputs::cells::Shells;
use crate::inputs::ion::Ion;
use crate::inputs::resin::BeadSize;
use crate::inputs::water::Composition;
use crate::laws::{bead, diffusivity, donnan, viscosity};
use crate::numerics::sphere::Sphere;
use crate::units::convert::{kilo, milli};

/// Beads cut into shells.
#[derive(Debug, Clone, PartialEq)]
pub struct Inside {
    /// The shells of each.
    pub sphere: Sphere,
    /// The sizes of bead; their shares sum to 1.
    pub sizes: Vec<OfSize>,
}

/// Salt that the liquid inside the beads holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SorbedSalt {
    /// Fixed charges per water in a bead \[eq/L\].
    pub fixed_eq_per_l: f64,
    /// Water in the beads per litre of bed.
    pub water_l_per_l: f64,
    /// Rate at which it comes and goes \[1/s\].
    pub per_s: f64,
}

impl SorbedSalt {
    /// That of the beads of a case.
    pub(super) fn of(case: &Case, temperature_k: f64) -> Self {
        let resin = &case.resin;
        let water_l_per_l = (1.0 - resin.void_fraction) * resin.bead_water_fraction;
        let (cation, chloride) =
            (case.regeneration.salt.cation().data().diffusivity_m2_per_s, Ion::CL.data().diffusivity_m2_per_s);
        // A salt of two ions of one charge moves at the harmonic mean of their diffusivities (W. Nernst 1888).
        let in_water_25 = 2.0 * cation * chloride / (cation + chloride);
        let viscosity = viscosity::water_pa_s(temperature_k);
        let in_water = diffusivity::ionic_m2_per_s(in_water_25, temperature_k, viscosity);
        let in_bead = in_water * donnan::obstruction(resin.bead_water_fraction);
        Self {
            fixed_eq_per_l: resin.aged_capacity_eq_per_l() / water_l_per_l,
            water_l_per_l,
            per_s: bead::bead_rate_per_s(in_bead, milli(resin.bead_diameter_mm)),
        }
    }

    /// Salt next to a solution \[eq per litre of bed\].
    pub fn eq_per_l(&self, normality: f64) -> f64 {
        self.water_l_per_l * donnan::sorbed_eq_per_l(normality, self.fixed_eq_per_l)
    }
}

/// Beads of one size.
#[derive(Debug, Clone, PartialEq)]
pub struct OfSize {
    /// Share of the resin's volume.
    pub share: f64,
    /// Diffusivity of each ion over the square of the bead's radius \[1/s\].
    pub per_s: Vec<f64>,
}

impl Inside {
    /// The shells of the beads of a case.
    ///
    /// # Errors
    /// [`crate::Error::Value`] naming an ion whose diffusivity is not known.
    pub(super) fn of(case: &Case, ions: &[Ion], temperature_k: f64) -> Result<Self> {
        let sizes = bead_sizes(case);
        Ok(Self {
            sphere: match (case.kinetics, case.shells) {
                (Kinetics::Interdiffusion, _) => Sphere::layered(),
                (_, Shells::Fitted) => Sphere::fitted(),
                (_, Shells::Number(shells)) => Sphere::graded(shells),
            },
            sizes: sizes.iter().map(|size| of_size(case, ions, size, temperature_k)).collect::<Result<_>>()?,
        })
    }

    /// Share of the resin that each row of [`crate::bed::state::State::inside`] holds: 0 for a surface without a layer.
    pub fn shares(&self) -> Vec<f64> {
        let of_size = |size: &OfSize| {
            let share = size.share;
            self.sphere
                .volume
                .iter()
                .map(move |volume| share * volume)
                .chain([share * self.sphere.at_surface])
                .collect::<Vec<_>>()
        };
        self.sizes.iter().flat_map(of_size).collect()
    }
}

/// The sizes of bead: those given, or the one.
pub(super) fn bead_sizes(case: &Case) -> Vec<BeadSize> {
    let one = || vec![BeadSize { diameter_mm: case.resin.bead_diameter_mm, share: 1.0 }];
    if case.resin.bead_sizes.is_empty() { one() } else { case.resin.bead_sizes.clone() }
}

fn of_size(case: &Case, ions: &[Ion], size: &BeadSize, temperature_k: f64) -> Result<OfSize> {
    let activation = kilo(case.resin.bead_activation_kj_per_mol);
    let diameter_m = milli(size.diameter_mm);
    let per_s = |ion: &Ion| match case.rates.bead_per_s {
        // A given rate is that of equal diffusivities in beads of the nominal size: kb = 15 D/R^2.
        Some(rate) => Ok(rate / bead::RATE_PER_DIFFUSION * (case.resin.bead_diameter_mm / size.diameter_mm).powi(2)),
        None => {
            let warm = bead::arrhenius(case.resin.bead_diffusivity_of(*ion)?, activation, temperature_k);
            Ok(bead::bead_rate_per_s(warm, diameter_m) / bead::RATE_PER_DIFFUSION)
        }
    };
    let whole: f64 = bead_sizes(case).iter().map(|size| size.share).sum();
    Ok(OfSize { share: size.share / whole, per_s: ions.iter().map(per_s).collect::<Result<_>>()? })
}

/// Mean of a property over the feed's hardness, weighted by equivalents; over all its cations if it has no hardness.
///
/// # Errors
/// What the property of an ion fails with.
pub(super) fn hardness_weighted(case: &Case, feed: &Composition, of: impl Fn(Ion) -> Result<f64>) -> Result<f64> {
    let mean = |pick: &dyn Fn(Ion) -> bool| {
        let (mut weight, mut sum) = (0.0, 0.0);
        for (ion, c) in feed.eq_per_l.iter().filter(|(ion, c)| pick(**ion) && **c > 0.0) {
            weight += c;
            sum += c * of(*ion)?;
        }
        Ok((weight > 0.0).then(|| sum / weight))
    };
    let hardness = mean(&|ion| case.hardness_ions.contains(&ion))?;
    let found = if hardness.is_some() { hardness } else { mean(&|ion| ion.is_cation())? };
    found.map_or_else(|| of(Ion::NA), Ok)
}
