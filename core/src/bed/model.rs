//! A case turned into coefficients: immutable, in SI and equivalents per litre.

use std::sync::Arc;

use num_dual::{Dual64, first_derivative};

use crate::bed::activities::Activities;
use crate::bed::scheme::Scheme;
use crate::bed::solid_mixing::SolidMixing;
use crate::bed::tubes::{Tube, tubes};
use crate::error::{Error, Result};
use crate::inputs::case::{Case, Kinetics};
use crate::inputs::ion::Ion;
use crate::inputs::rates::{FilmCorrelation, FilmDiffusion};
use crate::inputs::recipe::StepWater;
use crate::inputs::regeneration::BrineWater;
use crate::inputs::resin::{BeadDiffusivity, BeadSize};
use crate::inputs::salt::Salt;
use crate::inputs::service::ServiceFlow;
use crate::inputs::water::Composition;
use crate::laws::hydraulics::{Beads, Liquid};
use crate::laws::{bead, density, diffusivity, dispersion, donnan, film, viscosity};
use crate::numerics::sphere::Sphere;
use crate::units::convert::{
    bv_per_h_to_m_per_s, celsius_to_kelvin, kilo, mg_per_l_caco3_to_eq_per_l, milli, percent_to_fraction,
};

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
    /// Cells along the bed.
    pub cells: usize,
    /// Volume of the bed \[L\].
    pub volume_l: f64,
    /// Does service enter at the top?
    pub service_down: bool,
    /// Error allowed in one time step.
    pub tolerance: f64,
    /// The feed, cations and anions.
    pub feed: Composition,
    /// The feed softened with the salt's cation.
    pub soft: Composition,
    /// The brine at the bed's inlet.
    pub brine: Composition,
    /// Normality of the brine's salt alone \[eq/L\].
    pub salt_normality: f64,
    /// Volume of brine \[bed volumes\].
    pub brine_bv: f64,
    /// The salt's cation.
    pub salt_cation: Ion,
    /// Inner diameter of the vessel \[m\].
    pub vessel_diameter_m: f64,
    /// Density of a wet bead \[kg/m3\].
    pub wet_bead_kg_per_m3: f64,
    /// Is the bed kept from rising?
    pub held_down: bool,
    /// What goes on inside the beads, where kinetics are radial.
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
    /// Constants of the column's scheme; no case sets them.
    pub scheme: Scheme,
    rates: RateData,
}

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
    fn of(case: &Case, temperature_k: f64) -> Self {
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
    /// Share of the resin that each row of [`crate::bed::state::State::inside`] holds: 0 for a surface.
    pub fn shares(&self) -> Vec<f64> {
        let of_size = |size: &OfSize| {
            let share = size.share;
            self.sphere.volume.iter().map(move |volume| share * volume).chain([0.0]).collect::<Vec<_>>()
        };
        self.sizes.iter().flat_map(of_size).collect()
    }
}

