//! Gypsum in what leaves a bed between two service runs: how near to saturation, sample by sample.
//!
//! The law, its source and its cautions: [`crate::laws::scaling`]. Every water of a recipe holds the feed's anions, and so
//! does what leaves: sulfate is the feed's whether brine is made with hard or with soft water, and chloride is what the
//! normality leaves. Activity coefficients and solubility product are those of 25 C.
//!
//! An ion without Pitzer parameters is taken as one that has them (nitrate as chloride, ammonium as potassium, strontium
//! and barium as calcium, iron and manganese as magnesium), in the activity coefficients alone: calcium is calcium.
//!
//! # A caution
//!
//! Above saturation gypsum may precipitate; kinetics decide whether it does so in the bed or in the drain. Spent brine is
//! gone from a bed within the hour, and may well cross the line after it has left.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::cycle::history::StepHistory;
use crate::error::Result;
use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::StepName;
use crate::laws::activity::{Activity, ActivityLaw};
use crate::laws::molality::molality_from_equivalents;
use crate::laws::scaling::gypsum_saturation_index;
use crate::plan::model::Model;
use crate::report::note::Note;
use crate::report::wording::as_words::{step_in_words, steps_in_words};

/// Symbols of ions without parameters and of those whose parameters they take.
const STAND_INS: [(&str, &str); 6] =
    [("NO3", "Cl"), ("NH4", "K"), ("Sr", "Ca"), ("Ba", "Ca"), ("Fe", "Mg"), ("Mn", "Mg")];
/// Hydrogen has no parameters with hydrogen carbonate, beside which it is never more than a trace.
const HYDROGEN_WITH_HYDROGEN_CARBONATE: (&str, &str) = ("H", "Na");

/// Saturation with gypsum against throughput.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Gypsum {
    /// Throughput since the first step \[bed volumes\]; shape (samples).
    pub bv: Vec<f64>,
    /// Name of the step of each sample; shape (samples).
    #[serde(serialize_with = "steps_in_words")]
    pub step: Vec<StepName>,
    /// Saturation index of gypsum: 0 at saturation; minus infinity without calcium or sulfate; shape (samples).
    pub index: Vec<f64>,
    /// Ions that were taken as others in the activity coefficients.
    pub stand_ins: Vec<(Ion, Ion)>,
    /// Where it is highest; none if nothing left.
    pub highest: Option<Highest>,
}

/// Where what leaves is nearest to saturation, or farthest beyond it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Highest {
    /// Throughput since the first step \[bed volumes\].
    pub bv: f64,
    /// The step.
    #[serde(serialize_with = "step_in_words")]
    pub step: StepName,
    /// Saturation index.
    #[serde(rename = "saturation_index")]
    pub index: f64,
    /// Ion activity product over the solubility product: ten to the index.
    #[serde(rename = "saturation_ratio")]
    pub ratio: f64,
}

impl Highest {
    /// A note, if the waste is beyond saturation.
    pub fn note(&self) -> Option<Note> {
        let Self { bv, step, index, ratio } = *self;
        (index > 0.0).then_some(Note::GypsumSupersaturated { step, bv, index, ratio })
    }
}

/// Ten to an index: activity product over solubility product.
pub fn saturation_ratio(index: f64) -> f64 {
    10f64.powf(index)
}

/// Saturation along the samples of steps in a row.
///
/// # Errors
/// [`crate::Error::Value`] for an ion without parameters.
pub fn along(model: &Model, steps: &[StepHistory]) -> Result<Gypsum> {
    let mut ions = model.ions.clone();
    ions.extend(model.waters.feed.eq_per_l.keys().copied().filter(|ion| !ion.is_cation()));
    ions.extend([Ion::CA, Ion::CL, Ion::SO4]);
    ions.sort_unstable();
    ions.dedup();
    let stand_ins = stand_ins(&ions)?;
    let activity = Activity::new(ActivityLaw::Pitzer, &ions, &stand_ins)?;
    let mut found = Gypsum {
        bv: Vec::new(),
        step: Vec::new(),
        index: Vec::new(),
        stand_ins: stand_ins.into_iter().collect(),
        highest: None,
    };
    let mut passed = 0.0;
    for step in steps {
        for (bv, cations) in step.sample_bv.iter().zip(step.sample_eq_per_l.chunks_exact(model.ions.len())) {
            let normality: f64 = cations.iter().sum();
            let held = |ion: &Ion| match model.ions.iter().position(|cation| cation == ion) {
                Some(place) => cations[place],
                None if *ion == Ion::CL => model.waters.chloride_eq_per_l(normality),
                None if ion.is_cation() => 0.0,
                None => model.waters.feed.of(*ion),
            };
            let eq_per_l: Vec<f64> = ions.iter().map(held).collect();
            let molality = molality_from_equivalents(&ions, &eq_per_l, model.waters.temperature_k);
            let index = gypsum_saturation_index(&activity, &molality)?;
            let here = Highest { bv: passed + bv, step: step.name, index, ratio: saturation_ratio(index) };
            found.bv.push(here.bv);
            found.step.push(here.step);
            found.index.push(index);
            if found.highest.is_none_or(|highest| index > highest.index) {
                found.highest = Some(here);
            }
        }
        passed += step.volume_bv;
    }
    Ok(found)
}

