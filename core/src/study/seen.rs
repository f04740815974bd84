//! Two cycles or runs of one case, compared.
//!
//! Two curves can meet by chance where a figure is read off them. So a mean leakage is no nearer than its two curves are in
//! the mean, a leakage at one place no nearer than they are around it.

use crate::cycle::run::RunHistory;
use crate::inputs::ion::Ion;
use crate::plan::run_plan::RunPlan;
use crate::report::apart::{Apart, RunApart};
use crate::report::figures::LEAST_LEAKAGE_MG_PER_L_CACO3;
use crate::report::read::{self, Cycle, KeyFigures};
use crate::report::tables::{Curve, Profiles};
use crate::report::{CycleReport, RunReport};
use crate::units::convert::eq_per_l_to_mg_per_l_caco3;

/// Places along a run, along the waste and along the bed at which two are compared.
const PLACES: usize = 200;
/// Places in the first bed volume.
const PLACES_FIRST: usize = 8;
/// An ion of which less than this share of the whole has left does not count.
const LEAST_SHARE: f64 = 1e-3;
/// Share of its highest concentration above which an ion peaks.
const OF_PEAK: f64 = 0.98;
/// Half the run, for a leakage that is read off there, as shares of it.
const AROUND_HALF: std::ops::Range<f64> = 0.4..0.6;

/// What a cycle is compared by.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    pub key: KeyFigures,
    /// Leakage at equal shares of the run \[mg/L as CaCO3\], ...
    leakage: Vec<f64>,
    /// ... and in the first bed volume.
    first: Vec<f64>,
    /// Hardness of the waste at equal shares of its volume \[eq/L\].
    waste: Vec<f64>,
    /// Hardness on the resin after each step at equal depths, as a share of capacity.
    loading: Vec<Vec<f64>>,
}

impl Seen {
    pub fn of(cycle: &Cycle<'_>) -> Self {
        let parts = (&cycle.leakage(), &cycle.waste_curve(), &cycle.profiles());
        Self::new(cycle.key_figures(), parts, &cycle.hardness_ions())
    }

    pub fn of_report(cycle: &CycleReport) -> Self {
        let parts = (&cycle.leakage, &cycle.waste_curve, &cycle.profiles);
        Self::new(KeyFigures::of(&cycle.figures), parts, &cycle.case.hardness_ions)
    }

    fn new(key: KeyFigures, (leakage, waste, profiles): (&Curve, &Curve, &Profiles), hardness: &[Ion]) -> Self {
        let along = |curve: &Curve, end: f64, places: usize| -> Vec<f64> {
            let columns = columns(&curve.ions, hardness);
            let at = |place| columns.iter().map(|ion| curve.at(end * middle(place, places), *ion)).sum();
            (0..places).map(at).collect()
        };
        let caco3 = |values: Vec<f64>| values.into_iter().map(eq_per_l_to_mg_per_l_caco3).collect();
        let end = |curve: &Curve| curve.bv.last().copied().unwrap_or(0.0);
        Self {
            key,
            leakage: caco3(along(leakage, end(leakage), PLACES)),
            first: caco3(along(leakage, end(leakage).min(1.0), PLACES_FIRST)),
            waste: along(waste, end(waste), PLACES),
            loading: loading(profiles, hardness),
        }
    }

    /// How far another is from this one.
    pub fn apart_from(&self, other: &Self) -> Apart {
        let (a, b) = (&self.key, &other.key);
        let share = |pick: fn(&KeyFigures) -> f64| (pick(a) - pick(b)).abs() / pick(a).abs().max(f64::MIN_POSITIVE);
        let leakage = |pick: fn(&KeyFigures) -> f64, curves: f64| {
            (pick(a) - pick(b)).abs().max(curves) / pick(a).abs().max(LEAST_LEAKAGE_MG_PER_L_CACO3)
        };
        let around = |places: std::ops::Range<f64>| {
            let within = (0..PLACES).filter(|place| places.contains(&middle(*place, PLACES)));
            // Where the leakage rises tenfold over those places, what counts is still a share of it.
            let apart = |place: usize| {
                let (a, b) = (self.leakage[place], other.leakage[place]);
                (a - b).abs() / a.max(LEAST_LEAKAGE_MG_PER_L_CACO3)
            };
            within.map(apart).fold(0.0, f64::max)
        };
        let (half_run, first) = (around(AROUND_HALF), most_apart(&self.first, &other.first));
        Apart {
            run_length: share(|key| key.run_length_bv),
            capacity: share(|key| key.capacity_eq_per_l),
            leakage_mean: leakage(|key| key.leakage_mean_mg_per_l_caco3, mean_apart(&self.leakage, &other.leakage)),
            leakage_half_run: leakage(|key| key.leakage_half_run_mg_per_l_caco3, 0.0).max(half_run),
            leakage_initial: leakage(|key| key.leakage_initial_mg_per_l_caco3, first),
            leakage_minimum: leakage(|key| key.leakage_minimum_mg_per_l_caco3, 0.0).max(half_run),
            leakage_maximum: leakage(|key| key.leakage_maximum_mg_per_l_caco3, first),
            leakage_end: leakage(|key| key.leakage_end_mg_per_l_caco3, 0.0),
            waste_curve: mean_apart(&self.waste, &other.waste) / mean(&self.waste).max(f64::MIN_POSITIVE),
            profiles: self.loading.iter().zip(&other.loading).map(|(a, b)| mean_apart(a, b)).fold(0.0, f64::max),
        }
    }
}

