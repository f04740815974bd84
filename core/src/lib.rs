//! brinefront computes how a bed of strong-acid cation resin is loaded and regenerated: for a water, a resin, a vessel
//! and a recipe, how much hardness leaks, how much capacity the salt buys, where the salt goes, and what reaches the
//! drain.
//!
//! ```
//! use brinefront::{At, compare, default_case};
//!
//! let mut case = default_case();
//! case.cells = 50.into();
//! case.regeneration.dose_g_per_l = 80.0;
//! let both = compare(&[case], At::EqualDose)?;
//! println!("{}", both.sentence());
//! let (counter, co) = (&both.cycles[0].figures, &both.cycles[1].figures);
//! assert!(counter.leakage_half_run_mg_per_l_caco3 < 0.2 * co.leakage_half_run_mg_per_l_caco3);
//! # Ok::<(), brinefront::Error>(())
//! ```
//!
//! # Which question, which call
//!
//! - *What does this softener do, cycle after cycle?* [`Case::cycle`] runs it to its cyclic steady state:
//!   [`CycleReport`] with [`Figures`], curves, profiles and waste.
//! - *Co-current or counter-current?* [`compare()`] sets a case against its mirror, at equal dose or at equal leakage.
//! - *What does another kilogram of salt buy?* [`sweep()`] runs a grid of cases in parallel.
//! - *And over more cases than memory should hold?* [`sweep_each`] hands over one point after the other.
//! - *Where did the salt go?* [`Case::salt_account`] charges it to what is imperfect in the bed.
//! - *How does this bed load, or elute, once?* [`Case::load`] and [`Case::elute`].
//! - *How does a new bed come to its cycle?* [`Case::cycles`]; the bed all through a cycle: [`Case::through_time`].
//! - *What does the flow of each step do to the bed?* [`Case::hydraulics`], without a run.
//! - *Where are its waves, and what does equilibrium allow?* [`Case::waves`], [`Case::efficiency_ceiling`].
//!
//! A call that marches a bed has a second form, `..._watched`, with a [`Watch`] that sees how far it has come and may
//! stop it.
//!
//! # A case
//!
//! [`Case::new`] takes a [`Water`], a [`Resin`], a [`Bed`], a [`Service`] and a [`Regeneration`]; each of these has
//! `new`, with what must be given, or `Default`, and public fields for the rest. [`Case::from_toml_file`] reads a case
//! file, and [`default_case`] is the built-in scenario. [`Case::with`] sets a field by its dotted name. Every name has
//! its unit, and [`records`] has for each field and figure its words, unit, limits, default and source.
//!
//! ```
//! use brinefront::{Bed, Case, ConcentrationUnit, Direction, Ion, Regeneration, Resin, Service, Water};
//!
//! let ions = [(Ion::CA, 80.0), (Ion::MG, 24.0), (Ion::NA, 28.0)];
//! let case = Case::new(
//!     Water::new(ions.into(), ConcentrationUnit::MgPerL),
//!     Resin::default(),
//!     Bed::new(0.9, 0.4),
//!     Service { limit_mg_per_l_caco3: Some(17.0), ..Service::new(20.0) },
//!     Regeneration::new(Direction::CounterCurrent, 96.0),
//! );
//! case.validate()?;
//! # Ok::<(), brinefront::Error>(())
//! ```
//!
//! Every answer is plain data with public fields that serde writes, and `#[non_exhaustive]`: there will be more of
//! them.
//!
//! A value that a field does not allow is an [`enum@Error`] that names field, value and limits. A bed that never
//! settles and a service that is never soft are no errors: [`Figures::outcome`] and [`Figures::stop_reason`] have them.
//!
//! # Features
//!
//! - `threads`, on by default: comparisons and sweeps run on several threads. Without it they run on the caller's, with
//!   the same answers in the same order.
//! - `theory`, off by default: the page `theory`, which derives the model and says when each assumption fails; it is
//!   rendered when the crate is built.
//!
//! # What it is not
//!
//! Results are estimates for study. They certify nothing, and a design for drinking water, boilers or discharge needs a
//! licensed professional and the local code.

// The rooms. They are open to the bindings, the benchmarks and the tests of this workspace alone: no promise is kept
// there.
#[doc(hidden)]
pub mod bed;
#[doc(hidden)]
pub mod cycle;
mod error;
#[doc(hidden)]
pub mod inputs;
#[doc(hidden)]
pub mod laws;
#[doc(hidden)]
pub mod numerics;
#[doc(hidden)]
pub mod plan;
#[doc(hidden)]
pub mod report;
#[doc(hidden)]
pub mod study;
#[doc(hidden)]
pub mod units;

