//! Regenerant salts as data: one arm each.

use brinefront_derive::Names;
use serde::{Deserialize, Serialize};

use crate::inputs::ion::Ion;
use crate::units::constants::{MOLAR_MASS_KCL_G_PER_MOL, MOLAR_MASS_NACL_G_PER_MOL};

/// A salt that a resin is regenerated with; its anion is chloride, and one mole is one equivalent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[names(field = "regeneration.salt", before = "not a salt known here; known:")]
#[non_exhaustive]
pub enum Salt {
    /// Sodium chloride.
    #[default]
    #[serde(rename = "NaCl")]
    SodiumChloride,
    /// Potassium chloride.
    #[serde(rename = "KCl")]
    PotassiumChloride,
}

impl Salt {
    /// The cation that takes the hardness' place.
    pub fn cation(self) -> Ion {
        match self {
            Self::SodiumChloride => Ion::NA,
            Self::PotassiumChloride => Ion::K,
        }
    }

    /// Mass of one equivalent \[g/eq\].
    pub fn g_per_eq(self) -> f64 {
        match self {
            Self::SodiumChloride => MOLAR_MASS_NACL_G_PER_MOL,
            Self::PotassiumChloride => MOLAR_MASS_KCL_G_PER_MOL,
        }
    }

    /// Strength of the saturated brine \[percent by weight\] at a temperature \[C\].
    ///
    /// NaCl: 26.218 + 0.0072 t + 0.000106 t^2, 0 to 800 C (R. W. Potter, S. Babcock, D. L. Brown 1977, J. Res. USGS).
    /// KCl: 21.865 + 0.19477 t - 0.00064018 t^2, 0 to 45 C, fitted within 0.005 % of M. Steiger et al. (2008), Constr. Build.
    /// Mater. 22, 1841, as the library `aquasol` 1.8 computes it. The equation that Potter's group gives for KCl holds only
    /// from 100 C up.
    pub fn saturation_percent(self, temperature_c: f64) -> f64 {
        match self {
            Self::SodiumChloride => 26.218 + temperature_c * (0.0072 + temperature_c * 0.000_106),
            Self::PotassiumChloride => 21.865 + temperature_c * (0.194_77 - temperature_c * 0.000_640_18),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::convert::eq_per_g_to_gr_per_lb;

    #[test]
    fn a_formula_finds_its_salt_and_another_is_refused() {
        for salt in Salt::ALL {
            assert_eq!(salt.name().parse(), Ok(*salt));
        }
        let refused = "CaCl2".parse::<Salt>().err().map(|error| error.to_string()).unwrap_or_default();
        assert!(refused.contains("NaCl, KCl"), "{refused}");
    }

    /// 7000 gr/lb x 50.043 g CaCO3/eq over 58.443 and 74.551 g/eq (derived); a trade text prints 4695 for KCl (seen),
    /// a rounding of atomic weights. The mass ratio of the two, 1.2756, is derived too.
    #[test]
    fn the_stoichiometric_limits_of_both_salts() {
        let limit = |salt: Salt| eq_per_g_to_gr_per_lb(1.0 / salt.g_per_eq());
        assert!((limit(Salt::SodiumChloride) - 5994.0).abs() < 0.5);
        assert!((limit(Salt::PotassiumChloride) - 4699.0).abs() < 0.5);
        assert!((limit(Salt::PotassiumChloride) / 4695.0 - 1.0).abs() < 1e-3);
        assert!((Salt::PotassiumChloride.g_per_eq() / Salt::SodiumChloride.g_per_eq() - 1.2756).abs() < 5e-5);
    }

    /// mol per kg of water at 10, 20, 25, 30 and 40 C. NaCl: CRC Handbook, 98th ed. (2017), seen. KCl: Steiger et al.
    /// (2008) by `aquasol` 1.8, to which the polynomial was fitted.
    #[test]
    fn saturation_agrees_with_tables() {
        let temperatures_c = [10.0, 20.0, 25.0, 30.0, 40.0];
        let tables = [
            (Salt::SodiumChloride, [6.110, 6.136, 6.153, 6.174, 6.222], 1e-3),
            (Salt::PotassiumChloride, [4.177, 4.593, 4.796, 4.995, 5.381], 3e-4),
        ];
        for (salt, molalities, relative) in tables {
            for (t_c, molality) in temperatures_c.into_iter().zip(molalities) {
                let grams = molality * salt.g_per_eq();
                let percent = 100.0 * grams / (1000.0 + grams);
                let ratio = salt.saturation_percent(t_c) / percent;
                assert!((ratio - 1.0).abs() < relative, "{} at {t_c} C: {ratio}", salt.name());
            }
        }
    }

    /// KCl in weight percent at 10, 20, 25, 30 and 40 C, CRC Handbook (from memory): up to 0.6 % below Steiger.
    #[test]
    fn potassium_chloride_saturation_lies_near_an_older_table() {
        for (t_c, percent) in [(10.0, 23.61), (20.0, 25.39), (25.0, 26.22), (30.0, 27.04), (40.0, 28.59)] {
            let ratio = Salt::PotassiumChloride.saturation_percent(t_c) / percent;
            assert!((ratio - 1.0).abs() < 6.5e-3, "{t_c} C: {ratio}");
        }
    }
}
