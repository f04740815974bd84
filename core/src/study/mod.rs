//! Study: more than one run. Calls for one case, comparisons, sweeps over a grid; threads live here and nowhere else.

mod accuracy;
pub mod ceiling;
pub mod compare;
mod ideal;
mod ordered;
pub mod salt_account;
pub mod single;
pub mod sweep;
mod through_time;
pub mod waves;

pub use ceiling::efficiency_ceiling;
pub use compare::{At, Comparison, compare};
pub use salt_account::{SaltAccount, salt_account};
pub use single::{cycle, cycles, elute, load};
pub use sweep::{Point, Sweep, sweep, sweep_each};
pub use through_time::through_time;
pub use waves::waves;

use crate::error::{Error, Result};

/// A pool for one call, dropped at its end: a process that forks later inherits no threads.
fn pool(threads: Option<usize>) -> Result<rayon::ThreadPool> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads.unwrap_or(0))
        .build()
        .map_err(|e| Error::value("threads", threads.unwrap_or(0), e.to_string()))
}
