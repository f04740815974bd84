//! Rates that replace a correlation.

use brinefront::inputs::rates;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::from_name;
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// Given rates; what is None is correlated. A given rate holds in every step.
///
/// Parameters
/// ----------
/// film_per_s : float or Quantity, optional
///     Film rate per volume of bed [1/s], 1e-8 to 1e8; by `film_correlation` if None.
/// bead_per_s : float or Quantity, optional
///     Bead rate [1/s], 1e-8 to 1e8; from diffusivity and diameter of the bead if None (Glueckauf 1955).
/// dispersion_m2_per_s : float or Quantity, optional
///     Interstitial dispersion along the bed [m2/s], 0 to 1; by Chung and Wen (1968) if None.
/// film_correlation : {"gnielinski", "carberry", "wilson-geankoplis", "wakao"}, default "gnielinski"
///     Where the film rate comes from. The default's range holds the slow flow of a brine as well as service.
/// film_diffusion : {"mean", "by-ion"}, default "mean"
///     One diffusivity for all ions in the film, the mean of the feed's hardness; or each its own, held together by
///     electroneutrality (Nernst and Planck), so that loading and regeneration differ in rate.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, or a name that is not there.
///
/// References
/// ----------
/// * Bead: E. Glueckauf (1955), Trans. Faraday Soc. 51, 1540.
/// * Dispersion: S. F. Chung, C. Y. Wen (1968), AIChE J. 14, 857, second-hand in three unlike forms.
/// * Film: V. Gnielinski (1981), Int. Chem. Eng. 21, 378; J. J. Carberry (1960), AIChE J. 6, 460, from memory; E. J.
///   Wilson, C. J. Geankoplis (1966), Ind. Eng. Chem. Fundam. 5, 9; N. Wakao, T. Funazkri (1978), Chem. Eng. Sci. 33,
///   1375.
/// * By ion: F. Helfferich (1962), Ion Exchange, ch. 6, from memory.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> bf.Rates(dispersion_m2_per_s=0.0)
/// Rates(dispersion_m2_per_s=0.0)
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Rates(pub rates::Rates);

#[pymethods]
impl Rates {
    #[new]
    #[pyo3(signature = (*, film_per_s = None, bead_per_s = None, dispersion_m2_per_s = None, film_correlation = "gnielinski",
        film_diffusion = "mean"))]
    fn new(
        film_per_s: Option<Number<'_>>,
        bead_per_s: Option<Number<'_>>,
        dispersion_m2_per_s: Option<Number<'_>>,
        film_correlation: &str,
        film_diffusion: &str,
    ) -> PyResult<Self> {
        numbers!("rates": film_per_s, bead_per_s, dispersion_m2_per_s);
        let known = "must be gnielinski, carberry, wilson-geankoplis or wakao";
        let film_correlation = from_name("rates.film_correlation", film_correlation, known)?;
        let film_diffusion = from_name("rates.film_diffusion", film_diffusion, "must be mean or by-ion")?;
        Self::checked(rates::Rates { film_per_s, film_correlation, film_diffusion, bead_per_s, dispersion_m2_per_s })
    }

    /// Film rate per volume of bed [1/s].
    #[getter]
    fn film_per_s(&self) -> Option<f64> {
        self.0.film_per_s
    }

    /// Bead rate [1/s].
    #[getter]
    fn bead_per_s(&self) -> Option<f64> {
        self.0.bead_per_s
    }

    /// Interstitial dispersion [m2/s].
    #[getter]
    fn dispersion_m2_per_s(&self) -> Option<f64> {
        self.0.dispersion_m2_per_s
    }

    /// Correlation that the film rate comes from where none is given.
    #[getter]
    fn film_correlation(&self) -> &'static str {
        self.0.film_correlation.name()
    }

    /// Whether ions diffuse through the film with one diffusivity ("mean") or each with its own ("by-ion").
    #[getter]
    fn film_diffusion(&self) -> &'static str {
        self.0.film_diffusion.name()
    }

    /// Read rates from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Rates
    ///     As it was.
    ///
    /// Raises
    /// ------
    /// CaseFileError
    ///     For a text that cannot be understood.
    /// InputError
    ///     For a value out of limits.
    #[classmethod]
    fn from_json(_class: &Bound<'_, PyType>, text: &str) -> PyResult<Self> {
        Self::checked(text::from_json(text, "rates")?)
    }

    /// The rates as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.0)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    pub(super) fn __repr__(&self) -> String {
        Repr::of("Rates")
            .number_if("film_per_s", self.0.film_per_s)
            .number_if("bead_per_s", self.0.bead_per_s)
            .number_if("dispersion_m2_per_s", self.0.dispersion_m2_per_s)
            .word_unless("film_correlation", self.film_correlation(), rates::FilmCorrelation::default().name())
            .word_unless("film_diffusion", self.film_diffusion(), rates::FilmDiffusion::default().name())
            .end()
    }
}

impl Rates {
    fn checked(rates: rates::Rates) -> PyResult<Self> {
        rates.validate().map_err(to_python)?;
        Ok(Self(rates))
    }
}
