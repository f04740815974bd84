//! A resin.

use brinefront::inputs::resin;

brinefront::fields_of_resin! {
    brinefront_derive::python_class;
    /// A strong-acid cation resin as packed in a bed; `Resin()` is a new gel resin with 8 % divinylbenzene.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, an anion among the coefficients, or a set or column that is not there.
    ///
    /// References
    /// ----------
    /// * G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714, second-hand.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> bf.Resin().capacity_eq_per_l
    /// 1.8
    /// >>> old = bf.Resin(2.0, {"Ca": 4.0, "Mg": 2.5}, age_years=5.0)
    /// >>> round(old.aged_capacity_eq_per_l, 3)
    /// 1.548
    class Resin("resin") of resin::Resin {
        /// Total capacity after its years in service [eq per litre of packed bed].
        #[getter]
        fn aged_capacity_eq_per_l(&self) -> f64 {
            self.0.aged_capacity_eq_per_l()
        }
    }
}
