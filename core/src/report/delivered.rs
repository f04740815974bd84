//! Is what a run delivers soft water?
//!
//! Where the case has a leakage limit, the run ends before it is none. A metered run without one goes on whatever leaves:
//! its mean leakage is held against what the site accepts, and where nothing is known of that against a share of the
//! feed's hardness.

use crate::plan::cycle_plan::CyclePlan;
use crate::report::note::Note;
use crate::units::convert::eq_per_l_to_mg_per_l_caco3;

/// Water that has lost less than this share of the feed's hardness is no soft water, where no leakage is given that it
/// could be held against (choice, no source).
const LEAST_REMOVED: f64 = 0.5;

/// Leakages within this share of one that is accepted are accepted: they are sought up to it.
const SAME: f64 = 1e-6;

/// A note on a run of a leakage, as its mean \[mg/L as CaCO3\], that delivers no soft water; none on any other.
pub(super) fn not_soft(plan: &CyclePlan, leakage_mean_mg_per_l_caco3: f64) -> Option<Note> {
    if plan.service.limit_eq_per_l.is_some() {
        return None;
    }
    let accepted = plan.site.as_ref().and_then(|site| site.accepted_leakage_mg_per_l_caco3);
    let most_mg_per_l_caco3 =
        accepted.unwrap_or_else(|| (1.0 - LEAST_REMOVED) * eq_per_l_to_mg_per_l_caco3(plan.model.waters.feed_hardness));
    (leakage_mean_mg_per_l_caco3 > most_mg_per_l_caco3 * (1.0 + SAME)).then_some(Note::NotSoft {
        leakage_mean_mg_per_l_caco3,
        most_mg_per_l_caco3,
        accepted_by_site: accepted.is_some(),
    })
}
