//! Fixtures that tests and benchmarks share.
