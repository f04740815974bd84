//! A bead as one resistance behind the film, the linear driving force ([`crate::laws::bead`]):
//!
//! ```text
//! dq/dt = (q* - q)/Rb,    over a step q = q^ + kappa (q* - q^),    kappa = theta/(theta + Rb)
//! ```

use crate::bed::cell_block::Place;
use crate::bed::exchange::condensed::Condensed;
use crate::bed::isotherm::Isotherm;
use crate::bed::time_step::TimeStep;
use crate::numerics::lanes::{LANES, Lanes};

/// Lumped beads behind a film.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lumped {
    /// Film resistance \[s\].
    pub film_s: f64,
    /// Bead resistance \[s\].
    pub bead_s: f64,
    pub void_fraction: f64,
}

impl Lumped {
    /// A block whose numbers are neutral; [`Lumped::condense`] writes the others.
    pub fn neutral<const N: usize>(&self, isotherm: &Isotherm<N>) -> Condensed<N> {
        let zeros = [Lanes::default(); N];
        Condensed {
            weight: Lanes::default(),
            film_s: Lanes::all(self.film_s),
            film: Lanes::default(),
            kappa: Lanes::default(),
            drive: zeros,
            rest: zeros,
            drive_may_be_negative: false,
            explicit_drive: zeros,
            kept: Lanes::all(1.0),
            held: Lanes::all(self.void_fraction),
            released: zeros,
            selectivity: isotherm.selectivity.map(Lanes::all),
        }
    }

    /// Neutral numbers again, before stores change them.
    #[inline(always)]
    pub fn reset<const N: usize>(&self, out: &mut Condensed<N>) {
        let zeros = [Lanes::default(); N];
        out.film_s = Lanes::all(self.film_s);
        out.held = Lanes::all(self.void_fraction);
        out.drive_may_be_negative = false;
        (out.explicit_drive, out.released) = (zeros, zeros);
        out.kept = Lanes::all(1.0);
    }

    #[inline(always)]
    pub fn condense<const N: usize>(&self, step: &TimeStep<N>, place: Place, out: &mut Condensed<N>) {
        let of_weight = |weight: f64| (self.film_s / weight, 1.0 / (1.0 + self.bead_s / weight));
        if step.blended {
            out.weight = step.exchange_weight.lanes(0, place.start);
            for k in 0..LANES {
                (out.film.0[k], out.kappa.0[k]) = of_weight(out.weight.0[k]);
            }
        } else {
            let theta = step.weights.theta;
            let (film, kappa) = of_weight(theta);
            (out.weight, out.film, out.kappa) = (Lanes::all(theta), Lanes::all(film), Lanes::all(kappa));
        }
        for i in 0..N {
            let explicit = step.loading.lanes(i, place.start);
            out.drive[i] = explicit;
            out.rest[i] = explicit - out.kappa * explicit;
        }
    }
}
