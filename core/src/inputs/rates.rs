//! Rates that replace a correlation, where somebody measured them.

use serde::{Deserialize, Serialize};

use crate::error::Result;
use crate::inputs::check::within_if;

/// The packed-bed correlation that a film coefficient comes from; formulas and ranges in [`crate::laws::film`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum FilmCorrelation {
    /// V. Gnielinski (1981), from the flow past a single sphere.
    #[default]
    Gnielinski,
    /// J. J. Carberry (1960), boundary layers renewed at every bead.
    Carberry,
    /// E. J. Wilson and C. J. Geankoplis (1966), liquids.
    WilsonGeankoplis,
    /// N. Wakao and T. Funazkri (1978), gases and liquids; the thickest film of the four.
    Wakao,
}

impl FilmCorrelation {
    /// The name, as in a case file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Gnielinski => "gnielinski",
            Self::Carberry => "carberry",
            Self::WilsonGeankoplis => "wilson-geankoplis",
            Self::Wakao => "wakao",
        }
    }
}

/// How ions diffuse through the film.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
pub enum FilmDiffusion {
    /// All with one diffusivity, the mean of the feed's hardness ions weighted by equivalents.
    #[default]
    Mean,
    /// Each with its own, held together by electroneutrality; see [`crate::laws::film_coupling`].
    ByIon,
}

impl FilmDiffusion {
    /// The name, as in a case file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Mean => "mean",
            Self::ByIon => "by-ion",
        }
    }
}

/// Given rates; whatever is absent is correlated. A given rate holds in every step.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Rates {
    /// Film rate kf_a \[1/s\], per volume of bed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub film_per_s: Option<f64>,
    /// Correlation of the film, where no rate is given.
    #[serde(skip_serializing_if = "is_default")]
    pub film_correlation: FilmCorrelation,
    /// Whether each ion has its own diffusivity in the film.
    #[serde(skip_serializing_if = "is_default")]
    pub film_diffusion: FilmDiffusion,
    /// Bead rate kb \[1/s\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bead_per_s: Option<f64>,
    /// Interstitial dispersion D \[m2/s\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dispersion_m2_per_s: Option<f64>,
}

fn is_default<T: Default + PartialEq>(choice: &T) -> bool {
    *choice == T::default()
}

impl Rates {
    /// Check every value.
    ///
    /// # Errors
    /// [`crate::Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        within_if("rates.film_per_s", self.film_per_s, 1e-8, 1e8, "1/s")?;
        within_if("rates.bead_per_s", self.bead_per_s, 1e-8, 1e8, "1/s")?;
        within_if("rates.dispersion_m2_per_s", self.dispersion_m2_per_s, 0.0, 1.0, "m2/s")
    }
}