/// What the rates of a step are computed from.
#[derive(Debug, Clone)]
struct RateData {
    equilibrium: bool,
    film_per_s: Option<f64>,
    film_correlation: FilmCorrelation,
    film_diffusion: FilmDiffusion,
    bead_per_s: f64,
    dispersion_m2_per_s: Option<f64>,
    bead_diameter_m: f64,
    /// Diameter \[m\] and share of each size of bead.
    film_sizes: Vec<(f64, f64)>,
    ionic_m2_per_s_25: f64,
    temperature_k: f64,
    salt: Salt,
    salt_weight_fraction: f64,
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

impl Model {
    /// Compute the coefficients of a valid case; `also` names ions that a given loading brings in.
    ///
    /// # Errors
    /// [`Error::Value`] for a case that is not valid, or a brine normality above saturation.
    pub fn new(case: &Case, also: &[Ion]) -> Result<Self> {
        case.validate()?;
        let mut ions = case.cations()?;
        ions.extend_from_slice(also);
        ions.sort_unstable();
        ions.dedup();
        let regeneration = &case.regeneration;
        let salt = regeneration.salt;
        let temperature_k = celsius_to_kelvin(case.water.temperature_c);
        let (salt_normality, salt_weight_fraction) =
            match (regeneration.strength_percent, regeneration.normality_eq_per_l) {
                (None, Some(normality)) => match density::brine_weight_fraction(salt, normality, temperature_k) {
                    Some(weight) => (normality, weight),
                    None => {
                        let saturated = density::saturated_weight_fraction(salt, temperature_k);
                        let most = density::brine_eq_per_l(salt, saturated, temperature_k);
                        return Err(Error::value(
                            "regeneration.normality_eq_per_l",
                            normality,
                            format!("above saturation: {} holds at most {most:.3} eq/L here", salt.formula()),
                        ));
                    }
                },
                (percent, _) => {
                    let weight = percent_to_fraction(percent.unwrap_or(10.0));
                    (density::brine_eq_per_l(salt, weight, temperature_k), weight)
                }
            };
        let feed = case.water.composition()?;
        let left = mg_per_l_caco3_to_eq_per_l(regeneration.soft_water_leakage_mg_per_l_caco3);
        let soft = feed.softened(salt.cation(), left);
        let mut brine = match regeneration.brine_water {
            BrineWater::Soft => soft.clone(),
            BrineWater::Feed => feed.clone(),
        };
        for ion in [salt.cation(), Ion::CL] {
            *brine.eq_per_l.entry(ion).or_insert(0.0) += salt_normality;
        }
        for (impurity, eq_per_g) in regeneration.impurities_eq_per_g() {
            for ion in [impurity, Ion::CL] {
                *brine.eq_per_l.entry(ion).or_insert(0.0) += eq_per_g * salt.g_per_eq() * salt_normality;
            }
        }
        let bead_diameter_m = milli(case.resin.bead_diameter_mm);
        let bead_25 = hardness_weighted(case, &feed, bead_diffusivity_of(case));
        let bead_m2_per_s = bead::arrhenius(bead_25, kilo(case.resin.bead_activation_kj_per_mol), temperature_k);
        let inside = (case.kinetics == Kinetics::Radial).then(|| Inside {
            sphere: Sphere::with_shells(case.shells),
            sizes: bead_sizes(case).into_iter().map(|size| of_size(case, &ions, &size, temperature_k)).collect(),
        });
        let ionic_m2_per_s_25 = hardness_weighted(case, &feed, |ion| ion.data().diffusivity_m2_per_s);
        let rates = RateData {
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
            ionic_m2_per_s_25,
            temperature_k,
            salt,
            salt_weight_fraction,
        };
        let activities = Activities::new(case.activity, &ions, &feed, case.water.temperature_c)?;
        if let Some(activities) = &activities {
            activities.check_strength("the feed", feed.normality())?;
            activities.check_strength("brine", brine.normality())?;
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
            relative_diffusivity: ions.iter().map(|ion| ion.data().diffusivity_m2_per_s / ionic_m2_per_s_25).collect(),
            ions,
            capacity: case.resin.aged_capacity_eq_per_l(),
            void_fraction: case.resin.void_fraction,
            depth_m: case.bed.depth_m(),
            cells: case.cells.number()?,
            volume_l: case.bed.volume_l(),
            service_down: case.service.service_flow == ServiceFlow::Down,
            tolerance: case.tolerance,
            feed,
            soft,
            brine,
            salt_normality,
            brine_bv: regeneration.dose_g_per_l / (salt.g_per_eq() * salt_normality),
            salt_cation: salt.cation(),
            vessel_diameter_m: case.bed.diameter_m(),
            wet_bead_kg_per_m3: case.resin.wet_bead_kg_per_m3,
            held_down: case.bed.held_down,
            inside,
            sorbed: case.resin.sorbed_salt.then(|| SorbedSalt::of(case, temperature_k)),
            lifted_mixing: SolidMixing::of(&case.bed),
            spaces_bv: {
                let [above, below] = [case.bed.freeboard_l, case.bed.under_bed_l].map(|l| l / case.bed.volume_l());
                if case.service.service_flow == ServiceFlow::Down { [above, below] } else { [below, above] }
            },
            tubes: tubes(case.maldistribution.as_ref()),
            scheme: Scheme::DEFAULT,
            rates,
        })
    }

    /// Cell size \[m\].
    pub fn cell_m(&self) -> f64 {
        self.depth_m / self.cells as f64
    }

    /// Liquid in the vessel: voids between the beads, and the spaces \[bed volumes\].
    pub fn liquid_bv(&self) -> f64 {
        self.void_fraction + self.spaces_bv[0] + self.spaces_bv[1]
    }

    /// Temperature \[K\].
    pub fn temperature_k(&self) -> f64 {
        self.rates.temperature_k
    }

    /// Composition of a step's water.
    pub fn water(&self, water: StepWater) -> &Composition {
        match water {
            StepWater::Feed => &self.feed,
            StepWater::Soft => &self.soft,
            StepWater::Brine => &self.brine,
        }
    }

