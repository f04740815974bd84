//! What the benchmarks run: the softener of the tests, both ways round, and what is made from it.

use brinefront::Case;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::inputs::resin::Selectivity;
use brinefront::report::CycleReport;
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
/// As `Case::cycle`.
pub fn compare_one_after_the_other(cases: &[Case; 2]) -> brinefront::Result<[CycleReport; 2]> {
    Ok([cases[0].cycle()?, cases[1].cycle()?])
}

/// Cations beyond sodium, magnesium and calcium: symbol, mg/L in a salty well, coefficient against sodium.
///
/// Invented; the coefficients stand in the order of affinity that textbooks give for strong-acid resins (from memory).
const MORE_CATIONS: [(&str, f64, f64); 5] =
    [("K", 12.0, 1.45), ("NH4", 3.0, 1.28), ("Sr", 4.0, 3.25), ("Ba", 1.0, 5.8), ("Mn", 1.0, 2.1)];

/// The counter-current softener on a water of 3 to 8 cations, run to 120 BV on its meter.
///
/// Service ends on a volume, so that the physical job does not depend on cells, ions or leakage.
///
/// # Errors
/// `Error::Value` for a symbol that is no ion.
pub fn metered(cells: usize, cations: usize) -> brinefront::Result<Case> {
    let mut case = softener(Direction::CounterCurrent, DOSE_G_PER_L);
    case.cells = cells.into();
    case.service.limit_mg_per_l_caco3 = None;
    case.service.volume_bv = Some(120.0);
    for (symbol, mg_per_l, selectivity) in MORE_CATIONS.into_iter().take(cations.saturating_sub(3)) {
        let ion = Ion::parse("ion", symbol)?;
        case.water.ions.insert(ion, mg_per_l);
        if let Selectivity::Given(coefficients) = &mut case.resin.selectivity {
            coefficients.insert(ion, selectivity);
        }
    }
    Ok(case)
}
