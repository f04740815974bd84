//! The equations of a time step as a solver gets them.

use crate::bed::exchange::Exchange;
use crate::bed::profile::Profile;
use crate::bed::time_step::TimeStep;
use crate::bed::transport::Transport;
use crate::numerics::effort::Effort;
use crate::plan::scheme::Scheme;

/// What a solver works on: the equations of a time step, and where the solution goes.
pub(in crate::bed) struct System<'a, const N: usize> {
    pub scheme: &'a Scheme,
    pub transport: &'a Transport<N>,
    pub exchange: &'a mut Exchange<N>,
    pub step: &'a mut TimeStep<N>,
    pub now: &'a Profile<N>,
    /// Loading, liquid and rho at the end of the step.
    pub trial: &'a mut Profile<N>,
    pub effort: &'a mut Effort,
    /// Does a space collect what leaves? It cannot give anything back.
    pub space_follows: bool,
}
