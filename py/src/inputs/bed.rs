//! A bed.

use brinefront::inputs::bed;

brinefront::fields_of_bed! {
    brinefront_derive::python_class;
    /// A bed of settled resin: two of `depth_m`, `diameter_m` and `volume_l`.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or one or three dimensions instead of two.
    ///
    /// Notes
    /// -----
    /// What enters goes through the space at its end, the bed, and the other; spaces keep what they hold through stops and
    /// reversals. A leakage limit, and a rinse that ends on what leaves, are armed once as much as void and spaces hold has
    /// been delivered. A backwash replaces what they hold, as it does the void.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> bed = bf.Bed(depth_m=0.9, diameter_m=0.4)
    /// >>> round(bed.volume_l, 1)
    /// 113.1
    class Bed("bed") of bed::Bed {}
}
