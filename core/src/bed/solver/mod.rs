//! Solvers of a prepared time step: the march along the flow, which looks ahead where dispersion rules, and Newton over all
//! cells at rest and as a check.
//!
//! Both take fluxes from [`crate::bed::transport`] and the exchange, condensed, from `bed::exchange`, and know nothing
//! else of either.

mod look_ahead;
mod march;
mod newton;
mod system;

pub(super) use crate::bed::solver::system::System;

use crate::bed::exchange::Exchange;
use crate::bed::refusal::Refusal;
use crate::bed::solver::look_ahead::LookAhead;
use crate::bed::solver::march::March;
use crate::bed::solver::newton::Newton;
use crate::bed::transport::Transport;
use crate::plan::scheme::Scheme;

/// A solver with its memory.
#[derive(Debug)]
pub(super) enum Solver<const N: usize> {
    March(Box<March<N>>),
    LookAhead(Box<LookAhead<N>>),
    Newton(Box<Newton<N>>),
}

impl<const N: usize> Solver<N> {
    /// The solver for a step's flow and dispersion.
    pub fn new(scheme: &Scheme, transport: &Transport<N>, exchange: &mut Exchange<N>, cells: usize) -> Self {
        // At rest there is no direction to look into.
        let at_rest = transport.velocity == 0.0 && transport.conductances.look_ahead();
        if scheme.newton || at_rest {
            Self::Newton(Box::new(Newton::new(exchange, cells)))
        } else if transport.conductances.look_ahead() {
            Self::LookAhead(Box::new(LookAhead::new(scheme, exchange, cells)))
        } else {
            Self::March(Box::new(March::new(scheme, exchange)))
        }
    }

    #[inline(always)]
    pub fn solve(&mut self, system: System<'_, N>) -> Result<(), Refusal> {
        match self {
            Self::March(march) => march.solve(system),
            Self::LookAhead(march) => march.solve(system),
            Self::Newton(newton) => newton.solve(system),
        }
    }
}
