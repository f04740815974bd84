//! Spent regenerant kept for the next regeneration.
//!
//! What leaves from one throughput to another, counted since the first brine of any kind enters, goes to a tank instead of
//! to the drain. It is one mixed liquid there, all of which enters before the next regeneration's own brine, at that
//! brine's flow and in its direction; the dose stays the salt that is bought. Before the first regeneration the tank is
//! full of fresh brine. Viscosity and film are taken as those of the fresh brine.

use crate::bed::model::Model;
use crate::cycle::history::StepHistory;
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::inputs::recipe::{Step, StepEnd, StepName};
use crate::units::convert::bv_at_bv_per_h_to_s;

/// What is kept of a regeneration, and how far it has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reclaim<const N: usize> {
    from_bv: f64,
    to_bv: f64,
    /// Throughput since the first brine; none before it.
    passed_bv: Option<f64>,
    /// Kept so far \[eq per litre of bed\].
    kept: [f64; N],
}

/// Volume that a case keeps \[bed volumes\]; 0 for none.
pub fn volume_bv(case: &Case) -> f64 {
    case.regeneration.reclaims_bv().map_or(0.0, |(from, to)| to - from)
}

/// A tank full of fresh brine \[eq per litre of bed\], if the case keeps anything.
pub(super) fn full_of_brine<const N: usize>(case: &Case, model: &Model) -> Option<[f64; N]> {
    let fresh: [f64; N] = model.cations_of(&model.brine);
    case.regeneration.reclaims_bv().map(|(from, to)| fresh.map(|c| c * (to - from)))
}

/// Put the kept liquid before the first brine of a regeneration.
///
/// # Errors
/// [`Error::Value`] if the steps do not let that much through between two backwashes, or end on what leaves before.
pub(super) fn with_reclaimed(case: &Case, mut steps: Vec<Step>) -> Result<Vec<Step>> {
    let Some((_, to_bv)) = case.regeneration.reclaims_bv() else {
        return Ok(steps);
    };
    let Some(place) = steps.iter().position(|step| step.name == StepName::Brine) else {
        return Ok(steps);
    };
    let end = StepEnd::VolumeBv(volume_bv(case));
    steps.insert(place, Step { name: StepName::ReclaimedBrine, end, ..steps[place] });
    let counted = steps[place..].iter().take_while(|step| {
        step.name != StepName::Backwash && matches!(step.end, StepEnd::VolumeBv(_) | StepEnd::TimeMin(_))
    });
    let most_bv: f64 = counted.map(|step| step.end.most_bv(step.flow_bv_per_h)).sum();
    if to_bv > most_bv * (1.0 + 1e-12) {
        return Err(Error::value(
            "regeneration.reclaim_to_bv",
            to_bv,
            format!(
                "must be at most {most_bv:.4} BV: what the steps from the first brine on let through, as far as they end on a volume or a time"
            ),
        ));
    }
    Ok(steps)
}

impl<const N: usize> Reclaim<N> {
    /// Nothing kept yet; none if the case keeps nothing.
    pub fn of(case: &Case) -> Option<Self> {
        let (from_bv, to_bv) = case.regeneration.reclaims_bv()?;
        Some(Self { from_bv, to_bv, passed_bv: None, kept: [0.0; N] })
    }

    /// Times at which a step has to be cut \[s since it begins\].
    pub fn cuts_s(&mut self, step: &Step) -> Vec<f64> {
        if matches!(step.name, StepName::Brine | StepName::ReclaimedBrine) {
            self.passed_bv.get_or_insert(0.0);
        }
        let Some(passed) = self.passed_bv.filter(|_| step.flow_bv_per_h > 0.0) else {
            return Vec::new();
        };
        let cuts = [self.from_bv, self.to_bv].into_iter().filter(|at| *at > passed);
        cuts.map(|at| bv_at_bv_per_h_to_s(at - passed, step.flow_bv_per_h)).collect()
    }

    /// Count what left in the parts of a step.
    pub fn count(&mut self, parts: &[StepHistory]) {
        let Some(mut passed) = self.passed_bv else { return };
        for part in parts {
            let middle = passed + 0.5 * part.volume_bv;
            if part.volume_bv > 0.0 && self.from_bv < middle && middle < self.to_bv {
                for (kept, left) in self.kept.iter_mut().zip(&part.left) {
                    *kept += left;
                }
            }
            passed += part.volume_bv;
        }
        self.passed_bv = Some(passed);
    }

    /// Everything kept \[eq per litre of bed\].
    pub fn kept(&self) -> [f64; N] {
        self.kept
    }
}
