//! Cycle: the clock. A step, a whole cycle, the cyclic steady state, and the history they record.
//!
//! [`step`] runs one step under error control, `run_cycle` those of a whole cycle, `cycle_state` is what a cycle hands
//! on, `step_schedule` the time steps that the next one follows; [`steady`] finds the cycle that repeats itself, `course`
//! watches whether it gets on, [`mod@repeat`] runs cycles from new resin, [`run`] a single loading or elution, [`ideal`] the cycle of equilibrium
//! theory. [`history`] holds what was recorded, [`recorder`] the bed through a cycle that is run once more for it. Nothing
//! is interpreted here.

mod course;
mod cycle_state;
pub mod history;
pub mod ideal;
mod ion_count;
mod lifting;
mod observers;
pub mod outcome;
mod reclaim;
pub mod recorder;
pub mod repeat;
mod replay;
pub mod run;
mod run_cycle;
pub mod steady;
pub mod step;
mod step_schedule;
mod substeps;
pub mod warm_start;

pub use observers::{Progress, Watch, unwatched};
