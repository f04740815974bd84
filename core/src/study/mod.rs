//! Study: more than one run. Calls for one case, comparisons, sweeps over a grid; threads live here and nowhere else.

mod accuracy;
pub mod ceiling;
pub mod compare;
mod hydraulics;
mod parallel;
mod reports;
pub mod salt_account;
pub mod single;
pub mod sweep;
mod through_time;
pub mod waves;

pub use ceiling::efficiency_ceiling;
pub use compare::{At, Comparison, compare};
pub use hydraulics::hydraulics;
pub use salt_account::{SaltAccount, salt_account};
pub use single::{cycle, cycles, elute, load};
pub use sweep::{Point, Sweep, sweep, sweep_each};
pub use through_time::through_time;
pub use waves::waves;

use crate::error::{Error, Result};
use crate::inputs::case::Case;

/// Leakage that ends the runs of a case without a limit \[mg/L as CaCO3\]: one grain a gallon, where a household softener
/// counts as spent (common practice, no source).
pub const CUSTOMARY_LIMIT_MG_PER_L_CACO3: f64 = 17.0;

/// A pool for one call, dropped at its end: a process that forks later inherits no threads.
fn pool(threads: Option<usize>) -> Result<rayon::ThreadPool> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads.unwrap_or(0))
        .build()
        .map_err(|e| Error::value("threads", threads.unwrap_or(0), e.to_string()))
}

/// The case on a grid of no meaning, for what marches no bed: its own may still be open.
fn any_grid(case: &Case) -> Case {
    Case { cells: 10.into(), ..case.clone() }
}