    /// The cations of a composition in the order of [`Model::ions`] \[eq/L\].
    pub fn cations_of<const N: usize>(&self, water: &Composition) -> [f64; N] {
        std::array::from_fn(|i| water.of(self.ions[i]))
    }

    /// Chloride \[eq/L\] in an effluent of normality N: every other anion is the feed's in every water of a recipe, so
    /// chloride is what is left.
    pub fn chloride_eq_per_l(&self, normality: f64) -> f64 {
        (normality - self.feed.normality() + self.feed.of(Ion::CL)).max(0.0)
    }

    /// Rates of a step fed with `water` at `flow_bv_per_h`.
    pub fn step_rates(&self, water: StepWater, flow_bv_per_h: f64) -> StepRates {
        let data = &self.rates;
        let d_p = data.bead_diameter_m;
        let flow = self.flow_past_beads(water, flow_bv_per_h);
        let film_per_s = data.film_per_s.unwrap_or_else(|| {
            // The films of all sizes side by side.
            let of_size = |(diameter_m, share): &(f64, f64)| {
                let reynolds = flow.reynolds * diameter_m / d_p;
                let sherwood = data.film_correlation.sherwood(reynolds, flow.schmidt, self.void_fraction);
                let coefficient = film::coefficient_m_per_s(sherwood, flow.ionic_m2_per_s, *diameter_m);
                share * film::film_rate_per_s(coefficient, self.void_fraction, *diameter_m)
            };
            data.film_sizes.iter().map(of_size).sum()
        });
        let dispersion = data
            .dispersion_m2_per_s
            .unwrap_or_else(|| dispersion::axial_m2_per_s(flow.velocity, d_p, flow.density, flow.viscosity));
        let resistance = |rate: f64| if data.equilibrium { 0.0 } else { 1.0 / rate };
        StepRates {
            velocity: flow.velocity,
            film_s: resistance(film_per_s),
            bead_s: resistance(data.bead_per_s),
            dispersion,
            film_coupling: (data.film_diffusion == FilmDiffusion::ByIon).then(|| FilmCoupling {
                co_ion_charge: self.water(water).co_ion_charge(),
                slope: data.film_slope(&flow, self.void_fraction),
            }),
        }
    }

    /// What a step's correlations should be read with: a line for each that was used outside its range.
    pub fn correlation_notes(&self, step: &str, water: StepWater, flow_bv_per_h: f64) -> Vec<String> {
        if flow_bv_per_h <= 0.0 || self.rates.equilibrium {
            return Vec::new();
        }
        let flow = self.flow_past_beads(water, flow_bv_per_h);
        let mut notes = Vec::new();
        if self.rates.film_per_s.is_none() {
            let found = self.rates.film_correlation.validity(flow.reynolds, flow.schmidt);
            if !found.within {
                let ((re_low, re_high), (sc_low, sc_high)) = (found.limits.reynolds, found.limits.schmidt);
                notes.push(format!(
                    "{step}: the film correlation {} was measured for Re {re_low} to {re_high} and Sc {sc_low} to {sc_high}, here Re is {:.3} and Sc {:.0}",
                    self.rates.film_correlation.name(), found.reynolds, found.schmidt
                ));
            }
        }
        let (low, high) = dispersion::REYNOLDS_LIMITS;
        if self.rates.dispersion_m2_per_s.is_none() && !(low..=high).contains(&flow.reynolds) {
            notes.push(format!(
                "{step}: the dispersion correlation was measured for Re {low} to {high}, here Re is {:.2e}",
                flow.reynolds
            ));
        }
        notes
    }

    /// A step's liquid as a bed feels it.
    pub(super) fn liquid(&self, water: StepWater) -> Liquid<f64> {
        let data = &self.rates;
        match water {
            StepWater::Brine => Liquid::brine(data.salt, data.salt_weight_fraction, data.temperature_k),
            StepWater::Feed | StepWater::Soft => Liquid::water(data.temperature_k),
        }
    }

    /// The salt of the brine.
    pub(super) fn salt(&self) -> Salt {
        self.rates.salt
    }

    /// The beads as a flow feels them.
    pub(super) fn beads(&self) -> Beads<f64> {
        Beads { diameter_m: self.rates.bead_diameter_m, wet_density_kg_per_m3: self.wet_bead_kg_per_m3 }
    }

