//! Activity coefficients of the ions of a mixed aqueous solution.
//!
//! ```text
//! a_i = g_i m_i              ln g_mean(M_p X_q) = (p ln g_M + q ln g_X)/(p + q)
//! ln a_w = -phi M_w sum m    phi osmotic coefficient, M_w molar mass of water [kg/mol]
//! ```
//!
//! Molal inside: m \[mol per kg of water\], g -> 1 at infinite dilution. Three laws: `ideal`, `davies` to an ionic
//! strength of 0.5 mol/kg, `pitzer` in brine. All hold at 25 C. At 15 C the factor g_Ca/g_Na^2 is higher than at 25 by
//! 1 % in a water, 5 % in brine of 1 mol/kg and 11 to 14 % in 2 to 4 mol/kg; at 35 C it is lower by 1, 4 and 9 to 10 %
//! (parameters with slopes in temperature, `pitzer.dat` of the library `phreeqpython` 1.6.2; see
//! `tests/rust/laws/activity_library.rs`).
//!
//! # Exchange
//!
//! The exchange law with activities, sodium as ion 1 (fractions of G. L. Gaines, H. C. Thomas 1953, J. Chem. Phys. 21, 714),
//!
//! ```text
//! K_i = (y_i/(G_i x_i)) (G_1 x_1/y_1)^z (N/Q)^(z - 1)
//! ```
//!
//! is the ideal law with an effective coefficient K_i G_i/G_1^z of the liquid at hand: the *exchange factor*. G are
//! coefficients on the molar scale, G_i = g_i rho_w/W with W \[kg/L\] the water in a litre of solution
//! ([`crate::laws::molality`]) and rho_w the density of pure water, so that G -> 1 too. An exchange factor is an
//! electrically neutral combination (one M^z+ for z Na+), so no convention about single ions enters it.

mod davies;
mod pitzer;
mod tables;
mod unsymmetrical;

use std::collections::BTreeMap;

use num_dual::DualNum;

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::laws::molality;
use crate::units::constants::MOLAR_MASS_WATER_G_PER_MOL;

pub use crate::inputs::activity::ActivityLaw;
pub use davies::DAVIES_STRONGEST;

/// The most ions a solution holds: all there are.
pub const MOST_IONS: usize = 14;

/// Below this ionic strength \[mol/kg\] a solution counts as pure water: g is 1 within 1e-6.
const PURE_WATER: f64 = 1e-13;

/// A law made ready for one set of ions.
#[derive(Debug, Clone, PartialEq)]
pub struct Activity {
    ions: Vec<Ion>,
    law: Ready,
}

/// A law with what it needs.
#[derive(Debug, Clone, PartialEq)]
enum Ready {
    Ideal,
    Davies,
    Pitzer(pitzer::Mixture),
}

impl Activity {
    /// Make `law` ready for `ions`, cations and anions in any order.
    ///
    /// An ion in `analogues` takes the parameters of the ion named there, of the same charge; an ion that is
    /// not named there has its own.
    ///
    /// # Errors
    /// [`Error::Value`] for an ion given twice, an analogue of another charge, or, with `pitzer`, naming the ion or the
    /// salt that has no parameters.
    pub fn new(law: ActivityLaw, ions: &[Ion], analogues: &BTreeMap<Ion, Ion>) -> Result<Self> {
        for (place, ion) in ions.iter().enumerate() {
            if ions[..place].contains(ion) {
                return Err(Error::value("activity.ions", ion, "must be given once"));
            }
        }
        for (ion, analogue) in analogues {
            let (charge, other) = (ion.data().charge, analogue.data().charge);
            if charge != other {
                let limits = format!("must have the charge {charge:+} of {ion}; it has {other:+}");
                return Err(Error::value(format!("activity.analogues.{ion}"), analogue, limits));
            }
        }
        let law = match law {
            ActivityLaw::Ideal => Ready::Ideal,
            ActivityLaw::Davies => Ready::Davies,
            ActivityLaw::Pitzer => {
                let known_as = |ion| analogues.get(&ion).copied().unwrap_or(ion);
                Ready::Pitzer(pitzer::Mixture::new(ions, known_as)?)
            }
        };
        Ok(Self { ions: ions.to_vec(), law })
    }