/// The theory notes: documentation alone.
#[cfg(feature = "theory")]
#[doc = include_str!(concat!(env!("OUT_DIR"), "/theory.md"))]
pub mod theory {}

pub use error::{Cause, Error, FieldName, Limits, Result};

// A case and its parts.
pub use inputs::activity::ActivityLaw;
pub use inputs::bed::{Bed, LiftedMixing};
pub use inputs::case::{Case, Kinetics, SCHEMA};
pub use inputs::cells::Cells;
pub use inputs::diffusivity_sets::{ActivationEnergy, DiffusivitySet, Kind as DiffusivityKind};
pub use inputs::display::{Display, DisplayUnits};
pub use inputs::ion::{Ion, IonData};
pub use inputs::maldistribution::Maldistribution;
pub use inputs::rates::{FilmCorrelation, FilmDiffusion, Rates};
pub use inputs::recipe::Recipe;
pub use inputs::recipe_steps::{Backwash, Brine, FreeStep, Rinse, Standby, StepName};
pub use inputs::regeneration::{BrineWater, Direction, Regeneration};
pub use inputs::resin::{BeadDiffusivity, BeadSize, Resin, Selectivity};
pub use inputs::salt::Salt;
pub use inputs::scenario::default_case;
pub use inputs::selectivity_sets::{Kind as SelectivityKind, Reading, SelectivityBasis, SelectivitySet};
pub use inputs::service::{Service, ServiceFlow};
pub use inputs::site::Site;
pub use inputs::water::{Composition, ConcentrationUnit, Water};
/// A value of a field by its dotted name, as in a case file; numbers, texts and flags become one with `into()`. A number
/// that is not finite becomes null there, which takes an option away: check it before.
pub use serde_json::Value;

// What methods of a case's parts speak in: a resin's coefficients and their scales, a recipe's steps with every default
// filled in, the range of a film correlation.
pub use laws::conventions::{Capacity, Coefficient, Form, Scale, Solution};
pub use laws::film::{Limits as FilmLimits, Validity};
pub use plan::resolved_steps::{Step, StepDirection, StepEnd};

// What is asked beyond one case's own methods.
pub use cycle::run::Loading;
pub use cycle::{Progress, Watch};
pub use study::compare::{compare, compare_at_leakage, compare_at_leakage_watched, compare_watched};
pub use study::salt_account::{MOST_EFFECTS, Order, SaltAccount, Share};
pub use study::sweep::{Point, Sweep, count_points, sweep, sweep_each, sweep_each_watched, sweep_watched};

// What is answered.
pub use bed::hydraulics::BedState;
pub use cycle::outcome::{Outcome, SearchEnd};
pub use laws::hydraulics::DecidingNumber;
pub use numerics::effort::Effort;
pub use plan::resolved_steps::StepWater;
pub use plan::steps::StopReason;
pub use plan::tubes::Tube;
pub use report::comparison::{
    At, Comparison, DOSES_G_PER_L, FREE_RUN_DOSE_G_PER_L, LeakageBound, LeakageMeasure, LeakageTarget,
};
pub use report::design_rule::{DesignRule, Rule};
pub use report::figures::Figures;
pub use report::flow::{FlowDirection, Front, Way};
pub use report::gypsum::{Gypsum, Highest};
pub use report::hydraulics::HydraulicsRow;
pub use report::note::{Note, Weight};
pub use report::site_target::{SiteTarget, Target};
pub use report::tables::{Curve, Profiles, StepRow, TubeProfiles, Waste};
pub use report::through_time::ThroughTime;
pub use report::wording::amounts::InWords;
pub use report::{CycleReport, RunReport};
pub use study::ceiling::Ceiling;
pub use study::waves::{LEVELS as WAVE_LEVELS, WavePicture, WavePiece, WaveStep};

/// What is said of each field of a case and of each figure, as plain facts.
///
/// ```
/// let dose = brinefront::records::fields().find(|field| field.name == "regeneration.dose_g_per_l");
/// assert_eq!(dose.and_then(|field| field.range), Some((1.0, 2000.0)));
/// ```
pub mod records {
    pub use crate::inputs::field::{Field, Kind, Named, Standing};
    pub use crate::inputs::fields::fields;
    pub use crate::report::figure::{Figure, Table, Value};
}

/// The examples of the README are tested with the crate's own.
#[cfg(doctest)]
#[doc = include_str!("../README.md")]
struct Readme;
