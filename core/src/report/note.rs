//! What a report should be read with: assumptions made, laws used outside the range they were measured in, effects to expect.
//! Values alone; [`crate::report::wording`] makes a line of each.

use serde::Serialize;

use crate::bed::hydraulics::HydraulicNote;
use crate::cycle::outcome::SearchEnd;
use crate::inputs::activity::ActivityLaw;
use crate::inputs::ion::Ion;
use crate::inputs::rates::FilmCorrelation;
use crate::inputs::recipe_steps::StepName;
use crate::laws::hydraulics::{DecidingNumber, Validity};
use crate::plan::rates::OutsideRange;
use crate::report::wording::as_words::step_in_words;
use crate::units::constants::MG_PER_L_IN_A_GRAIN_PER_GALLON as GRAIN_PER_GALLON;
use crate::units::convert::{eq_per_l_to_mg_per_l, eq_per_l_to_mg_per_l_caco3};

/// What a note costs whom it is left out for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
#[non_exhaustive]
pub enum Weight {
    /// Something is to be done or decided before the figures are used.
    Acts,
    /// The figures are to be read with it.
    Know,
    /// An assumption of the model at work, without consequence for the figures or anything to do.
    Assumed,
}

/// Hardness that practice adds for each mg/L of a fouling ion: 2 to 5 gr/gal for iron, 2 for manganese; common practice, no
/// source \[mg/L as CaCO3 for each mg/L\].
const IRON_ALLOWANCE: (f64, f64) = (2.0 * GRAIN_PER_GALLON, 5.0 * GRAIN_PER_GALLON);
const MANGANESE_ALLOWANCE: (f64, f64) = (2.0 * GRAIN_PER_GALLON, 2.0 * GRAIN_PER_GALLON);