    /// As [`Self::new`], with every ion by its own parameters.
    ///
    /// # Errors
    /// [`Error::Value`] of the field `activity`, naming the ion or the salt that has no parameters.
    pub fn of_themselves(law: ActivityLaw, ions: &[Ion]) -> Result<Self> {
        Self::new(law, ions, &BTreeMap::new()).map_err(|refusal| match refusal {
            Error::Value { value: lacking, .. } if law == ActivityLaw::Pitzer => {
                let limits = format!("has no parameters for {lacking}: use davies in dilute solutions, or ideal");
                Error::value("activity", law.name(), limits)
            }
            other => other,
        })
    }

    /// The ions, in the order of every array here.
    pub fn ions(&self) -> &[Ion] {
        &self.ions
    }

    /// Activity coefficients at molalities \[mol per kg of water\], one for each ion.
    ///
    /// # Errors
    /// [`Error::Value`] for another number of molalities, or an ionic strength above the limit of `davies`.
    pub fn coefficients<S: DualNum<Primitive = f64> + Copy>(&self, molality: &[S]) -> Result<Coefficients<'_, S>> {
        self.one_for_each_ion("molality", molality.len())?;
        let zero = S::from(0.0);
        let i = ionic_strength(&self.ions, molality);
        let total = molality.iter().fold(zero, |sum, m| sum + *m);
        let (ln_gamma, osmotic_excess) = if i.re() < PURE_WATER {
            ([zero; MOST_IONS], zero)
        } else {
            match &self.law {
                Ready::Ideal => ([zero; MOST_IONS], zero),
                Ready::Davies => {
                    if i.re() > DAVIES_STRONGEST {
                        let limits =
                            format!("Davies' formula holds to {DAVIES_STRONGEST} mol/kg; `pitzer` holds in brine");
                        return Err(Error::value("activity.ionic_strength", format!("{:.4}", i.re()), limits));
                    }
                    let each = davies::ln_gamma_by_charge_squared(i);
                    let mut ln_gamma = [zero; MOST_IONS];
                    for (ln, ion) in ln_gamma.iter_mut().zip(&self.ions) {
                        *ln = each * f64::from(ion.valence().pow(2));
                    }
                    (ln_gamma, davies::osmotic_excess(i, total))
                }
                Ready::Pitzer(mixture) => mixture.evaluate(molality, i, total),
            }
        };
        Ok(Coefficients { ions: &self.ions, ln_gamma, osmotic: osmotic_excess + 1.0, total })
    }

    /// Exchange factors G_i/G_1^z on the molar scale, one for each ion (1 for anions), from concentrations
    /// \[eq per litre of solution\]: multiply K_i with them and the ideal exchange law holds.
    ///
    /// Sodium, ion 1, must be among the ions; it may be absent from the solution.
    ///
    /// # Errors
    /// [`Error::Value`] if sodium is not among the ions, and as [`Self::coefficients`].
    pub fn exchange_factors<S: DualNum<Primitive = f64> + Copy>(
        &self,
        concentration_eq_per_l: &[S],
        temperature_k: S,
    ) -> Result<[S; MOST_IONS]> {
        self.one_for_each_ion("concentration_eq_per_l", concentration_eq_per_l.len())?;
        let one = S::from(1.0);
        let mut factors = [one; MOST_IONS];
        if matches!(self.law, Ready::Ideal) {
            return Ok(factors);
        }
        let dilution = molality::water_over_pure(&self.ions, concentration_eq_per_l);
        let water = dilution * molality::pure_water_kg_per_l(temperature_k);
        let mut molal = [S::from(0.0); MOST_IONS];
        for ((m, c), ion) in molal.iter_mut().zip(concentration_eq_per_l).zip(&self.ions) {
            *m = *c / water / f64::from(ion.valence());
        }
        let coefficients = self.coefficients(&molal[..self.ions.len()])?;
        for (factor, ion) in factors.iter_mut().zip(&self.ions) {
            if !ion.is_cation() || *ion == Ion::NA {
                continue;
            }
            let ln = coefficients.ln_against(*ion, Ion::NA)?;
            *factor = ln.exp() * if ion.valence() == 2 { dilution } else { one };
        }
        Ok(factors)
    }

    fn one_for_each_ion(&self, field: &str, given: usize) -> Result<()> {
        let ions = self.ions.len();
        if given == ions {
            Ok(())
        } else {
            Err(Error::value(field, format!("{given} values"), format!("needs one for each of {ions} ions")))
        }
    }
}

