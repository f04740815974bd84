//! How the beads of a case mix where an upflow lifts them; [`crate::bed::solid_mixing`] mixes them.

use crate::inputs::bed::{Bed, LiftedMixing};

/// How lifted beads mix.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SolidMixing {
    /// As by diffusion, with this coefficient \[m2/s\].
    Dispersion(f64),
    /// Through and through.
    Full,
}

impl SolidMixing {
    /// As the bed has it; none in a bed that is held down.
    pub(super) fn of(bed: &Bed) -> Option<Self> {
        match (bed.lifted_mixing, bed.is_held_down()) {
            (LiftedMixing::None, _) | (_, true) => None,
            (LiftedMixing::Full, _) => Some(Self::Full),
            (LiftedMixing::Dispersion, _) => bed.solid_mixing_m2_per_s.map(Self::Dispersion),
        }
    }
}
