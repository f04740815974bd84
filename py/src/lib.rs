//! Python bindings: a list of names. The skins carry the names of the crate's rooms, and `enter` is the one way in.

mod amounts;
mod convert;
mod cycle;
mod enter;
mod errors;
mod figures;
mod inputs;
mod laws;
mod number;
mod report;
mod study;
mod units;
mod waves;

use pyo3::prelude::*;

/// Native half of brinefront; import `brinefront` instead.
///
/// A free-threaded Python turns its lock on when it loads this module, and says so in a `RuntimeWarning`: what the module
/// holds is frozen and a run releases the interpreter, but it has not been tested without the lock.
#[pymodule(gil_used = true)]
mod _core {
    #[pymodule_export]
    use crate::amounts::in_cases;
    #[pymodule_export]
    use crate::figures::figures;
    #[pymodule_export]
    use crate::inputs::{
        Backwash, Bed, Brine, Case, Display, FastRinse, Maldistribution, Rates, Recipe, Regeneration, Resin, Service,
        Site, SlowRinse, Standby, Water, case_file, default_case, fields, ions, said_in_toml,
    };
    #[pymodule_export]
    use crate::laws::{diffusivity_sets, equilibrium, selectivity_sets};
    #[pymodule_export]
    use crate::report::hydraulics;
    #[pymodule_export]
    use crate::study::{PointStream, compare, compare_at_leakage, sweep, through_time};
    #[pymodule_export]
    use crate::units::{convert_concentration, convert_unit, unit_names};
    #[pymodule_export]
    use crate::waves::{efficiency_ceiling, waves};
    #[pymodule_export]
    const VERSION: &str = env!("CARGO_PKG_VERSION");
}