/// Ionic strength \[mol/kg\] of molalities \[mol/kg\], or in mol/L of concentrations in mol/L.
pub fn ionic_strength<S: DualNum<Primitive = f64> + Copy>(ions: &[Ion], molality: &[S]) -> S {
    ions.iter().zip(molality).fold(S::from(0.0), |sum, (ion, m)| sum + *m * (0.5 * f64::from(ion.valence().pow(2))))
}

/// The coefficients of one solution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coefficients<'a, S> {
    ions: &'a [Ion],
    ln_gamma: [S; MOST_IONS],
    osmotic: S,
    total: S,
}

impl<S: DualNum<Primitive = f64> + Copy> Coefficients<'_, S> {
    /// ln g of one ion, in the convention of the law (Pitzer's plain equations): meaningful in neutral combinations.
    ///
    /// # Errors
    /// [`Error::Value`] naming an ion that is not among those the law was made ready for.
    pub fn ln_gamma(&self, ion: Ion) -> Result<S> {
        let place = self.ions.iter().position(|known| *known == ion);
        place.map(|place| self.ln_gamma[place]).ok_or_else(|| {
            let known: Vec<_> = self.ions.iter().map(|ion| ion.symbol()).collect();
            Error::value("activity.ions", ion, format!("is not in this solution; it holds {}", known.join(", ")))
        })
    }

    /// ln of the mean molal activity coefficient of the salt of a cation and an anion.
    ///
    /// # Errors
    /// [`Error::Value`] if the two are not a cation and an anion of this solution.
    pub fn ln_mean(&self, cation: Ion, anion: Ion) -> Result<S> {
        if !cation.is_cation() || anion.is_cation() {
            return Err(Error::value("activity.salt", format!("{cation}, {anion}"), "needs a cation and an anion"));
        }
        // M_p X_q with p = |z_X|/k, q = z_M/k: the common divisor k cancels.
        let (p, q) = (f64::from(anion.valence()), f64::from(cation.valence()));
        Ok((self.ln_gamma(cation)? * p + self.ln_gamma(anion)? * q) / (p + q))
    }

    /// ln(g_i^z1/g_1^z): the neutral combination in which one ion takes the place of another of like sign. For a
    /// reference of one charge it is ln(g_i/g_1^z), the molal part of an exchange factor.
    ///
    /// # Errors
    /// [`Error::Value`] if either is not in this solution or their signs differ.
    pub fn ln_against(&self, ion: Ion, reference: Ion) -> Result<S> {
        if ion.is_cation() != reference.is_cation() {
            return Err(Error::value("activity.ions", format!("{ion}, {reference}"), "must have charges of one sign"));
        }
        let (z, z_reference) = (f64::from(ion.valence()), f64::from(reference.valence()));
        Ok(self.ln_gamma(ion)? * z_reference - self.ln_gamma(reference)? * z)
    }

    /// Osmotic coefficient, 1 at infinite dilution.
    pub fn osmotic(&self) -> S {
        self.osmotic
    }

    /// ln of the activity of water, 0 for pure water.
    pub fn ln_water_activity(&self) -> S {
        self.osmotic * self.total * (-1e-3 * MOLAR_MASS_WATER_G_PER_MOL)
    }
}

#[cfg(test)]
mod tests;
