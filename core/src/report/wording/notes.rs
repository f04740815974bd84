//! Notes, a line each; without a full stop, so that they can be listed.

use std::fmt::{Display, Formatter, Result};

use crate::error::figure;
use crate::inputs::display::DisplayUnits;
use crate::inputs::recipe_steps::StepName;
use crate::laws::hydraulics::DecidingNumber;
use crate::report::note::Note;
use crate::report::wording::amounts::{In, InWords};
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
        f.write_str(&self.in_words(DisplayUnits::Metric))
    }
}

impl InWords for Note {
    fn in_words(&self, units: DisplayUnits) -> String {
        let chosen = units;
        let units = In::of(chosen);
        match self {
            Self::ChlorideAssumed => "water: no anion was given, chloride is taken to balance the cations".to_string(),
            Self::ActivityTemperature { law, parameters_c, water_c } => format!(
                "activity: the parameters of {} stand at {}, the water is at {}",
                law.name(),
                units.temperature(*parameters_c),
                units.temperature(*water_c)
            ),
            Self::Lifted { step, velocity_m_per_h, lifts_from_m_per_h, bead_diameter_mm, wet_density_kg_per_m3 } => {
                let bed = unblocked(units, *bead_diameter_mm, *wet_density_kg_per_m3, *lifts_from_m_per_h);
                format!("{}: {} upward lifts {bed}", step.words(), units.velocity(*velocity_m_per_h))
            }
            Self::CarriedAway {
                step,
                velocity_m_per_h,
                lifts_from_m_per_h,
                bead_diameter_mm,
                wet_density_kg_per_m3,
            } => {
                let bed = unblocked(units, *bead_diameter_mm, *wet_density_kg_per_m3, *lifts_from_m_per_h);
                format!("{}: {} upward carries away {bed}", step.words(), units.velocity(*velocity_m_per_h))
            }
            Self::HydraulicsOutsideRange { step, number, found, lowest, highest } => format!(
                "{}: {} was measured for {} {lowest} to {highest}, here it is {found:.3}",
                step.words(),
                law_of(*number),
                number.words()
            ),
            Self::Fingers { step, velocity_m_per_h, upward, stable_above_m_per_h, stable_below_m_per_h } => {
                let way = if *upward { "upward" } else { "downward" };
                let front = match (stable_above_m_per_h, stable_below_m_per_h) {
                    (Some(above), _) => format!("a front is stable only above {}", units.velocity(*above)),
                    (_, Some(below)) => format!("a front is stable only below {}", units.velocity(*below)),
                    (None, None) => "no front is stable".to_string(),
                };
                format!(
                    "{}: the liquid may run ahead in fingers: {} {way}, where {front}",
                    step.words(),
                    units.velocity(*velocity_m_per_h)
                )
            }
            Self::FilmOutsideRange { step, correlation, reynolds, reynolds_measured, schmidt, schmidt_measured } => {
                let ((re_low, re_high), (sc_low, sc_high)) = (reynolds_measured, schmidt_measured);
                format!(
                    "{}: the film correlation {} was measured for Re {re_low} to {re_high} and Sc {sc_low} to {sc_high}, here Re is {reynolds:.3} and Sc {schmidt:.0}",
                    step.words(),
                    correlation.name()
                )
            }
            Self::DispersionOutsideRange { step, reynolds, reynolds_measured: (low, high) } => format!(
                "{}: the dispersion correlation was measured for Re {low} to {high}, here Re is {reynolds:.2e}",
                step.words()
            ),
            Self::DispersionAtRest { step, dispersion_m2_per_s, spread_m } => format!(
                "{}: the dispersion given, {}, acts at rest too and spreads the liquid by {}; a correlated one is 0 there",
                step.words(),
                units.dispersion(*dispersion_m2_per_s),
                units.length(*spread_m)
            ),
            Self::MixingPrevented => {
                "bed: it is held down, so that nothing lifts it and lifted_mixing mixes nothing".to_string()
            }
            Self::Fouling {
                ion,
                mg_per_l,
                allowed_mg_per_l_caco3: (least, most),
                exchanged_mg_per_l_caco3,
                feed_mg_per_l_caco3,
            } => {
                let hardness = |mg_per_l: &f64| units.hardness(*mg_per_l);
                let allowed =
                    if least < most { format!("{} to {}", hardness(least), hardness(most)) } else { hardness(least) };
                format!(
                    "{}: the feed holds {} mg/L, which fouls resin: practice sizes by {allowed} {} more than the {} of the feed for it (fouling allowance; common practice, no source); here it is exchanged as {} and regenerated like the other divalents, which practice does not count on: treat the capacity shown as too high",
                    ion.data().name,
                    short(*mg_per_l),
                    units.hardness_unit(),
                    hardness(feed_mg_per_l_caco3),
                    hardness(exchanged_mg_per_l_caco3)
                )
            }
            Self::NoRegenerationBefore => {
                "new resin: no regeneration came before this run, so that it has no salt, no waste and no figures a week"
                    .to_string()
            }
            Self::MixingCoefficient { dispersion_m2_per_s } => format!(
                "bed: beads wander with {} where an upflow lifts them; the number is yours, no source is known for one",
                units.dispersion(*dispersion_m2_per_s)
            ),
            Self::NotSoft { leakage_mean_mg_per_l_caco3: mean, most_mg_per_l_caco3: most, accepted_by_site } => {
                not_soft::line(*mean, *most, *accepted_by_site)
            }
            Self::FirstWaterHard {
                leakage_initial_mg_per_l_caco3: initial,
                leakage_maximum_mg_per_l_caco3: most,
                most_mg_per_l_caco3: held,
            } => format!(
                "first water: the first bed volume of a run holds {} mg/L as CaCO3 in the mean, {} at most, above {}: rinse longer, or send it to the drain",
                short(*initial),
                short(*most),
                short(*held)
            ),
            Self::ErrorUnknown { cells } => format!(
                "numerical error: not known for {cells} cells, since the bed settles on no other grid: try more cells"
            ),
            Self::SaltIsNotTheDose { salt_g_per_l, dose_g_per_l } => {
                let said = match units {
                    In::Metric => format!("regeneration.dose_g_per_l says {dose_g_per_l}"),
                    In::Us => format!("regeneration.dose says {}", units.short_dose(*dose_g_per_l)),
                };
                format!("recipe: its brine steps use {}, {said}", units.dose_in_words(*salt_g_per_l, 1))
            }
            Self::GypsumSupersaturated { step, bv, index, ratio } => format!(
                "gypsum: what leaves is supersaturated, {ratio:.2} times at most (saturation index {index:.2}), {bv:.2} BV after the regeneration began, in the {}; kinetics decide whether it precipitates, in the bed or in the drain: spent brine may cross the line after it has left",
                step.words()
            ),
            Self::AccuracyMissed { cells, accuracy } => {
                format!("numerical error: with {cells} cells it is still above the accuracy asked for, {accuracy}")
            }
            Self::CustomaryLimit { limit_mg_per_l_caco3 } => format!(
                "the case has no leakage limit: every run ends at {} mg/L as CaCO3 (one grain a gallon, common practice)",
                figure(*limit_mg_per_l_caco3, &[])
            ),
            Self::MeterSetAside { volume_bv, limit_mg_per_l_caco3 } => format!(
                "the meter's {} bed volumes are set aside: they would fix what is removed, whatever the bed; every run goes on to {} mg/L as CaCO3",
                (10.0 * volume_bv).round() / 10.0,
                figure(*limit_mg_per_l_caco3, &[])
            ),
            Self::ShareBlurred { effect, share_g_per_l, error_g_per_l, cells } => {
                let (share, error) = match units {
                    In::Metric => (format!("{share_g_per_l:.2} g/L"), format!("{error_g_per_l:.2}")),
                    In::Us => (units.short_dose(*share_g_per_l), units.dose(*error_g_per_l)),
                };
                format!(
                    "the share of {effect}, {share}, may be off by {error} on {cells} cells: more cells tell it better"
                )
            }
            Self::BedWithEffects { effects, search_end, never_soft } => {
                let bed = match effects.as_slice() {
                    [] => "the ideal bed".to_string(),
                    effects => format!("the bed with {}", effects.join(", ")),
                };
                let end = search_end.in_words(chosen);
                format!("{bed}: {end}{}", if *never_soft { "; its capacity counts as 0" } else { "" })
            }
        }
    }
}

