//! The law of activity coefficients of a case, made ready for the ions of its waters.

use crate::error::{Error, Result};
use crate::inputs::activity::ActivityLaw;
use crate::inputs::ion::Ion;
use crate::inputs::water::Composition;
use crate::laws::activity::{Activity, DAVIES_STRONGEST, MOST_IONS, ionic_strength};
use crate::laws::conventions::{Coefficient, Solution};
use crate::laws::molality::molality_from_equivalents;
use crate::laws::selectivity_sets::MEASURED_AT_FRACTION;
use crate::units::convert::celsius_to_kelvin;

/// Parameters are those at this temperature \[C\]; further off than this a report notes it.
const STANDARD_C: f64 = 25.0;
const NEAR_STANDARD_C: f64 = 1.0;

/// The law of a case with the ions of its waters.
///
/// Anions other than chloride are the feed's in every water of a recipe, and chloride takes what the normality leaves; a
/// liquid thinner than they are has them in proportion and no chloride.
#[derive(Debug, Clone)]
pub struct Activities {
    law: ActivityLaw,
    ready: Activity,
    /// The feed's anions other than chloride \[eq/L\].
    others: Vec<f64>,
    temperature_c: f64,
}

impl Activities {
    /// The law made ready for a model's cations and the feed's anions; `None` for an ideal liquid.
    ///
    /// # Errors
    /// [`Error::Value`] naming an ion that the law has no parameters for.
    pub fn new(law: ActivityLaw, cations: &[Ion], feed: &Composition, temperature_c: f64) -> Result<Option<Self>> {
        if law.is_ideal() {
            return Ok(None);
        }
        let others = feed.eq_per_l.iter().filter(|(ion, c)| !ion.is_cation() && **ion != Ion::CL && **c > 0.0);
        let (anions, others): (Vec<Ion>, Vec<f64>) = others.map(|(ion, c)| (*ion, *c)).unzip();
        let mut ions = cations.to_vec();
        ions.extend(anions);
        ions.push(Ion::CL);
        let ready = Activity::of_themselves(law, &ions)?;
        Ok(Some(Self { law, ready, others, temperature_c }))
    }

    /// Refuse a normality \[eq/L\] at which a liquid could be too strong for the law, whatever cations it holds.
    ///
    /// # Errors
    /// [`Error::Value`] naming `what` has the normality, and the ionic strength it may come to.
    pub fn check_strength(&self, what: &str, normality: f64) -> Result<()> {
        if self.law != ActivityLaw::Davies {
            return Ok(());
        }
        // An equivalent of a divalent ion counts twice as much as one of sodium.
        let strongest = self.ready.ions().iter().position(|ion| ion.is_divalent_cation()).unwrap_or(0);
        let cations = self.ready.ions().iter().filter(|ion| ion.is_cation()).count();
        let mut liquid = vec![0.0; cations];
        liquid[strongest] = normality;
        let ions = self.ready.ions();
        let concentrations = self.with_anions(&liquid);
        let molality = molality_from_equivalents(ions, &concentrations[..ions.len()], self.temperature_k());
        let strength = ionic_strength(ions, &molality);
        if strength <= DAVIES_STRONGEST {
            return Ok(());
        }
        let limits = format!(
            "holds to an ionic strength of {DAVIES_STRONGEST} mol/kg; {what} of {normality:.3} eq/L comes to \
             {strength:.2} where it carries hardness: use pitzer"
        );
        Err(Error::value("activity", self.law.name(), limits))
    }

    /// Exchange factors of a liquid \[eq/L\], one for each cation.
    ///
    /// # Errors
    /// [`Error::Value`] for an ionic strength that the law does not hold at.
    pub fn factors<const N: usize>(&self, liquid: &[f64; N]) -> Result<[f64; N]> {
        let ions = self.ready.ions().len();
        let factors = self.ready.exchange_factors(&self.with_anions(liquid)[..ions], self.temperature_k())?;
        Ok(std::array::from_fn(|i| factors[i]))
    }

    fn temperature_k(&self) -> f64 {
        celsius_to_kelvin(self.temperature_c)
    }

    /// A liquid's cations followed by its anions \[eq/L\].
    fn with_anions(&self, cations: &[f64]) -> [f64; MOST_IONS] {
        let mut all = [0.0; MOST_IONS];
        let normality: f64 = cations.iter().sum();
        let others: f64 = self.others.iter().sum();
        let share = if normality < others { normality / others } else { 1.0 };
        let after = cations.len();
        all[..after].copy_from_slice(cations);
        for (place, c) in all[after..].iter_mut().zip(&self.others) {
            *place = c * share;
        }
        all[after + self.others.len()] = (normality - others).max(0.0);
        all
    }

    /// The thermodynamic K of a resin's coefficient: as it is, or with the exchange factor taken out of the chloride
    /// solution, half sodium and half the ion, that it was measured in.
    ///
    /// # Errors
    /// [`Error::Value`] for a normality that the law does not hold at.
    pub fn thermodynamic(&self, coefficient: &Coefficient) -> Result<f64> {
        let Solution::Concentrations { normality_eq_per_l: n } = coefficient.scale().solution else {
            return Ok(coefficient.value());
        };
        if coefficient.ion() == Ion::NA {
            return Ok(1.0);
        }
        let ions = [Ion::NA, coefficient.ion(), Ion::CL];
        let alone = Activity::of_themselves(self.law, &ions)?;
        let solution = [n * (1.0 - MEASURED_AT_FRACTION), n * MEASURED_AT_FRACTION, n];
        let factors = alone.exchange_factors(&solution, self.temperature_k())?;
        Ok(coefficient.to_activities(factors[1])?.value())
    }

    /// The law.
    pub fn law(&self) -> ActivityLaw {
        self.law
    }

    /// Temperature of the law's parameters and of the water \[C\], if they are apart.
    pub fn temperatures_c(&self) -> Option<(f64, f64)> {
        ((self.temperature_c - STANDARD_C).abs() > NEAR_STANDARD_C).then_some((STANDARD_C, self.temperature_c))
    }
}
