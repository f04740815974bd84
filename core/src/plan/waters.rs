//! The waters of a case: its feed, the feed softened, and the brine that its salt makes.

use crate::error::{Error, Result, figure};
use crate::inputs::case::Case;
use crate::inputs::ion::Ion;
use crate::inputs::regeneration::{BrineWater, DEFAULT_STRENGTH_PERCENT};
use crate::inputs::salt::Salt;
use crate::inputs::water::Composition;
use crate::laws::density;
use crate::laws::hydraulics::Liquid;
use crate::plan::resolved_steps::StepWater;
use crate::units::convert::{celsius_to_kelvin, mg_per_l_caco3_to_eq_per_l, percent_to_fraction};

/// Every water that a recipe can name, and the salt of its brine.
#[derive(Debug, Clone)]
pub struct Waters {
    /// Temperature of all of them \[K\].
    pub temperature_k: f64,
    /// The feed, cations and anions.
    pub feed: Composition,
    /// Was no anion of the feed given, so that chloride takes the balance?
    pub chloride_assumed: bool,
    /// Hardness of the feed \[eq/L\].
    pub feed_hardness: f64,
    /// The feed softened with the salt's cation.
    pub soft: Composition,
    /// The brine at the bed's inlet.
    pub brine: Composition,
    /// The salt.
    pub salt: Salt,
    /// Normality of the brine's salt alone \[eq/L\].
    pub salt_normality: f64,
    /// Mass fraction of the salt in the brine.
    pub salt_weight_fraction: f64,
    /// Volume of brine that the dose makes \[bed volumes\].
    pub brine_bv: f64,
}

impl Waters {
    /// The waters of a valid case.
    ///
    /// # Errors
    /// [`Error::Value`] for a brine normality above saturation.
    pub fn of(case: &Case) -> Result<Self> {
        let regeneration = &case.regeneration;
        let salt = regeneration.salt;
        let temperature_k = celsius_to_kelvin(case.water.temperature_c);
        let (salt_normality, salt_weight_fraction) = strength(case, temperature_k)?;
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
        Ok(Self {
            temperature_k,
            feed_hardness: feed.sum_of(&case.hardness_ions),
            feed,
            chloride_assumed: case.water.chloride_assumed(),
            soft,
            brine,
            salt,
            salt_normality,
            salt_weight_fraction,
            brine_bv: regeneration.dose_g_per_l / (salt.g_per_eq() * salt_normality),
        })
    }

    /// Composition of a step's water.
    pub fn of_step(&self, water: StepWater) -> &Composition {
        match water {
            StepWater::Feed => &self.feed,
            StepWater::Soft => &self.soft,
            StepWater::Brine => &self.brine,
        }
    }

    /// A step's water as a bed feels it.
    pub fn liquid(&self, water: StepWater) -> Liquid<f64> {
        match water {
            StepWater::Brine => Liquid::brine(self.salt, self.salt_weight_fraction, self.temperature_k),
            StepWater::Feed | StepWater::Soft => Liquid::water(self.temperature_k),
        }
    }

    /// Chloride \[eq/L\] in an effluent of normality N: every other anion is the feed's in every water of a recipe, so
    /// chloride is what is left.
    pub fn chloride_eq_per_l(&self, normality: f64) -> f64 {
        (normality - self.feed.normality() + self.feed.of(Ion::CL)).max(0.0)
    }
}

/// Normality of the brine's salt alone \[eq/L\] and its mass fraction, whichever of the two was given.
fn strength(case: &Case, temperature_k: f64) -> Result<(f64, f64)> {
    let regeneration = &case.regeneration;
    let salt = regeneration.salt;
    match (regeneration.strength_percent, regeneration.normality_eq_per_l) {
        (None, Some(normality)) => match density::brine_weight_fraction(salt, normality, temperature_k) {
            Some(weight) => Ok((normality, weight)),
            None => {
                let saturated = density::saturated_weight_fraction(salt, temperature_k);
                let most = density::brine_eq_per_l(salt, saturated, temperature_k);
                Err(Error::value(
                    "regeneration.normality_eq_per_l",
                    figure(normality, &[most]),
                    format!("above saturation: {} holds at most {most:.3} eq/L here", salt.name()),
                ))
            }
        },
        (percent, _) => {
            let weight = percent_to_fraction(percent.unwrap_or(DEFAULT_STRENGTH_PERCENT));
            Ok((density::brine_eq_per_l(salt, weight, temperature_k), weight))
        }
    }
}
