//! The words that reports are written in: names of what is an enumeration elsewhere, and sentences.

use std::fmt::{Display, Formatter, Result};

use serde::{Serialize, Serializer};

use crate::bed::hydraulics::BedState;
use crate::cycle::outcome::Outcome;
use crate::plan::steps::StopReason;

impl StopReason {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Throughput => "throughput",
            Self::Time => "time",
            Self::LeakageLimit => "leakage limit",
            Self::NeverSoft => "never soft",
            Self::Rinsed => "rinsed",
        }
    }
}

impl Serialize for StopReason {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        serializer.serialize_str(self.words())
    }
}

impl BedState {
    /// The state in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::AtRest => "at rest",
            Self::Settled => "settled",
            Self::HeldDown => "held down",
            Self::Expanded => "expanded",
            Self::CarriedAway => "carried away",
        }
    }
}

impl Display for Outcome {
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

impl Serialize for Outcome {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
