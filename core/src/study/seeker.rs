//! Runs and doses that are sought: the longest metered run that a dose holds, and the least dose that holds a run.
//!
//! What holds over a run is taken to hold over every shorter one, and with every larger dose: after a shorter run, or with
//! more salt, the bed begins cleaner and leaks less. Where its first water leaks most that is not so, and longer runs are
//! looked at as well. Bisection then finds the edge, on a coarse grid first, where a cycle
//! costs a tenth, and from there on the grid of the case. Each cycle begins from the steady one before it.

use crate::cycle::Watch;
use crate::cycle::steady::{NEAR, Settled, coarser, settle, settle_nearly};
use crate::cycle::warm_start::WarmStart;
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::service::longest_run_bv;
use crate::plan::steps::StopReason;
use crate::report::comparison::LeakageTarget;
use crate::report::read::Cycle;

/// A run below this share of a usual one is short.
const SHORT: f64 = 0.5;
/// Runs that are tried where none was found from the guess down, or a short one, the longest first: closest to each other
/// there, down to a third of it.
const LONGER_RUNS: u32 = 11;

/// Shortest run that is tried, as long as it is more than its regeneration sends to the drain \[bed volumes\].
const SHORTEST_RUN_BV: f64 = 1.0;
/// Edges are found to this share on the coarse grid, ...
const NEARLY: f64 = 0.02;
/// ... and on that of the case.
const CLOSELY: f64 = 5e-3;
/// Steps of that from an edge inwards, before it counts as none.
const MOST_STEPS_INWARDS: usize = 12;
/// A first step away from a guess that is rough, ...
const WIDE: f64 = 1.1;
/// ... and from one that another grid found.
const NARROW: f64 = 1.02;

/// What became of a bed at a dose and a run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Verdict {
    /// It settles, and meets what it is held to.
    Holds,
    /// It settles, and leaks more than it may.
    Leaks,
    /// Its effluent reaches the limit of the case before the end of the run.
    ReachesLimit,
    /// It has no steady cycle, or none that was found.
    Unsettled,
}

/// An edge: the last value that holds, and what became of the bed beyond it; none if the range ends there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edge {
    pub value: f64,
    pub beyond: Option<Verdict>,
}

impl Edge {
    /// Does a run leak too much long before one that is usual would be over? Then longer ones may leak less.
    pub fn is_short_of(&self, usual_bv: f64) -> bool {
        self.beyond == Some(Verdict::Leaks) && self.value < SHORT * usual_bv
    }
}

/// The run of a bed that gives two thirds of what salt and resin allow, as most do \[bed volumes\].
fn usual_run_bv(plan: &CyclePlan) -> f64 {
    let waters = &plan.model.waters;
    let salt = plan.dose_g_per_l / waters.salt.g_per_eq();
    0.67 * salt.min(plan.model.capacity) / waters.feed_hardness
}

/// Which grid a cycle is run on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Grid {
    Coarse,
    OfCase,
}

/// A bed that is tried with one run and dose after another.
pub(super) struct Seeker<'a> {
    case: &'a Case,
    target: Option<LeakageTarget>,
    watch: &'a Watch<'a>,
    /// Where the next search on each grid begins.
    warm: [Option<WarmStart>; 2],
    /// What all of it cost.
    pub effort: Effort,
}

impl<'a> Seeker<'a> {
    /// A bed on a grid that is given, held to a leakage, or to its limit alone.
    pub fn new(case: &'a Case, target: Option<LeakageTarget>, watch: &'a Watch<'a>) -> Self {
        Self { case, target, watch, warm: [None, None], effort: Effort::default() }
    }

    /// The case at a dose, metered at a run, or with the end of service that it has.
    pub fn at(&self, dose_g_per_l: f64, run_bv: Option<f64>) -> Case {
        let mut case = self.case.clone();
        case.regeneration.dose_g_per_l = dose_g_per_l;
        if run_bv.is_some() {
            case.service.volume_bv = run_bv;
        }
        case
    }

    /// The run that a dose would usually have \[bed volumes\].
    pub fn usual_run_bv(&self, dose_g_per_l: f64) -> Result<f64> {
        Ok(usual_run_bv(&CyclePlan::new(&self.at(dose_g_per_l, Some(SHORTEST_RUN_BV)))?))
    }

