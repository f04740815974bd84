//! Salt as it is sold: how much of it is the salt, and what else dissolves with it.
//!
//! The dose is pure salt. Impurities come on top of it, gram by gram of pure salt as they are in the salt as sold, and go
//! with the brine as chlorides. Rock salt often holds calcium sulfate: the exchange sees the same calcium, but the waste
//! then has less chloride than is computed here.

use crate::error::{Error, Result};
use crate::inputs::check::within;
use crate::inputs::ion::Ion;
use crate::inputs::regeneration::Regeneration;
use crate::units::convert::percent_to_fraction;

/// Least pure salt in a salt as sold \[mass percent\]: below it is no longer a salt of one kind (a choice, no source).
const LEAST_PURE_PERCENT: f64 = 50.0;

impl Regeneration {
    /// Pure salt in the salt as sold, as a mass fraction, if anything was said of it.
    pub fn salt_purity_fraction(&self) -> Option<f64> {
        let said = self.salt_purity_percent.is_some() || !self.salt_impurities_percent.is_empty();
        said.then(|| percent_to_fraction(self.salt_purity_percent.unwrap_or_else(|| self.purest_percent())))
    }

    /// Equivalents of each impurity that come with a gram of pure salt \[eq/g\]; those of which there are none left out.
    pub fn impurities_eq_per_g(&self) -> impl Iterator<Item = (Ion, f64)> {
        let purity = self.salt_purity_fraction().unwrap_or(1.0);
        self.salt_impurities_percent
            .iter()
            .filter(|(_, percent)| **percent > 0.0)
            .map(move |(ion, percent)| (*ion, percent_to_fraction(*percent) / purity / ion.g_per_eq()))
    }

    /// What the impurities leave, as chlorides \[mass percent\].
    fn purest_percent(&self) -> f64 {
        let as_chloride = |ion: Ion, percent: f64| percent * (1.0 + Ion::CL.g_per_eq() / ion.g_per_eq());
        100.0 - self.salt_impurities_percent.iter().map(|(ion, percent)| as_chloride(*ion, *percent)).sum::<f64>()
    }

    /// Check purity and impurities.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub(super) fn validate_salt(&self) -> Result<()> {
        for (ion, percent) in &self.salt_impurities_percent {
            let field = format!("regeneration.salt_impurities_percent.{ion}");
            within(&field, *percent, 0.0, 20.0, "% by mass")?;
            if !ion.is_cation() || *ion == self.salt.cation() {
                let limits = format!("name cations other than that of {}; their chloride is counted", self.salt.name());
                return Err(Error::value(field, percent, limits));
            }
        }
        let field = "regeneration.salt_purity_percent";
        self.check_purity()?;
        let purest = self.purest_percent();
        if purest < LEAST_PURE_PERCENT {
            return Err(Error::value(
                "regeneration.salt_impurities_percent",
                format!("{:.1} % as chlorides", 100.0 - purest),
                format!("at most {} %", 100.0 - LEAST_PURE_PERCENT),
            ));
        }
        match self.salt_purity_percent {
            Some(percent) if percent > purest + 1e-9 => Err(Error::value(
                field,
                percent,
                format!("must be at most {purest:.3} %: the impurities, as chlorides, are the rest"),
            )),
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::regeneration::Direction;

    fn salt(purity: Option<f64>, impurities: &[(Ion, f64)]) -> Regeneration {
        Regeneration {
            salt_purity_percent: purity,
            salt_impurities_percent: impurities.iter().copied().collect(),
            ..Regeneration::new(Direction::CounterCurrent, 96.0)
        }
    }

    #[test]
    fn a_pure_salt_says_nothing_of_itself() {
        let pure = salt(None, &[]);
        assert_eq!(pure.salt_purity_fraction(), None);
        assert_eq!(pure.impurities_eq_per_g().count(), 0);
    }

    /// 1 % of calcium is 2.769 % of its chloride (40.078 and 110.98 g/mol), which leaves 97.231 g of salt; a gram of salt
    /// then brings 0.01/0.97231/20.039 eq: 3.00 % of its own 1/58.443 eq.
    #[test]
    fn a_per_cent_of_calcium_by_hand() {
        let rock = salt(None, &[(Ion::CA, 1.0)]);
        assert!((rock.salt_purity_fraction().unwrap() - 0.972_31).abs() < 1e-5);
        let (ion, eq_per_g) = rock.impurities_eq_per_g().next().unwrap();
        assert_eq!(ion, Ion::CA);
        assert!((eq_per_g * 58.443 / 0.029_995 - 1.0).abs() < 1e-3, "{}", eq_per_g * 58.443);
        // Insolubles take room in the bag, not in the brine.
        let dirty = salt(Some(90.0), &[(Ion::CA, 1.0)]);
        let more = dirty.impurities_eq_per_g().next().unwrap().1;
        assert!((more / eq_per_g * 0.9 / 0.972_31 - 1.0).abs() < 1e-5);
    }

    #[test]
    fn what_cannot_be_is_refused() {
        for (wrong, word) in [
            (salt(Some(99.0), &[(Ion::CA, 1.0)]), "at most 97.231"),
            (salt(Some(40.0), &[]), "salt_purity_percent"),
            (salt(None, &[(Ion::CA, -0.1)]), "salt_impurities_percent.Ca"),
            (salt(None, &[(Ion::NA, 0.1)]), "other than that of NaCl"),
            (salt(None, &[(Ion::CL, 0.1)]), "other than that of NaCl"),
            (salt(None, &[(Ion::CA, 15.0), (Ion::MG, 5.0)]), "as chlorides"),
        ] {
            let message = wrong.validate(20.0).unwrap_err().to_string();
            assert!(message.contains(word), "{message}");
        }
    }
}