/// The ions that are taken as others.
fn stand_ins(ions: &[Ion]) -> Result<BTreeMap<Ion, Ion>> {
    let hydrogen = ions.contains(&Ion::HCO3).then_some(HYDROGEN_WITH_HYDROGEN_CARBONATE);
    let named = STAND_INS
        .into_iter()
        .chain(hydrogen)
        .map(|(ion, as_ion)| Ok((Ion::parse("gypsum", ion)?, Ion::parse("gypsum", as_ion)?)));
    let all = named.collect::<Result<BTreeMap<_, _>>>()?;
    Ok(all.into_iter().filter(|(ion, _)| ions.contains(ion)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::case::Case;
    use crate::inputs::recipe_steps::StepName;
    use crate::inputs::scenario::default_case;
    use crate::laws::molality::equivalents_from_molality;
    use crate::laws::scaling::gypsum_solubility;
    use crate::numerics::effort::Effort;
    use crate::plan::resolved_steps::{StepDirection, StepWater};
    use crate::plan::steps::StopReason;

    /// A step of which one sample has been recorded.
    fn step(sample_eq_per_l: Vec<f64>) -> StepHistory {
        StepHistory {
            name: StepName::Brine,
            water: StepWater::Brine,
            direction: StepDirection::WithService,
            flow_bv_per_h: 3.0,
            duration_s: 60.0,
            volume_bv: 0.5,
            stop: StopReason::Throughput,
            inlet_normality: 1.0,
            time_steps_s: Vec::new(),
            sample_bv: vec![0.5],
            sample_eq_per_l,
            entered: Vec::new(),
            left: Vec::new(),
            loading: Vec::new(),
            liquid: Vec::new(),
            tube_loading: Vec::new(),
            effort: Effort::default(),
        }
    }

    /// A solution of sodium chloride in which gypsum is just dissolved by the law: about 0.055 mol/kg near 2.5 mol/kg
    /// (W. L. Marshall, R. Slusher 1966, J. Phys. Chem. 70, 4015: 0.0540 at 2.02, 0.0560 at 2.87). Carried through the
    /// model's units its index is 0 again.
    #[test]
    fn a_saturated_brine_has_index_0() {
        let mut case = Case { cells: 10.into(), ..default_case() };
        let (ions, sodium) = ([Ion::NA, Ion::MG, Ion::CA, Ion::CL, Ion::SO4], 2.5);
        let gypsum = gypsum_solubility(&BTreeMap::from([(Ion::NA, sodium), (Ion::CL, sodium)])).unwrap();
        assert!((gypsum / 0.055 - 1.0).abs() < 0.06, "{gypsum}");
        let molality = [sodium, 0.0, gypsum, sodium, gypsum];
        let eq_per_l = equivalents_from_molality(&ions, &molality, 298.15).unwrap();
        case.water.temperature_c = 25.0;
        case.water.unit = crate::inputs::water::ConcentrationUnit::MeqPerL;
        let meq = |eq: f64| eq * 1e3;
        case.water.ions =
            [(Ion::NA, meq(eq_per_l[4])), (Ion::MG, 0.1), (Ion::CA, 0.1), (Ion::SO4, meq(eq_per_l[4]))].into();
        let model = Model::new(&case, &[]).unwrap();
        let found = along(&model, &[step(vec![eq_per_l[0], 0.0, eq_per_l[2]])]).unwrap();
        assert!(found.index[0].abs() < 1e-9, "{:?}", found.index);
        let highest = found.highest.unwrap();
        assert_eq!((highest.bv, highest.step), (0.5, StepName::Brine));
        assert!((highest.ratio - 1.0).abs() < 1e-8);
        // Twice the calcium, as chloride, is beyond it, and has a note.
        let beyond = along(&model, &[step(vec![eq_per_l[0], 0.0, 2.0 * eq_per_l[2]])]).unwrap().highest.unwrap();
        assert!(beyond.ratio > 1.5 && beyond.ratio < 2.2, "{beyond:?}");
        assert!(beyond.note().is_some_and(|note| note.to_string().contains("kinetics decide")));
    }

    #[test]
    fn without_sulfate_there_is_no_gypsum() {
        let mut case = Case { cells: 10.into(), ..default_case() };
        case.water.ions.remove(&Ion::SO4);
        let model = Model::new(&case, &[]).unwrap();
        let found = along(&model, &[step(vec![1.0, 0.1, 0.4])]).unwrap();
        assert_eq!(found.index, [f64::NEG_INFINITY]);
        assert_eq!(found.highest.and_then(|highest| highest.note()), None);
    }

    #[test]
    fn ions_without_parameters_have_stand_ins() {
        let case = Case { cells: 10.into(), ..default_case() };
        let mut water = case.water.clone();
        for symbol in ["NO3", "NH4", "Sr", "Ba", "Fe", "Mn", "H"] {
            water.ions.insert(Ion::parse("ion", symbol).unwrap(), 0.5);
        }
        let also: Vec<Ion> = water.ions.keys().copied().filter(|ion| ion.is_cation()).collect();
        let mut case = case
            .with(
                "resin.selectivity",
                serde_json::json!({
                    "K": 1.4, "NH4": 1.3, "H": 0.7, "Mg": 1.66, "Ca": 2.6, "Sr": 3.3, "Ba": 5.0, "Fe": 1.8, "Mn": 1.7
                }),
            )
            .unwrap();
        case.water = water;
        let model = Model::new(&case, &also).unwrap();
        let sample: Vec<f64> = model.ions.iter().map(|ion| if *ion == Ion::NA { 1.0 } else { 0.1 }).collect();
        let found = along(&model, &[step(sample)]).unwrap();
        assert_eq!(found.stand_ins.len(), 7);
        assert!(found.index[0].is_finite());
    }
}
