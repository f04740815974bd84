//! How the search for a steady cycle ended, in a sentence.

use std::fmt::{Display, Formatter, Result};

use crate::cycle::outcome::SearchEnd;
use crate::cycle::steady::SETTLED;
use crate::inputs::display::DisplayUnits;
use crate::report::wording::amounts::{In, InWords};
use crate::report::wording::numbers::short_at_most;

impl Display for SearchEnd {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        f.write_str(&self.in_words(DisplayUnits::Metric))
    }
}

impl InWords for SearchEnd {
    fn in_words(&self, units: DisplayUnits) -> String {
        // The dose that would do, if one was found.
        let soft_from = |dose: Option<f64>| {
            dose.map_or_else(String::new, |dose| format!("; with {} it would", In::of(units).dose_in_words(dose, 0)))
        };
        match *self {
            Self::NeverSoft { cycles, soft_from_dose_g_per_l } => format!(
                "never soft: the effluent was above the limit after one void volume of service (cycle {cycles}){}",
                soft_from(soft_from_dose_g_per_l)
            ),
            Self::CannotRecover { cycles, longest_metered_bv, soft_from_dose_g_per_l } => format!(
                "cannot recover: after such a run the effluent is above the limit from the start (cycle {cycles}); metered at up to {} BV it settles below{}",
                short_at_most(longest_metered_bv),
                soft_from(soft_from_dose_g_per_l)
            ),
            Self::Settled { cycles, change } => {
                let held = if change > SETTLED {
                    ", which is what the time steps hold: a smaller tolerance holds more"
                } else {
                    ""
                };
                format!("settled in {cycles} cycles: the loading changes by {change:.1e} of capacity a cycle{held}")
            }
            Self::Unsettled { cycles, last, period_cycles: Some(period), .. } => format!(
                "oscillates: the bed comes back every {period} cycles, its loading changing by {last:.1e} of capacity a cycle (cycle {cycles}); figures are of one of them. With a smaller tolerance, a longer or shorter run, or a dose that is not at its edge, it may settle"
            ),
            Self::Unsettled { cycles, last, least, hunts, period_cycles: None } => {
                let (how, what) = if hunts {
                    ("goes up and down", "a smaller tolerance, or more cells")
                } else {
                    ("falls too slowly", "more cycles (most_cycles)")
                };
                format!(
                    "not settled after {cycles} cycles: the change of loading a cycle {how}, {last:.1e} of capacity in the last and {least:.1e} at its least; figures are of the last cycle. To settle it, allow {what}"
                )
            }
            Self::FromNewResin { cycle, change } => {
                format!("cycle {cycle} from new resin: the loading changed by {change:.1e} of capacity")
            }
        }
    }
}
