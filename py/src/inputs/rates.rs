//! Rates that replace a correlation.

use brinefront::inputs::rates;

brinefront::fields_of_rates! {
    brinefront_derive::python_class;
    /// Given rates; what is None is correlated. A given rate holds in every step.
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
    class Rates("rates") of rates::Rates {}
}
