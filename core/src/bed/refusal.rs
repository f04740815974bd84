//! Why a trial step cannot be accepted.

/// Why a trial step cannot be accepted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// A balance would have turned negative.
    Negative {
        /// Where.
        cell: usize,
    },
    /// The nonlinear iteration did not converge, or a law does not hold for what it came to.
    Nonlinear {
        /// Where.
        cell: usize,
    },
}