    /// The longest metered run that a dose holds \[bed volumes\]; none if not even the shortest one holds. It is sought on
    /// a coarse grid alone if that is near enough.
    pub fn longest_run(&mut self, dose_g_per_l: f64, guess_bv: Option<f64>, near_enough: bool) -> Result<Option<Edge>> {
        let plan = CyclePlan::new(&self.at(dose_g_per_l, Some(SHORTEST_RUN_BV)))?;
        let waters = &plan.model.waters;
        let most = longest_run_bv(plan.model.capacity, waters.feed_hardness);
        let most =
            self.case.service.volume_bv.filter(|_| self.target.is_none()).map_or(most, |metered| metered.min(most));
        // A run that softens less water than its regeneration takes is of no use.
        let shortest = plan.regeneration.iter().map(|step| step.most_bv).sum::<f64>().max(SHORTEST_RUN_BV);
        let range = (shortest.min(most), most);
        let usual = usual_run_bv(&plan);
        let rough = guess_bv.unwrap_or(usual);
        let mut coarsely = |run| self.try_at(dose_g_per_l, Some(run), Grid::Coarse);
        let mut near = largest(range, (rough, WIDE), NEARLY, &mut coarsely)?;
        // After a hard rinse the first water leaks most: a longer run may hold where a short one does not. Its mean falls with
        // the run until the limit is near, so the longest that stays within it is looked for, and from there down.
        if near.is_none_or(|edge| edge.is_short_of(usual)) {
            let reached = near.map_or(0.0, |edge| edge.value);
            let within_limit = largest(range, (usual, WIDE), NEARLY, |run| {
                coarsely(run).map(|found| if found == Verdict::Leaks { Verdict::Holds } else { found })
            })?;
            let longest = within_limit.map_or(range.1, |edge| edge.value);
            for k in 0..LONGER_RUNS {
                let run = longest / (1.0 + NEARLY * f64::from(k * k));
                if run <= reached.max(range.0) * WIDE {
                    break;
                }
                if coarsely(run)? == Verdict::Holds {
                    near = largest((run, range.1), (run, NARROW), NEARLY, &mut coarsely)?;
                    break;
                }
            }
        }
        if near_enough {
            return Ok(near);
        }
        // A coarse grid that never holds may be too coarse to tell.
        let guess = near.map_or(range.0, |edge| edge.value);
        let close = largest(range, (guess, NARROW), CLOSELY, |run| self.try_at(dose_g_per_l, Some(run), Grid::OfCase))?;
        self.confirmed(close, range.0, |run| (dose_g_per_l, Some(run)))
    }

    /// The least dose in a range \[g/L\] that holds a run, or the end of service that the case has; none if none does.
    pub fn least_dose(&mut self, run_bv: Option<f64>, (least, most): (f64, f64)) -> Result<Option<Edge>> {
        // The largest of the inverse.
        let range = (1.0 / most, 1.0 / least);
        let given = self.case.regeneration.dose_g_per_l.clamp(least, most);
        let near =
            largest(range, (1.0 / given, WIDE), NEARLY, |inverse| self.try_at(1.0 / inverse, run_bv, Grid::Coarse))?;
        let guess = near.map_or(range.0, |edge| edge.value);
        let close =
            largest(range, (guess, NARROW), CLOSELY, |inverse| self.try_at(1.0 / inverse, run_bv, Grid::OfCase))?;
        let close = self.confirmed(close, range.0, |inverse| (1.0 / inverse, run_bv))?;
        Ok(close.map(|edge| Edge { value: 1.0 / edge.value, ..edge }))
    }

    /// An edge that a search from new resin comes to as well. So near to the limit one can pass it on its way, where one
    /// from the steady bed of a shorter run does not: then the next value inwards that it does come to.
    fn confirmed(
        &mut self,
        found: Option<Edge>,
        least: f64,
        at: impl Fn(f64) -> (f64, Option<f64>),
    ) -> Result<Option<Edge>> {
        let Some(edge) = found else { return Ok(None) };
        let mut value = edge.value;
        for _ in 0..MOST_STEPS_INWARDS {
            self.warm[Grid::OfCase as usize] = None;
            let (dose_g_per_l, run_bv) = at(value);
            if self.try_at(dose_g_per_l, run_bv, Grid::OfCase)? == Verdict::Holds {
                return Ok(Some(Edge { value, ..edge }));
            }
            value = (value / (1.0 + CLOSELY)).max(least);
        }
        Ok(None)
    }

