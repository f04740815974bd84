//! The constants of the scheme: numbers that were chosen, not physics, in one place.
//!
//! `cargo bench -p brinefront-benches --bench scheme` moves each of them and shows which figures move with it.

/// What the column's scheme chooses. Shares and ratios are dimensionless.
///
/// Not here are numbers that only keep a division from overflowing; they stand where they are used.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scheme {
    /// A cell Peclet number u dz/(eps D) below this is dispersion's: there the march looks ahead, elsewhere it takes
    /// dispersion as a part of the flux out of a cell, lagged.
    ///
    /// Lagged dispersion loses accuracy below this number; above it both agree to four digits
    /// (`tests/rust/scheme/march_against_newton.rs`).
    pub march_peclet: f64,
    /// The same once a search for the steady cycle stood still: lagged at sharp fronts, dispersion can keep it
    /// from settling. Looking ahead costs 1.7 times as much a step.
    pub march_peclet_late: f64,
    /// Solve every step by Newton over all cells instead: slower, and a check of the march.
    pub newton: bool,
    /// Histories are kept this share away from zero, so that rounding does not carry them beyond. Far above the rounding
    /// of a sum along a bed, far below any error that is controlled.
    pub rounding: f64,
    /// The liquid that limited face values are made from is extrapolated in time, by the less the more of it turns over: by
    /// 1/(1 + this times the sum of all ions' changes over the normality) of what a line promises.
    ///
    /// At fronts so sharp that a step replaces a good part of a cell's liquid a line is mostly wrong. What two sweeps leave of
    /// that goes into the next step and grows: beds with such fronts wandered by 1e-5 to 1e-3 of capacity from cycle to
    /// cycle. With 4 of it one of 150 still does; with 8 of it the product's normality was 7e-4 off on the coarsest grids
    /// instead of 4e-4.
    pub lagged_damping: f64,
    /// Each ion of it goes to between these multiples of itself: wide enough for a front that moves a cell in a step, narrow
    /// enough for ratios between neighbours to stay positive. So does the loading of shells.
    pub lagged_range: [f64; 2],
    /// The same of the first guess of rho, which is only a guess.
    pub guess_range: [f64; 2],

    /// Corrections of scarce ions up to this share of the upwind flux are explicit, ...
    ///
    /// Explicit parts keep the sum over the ions exact, implicit ones each ion positive. With explicit parts alone the
    /// foot of a front ripples.
    pub moderate: f64,
    /// ... and beyond this share implicit, as a factor on the new concentration; in between gradually, since a search for
    /// the steady cycle would feel a switch.
    pub steep: f64,
    /// An ion of this share of the normality counts in the sum, one of less is scarce in proportion.
    ///
    /// Factors can put the sum wrong by about that much, which is less than the error allowed in a time step by default.
    pub counts: f64,
    /// Ions below this share of the normality are traces: what they miss of the sum does not count.
    pub trace: f64,
    /// Ions below this share of the normality are all but gone: an explicit part of their flux could exceed what is left
    /// of them.
    pub vanished: f64,
    /// Corrections that take this share of the upwind flux are dispersion's, which would carry it back: it is then taken
    /// from the next cell instead, ...
    pub backward: f64,
    /// ... from this share on all of it.
    pub all_backward: f64,
    /// Share of the next cell's liquid that dispersion against the flow may take in a step.
    pub most_backward: f64,

    /// A correction of ln rho below this needs no second look in the march: what its series leaves out is the cube.
    pub last_correction: f64,
    /// The same in a first sweep, which only prepares the limited face values of the second.
    pub last_correction_ahead: f64,
    /// Share of what a cell has of an ion, inflow and history together, that the explicit part of its outflow may take.
    pub most_explicit: f64,

    /// Iterations of Newton's method after which a smaller step is asked for.
    pub newton_most_iterations: usize,
    /// Limited face values and stores are renewed in this many of its iterations, then frozen: a limiter that goes on
    /// moving keeps it from converging.
    pub newton_renewed: usize,
    /// Largest residual of a cell's balance, relative to the capacity, that counts as converged.
    pub newton_converged: f64,
    /// A residual that no longer shrinks below this is rounding.
    pub newton_rounding: f64,
    /// A concentration falls to no less than this share of itself in one iteration.
    pub newton_least_share: f64,

    /// The implicit diffusivity of a face inside a bead is at least this share of the face's largest eigenvalue: below a
    /// half, looking again at the explicit rest would not converge.
    pub shells_least_share: f64,
    /// The same between the core and the layer of a bead, where the rest is carried on from the last steps: below three
    /// quarters it swings up, and at less than all of it searches for the steady cycle take longer.
    pub interdiffusion_least_share: f64,
    /// Squares of gradients inside a bead below this, relative to the capacity's, count as none.
    pub shells_flat: f64,

    /// Movement of a cell's liquid, over the root of its normality, beyond which its apparent selectivity is renewed
    /// \[(eq/L)^0.5\].
    ///
    /// Measured with `pitzer` at the default tolerance of 3e-4, on the softener of the tests and the built-in case, in both
    /// directions: against an evaluation in every cell and step, capacity and run length keep seven digits and half-run
    /// leakage moves by 2e-6 of itself, for 38 to 54 % of the evaluations; 5e-4 moves it by 5e-6, for 29 to 44 %.
    pub selectivity_renewed_beyond: f64,
    /// How near the profile inside a film of unlike ions must come, relative. It is lagged by a time step all the same.
    pub film_accuracy: f64,
}

impl Scheme {
    /// The scheme that every case is solved by.
    pub const DEFAULT: Self = Self {
        march_peclet: 4.0,
        march_peclet_late: 10.0,
        newton: false,
        rounding: 1e-9,
        lagged_damping: 6.0,
        lagged_range: [0.25, 4.0],
        guess_range: [0.5, 2.0],
        moderate: 0.1,
        steep: 0.4,
        counts: 1e-5,
        trace: 1e-7,
        vanished: 1e-20,
        backward: 0.8,
        all_backward: 1.1,
        most_backward: 0.25,
        last_correction: 1e-4,
        last_correction_ahead: 5e-3,
        most_explicit: 0.9,
        newton_most_iterations: 20,
        newton_renewed: 2,
        newton_converged: 1e-14,
        newton_rounding: 1e-11,
        newton_least_share: 0.05,
        shells_least_share: 0.55,
        interdiffusion_least_share: 1.0,
        shells_flat: 1e-24,
        selectivity_renewed_beyond: 1e-4,
        film_accuracy: 1e-3,
    };
}

impl Default for Scheme {
    fn default() -> Self {
        Self::DEFAULT
    }
}
