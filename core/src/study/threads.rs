//! The threads of a study: several with the crate's feature `threads`, else the caller's alone, for the same answers in
//! the same order.

#[cfg(feature = "threads")]
pub(super) use crate::study::parallel::{in_order, of_all};
#[cfg(not(feature = "threads"))]
pub(super) use crate::study::serial::{in_order, of_all};