impl CycleReport {
    /// How far the figures, curves and profiles of another cycle of the same case are from these: one on another grid, with
    /// another tolerance, by another law.
    pub fn apart_from(&self, other: &Self) -> Apart {
        Seen::of_report(self).apart_from(&Seen::of_report(other))
    }
}

/// What a single run is compared by.
#[derive(Debug, Clone)]
pub(super) struct RunSeen {
    /// Each ion at equal shares of the run \[eq/L\].
    effluent: Vec<Vec<f64>>,
    /// Throughput at which each ion peaks \[BV\].
    peak_bv: Vec<f64>,
    /// Each ion on the resin at equal depths, as a share of capacity.
    loading: Vec<Vec<f64>>,
}

impl RunSeen {
    pub fn of(plan: &RunPlan, history: &RunHistory) -> Self {
        Self::new(&read::effluent(plan, history), &read::loading(plan, history))
    }

    fn new(effluent: &Curve, profiles: &Profiles) -> Self {
        let end = effluent.bv.last().copied().unwrap_or(0.0);
        let along = |ion: usize| (0..PLACES).map(|place| effluent.at(end * middle(place, PLACES), ion)).collect();
        Self {
            effluent: (0..effluent.ions.len()).map(along).collect(),
            peak_bv: (0..effluent.ions.len()).map(|ion| peak_bv(effluent, ion)).collect(),
            loading: profiles.ions.iter().flat_map(|ion| loading(profiles, &[*ion])).collect(),
        }
    }

    /// How far another is from this one.
    pub fn apart_from(&self, other: &Self) -> RunApart {
        let most: f64 = self.effluent.iter().map(|ion| mean(ion)).sum();
        let effluents = self.effluent.iter().zip(&other.effluent);
        let counts = |ion: &[f64]| mean(ion) > LEAST_SHARE * most;
        let peaks = self.peak_bv.iter().zip(&other.peak_bv).zip(&self.effluent);
        RunApart {
            effluent: effluents
                .map(|(a, b)| mean_apart(a, b) / mean(a).max(LEAST_SHARE * most).max(f64::MIN_POSITIVE))
                .fold(0.0, f64::max),
            peak: peaks
                .filter(|((a, _), ion)| **a > 0.0 && counts(ion))
                .map(|((a, b), _)| (a - b).abs() / a)
                .fold(0.0, f64::max),
            loading: self.loading.iter().zip(&other.loading).map(|(a, b)| mean_apart(a, b)).fold(0.0, f64::max),
        }
    }
}

impl RunReport {
    /// How far effluent and loading of another run of the same kind are from these.
    pub fn apart_from(&self, other: &Self) -> RunApart {
        let seen = |run: &Self| RunSeen::new(&run.effluent, &run.loading);
        seen(self).apart_from(&seen(other))
    }
}

/// The middle of one of so many equal parts, as a share of the whole.
fn middle(place: usize, places: usize) -> f64 {
    (place as f64 + 0.5) / places as f64
}

fn columns(ions: &[Ion], hardness: &[Ion]) -> Vec<usize> {
    ions.iter().enumerate().filter(|(_, ion)| hardness.contains(ion)).map(|(column, _)| column).collect()
}

/// Hardness on the resin after each step, at equal depths.
fn loading(profiles: &Profiles, hardness: &[Ion]) -> Vec<Vec<f64>> {
    let Profiles { depth_m, height_m, loading_eq_per_l: all, .. } = profiles;
    let (columns, ions) = (columns(&profiles.ions, hardness), profiles.ions.len());
    let depth: f64 = height_m.iter().sum();
    let after = |step: usize| {
        let share = |cell: usize| {
            let capacity: f64 = (0..ions).map(|ion| all[(step, cell, ion)]).sum();
            columns.iter().map(|ion| all[(step, cell, *ion)]).sum::<f64>() / capacity
        };
        let shares: Vec<f64> = (0..depth_m.len()).map(share).collect();
        (0..PLACES).map(|place| between(depth_m, &shares, depth * middle(place, PLACES))).collect()
    };
    (0..profiles.steps.len()).map(after).collect()
}

/// The middle of what leaves of an ion above [`OF_PEAK`] of its highest concentration \[BV\]: where it peaks, and of a plateau
/// its middle.
fn peak_bv(effluent: &Curve, ion: usize) -> f64 {
    let column = effluent.eq_per_l.column(ion);
    let above = OF_PEAK * column.iter().copied().fold(0.0, f64::max);
    let (mut amount, mut moment) = (0.0, 0.0);
    for after in 1..column.len() {
        let (from, to) = (effluent.bv[after - 1], effluent.bv[after]);
        let excess = [column[after - 1] - above, column[after] - above].map(|c| c.max(0.0) * 0.5 * (to - from));
        amount += excess[0] + excess[1];
        moment += excess[0] * from + excess[1] * to;
    }
    if amount > 0.0 { moment / amount } else { 0.0 }
}

/// A value on the line through those at some places; beyond them that of the nearest.
fn between(places: &[f64], values: &[f64], at: f64) -> f64 {
    let after = places.partition_point(|place| *place < at);
    match after.checked_sub(1) {
        Some(before) if after < places.len() => {
            let share = (at - places[before]) / (places[after] - places[before]);
            values[before] + share * (values[after] - values[before])
        }
        Some(before) => values[before],
        None => values.first().copied().unwrap_or(0.0),
    }
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len().max(1) as f64
}

fn mean_apart(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum::<f64>() / a.len().max(1) as f64
}

fn most_apart(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}
