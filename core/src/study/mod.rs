//! Study: more than one run. Calls for one case, comparisons, sweeps over a grid; threads live here and nowhere else.

mod accuracy;
pub mod ceiling;
pub mod compare;
mod hydraulics;
mod least_salt;
mod no_march;
#[cfg(feature = "threads")]
mod parallel;
mod recovery;
mod reports;
pub mod salt_account;
mod seeker;
mod seen;
#[cfg(any(test, not(feature = "threads")))]
mod serial;
mod single;
pub mod sweep;
mod threads;
mod through_time;
pub mod waves;

pub use crate::inputs::service::CUSTOMARY_LIMIT_MG_PER_L_CACO3;
pub use crate::report::comparison::{At, Comparison, LeakageBound, LeakageMeasure, LeakageTarget};
pub use ceiling::Ceiling;
pub use compare::{compare, compare_at_leakage, compare_at_leakage_watched, compare_watched};
pub use salt_account::SaltAccount;
pub use sweep::{Point, Sweep, sweep, sweep_each, sweep_each_watched, sweep_watched};