/// One thing to know beside the figures.
///
/// It serialises as a table of its numbers under their names, with the kind of note as `kind`.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
#[non_exhaustive]
pub enum Note {
    /// The water was given without an anion; chloride is taken to balance its cations.
    ChlorideAssumed,
    /// Parameters of the activity law are those of another temperature.
    ActivityTemperature {
        /// The law.
        law: ActivityLaw,
        /// Temperature of its parameters \[C\].
        parameters_c: f64,
        /// Temperature of the water \[C\].
        water_c: f64,
    },
    /// An upflow lifts the bed, and nothing holds it down.
    Lifted {
        /// The step.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// Superficial velocity \[m/h\].
        velocity_m_per_h: f64,
        /// Velocity from which the bed is lifted \[m/h\].
        lifts_from_m_per_h: f64,
        /// Bead diameter \[mm\].
        bead_diameter_mm: f64,
        /// Density of a wet bead \[kg/m3\].
        wet_density_kg_per_m3: f64,
    },
    /// An upflow takes the beads out of the vessel.
    CarriedAway {
        /// The step.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// Superficial velocity \[m/h\].
        velocity_m_per_h: f64,
        /// Velocity from which the bed is lifted \[m/h\].
        lifts_from_m_per_h: f64,
        /// Bead diameter \[mm\].
        bead_diameter_mm: f64,
        /// Density of a wet bead \[kg/m3\].
        wet_density_kg_per_m3: f64,
    },
    /// A law of hydraulics was used outside the range it was measured in.
    HydraulicsOutsideRange {
        /// The step.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// The number that decides, and with it the law.
        number: DecidingNumber,
        /// What it was.
        found: f64,
        /// The lowest that was measured.
        lowest: f64,
        /// The highest that was measured.
        highest: f64,
    },
    /// The liquid of a step may run ahead of its front.
    Fingers {
        /// The step.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// Superficial velocity \[m/h\].
        velocity_m_per_h: f64,
        /// Does the flow go up?
        upward: bool,
        /// The front is stable only above this velocity \[m/h\].
        stable_above_m_per_h: Option<f64>,
        /// The front is stable only below this velocity \[m/h\]. None of the two: at no velocity.
        stable_below_m_per_h: Option<f64>,
    },
    /// The film correlation was used outside the range it was measured in.
    FilmOutsideRange {
        /// The step.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// The correlation.
        correlation: FilmCorrelation,
        /// Reynolds number of a bead in the superficial flow.
        reynolds: f64,
        /// Lowest and highest that were measured.
        reynolds_measured: (f64, f64),
        /// Schmidt number.
        schmidt: f64,
        /// Lowest and highest that were measured.
        schmidt_measured: (f64, f64),
    },
    /// The dispersion correlation was used outside the range it was measured in.
    DispersionOutsideRange {
        /// The step.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// Reynolds number of a bead in the superficial flow.
        reynolds: f64,
        /// Lowest and highest that were measured.
        reynolds_measured: (f64, f64),
    },
    /// A dispersion that was given acts in a bed at rest too.
    DispersionAtRest {
        /// The step.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// The dispersion \[m2/s\].
        dispersion_m2_per_s: f64,
        /// How far it spreads a sharp layer \[m\].
        spread_m: f64,
    },
    /// Mixing of a lifted bed was asked for, and the bed is held down.
    MixingPrevented,
    /// A fouling ion in the feed: what practice allows for it, beside what the model does with it.
    Fouling {
        /// The ion.
        ion: Ion,
        /// Its concentration \[mg/L of the ion\].
        mg_per_l: f64,
        /// Hardness that practice adds to the feed's for it, the least and the most in use \[mg/L as CaCO3\].
        allowed_mg_per_l_caco3: (f64, f64),
        /// Hardness that it is by its equivalents \[mg/L as CaCO3\].
        exchanged_mg_per_l_caco3: f64,
        /// Hardness of the feed as the model takes it \[mg/L as CaCO3\].
        feed_mg_per_l_caco3: f64,
    },
    /// The first run on new resin has no regeneration before it.
    NoRegenerationBefore,
    /// The mixing of a lifted bed has a coefficient that no source is known for.
    MixingCoefficient {
        /// The coefficient \[m2/s\].
        dispersion_m2_per_s: f64,
    },
    /// A run without a leakage limit delivers water that is not soft.
    NotSoft {
        /// Mean leakage of the run \[mg/L as CaCO3\].
        leakage_mean_mg_per_l_caco3: f64,
        /// The most that soft water may have \[mg/L as CaCO3\].
        most_mg_per_l_caco3: f64,
        /// Is that what the site accepts? Else it is half of the feed's hardness.
        accepted_by_site: bool,
    },
    /// The first water of a run is harder than what ends one: it was rinsed too little. The limit is armed only when the water
    /// that stood in the vessel has left.
    FirstWaterHard {
        /// Mean leakage of the first bed volume \[mg/L as CaCO3\].
        leakage_initial_mg_per_l_caco3: f64,
        /// Highest leakage of the run \[mg/L as CaCO3\].
        leakage_maximum_mg_per_l_caco3: f64,
        /// What it is held against \[mg/L as CaCO3\]: the limit, or what the site accepts if there is none.
        most_mg_per_l_caco3: f64,
    },
    /// The numerical error of the figures could not be told: no other grid settled.
    ErrorUnknown {
        /// Cells of the bed.
        cells: usize,
    },
    /// The brine steps of a recipe use another amount of salt than the dose.
    SaltIsNotTheDose {
        /// Salt of the brine steps \[g per litre of resin\].
        salt_g_per_l: f64,
        /// The dose \[g per litre of resin\].
        dose_g_per_l: f64,
    },
    /// What leaves is beyond saturation with gypsum.
    GypsumSupersaturated {
        /// Step of the highest index.
        #[serde(serialize_with = "step_in_words")]
        step: StepName,
        /// Throughput since the regeneration began \[bed volumes\].
        bv: f64,
        /// Saturation index.
        index: f64,
        /// Ten to the index.
        ratio: f64,
    },
    /// The finest grid missed the accuracy that was asked for.
    AccuracyMissed {
        /// Its cells.
        cells: usize,
        /// The accuracy, as a fraction.
        accuracy: f64,
    },
    /// A case without a leakage limit was run to the customary one.
    CustomaryLimit {
        /// The limit \[mg/L as CaCO3\].
        limit_mg_per_l_caco3: f64,
    },
    /// The meter of a case is left out of account.
    MeterSetAside {
        /// Its volume \[bed volumes\].
        volume_bv: f64,
        /// The limit that ends the runs instead \[mg/L as CaCO3\].
        limit_mg_per_l_caco3: f64,
    },
    /// A share of the salt is smaller than the error that the grid makes in it.
    ShareBlurred {
        /// The effect whose share it is.
        effect: &'static str,
        /// The share \[g/L\].
        share_g_per_l: f64,
        /// Its error \[g/L\].
        error_g_per_l: f64,
        /// Cells of the bed.
        cells: usize,
    },
    /// The bed with some of the effects gave no soft water, or did not settle.
    BedWithEffects {
        /// The effects that act; none for the ideal bed.
        effects: Vec<&'static str>,
        /// How its search ended.
        search_end: SearchEnd,
        /// Does it count as a bed without capacity?
        never_soft: bool,
    },
}

