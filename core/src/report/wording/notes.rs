//! Notes, a line each; without a full stop, so that they can be listed.

use std::fmt::{Display, Formatter, Result};

use crate::inputs::recipe_steps::StepName;
use crate::laws::hydraulics::DecidingNumber;
use crate::report::note::Note;
use crate::report::wording::not_soft;
use crate::report::wording::numbers::short;

impl Note {
    /// The step that it is about, if it is about one.
    pub fn step(&self) -> Option<StepName> {
        match *self {
            Self::Lifted { step, .. }
            | Self::CarriedAway { step, .. }
            | Self::HydraulicsOutsideRange { step, .. }
            | Self::Fingers { step, .. }
            | Self::FilmOutsideRange { step, .. }
            | Self::DispersionOutsideRange { step, .. }
            | Self::DispersionAtRest { step, .. }
            | Self::GypsumSupersaturated { step, .. } => Some(step),
            _ => None,
        }
    }
}

impl Display for Note {
    fn fmt(&self, f: &mut Formatter<'_>) -> Result {
        match self {
            Self::ChlorideAssumed => write!(f, "water: no anion was given, chloride is taken to balance the cations"),
            Self::ActivityTemperature { law, parameters_c, water_c } => write!(
                f,
                "activity: the parameters of {} stand at {parameters_c} C, the water is at {water_c} C",
                law.name()
            ),
            Self::Lifted { step, velocity_m_per_h, lifts_from_m_per_h, bead_diameter_mm, wet_density_kg_per_m3 } => {
                write!(
                    f,
                    "{}: {velocity_m_per_h:.2} m/h upward lifts an unblocked bed of {bead_diameter_mm:.2} mm beads of {wet_density_kg_per_m3:.0} kg/m3 (lifts from {lifts_from_m_per_h:.2} m/h on)",
                    step.words()
                )
            }
            Self::CarriedAway {
                step,
                velocity_m_per_h,
                lifts_from_m_per_h,
                bead_diameter_mm,
                wet_density_kg_per_m3,
            } => write!(
                f,
                "{}: {velocity_m_per_h:.2} m/h upward carries away an unblocked bed of {bead_diameter_mm:.2} mm beads of {wet_density_kg_per_m3:.0} kg/m3 (lifts from {lifts_from_m_per_h:.2} m/h on)",
                step.words()
            ),
            Self::HydraulicsOutsideRange { step, number, found, lowest, highest } => write!(
                f,
                "{}: {} was measured for {} {lowest} to {highest}, here it is {found:.3}",
                step.words(),
                law_of(*number),
                number.words()
            ),
            Self::Fingers { step, velocity_m_per_h, upward, stable_above_m_per_h, stable_below_m_per_h } => {
                let way = if *upward { "upward" } else { "downward" };
                let step = step.words();
                write!(f, "{step}: the liquid may run ahead in fingers: {velocity_m_per_h:.2} m/h {way}, where ")?;
                match (stable_above_m_per_h, stable_below_m_per_h) {
                    (Some(above), _) => write!(f, "a front is stable only above {above:.2} m/h"),
                    (_, Some(below)) => write!(f, "a front is stable only below {below:.2} m/h"),
                    (None, None) => write!(f, "no front is stable"),
                }
            }
            Self::FilmOutsideRange { step, correlation, reynolds, reynolds_measured, schmidt, schmidt_measured } => {
                let ((re_low, re_high), (sc_low, sc_high)) = (reynolds_measured, schmidt_measured);
                write!(
                    f,
                    "{}: the film correlation {} was measured for Re {re_low} to {re_high} and Sc {sc_low} to {sc_high}, here Re is {reynolds:.3} and Sc {schmidt:.0}",
                    step.words(),
                    correlation.name()
                )
            }
            Self::DispersionOutsideRange { step, reynolds, reynolds_measured: (low, high) } => write!(
                f,
                "{}: the dispersion correlation was measured for Re {low} to {high}, here Re is {reynolds:.2e}",
                step.words()
            ),
            Self::DispersionAtRest { step, dispersion_m2_per_s, spread_m } => write!(
                f,
                "{}: the dispersion given, {dispersion_m2_per_s:.1e} m2/s, acts at rest too and spreads the liquid by {spread_m:.2} m; a correlated one is 0 there",
                step.words()
            ),
            Self::MixingPrevented => {
                write!(f, "bed: it is held down, so that nothing lifts it and lifted_mixing mixes nothing")
            }
            Self::Fouling {
                ion,
                mg_per_l,
                allowed_mg_per_l_caco3: (least, most),
                exchanged_mg_per_l_caco3,
                feed_mg_per_l_caco3,
            } => {
                let allowed =
                    if least < most { format!("{} to {}", short(*least), short(*most)) } else { short(*least) };
                write!(
                    f,
                    "{}: the feed holds {} mg/L, which fouls resin: practice sizes by {allowed} mg/L as CaCO3 more than the {} of the feed for it (fouling allowance; common practice, no source); here it is exchanged as {} and regenerated like the other divalents, which practice does not count on: treat the capacity shown as too high",
                    ion.data().name,
                    short(*mg_per_l),
                    short(*feed_mg_per_l_caco3),
                    short(*exchanged_mg_per_l_caco3)
                )
            }
            Self::NoRegenerationBefore => write!(
                f,
                "new resin: no regeneration came before this run, so that it has no salt, no waste and no figures a week"
            ),
            Self::MixingCoefficient { dispersion_m2_per_s } => write!(
                f,
                "bed: beads wander with {dispersion_m2_per_s:.1e} m2/s where an upflow lifts them; the number is yours, no source is known for one"
            ),
            Self::NotSoft { leakage_mean_mg_per_l_caco3: mean, most_mg_per_l_caco3: most, accepted_by_site } => {
                f.write_str(&not_soft::line(*mean, *most, *accepted_by_site))
            }
            Self::SaltIsNotTheDose { salt_g_per_l, dose_g_per_l } => write!(
                f,
                "recipe: its brine steps use {salt_g_per_l:.1} g of salt per litre of resin, regeneration.dose_g_per_l says {dose_g_per_l}"
            ),
            Self::GypsumSupersaturated { step, bv, index, ratio } => write!(
                f,
                "gypsum: what leaves is supersaturated, {ratio:.2} times at most (saturation index {index:.2}), {bv:.2} BV after the regeneration began, in the {}; kinetics decide whether it precipitates, in the bed or in the drain: spent brine may cross the line after it has left",
                step.words()
            ),
            Self::AccuracyMissed { cells, accuracy } => {
                write!(f, "numerical error: with {cells} cells it is still above the accuracy asked for, {accuracy}")
            }
            Self::CustomaryLimit { limit_mg_per_l_caco3 } => write!(
                f,
                "the case has no leakage limit: every run ends at {limit_mg_per_l_caco3} mg/L as CaCO3 (one grain a gallon, common practice)"
            ),
            Self::MeterSetAside { volume_bv, limit_mg_per_l_caco3 } => write!(
                f,
                "the meter's {} bed volumes are set aside: they would fix what is removed, whatever the bed; every run goes on to {limit_mg_per_l_caco3} mg/L as CaCO3",
                (10.0 * volume_bv).round() / 10.0
            ),
            Self::ShareBlurred { effect, share_g_per_l, error_g_per_l, cells } => write!(
                f,
                "the share of {effect}, {share_g_per_l:.2} g/L, may be off by {error_g_per_l:.2} on {cells} cells: more cells tell it better"
            ),
            Self::BedWithEffects { effects, search_end, never_soft } => {
                match effects.as_slice() {
                    [] => write!(f, "the ideal bed")?,
                    effects => write!(f, "the bed with {}", effects.join(", "))?,
                }
                write!(f, ": {search_end}{}", if *never_soft { "; its capacity counts as 0" } else { "" })
            }
        }
    }
}

