//! The built-in scenario: one invented site, used wherever something has to be shown.
//!
//! Heron Weir is an invented laundry on an invented hard well. It fills its machines with 10 m3 of soft water a day from
//! one vessel, whose bed a blocking flow holds down while brine goes up through it, pays for at most 60 kg of salt a week,
//! and accepts 1 mg/L of hardness as CaCO3 as a mean over the run, because its steam
//! boiler is fed with the same water. So the direction of the brine matters to it: at its salt dose the mean is within that
//! counter-current alone, and co-current needs more salt. A laundry without a boiler, which may accept 5 mg/L, would not
//! see the difference.

use crate::inputs::bed::Bed;
use crate::inputs::case::Case;
use crate::inputs::ion::Ion;
use crate::inputs::regeneration::{Direction, Regeneration};
use crate::inputs::resin::Resin;
use crate::inputs::service::Service;
use crate::inputs::site::Site;
use crate::inputs::water::{ConcentrationUnit, Water};

/// Throughput at which the meter starts a regeneration \[bed volumes\]: 85 % of the co-current run to 17 mg/L.
const METERED_BV: f64 = 134.0;

/// The built-in case, counter-current; its mirror is the other strategy.
pub fn default_case() -> Case {
    let ions =
        [(Ion::NA, 28.0), (Ion::MG, 24.0), (Ion::CA, 80.0), (Ion::CL, 48.0), (Ion::HCO3, 280.0), (Ion::SO4, 55.0)];
    let water =
        Water { temperature_c: 15.0, balance: Some(Ion::CL), ..Water::new(ions.into(), ConcentrationUnit::MgPerL) };
    let mut case = Case::new(
        water,
        Resin::default(),
        Bed { depth_m: Some(0.9), diameter_m: Some(0.4), held_down: Some(true), ..Bed::default() },
        Service { limit_mg_per_l_caco3: Some(17.0), volume_bv: Some(METERED_BV), ..Service::new(20.0) },
        Regeneration { strength_percent: Some(10.0), ..Regeneration::new(Direction::CounterCurrent, 96.0) },
    );
    case.name = Some("Heron Weir laundry".into());
    case.site = Some(Site {
        salt_budget_kg_per_week: Some(60.0),
        accepted_leakage_mg_per_l_caco3: Some(1.0),
        ..Site::new("Heron Weir laundry".into(), 10.0)
    });
    case
}