impl Note {
    /// What it costs to leave it out.
    pub fn weight(&self) -> Weight {
        match self {
            Self::Lifted { .. }
            | Self::CarriedAway { .. }
            | Self::MixingPrevented
            | Self::NotSoft { .. }
            | Self::FirstWaterHard { .. }
            | Self::ErrorUnknown { .. }
            | Self::SaltIsNotTheDose { .. }
            | Self::GypsumSupersaturated { .. }
            | Self::AccuracyMissed { .. }
            | Self::Fouling { .. } => Weight::Acts,
            Self::ChlorideAssumed
            | Self::ActivityTemperature { .. }
            | Self::HydraulicsOutsideRange { .. }
            | Self::FilmOutsideRange { .. }
            | Self::DispersionOutsideRange { .. }
            | Self::DispersionAtRest { .. }
            | Self::MixingCoefficient { .. }
            | Self::NoRegenerationBefore
            | Self::CustomaryLimit { .. }
            | Self::MeterSetAside { .. }
            | Self::ShareBlurred { .. } => Weight::Know,
            Self::Fingers { .. } | Self::BedWithEffects { .. } => Weight::Assumed,
        }
    }

    /// What practice allows for an ion of the feed, if it fouls; `eq_per_l` is its concentration, `feed_hardness` that of
    /// the feed \[eq/L\].
    pub(super) fn fouling(ion: Ion, eq_per_l: f64, feed_hardness: f64) -> Option<Self> {
        let (least, most) = match ion {
            Ion::FE => IRON_ALLOWANCE,
            Ion::MN => MANGANESE_ALLOWANCE,
            _ => return None,
        };
        let mg_per_l = eq_per_l_to_mg_per_l(eq_per_l, ion.g_per_eq());
        (eq_per_l > 0.0).then_some(Self::Fouling {
            ion,
            mg_per_l,
            allowed_mg_per_l_caco3: (mg_per_l * least, mg_per_l * most),
            exchanged_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(eq_per_l),
            feed_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(feed_hardness),
        })
    }

    /// What hydraulics has to say of a step.
    pub(super) fn hydraulic(step: StepName, note: HydraulicNote) -> Self {
        match note {
            HydraulicNote::Lifted(upflow) => Self::Lifted {
                step,
                velocity_m_per_h: upflow.velocity_m_per_h,
                lifts_from_m_per_h: upflow.lifts_from_m_per_h,
                bead_diameter_mm: upflow.bead_diameter_mm,
                wet_density_kg_per_m3: upflow.wet_density_kg_per_m3,
            },
            HydraulicNote::CarriedAway(upflow) => Self::CarriedAway {
                step,
                velocity_m_per_h: upflow.velocity_m_per_h,
                lifts_from_m_per_h: upflow.lifts_from_m_per_h,
                bead_diameter_mm: upflow.bead_diameter_mm,
                wet_density_kg_per_m3: upflow.wet_density_kg_per_m3,
            },
            HydraulicNote::OutsideRange(Validity { number, found, limits: (lowest, highest), .. }) => {
                Self::HydraulicsOutsideRange { step, number, found, lowest, highest }
            }
            HydraulicNote::Fingers { velocity_m_per_h, upward, stable_above_m_per_h, stable_below_m_per_h } => {
                Self::Fingers { step, velocity_m_per_h, upward, stable_above_m_per_h, stable_below_m_per_h }
            }
        }
    }

    /// What a correlation of the rates has to say of a step.
    pub(super) fn correlation(step: StepName, outside: OutsideRange) -> Self {
        match outside {
            OutsideRange::Film(correlation, found) => Self::FilmOutsideRange {
                step,
                correlation,
                reynolds: found.reynolds,
                reynolds_measured: found.limits.reynolds,
                schmidt: found.schmidt,
                schmidt_measured: found.limits.schmidt,
            },
            OutsideRange::Dispersion(found) => {
                Self::DispersionOutsideRange { step, reynolds: found.reynolds, reynolds_measured: found.limits }
            }
        }
    }
}