    fn flow_past_beads(&self, water: StepWater, flow_bv_per_h: f64) -> FlowPastBeads {
        let data = &self.rates;
        let velocity = bv_per_h_to_m_per_s(flow_bv_per_h, self.depth_m);
        let weight = if water == StepWater::Brine { data.salt_weight_fraction } else { 0.0 };
        let viscosity = viscosity::brine_pa_s(data.salt, weight, data.temperature_k);
        let density = density::brine_kg_per_m3(data.salt, weight, data.temperature_k);
        let ionic_m2_per_s = diffusivity::ionic_m2_per_s(data.ionic_m2_per_s_25, data.temperature_k, viscosity);
        FlowPastBeads {
            velocity,
            viscosity,
            density,
            ionic_m2_per_s,
            reynolds: film::reynolds(velocity, data.bead_diameter_m, density, viscosity),
            schmidt: film::schmidt(density, viscosity, ionic_m2_per_s),
        }
    }
}

impl RateData {
    /// d ln k_f/d ln D of the correlation at a step's flow. A given film rate is taken to go as its correlation would.
    fn film_slope(&self, flow: &FlowPastBeads, void_fraction: f64) -> f64 {
        if flow.reynolds <= 0.0 {
            // Still liquid: Sh is a constant.
            return 1.0;
        }
        let coefficient = |ionic: Dual64| {
            let schmidt = film::schmidt(flow.density.into(), flow.viscosity.into(), ionic);
            let sherwood = self.film_correlation.sherwood(flow.reynolds.into(), schmidt, void_fraction.into());
            film::coefficient_m_per_s(sherwood, ionic, self.bead_diameter_m.into())
        };
        let (value, slope) = first_derivative(coefficient, flow.ionic_m2_per_s);
        slope * flow.ionic_m2_per_s / value
    }
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

/// The sizes of bead: those given, or the one.
fn bead_sizes(case: &Case) -> Vec<BeadSize> {
    let one = || vec![BeadSize { diameter_mm: case.resin.bead_diameter_mm, share: 1.0 }];
    if case.resin.bead_sizes.is_empty() { one() } else { case.resin.bead_sizes.clone() }
}

fn of_size(case: &Case, ions: &[Ion], size: &BeadSize, temperature_k: f64) -> OfSize {
    let activation = kilo(case.resin.bead_activation_kj_per_mol);
    let diameter_m = milli(size.diameter_mm);
    let per_s = |ion: &Ion| match case.rates.bead_per_s {
        // A given rate is that of equal diffusivities in beads of the nominal size: kb = 15 D/R^2.
        Some(rate) => rate / bead::RATE_PER_DIFFUSION * (case.resin.bead_diameter_mm / size.diameter_mm).powi(2),
        None => {
            let warm = bead::arrhenius(bead_diffusivity_of(case)(*ion), activation, temperature_k);
            bead::bead_rate_per_s(warm, diameter_m) / bead::RATE_PER_DIFFUSION
        }
    };
    let whole: f64 = bead_sizes(case).iter().map(|size| size.share).sum();
    OfSize { share: size.share / whole, per_s: ions.iter().map(per_s).collect() }
}

/// The bead diffusivity at 25 C of an ion, the smallest given where that ion has none.
fn bead_diffusivity_of(case: &Case) -> impl Fn(Ion) -> f64 + '_ {
    move |ion| match &case.resin.bead_diffusivity_m2_per_s {
        BeadDiffusivity::One(d) => *d,
        BeadDiffusivity::ByIon(by_ion) => {
            by_ion.get(&ion).copied().unwrap_or_else(|| by_ion.values().copied().fold(f64::INFINITY, f64::min))
        }
    }
}

/// Mean of a property over the feed's hardness, weighted by equivalents; over all its cations if it has no hardness.
fn hardness_weighted(case: &Case, feed: &Composition, of: impl Fn(Ion) -> f64) -> f64 {
    let mean = |pick: &dyn Fn(Ion) -> bool| {
        let (mut weight, mut sum) = (0.0, 0.0);
        for (ion, c) in feed.eq_per_l.iter().filter(|(ion, c)| pick(**ion) && **c > 0.0) {
            weight += c;
            sum += c * of(*ion);
        }
        (weight > 0.0).then(|| sum / weight)
    };
    mean(&|ion| case.hardness_ions.contains(&ion))
        .or_else(|| mean(&|ion| ion.is_cation()))
        .unwrap_or_else(|| of(Ion::NA))
}
