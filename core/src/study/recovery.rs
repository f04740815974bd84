//! A bed whose effluent is above the limit as service begins: is it soft nowhere, or soft after shorter runs?

use crate::cycle::Watch;
use crate::cycle::history::Settling;
use crate::cycle::outcome::SearchEnd;
use crate::cycle::steady::Settled;
use crate::error::Result;
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::report::comparison::DOSES_G_PER_L;
use crate::study::seeker::Seeker;

/// How much is asked about a bed that is above its limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum AboveLimit {
    /// Nothing.
    Leave,
    /// Its runs.
    Runs,
    /// Its runs, and the dose that would make it soft.
    RunsAndDose,
}

/// What a search on the grid of a case came to, and what finding that out cost: where it ended above the limit, with the
/// longest metered run that settles below it. All else is handed back as it was.
///
/// # Errors
/// [`crate::Error::Interrupted`] from the watcher.
pub(super) fn settling(
    case: &Case,
    found: &Settled,
    asked: AboveLimit,
    watch: &Watch<'_>,
) -> Result<(Settling, Effort)> {
    let as_found = found.settling.clone();
    let SearchEnd::NeverSoft { cycles, .. } = as_found.search_end else {
        return Ok((as_found, Effort::default()));
    };
    if asked == AboveLimit::Leave {
        return Ok((as_found, Effort::default()));
    }
    let case = Case { cells: found.plan.model.cells().into(), ..case.clone() };
    let mut seeker = Seeker::new(&case, None, watch);
    let given = case.regeneration.dose_g_per_l;
    let run = seeker.longest_run(given, None, false)?;
    // A recipe that gives its brine by volume does not follow the dose.
    let follows = case.recipe.as_ref().is_none_or(|recipe| recipe.follows_dose());
    let soft_from_dose_g_per_l = if asked == AboveLimit::RunsAndDose && follows && given < DOSES_G_PER_L.1 {
        seeker.least_dose(None, (given, DOSES_G_PER_L.1))?.map(|edge| edge.value)
    } else {
        None
    };
    let search_end = match run {
        None => SearchEnd::NeverSoft { cycles, soft_from_dose_g_per_l },
        Some(edge) => SearchEnd::CannotRecover { cycles, longest_metered_bv: edge.value, soft_from_dose_g_per_l },
    };
    Ok((Settling { search_end, ..as_found }, seeker.effort))
}
