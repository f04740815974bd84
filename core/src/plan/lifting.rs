//! From which liquid on a flow lifts the bed of a case.

use crate::laws::density;
use crate::laws::hydraulics::{Liquid, fluidisation};
use crate::plan::model::Model;

/// The onset is found to this share of the brine's normality.
const ONSET_ACCURACY: f64 = 1e-6;

impl Model {
    /// Normality above which a liquid that rises at a superficial velocity \[m/s\] lifts the bed \[eq/L\]: 0 if water does,
    /// none if not even the brine does.
    pub fn lifting_normality(&self, velocity_m_per_s: f64) -> Option<f64> {
        let lifts = |liquid: Liquid<f64>| fluidisation::lifting(velocity_m_per_s, self.beads(), liquid).lifts;
        let temperature_k = self.waters.temperature_k;
        let salt = self.waters.salt;
        let (mut below, mut above) = (0.0, self.waters.salt_normality);
        if lifts(Liquid::water(temperature_k)) {
            return Some(0.0);
        }
        let of = |normality: f64| {
            let weight = density::brine_weight_fraction(salt, normality, temperature_k).unwrap_or(0.0);
            Liquid::brine(salt, weight, temperature_k)
        };
        if !lifts(of(above)) {
            return None;
        }
        while above - below > ONSET_ACCURACY * self.waters.salt_normality {
            let middle = 0.5 * (below + above);
            if lifts(of(middle)) {
                above = middle;
            } else {
                below = middle;
            }
        }
        Some(above)
    }
}