/// The law whose range a number decides.
fn law_of(number: DecidingNumber) -> &'static str {
    match number {
        DecidingNumber::ParticleReynolds | DecidingNumber::VesselOverBeadDiameter => "the pressure drop (Ergun)",
        DecidingNumber::ExpandedVoidFraction => "the expansion (Richardson and Zaki)",
        DecidingNumber::OnsetReynolds => "the onset of lifting (Wen and Yu)",
        DecidingNumber::TerminalReynolds => "the settling of a bead (Cheng)",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::ion::Ion;

    #[test]
    fn fingers_name_the_velocity_at_which_a_front_is_stable() {
        let note = |above, below| {
            Note::Fingers {
                step: StepName::SlowRinse,
                velocity_m_per_h: 2.7,
                upward: true,
                stable_above_m_per_h: above,
                stable_below_m_per_h: below,
            }
            .to_string()
        };
        let begins = "slow rinse: the liquid may run ahead in fingers: 2.70 m/h upward, where";
        assert_eq!(note(Some(9.0), None), format!("{begins} a front is stable only above 9.00 m/h"));
        assert_eq!(note(None, Some(1.0)), format!("{begins} a front is stable only below 1.00 m/h"));
        assert_eq!(note(None, None), format!("{begins} no front is stable"));
    }

    #[test]
    fn a_note_travels_as_its_numbers() {
        let note = Note::SaltIsNotTheDose { salt_g_per_l: 80.0, dose_g_per_l: 96.0 };
        let value = serde_json::to_value(&note).unwrap_or_default();
        let numbers = serde_json::json!({"kind": "salt-is-not-the-dose", "salt_g_per_l": 80.0, "dose_g_per_l": 96.0});
        assert_eq!(value, numbers);
        assert_eq!((note.step(), Note::ChlorideAssumed.step()), (None, None));
    }

    #[test]
    fn what_has_no_consequence_weighs_least() {
        let fingers = Note::Fingers {
            step: StepName::SlowRinse,
            velocity_m_per_h: 2.7,
            upward: true,
            stable_above_m_per_h: None,
            stable_below_m_per_h: None,
        };
        let mut notes = [fingers, Note::ChlorideAssumed, Note::MixingPrevented];
        notes.sort_by_key(Note::weight);
        assert_eq!(notes.map(|note| note.weight().words()), ["acts", "know", "assumed"]);
    }

    /// 1 mg/L of iron is 1.79 mg/L as CaCO3 by its equivalents, and 2 to 5 gr/gal by the trade's allowance.
    #[test]
    fn iron_brings_the_allowance_of_practice() {
        let note = Note::fouling(Ion::FE, 1e-3 / Ion::FE.g_per_eq(), 5e-3).unwrap().to_string();
        assert!(
            note.starts_with("iron(II): the feed holds 1.00 mg/L, which fouls resin: practice sizes by 34.2 to 85.6"),
            "{note}"
        );
        assert!(note.contains("exchanged as 1.79"), "{note}");
        assert!(Note::fouling(Ion::CA, 1e-3, 5e-3).is_none() && Note::fouling(Ion::MN, 0.0, 5e-3).is_none());
    }
}
