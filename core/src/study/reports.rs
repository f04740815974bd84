//! Reports put together, each with the case that it belongs to.

use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::report::CycleReport;
use crate::report::figures::GridErrors;
use crate::report::read::Cycle;

/// The report of a finished cycle; `effort` is what it cost with all that led to it, `longest_metered` the longest run
/// that settles, if this one does not.
pub(super) fn cycle(
    case: &Case,
    read: &Cycle<'_>,
    errors: GridErrors,
    longest_metered: Option<Box<CycleReport>>,
    effort: Effort,
) -> CycleReport {
    let (waste, gypsum) = (read.waste(), read.gypsum());
    let figures = read.figures(&waste, errors);
    CycleReport {
        case: case.clone(),
        design_rules: read.design_rules(&figures),
        site_targets: read.site_targets(&figures),
        figures,
        leakage: read.leakage(),
        waste_curve: read.waste_curve(),
        profiles: read.profiles(),
        steps: read.step_rows(),
        hydraulics: read.hydraulics(),
        notes: read.notes(gypsum.as_ref(), errors),
        gypsum,
        waste,
        longest_metered,
        effort,
    }
}
