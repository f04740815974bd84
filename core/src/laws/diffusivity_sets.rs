//! Diffusivities inside beads at 25 C from published sets, and of a resin however they were given.
//!
//! A set ([`crate::inputs::diffusivity_sets`]) is a table by crosslinking and ion, or a rule:
//!
//! ```text
//! obstruction   D = D0 (w/(2 - w))^2
//! ```
//!
//! with D0 the diffusivity in water at infinite dilution and w the water in a bead as a share of its volume (J. S. Mackie,
//! P. Meares 1955, Proc. R. Soc. A 232, 498, second-hand; [`crate::laws::donnan`] has the factor). It knows of detours alone:
//! divalent ions, which fixed charges hold back, are measured more than ten times slower.

use crate::error::Result;
use crate::inputs::diffusivity_sets::{DiffusivitySet, Kind};
use crate::inputs::ion::Ion;
use crate::inputs::resin::{BeadDiffusivity, Resin};
use crate::laws::donnan;

impl DiffusivitySet {
    /// That of an ion at 25 C \[m2/s\], in the column of a degree of crosslinking \[percent divinylbenzene\], or by rule in
    /// beads of a share of water.
    ///
    /// # Errors
    /// [`crate::Error::Value`] as [`Self::column_for`] and [`Self::printed`].
    pub fn m2_per_s(&self, ion: Ion, crosslinking_percent: Option<f64>, water_fraction: f64) -> Result<f64> {
        match self.kind {
            Kind::Obstruction => Ok(ion.data().diffusivity_m2_per_s * donnan::obstruction(water_fraction)),
            Kind::SelfDiffusion | Kind::Inference => self.printed(self.column_for(crosslinking_percent)?, ion),
        }
    }
}

impl Resin {
    /// Diffusivity of an ion inside the bead at 25 C \[m2/s\]; of numbers by ion, the smallest where that ion has none.
    ///
    /// # Errors
    /// [`crate::Error::Value`] naming the ion that a set does not hold.
    pub fn bead_diffusivity_of(&self, ion: Ion) -> Result<f64> {
        match &self.bead_diffusivity_m2_per_s {
            BeadDiffusivity::One(d) => Ok(*d),
            BeadDiffusivity::ByIon(by_ion) => {
                let smallest = || by_ion.values().copied().fold(f64::INFINITY, f64::min);
                Ok(by_ion.get(&ion).copied().unwrap_or_else(smallest))
            }
            BeadDiffusivity::Named(name) => {
                DiffusivitySet::named(name)?.m2_per_s(ion, self.crosslinking_percent, self.bead_water_fraction)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::resin::Selectivity;
    use crate::laws::assert_close;

    fn naming(set: &str) -> Resin {
        Resin { bead_diffusivity_m2_per_s: BeadDiffusivity::Named(set.into()), ..Resin::default() }
    }

    #[test]
    fn a_resin_reads_the_column_of_its_crosslinking() {
        let mut resin = naming("BoydSoldano1953");
        for (percent, sodium) in [(None, 9.4e-11), (Some(8.0), 9.4e-11), (Some(4.0), 1.4e-10), (Some(16.0), 2.4e-11)] {
            resin.crosslinking_percent = percent;
            resin.validate().unwrap();
            assert_eq!(resin.bead_diffusivity_of(Ion::NA).unwrap(), sodium);
        }
        // It needs no set of selectivities beside it.
        resin.selectivity = Selectivity::Given([(Ion::CA, 4.0)].into());
        resin.validate().unwrap();
        resin.crosslinking_percent = Some(12.0);
        assert!(resin.validate().unwrap_err().to_string().starts_with("resin.crosslinking_percent = 12"));
        // A rule has no columns that a degree would pick.
        resin.bead_diffusivity_m2_per_s = naming("MackieMeares1955").bead_diffusivity_m2_per_s;
        assert!(resin.validate().unwrap_err().to_string().contains("leave it out"));
    }

    /// 1.334e-9 (0.59/1.41)^2 and 0.7918e-9 (0.5/1.5)^2 (algebra). Zinc (6.3e-12) and cadmium (8.4e-12) against the 1.2e-10
    /// that the rule gives ions of 0.7e-9 in water are what the set says of its bound.
    #[test]
    fn the_rule_is_its_closed_form() {
        let mut resin = naming("MackieMeares1955");
        resin.validate().unwrap();
        assert_close(resin.bead_diffusivity_of(Ion::NA).unwrap(), 2.335_724_56e-10, 1e-8);
        resin.bead_water_fraction = 0.5;
        assert_close(resin.bead_diffusivity_of(Ion::CA).unwrap(), 0.791_8e-9 / 9.0, 1e-14);
        // Every cation has one within the limits of a number that is given.
        for ion in Ion::all() {
            assert!((1e-14..=1e-8).contains(&resin.bead_diffusivity_of(ion).unwrap()), "{ion}");
        }
    }

    #[test]
    fn numbers_that_are_given_stay_what_they_are() {
        let mut resin = Resin::default();
        assert_eq!(resin.bead_diffusivity_of(Ion::CA).unwrap(), 2e-11);
        resin.bead_diffusivity_m2_per_s = BeadDiffusivity::ByIon([(Ion::NA, 1e-10), (Ion::CA, 1e-11)].into());
        assert_eq!(resin.bead_diffusivity_of(Ion::NA).unwrap(), 1e-10);
        assert_eq!(resin.bead_diffusivity_of(Ion::MG).unwrap(), 1e-11);
        assert!(naming("AboutTenthOfSodium").bead_diffusivity_of(Ion::FE).is_err());
    }
}
