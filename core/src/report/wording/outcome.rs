//! How the search for a steady cycle ended, in a sentence.

use std::fmt::{Display, Formatter, Result};

use crate::cycle::outcome::SearchEnd;

impl Display for SearchEnd {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        match *self {
            Self::NeverSoft { cycles } => write!(
                f,
                "never soft: the effluent was above the limit after one void volume of service (cycle {cycles}); no steady cycle was sought"
            ),
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
