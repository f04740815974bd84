//! Names of what is an enumeration elsewhere, as tables and figures have them.

use std::fmt::{Display, Formatter};
use std::str::FromStr;

use serde::{Serialize, Serializer};

use crate::bed::hydraulics::BedState;
use crate::cycle::outcome::Outcome;
use crate::error::{Error, Limits, Result};
use crate::laws::hydraulics::DecidingNumber;
use crate::plan::resolved_steps::StepWater;
use crate::plan::steps::StopReason;
use crate::report::design_rule::Rule;
use crate::report::flow::{FlowDirection, Front, Way};
use crate::report::note::Weight;
use crate::report::site_target::Target;

/// Words of an enumeration, by which it is displayed and serialised; with `read as` what an error names, it is read back
/// by them too.
macro_rules! words {
    ($of:ty, read as $field:literal { $($variant:ident => $words:literal),+ $(,)? }) => {
        words!($of { $($variant => $words),+ });

        impl $of {
            /// Every one of them.
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];

            /// Their names in words, in the same order.
            pub const NAMES: &'static [&'static str] = &[$($words),+];
        }

        /// By its words; the error has those there are.
        impl FromStr for $of {
            type Err = Error;

            fn from_str(words: &str) -> Result<Self> {
                match words {
                    $($words => Ok(Self::$variant),)+
                    _ => Err(Error::value($field, words, Limits::OneOf { names: Self::NAMES, before: None })),
                }
            }
        }
    };
    ($of:ty { $($variant:ident => $words:literal),+ $(,)? }) => {
        impl $of {
            /// The name in words.
            pub fn words(self) -> &'static str {
                match self {
                    $(Self::$variant => $words),+
                }
            }
        }

        impl Display for $of {
            fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
                f.pad(self.words())
            }
        }

        impl Serialize for $of {
            fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
                serializer.serialize_str(self.words())
            }
        }
    };
}

words!(StopReason, read as "stop_reason" {
    Throughput => "throughput",
    Time => "time",
    LeakageLimit => "leakage limit",
    NeverSoft => "never soft",
    Rinsed => "rinsed",
});

words!(Outcome, read as "outcome" {
    NeverSoft => "never soft",
    CannotRecover => "cannot recover",
    Settled => "settled",
    Unsettled => "unsettled",
    FromNewResin => "from new resin",
});

words!(BedState {
    AtRest => "at rest",
    Settled => "settled",
    HeldDown => "held down",
    Expanded => "expanded",
    CarriedAway => "carried away",
});

words!(FlowDirection {
    NoFlow => "no flow",
    WithService => "with service",
    AgainstService => "against service",
    Upward => "upward",
});

words!(Way {
    None => "none",
    Up => "up",
    Down => "down",
});

words!(Front {
    None => "none",
    Stable => "stable",
    Fingers => "fingers",
});

words!(StepWater {
    Feed => "feed",
    Soft => "soft",
    Brine => "brine",
});

words!(DecidingNumber {
    ParticleReynolds => "Re/(1 - eps)",
    VesselOverBeadDiameter => "vessel diameter over bead diameter",
    ExpandedVoidFraction => "an expanded void fraction",
    OnsetReynolds => "Re",
    TerminalReynolds => "the terminal Re",
});

words!(Rule {
    ServiceVelocity => "service velocity",
    SpecificFlow => "service flow",
    BedDepth => "bed depth",
    HeadLoss => "head loss of the bed",
    BackwashRate => "backwash rate",
    BackwashExpansion => "backwash expansion",
    SaltDose => "salt dose",
    BrineStrength => "brine strength",
    BrineFlow => "brine flow",
    BrineTime => "brine time",
    SlowRinse => "slow rinse",
    FastRinseFlow => "fast rinse flow",
    FastRinse => "fast rinse",
    RegenerationsADay => "regenerations a day",
});

words!(Target {
    SaltBudget => "salt budget",
    AcceptedLeakage => "accepted leakage",
    Use => "water use",
});

words!(Weight {
    Acts => "acts",
    Know => "know",
    Assumed => "assumed",
});