/// A bed that nothing holds, for what an upflow does to it.
fn unblocked(units: In, bead_diameter_mm: f64, wet_density_kg_per_m3: f64, lifts_from_m_per_h: f64) -> String {
    format!(
        "an unblocked bed of {} beads of {} (lifts from {} on)",
        units.diameter(bead_diameter_mm),
        units.density(wet_density_kg_per_m3),
        units.velocity(lifts_from_m_per_h)
    )
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
    use crate::cycle::outcome::SearchEnd;
    use crate::inputs::activity::ActivityLaw;
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
    fn a_note_is_said_in_the_units_of_the_reader() {
        let step = StepName::Brine;
        let lifted = Note::Lifted {
            step,
            velocity_m_per_h: 2.7,
            lifts_from_m_per_h: 1.0,
            bead_diameter_mm: 0.6,
            wet_density_kg_per_m3: 1210.0,
        };
        let fingers = Note::Fingers {
            step,
            velocity_m_per_h: 2.7,
            upward: true,
            stable_above_m_per_h: Some(9.0),
            stable_below_m_per_h: None,
        };
        let end = SearchEnd::NeverSoft { cycles: 2, soft_from_dose_g_per_l: Some(96.0) };
        for (note, metric, us) in [
            (
                lifted,
                "brine: 2.70 m/h upward lifts an unblocked bed of 0.60 mm beads of 1210 kg/m3 (lifts from 1.00 m/h on)",
                "brine: 1.10 gpm/ft2 upward lifts an unblocked bed of 0.60 mm beads of 75.5 lb/ft3 (lifts from 0.409 gpm/ft2 on)",
            ),
            (
                fingers,
                "brine: the liquid may run ahead in fingers: 2.70 m/h upward, where a front is stable only above 9.00 m/h",
                "brine: the liquid may run ahead in fingers: 1.10 gpm/ft2 upward, where a front is stable only above 3.68 gpm/ft2",
            ),
            (
                Note::SaltIsNotTheDose { salt_g_per_l: 80.0, dose_g_per_l: 96.0 },
                "recipe: its brine steps use 80.0 g of salt per litre of resin, regeneration.dose_g_per_l says 96",
                "recipe: its brine steps use 4.99 lb of salt per ft3 of resin, regeneration.dose says 5.99 lb/ft3",
            ),
            (
                Note::ActivityTemperature { law: ActivityLaw::Pitzer, parameters_c: 25.0, water_c: 15.0 },
                "activity: the parameters of pitzer stand at 25 C, the water is at 15 C",
                "activity: the parameters of pitzer stand at 77 F, the water is at 59 F",
            ),
            (
                Note::ShareBlurred { effect: "film", share_g_per_l: 32.036_926, error_g_per_l: 1.601_846, cells: 20 },
                "the share of film, 32.04 g/L, may be off by 1.60 on 20 cells: more cells tell it better",
                "the share of film, 2.00 lb/ft3, may be off by 0.100 on 20 cells: more cells tell it better",
            ),
            (
                Note::MeterSetAside { volume_bv: 63.828, limit_mg_per_l_caco3: 17.118_061_045_270_945 },
                "the meter's 63.8 bed volumes are set aside: they would fix what is removed, whatever the bed; every run goes on to 17.118 mg/L as CaCO3",
                "the meter's 63.8 bed volumes are set aside: they would fix what is removed, whatever the bed; every run goes on to 17.118 mg/L as CaCO3",
            ),
            (
                Note::DispersionAtRest { step, dispersion_m2_per_s: 1e-6, spread_m: 0.5 },
                "brine: the dispersion given, 1.0e-6 m2/s, acts at rest too and spreads the liquid by 0.50 m; a correlated one is 0 there",
                "brine: the dispersion given, 1.1e-5 ft2/s, acts at rest too and spreads the liquid by 19.7 in; a correlated one is 0 there",
            ),
            (
                Note::BedWithEffects { effects: vec![], search_end: end, never_soft: false },
                "the ideal bed: never soft: the effluent was above the limit after one void volume of service (cycle 2); with 96 g of salt per litre of resin it would",
                "the ideal bed: never soft: the effluent was above the limit after one void volume of service (cycle 2); with 5.99 lb of salt per ft3 of resin it would",
            ),
        ] {
            assert_eq!(note.in_words(DisplayUnits::Metric), metric);
            assert_eq!(note.in_words(DisplayUnits::Us), us);
            // One system a sentence: both is what tables show.
            assert_eq!((note.in_words(DisplayUnits::Both), note.to_string()), (metric.to_string(), metric.to_string()));
        }
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
        let us = Note::fouling(Ion::FE, 1e-3 / Ion::FE.g_per_eq(), 5e-3).unwrap().in_words(DisplayUnits::Us);
        assert!(us.contains("practice sizes by 2.00 to 5.00 gr/gal as CaCO3 more than the 14.6 of the feed"), "{us}");
        assert!(Note::fouling(Ion::CA, 1e-3, 5e-3).is_none() && Note::fouling(Ion::MN, 0.0, 5e-3).is_none());
    }
}