    fn try_at(&mut self, dose_g_per_l: f64, run_bv: Option<f64>, grid: Grid) -> Result<Verdict> {
        let plan = CyclePlan::new(&self.at(dose_g_per_l, run_bv))?;
        let from = self.warm[grid as usize].as_ref();
        let found = match grid {
            Grid::Coarse => settle_nearly(&coarser(&plan).unwrap_or(plan), from, self.watch),
            Grid::OfCase => settle(&plan, from, self.watch),
        };
        match found {
            Err(Error::Interrupted) => Err(Error::Interrupted),
            // A bed that the solver cannot carry through holds nothing.
            Err(_) => Ok(Verdict::Unsettled),
            Ok(found) => {
                self.effort.add(&found.settling.effort);
                let enough = if grid == Grid::Coarse { NEAR } else { 0.0 };
                let verdict = self.judged(&found, run_bv.is_some(), enough);
                if matches!(verdict, Verdict::Holds | Verdict::Leaks) {
                    self.warm[grid as usize] = Some(found.warm_start);
                }
                Ok(verdict)
            }
        }
    }

    fn judged(&self, found: &Settled, metered: bool, enough: f64) -> Verdict {
        let key = Cycle::new(&found.plan, &found.history, &found.settling).key_figures();
        if key.never_soft || (metered && key.stop_reason == StopReason::LeakageLimit) {
            return Verdict::ReachesLimit;
        }
        if !found.settling.settled && found.settling.residual > enough {
            return Verdict::Unsettled;
        }
        // Before the limit is armed the effluent may be above it: the water of a run must be within it all the same.
        let limit = self.case.service.limit_mg_per_l_caco3.unwrap_or(f64::INFINITY);
        if metered && key.leakage_mean_mg_per_l_caco3 > limit {
            return Verdict::ReachesLimit;
        }
        match self.target {
            Some(target) if target.found_in(&key) > target.mg_per_l_caco3 => Verdict::Leaks,
            _ => Verdict::Holds,
        }
    }
}

/// The largest value of a range that holds, found to a share from a guess and a first step away from it.
fn largest(
    (least, most): (f64, f64),
    (guess, first_step): (f64, f64),
    share: f64,
    mut verdict: impl FnMut(f64) -> Result<Verdict>,
) -> Result<Option<Edge>> {
    let (mut low, mut high): (Option<f64>, Option<(f64, Verdict)>) = (None, None);
    let (mut at, mut step) = (guess.clamp(least, most), first_step);
    loop {
        match verdict(at)? {
            Verdict::Holds if at >= most => return Ok(Some(Edge { value: at, beyond: None })),
            Verdict::Holds => low = Some(at),
            _ if at <= least => return Ok(None),
            other => high = Some((at, other)),
        }
        at = match (low, high) {
            (Some(low), Some((high, beyond))) => {
                if high / low <= 1.0 + share {
                    return Ok(Some(Edge { value: low, beyond: Some(beyond) }));
                }
                (low * high).sqrt()
            }
            (Some(low), None) => (low * step).min(most),
            (None, Some((high, _))) => (high / step).max(least),
            (None, None) => return Ok(None),
        };
        step *= step;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_edge_is_found_from_any_guess() {
        for guess in [1.0, 30.0, 99.0, 100.0, 400.0, 1e9] {
            let mut tries = 0;
            let edge = largest((1.0, 1000.0), (guess, NARROW), 1e-3, |x| {
                tries += 1;
                Ok(if x <= 100.0 { Verdict::Holds } else { Verdict::Leaks })
            });
            let edge = edge.unwrap().unwrap();
            assert!(edge.value <= 100.0 && edge.value > 99.9 && edge.beyond == Some(Verdict::Leaks), "{edge:?}");
            assert!(tries < 25, "{tries} tries from {guess}");
        }
        let all = largest((1.0, 10.0), (3.0, WIDE), 1e-3, |_| Ok(Verdict::Holds)).unwrap();
        assert_eq!(all, Some(Edge { value: 10.0, beyond: None }));
        assert_eq!(largest((1.0, 10.0), (3.0, WIDE), 1e-3, |_| Ok(Verdict::Unsettled)).unwrap(), None);
    }
}
