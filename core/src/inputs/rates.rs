//! Rates that replace a correlation, where somebody measured them.

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::Result;

/// The packed-bed correlation that a film coefficient comes from; formulas and ranges in `laws/film.rs`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
#[names(field = "rates.film_correlation")]
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

/// How ions diffuse through the film.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[non_exhaustive]
#[names(field = "rates.film_diffusion")]
pub enum FilmDiffusion {
    /// All with one diffusivity, the mean of the feed's hardness ions weighted by equivalents.
    #[default]
    Mean,
    /// Each with its own, held together by electroneutrality; see `laws/film_coupling.rs`.
    ByIon,
}

/// Given rates; whatever is absent is correlated. A given rate holds in every step.
#[inputs(part = "rates")]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rates {
    /// Film rate kf_a \[1/s\], per volume of bed.
    #[field(words = "film rate", unit = "1/s", range = 1e-8..=1e8, sample = 0.1)]
    #[field(off = "by the correlation", source = "Correlated unless measured.", standing = "choice, no source")]
    pub film_per_s: Option<f64>,
    /// Correlation of the film, where no rate is given.
    #[field(words = "correlation of the film", default = "gnielinski", quiet)]
    #[field(source = "Its range holds the slow flow of a brine as well as service.", standing = "choice, no source")]
    #[field(choices(
        "gnielinski"(
            "V. Gnielinski (1981), Int. Chem. Eng. 21, 378; formula and range of Re read in the documentation of the library \
             ht, range of Sc from memory.",
            "published"
        ),
        "carberry"("J. J. Carberry (1960), AIChE J. 6, 460.", "from memory"),
        "wilson-geankoplis"(
            "E. J. Wilson, C. J. Geankoplis (1966), Ind. Eng. Chem. Fundam. 5, 9; ranges read, coefficients from memory and \
             read in a program text citing the paper.",
            "from memory"
        ),
        "wakao"(
            "N. Wakao, T. Funazkri (1978), Chem. Eng. Sci. 33, 1375; formula and range of Re read in the documentation of \
             the library ht, range of Sc from memory.",
            "published"
        )
    ))]
    pub film_correlation: FilmCorrelation,
    /// One diffusivity for all ions in the film, or each its own, held together by electroneutrality.
    #[field(words = "diffusion through the film", default = "mean", quiet)]
    #[field(
        source = "One diffusivity for all ions, the mean of the feed's hardness; the field that couples ions is left out.",
        standing = "choice, no source"
    )]
    #[field(choices(
        "mean",
        "by-ion"(
            "Nernst-Planck in the film: F. Helfferich (1962), Ion Exchange, ch. 6; M. Franzreb, W. H. Hoell, H. Sontheimer \
             (1993), React. Polym. 21, 117; T. Kataoka, H. Yoshida, Y. Ozasa (1977), Chem. Eng. Sci. 32, 1237.",
            "from memory"
        )
    ))]
    pub film_diffusion: FilmDiffusion,
    /// Bead rate kb \[1/s\].
    #[field(words = "bead rate", unit = "1/s", range = 1e-8..=1e8, sample = 0.006)]
    #[field(off = "from diffusivity and diameter of the bead", source = "Computed unless measured.")]
    #[field(standing = "choice, no source")]
    pub bead_per_s: Option<f64>,
    /// Interstitial dispersion D \[m2/s\].
    #[field(words = "axial dispersion", unit = "m2/s", range = 0.0..=1.0, sample = 2e-6)]
    #[field(off = "by S. F. Chung, C. Y. Wen (1968)", source = "Correlated unless measured.")]
    #[field(standing = "choice, no source")]
    pub dispersion_m2_per_s: Option<f64>,
}

impl Rates {
    /// Check every value.
    ///
    /// # Errors
    /// [`Error::Value`](crate::Error::Value) naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        self.check_ranges()
    }
}
