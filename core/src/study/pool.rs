//! The threads of a study.

use crate::error::{Error, Result};

/// A pool for one call, dropped at its end: a process that forks later inherits no threads.
pub(super) fn pool(threads: Option<usize>) -> Result<rayon::ThreadPool> {
    rayon::ThreadPoolBuilder::new()
        .num_threads(threads.unwrap_or(0))
        .build()
        .map_err(|e| Error::value("threads", threads.unwrap_or(0), e.to_string()))
}
