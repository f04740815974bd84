//! How the search for a steady cycle ended, in a sentence.

use std::fmt::{Display, Formatter, Result};

use crate::cycle::outcome::SearchEnd;

impl Display for SearchEnd {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        match *self {
            Self::NeverSoft { cycles, soft_from_dose_g_per_l } => {
                write!(
                    f,
                    "never soft: the effluent was above the limit after one void volume of service (cycle {cycles})"
                )?;
                soft_from(f, soft_from_dose_g_per_l)
            }
            Self::CannotRecover { cycles, longest_metered_bv, soft_from_dose_g_per_l } => {
                write!(
                    f,
                    "cannot recover: after such a run the effluent is above the limit from the start (cycle {cycles}); metered at up to {longest_metered_bv:.1} BV it settles below"
                )?;
                soft_from(f, soft_from_dose_g_per_l)
            }
            Self::Settled { cycles, change } => {
                write!(f, "settled in {cycles} cycles: the loading changes by {change:.1e} of capacity a cycle")
            }
            Self::Unsettled { cycles, last, least, hunts } => {
                let how = if hunts { "goes up and down" } else { "falls too slowly" };
                write!(
                    f,
                    "not settled after {cycles} cycles: the change of loading a cycle {how}, {last:.1e} of capacity in the last and {least:.1e} at its least; figures are of the last cycle"
                )
            }
            Self::FromNewResin { cycle, change } => {
                write!(f, "cycle {cycle} from new resin: the loading changed by {change:.1e} of capacity")
            }
        }
    }
}

/// The dose that would do, if one was found.
fn soft_from(f: &mut Formatter<'_>, dose_g_per_l: Option<f64>) -> Result {
    dose_g_per_l.map_or(Ok(()), |dose| write!(f, "; with {dose:.0} g of salt per litre of resin it would"))
}
