//! What the bed holds at one time, along the flow.

use crate::bed::state::State;
use crate::numerics::rows::Rows;

/// What the bed holds at one time; cell 0 is where the liquid enters.
#[derive(Debug, Clone)]
pub(super) struct Profile<const N: usize> {
    /// Loading q \[eq/L of bed\].
    pub loading: Rows<N>,
    /// Liquid C \[eq/L\].
    pub liquid: Rows<N>,
    /// Sum of the liquid over the ions \[eq/L\].
    pub normality: Rows<1>,
    /// rho = q_1*/C_1* at the beads' surface.
    pub ratio: Rows<1>,
}

impl<const N: usize> Profile<N> {
    /// Of a bed that lies along the flow.
    pub fn of(state: &State<N>) -> Self {
        Self {
            loading: Rows::from_columns(&state.loading),
            liquid: Rows::from_columns(&state.liquid),
            normality: Rows::from_columns(&state.liquid.iter().map(|c| [c.iter().sum()]).collect::<Vec<_>>()),
            ratio: Rows::from_columns(state.ratio.as_chunks().0),
        }
    }

    /// Cells along the bed.
    #[inline(always)]
    pub fn cells(&self) -> usize {
        self.ratio.length()
    }
}
