//! What the benchmarks run: the softener of the tests, both ways round, on one core.

use brinefront::Case;
use brinefront::cycle::unwatched;
use brinefront::inputs::regeneration::Direction;
use brinefront::report::CycleReport;
use brinefront::study;
use brinefront_tests::cases::softener;

/// Dose of the comparison \[g/L\].
pub const DOSE_G_PER_L: f64 = 96.0;

/// The two strategies: sodium, magnesium and calcium on 100 cells, to 17 mg/L as CaCO3.
pub fn strategies() -> [Case; 2] {
    [Direction::CounterCurrent, Direction::CoCurrent].map(|direction| softener(direction, DOSE_G_PER_L))
}

/// Both to their cyclic steady state, one after the other.
///
/// # Errors
/// As [`study::cycle`].
pub fn compare_one_after_the_other(cases: &[Case; 2]) -> brinefront::Result<[CycleReport; 2]> {
    Ok([study::cycle(&cases[0], &unwatched)?, study::cycle(&cases[1], &unwatched)?])
}
