//! Uneven flow over the section of a bed.

use brinefront::inputs::maldistribution;
use brinefront::plan::tubes::tubes;

brinefront::fields_of_maldistribution! {
    brinefront_derive::python_class;
    /// Uneven flow through the section of a bed, as stream tubes that run its whole depth and do not mix.
    ///
    /// Either a log-normal `spread` over `tubes` of equal area, each with the mean flow of its share of the section; or two
    /// tubes, of which the fast one has `fast_flow_share` of the flow in `fast_area_share` of the area. What leaves is
    /// mixed by flow.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or neither or both of the two ways.
    ///
    /// Notes
    /// -----
    /// The tail of a log-normal is cut finer by more tubes: a run to a low limit, which the fastest tube decides, becomes
    /// shorter with them. Service and fast rinse go by the tubes' service flows, brine and slow rinse by their regenerant
    /// flows, which have the same distribution. A correlation of 1 takes n tubes, a smaller one n x n; the time of a run
    /// rises with them.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> bf.Maldistribution(fast_flow_share=0.5, fast_area_share=0.25).stream_tubes()
    /// [(0.75, 0.6666666666666666, 0.6666666666666666), (0.25, 2.0, 2.0)]
    class Maldistribution("maldistribution") of maldistribution::Maldistribution {
        /// Every stream tube: share of the area, and velocities over the mean of the section.
        ///
        /// Returns
        /// -------
        /// list of tuple of float
        ///     Share of the area, velocity in service and velocity of the regenerant of each tube, the velocities over the
        ///     mean.
        fn stream_tubes(&self) -> Vec<(f64, f64, f64)> {
            tubes(Some(&self.0)).iter().map(|tube| (tube.area, tube.service, tube.regenerant)).collect()
        }
    }
}
