//! One step of a recipe, marched under error control to its end.

use crate::bed::column::{Refusal, Trial};
use crate::bed::vessel::{Passage, Vessel, VesselState};
use crate::cycle::history::StepHistory;
use crate::cycle::observers::{Observers, Progress, Watch};
use crate::cycle::recorder::Recorder;
use crate::error::{Error, Result};
use crate::numerics::bdf::StepControl;
use crate::numerics::event::Crossing;
use crate::plan::model::Model;
use crate::plan::resolved_steps::StepDirection;
use crate::plan::steps::{End, PlannedStep, StopReason, Watched};

/// First step, as a share of the time in which the liquid crosses a cell, or would fill a stirred space if that is less.
const FIRST_STEP: f64 = 0.05;
/// First step without flow \[s\].
const FIRST_STEP_AT_REST_S: f64 = 0.1;
/// A step refused by the solver is tried again at this share.
const REFUSED_SHRINKAGE: f64 = 0.4;
/// A step below this share of the whole duration is given up.
const SMALLEST_STEP: f64 = 1e-12;
/// An event is located to this share of its level.
const EVENT_ACCURACY: f64 = 1e-9;
/// Trials spent on locating an event.
const EVENT_TRIALS: usize = 30;
/// Steps between two looks at the watcher.
const WATCH_EVERY: u64 = 64;

/// Run a step on a vessel; it is left as the step leaves it.
///
/// `schedule_s` holds the time steps of the same step in a neighbouring cycle, taken again as long as their errors allow.
///
/// # Errors
/// [`Error::StepTooSmall`] with the cause, [`Error::Interrupted`] from the watcher.
pub fn run_step<const N: usize>(
    model: &Model,
    state: VesselState<N>,
    step: &PlannedStep,
    schedule_s: &[f64],
    watch: &Watch<'_>,
    progress: Progress,
) -> Result<(VesselState<N>, StepHistory)> {
    march_step(model, state, step, schedule_s, &mut Observers::watcher(watch, progress))
}

/// The same before any observers.
pub(super) fn march_step<const N: usize>(
    model: &Model,
    state: VesselState<N>,
    step: &PlannedStep,
    schedule_s: &[f64],
    observers: &mut Observers<'_>,
) -> Result<(VesselState<N>, StepHistory)> {
    observers.show(model, &state, Recorder::marches_on);
    let inlet = std::array::from_fn(|i| step.inlet[i]);
    let passage = Passage {
        step: step.name,
        water: step.water,
        flow_bv_per_h: step.flow_bv_per_h,
        rates: step.rates,
        inlet,
        with_service: step.direction == StepDirection::WithService,
    };
    let mut vessel = Vessel::new(model, state, &passage);
    let mut clock = Clock::new(model, step, schedule_s, &vessel);
    clock.run(model, &mut vessel, observers)?;
    let state = vessel.state();
    let ledger = vessel.ledger();
    let history = StepHistory {
        name: step.name,
        water: step.water,
        direction: step.direction,
        flow_bv_per_h: step.flow_bv_per_h,
        duration_s: clock.time_s,
        volume_bv: clock.throughput_bv(),
        stop: clock.stop,
        inlet_normality: inlet.iter().sum(),
        time_steps_s: clock.time_steps_s,
        sample_bv: clock.sample_bv,
        sample_eq_per_l: clock.sample_eq_per_l,
        entered: ledger.entered.to_vec(),
        left: ledger.left.to_vec(),
        loading: state.loading(model),
        liquid: state.liquid(model),
        tube_loading: state.tube_loading(),
        effort: vessel.effort,
    };
    Ok((state, history))
}

/// The clock of one step.
struct Clock<'a, const N: usize> {
    step: &'a PlannedStep,
    /// Weights of the ions in what is watched.
    weights: [f64; N],
    bv_per_s: f64,
    time_s: f64,
    next_s: f64,
    control: StepControl,
    watched: f64,
    armed: bool,
    stop: StopReason,
    /// Steps of a neighbouring cycle that are still to be followed, the next one last.
    schedule: Vec<f64>,
    /// Steps as they were chosen, before an event cut the last one short.
    time_steps_s: Vec<f64>,
    sample_bv: Vec<f64>,
    sample_eq_per_l: Vec<f64>,
}

impl<'a, const N: usize> Clock<'a, N> {
    fn new(model: &Model, step: &'a PlannedStep, schedule_s: &[f64], vessel: &Vessel<N>) -> Self {
        let weights = std::array::from_fn(|i| match step.end.watched() {
            Watched::Hardness => model.hardness[i],
            Watched::Normality => 1.0,
        });
        let transit = vessel.shortest_transit_s();
        let latest = step.end.latest_s();
        let first = if transit.is_finite() { FIRST_STEP * transit } else { FIRST_STEP_AT_REST_S };
        let mut clock = Self {
            step,
            weights,
            bv_per_s: step.rates.velocity / model.depth_m,
            time_s: 0.0,
            next_s: first.min(latest / 16.0),
            control: StepControl::default(),
            watched: 0.0,
            armed: false,
            stop: StopReason::Throughput,
            schedule: schedule_s.iter().rev().copied().collect(),
            time_steps_s: Vec::with_capacity(512),
            sample_bv: Vec::with_capacity(512),
            sample_eq_per_l: Vec::with_capacity(512 * N),
        };
        clock.sample(&vessel.outlet());
        clock
    }

    fn throughput_bv(&self) -> f64 {
        self.time_s * self.bv_per_s
    }

    fn watched(&self, outlet: &[f64; N]) -> f64 {
        outlet.iter().zip(&self.weights).map(|(c, weight)| c * weight).sum()
    }

    fn sample(&mut self, outlet: &[f64; N]) {
        // At rest nothing leaves.
        if self.bv_per_s > 0.0 {
            self.sample_bv.push(self.throughput_bv());
            self.sample_eq_per_l.extend_from_slice(outlet);
        }
        self.watched = self.watched(outlet);
    }

    fn run(&mut self, model: &Model, vessel: &mut Vessel<N>, observers: &mut Observers<'_>) -> Result<()> {
        loop {
            if let Some(stop) = self.stop_here() {
                self.stop = stop;
                return Ok(());
            }
            if vessel.effort.steps.is_multiple_of(WATCH_EVERY) && (observers.watch)(observers.progress).is_break() {
                return Err(Error::Interrupted);
            }
            let (trial, h) = self.accepted_trial(vessel)?;
            let (trial, taken) = if self.crosses(&trial.outlet) { self.locate(vessel, h, trial)? } else { (trial, h) };
            if trial.error > 1.0 || trial.error.is_nan() {
                // Shorter, and yet further off than the step it was cut from: half the way first.
                vessel.effort.rejected_error += 1;
                self.schedule.clear();
                self.next_s = 0.5 * taken;
                if self.next_s <= SMALLEST_STEP * self.step.end.latest_s() {
                    return Err(Error::StepTooSmall {
                        step: self.step.name.words().to_string(),
                        time_s: self.time_s,
                        step_s: self.next_s,
                        cause: "its error is too large".to_string(),
                        cell: vessel.worst_cell(),
                    });
                }
                continue;
            }
            self.next_s = self.control.after_taken(taken, trial.error, trial.order);
            // A neighbouring cycle will meet the limit a little earlier or later, but inside the same step.
            self.time_steps_s.push(h);
            vessel.accept();
            self.time_s += taken;
            self.sample(&trial.outlet);
            if observers.recorder.is_some() {
                observers
                    .show(model, &vessel.state(), |recorder, loading, liquid| recorder.steps(taken, loading, liquid));
            }
        }
    }

    /// Should the step end at this moment?
    fn stop_here(&mut self) -> Option<StopReason> {
        let reached = |seconds: f64| self.time_s >= seconds * (1.0 - 1e-12);
        match self.step.end {
            End::After(seconds, reason) => reached(seconds).then_some(reason),
            End::Rise { level, armed_s, at_most_s, above_when_armed } => {
                if !self.armed && reached(armed_s) {
                    self.armed = true;
                    if self.watched > level {
                        return Some(above_when_armed);
                    }
                }
                if self.armed && self.watched >= level * (1.0 - EVENT_ACCURACY) {
                    return Some(StopReason::LeakageLimit);
                }
                reached(at_most_s).then_some(StopReason::Throughput)
            }
            End::Fall { level, armed_s, at_most_s, .. } => {
                self.armed |= reached(armed_s);
                if self.armed && self.watched <= level * (1.0 + EVENT_ACCURACY) {
                    return Some(StopReason::Rinsed);
                }
                reached(at_most_s).then_some(StopReason::Throughput)
            }
        }
    }

    /// The next step, shortened to land on the end or on the moment of arming.
    fn landing_step(&self) -> f64 {
        let target = match self.step.end {
            End::Rise { armed_s, at_most_s, .. } | End::Fall { armed_s, at_most_s, .. } if !self.armed => {
                armed_s.min(at_most_s)
            }
            _ => self.step.end.latest_s(),
        };
        let left = target - self.time_s;
        if let Some(scheduled) = self.schedule.last() {
            // A scheduled step that would all but reach the end is the one that landed there.
            return if *scheduled >= left * (1.0 - 1e-9) { left } else { *scheduled };
        }
        if self.next_s >= left {
            left
        } else if self.next_s > 0.5 * left {
            0.5 * left
        } else {
            self.next_s
        }
    }

    /// Follow the schedule, or try smaller and smaller steps until one is good.
    fn accepted_trial(&mut self, vessel: &mut Vessel<N>) -> Result<(Trial<N>, f64)> {
        let mut h = self.landing_step();
        loop {
            let scheduled = !self.schedule.is_empty();
            let (cause, cell, next) = match vessel.try_step(h) {
                Ok(trial) if trial.error <= 1.0 => {
                    self.schedule.pop();
                    return Ok((trial, h));
                }
                Ok(trial) if trial.error.is_finite() => {
                    vessel.effort.rejected_error += 1;
                    (
                        "its error is too large",
                        vessel.worst_cell(),
                        self.control.after_refused(h, trial.error, trial.order),
                    )
                }
                Ok(_) => {
                    vessel.effort.rejected_nonlinear += 1;
                    ("its error is not a number", vessel.worst_cell(), REFUSED_SHRINKAGE * h)
                }
                Err(Refusal::Negative { cell }) => {
                    vessel.effort.rejected_negative += 1;
                    ("a concentration would turn negative", cell, REFUSED_SHRINKAGE * h)
                }
                Err(Refusal::Nonlinear { cell }) => {
                    vessel.effort.rejected_nonlinear += 1;
                    ("the equilibrium of a cell was not found", cell, REFUSED_SHRINKAGE * h)
                }
            };
            let next = if scheduled { self.halve_scheduled(h) } else { next };
            let latest = self.step.end.latest_s();
            if next.is_nan() || next <= SMALLEST_STEP * latest {
                return Err(Error::StepTooSmall {
                    step: self.step.name.words().to_string(),
                    time_s: self.time_s,
                    step_s: next,
                    cause: cause.to_string(),
                    cell,
                });
            }
            h = next;
        }
    }

    /// Put two halves in the place of a scheduled step that was refused: whatever follows is still the neighbour's, and the
    /// two cycles go on at the same times.
    fn halve_scheduled(&mut self, h: f64) -> f64 {
        self.schedule.pop();
        self.schedule.extend([0.5 * h; 2]);
        0.5 * h
    }

    /// Distance of an effluent from the level that ends the step; positive beyond it. `None` if no level is armed.
    fn distance(&self, outlet: &[f64; N]) -> Option<f64> {
        let sum = self.watched(outlet);
        match self.step.end {
            End::Rise { level, .. } if self.armed => Some(sum - level),
            End::Fall { level, .. } if self.armed => Some(level - sum),
            _ => None,
        }
    }

    /// Is an effluent beyond the level that ends the step?
    fn crosses(&self, outlet: &[f64; N]) -> bool {
        self.distance(outlet).is_some_and(|distance| distance > 0.0)
    }

    /// Shorten the trial step of `h` seconds so that it ends where the level is met: what it then is, and how long.
    fn locate(&self, vessel: &mut Vessel<N>, h: f64, trial: Trial<N>) -> Result<(Trial<N>, f64)> {
        let (End::Rise { level, .. } | End::Fall { level, .. }) = self.step.end else {
            return Ok((trial, h));
        };
        let sign = if matches!(self.step.end, End::Rise { .. }) { 1.0 } else { -1.0 };
        let mut crossing =
            Crossing::new((0.0, sign * (self.watched - level)), (h, sign * (self.watched(&trial.outlet) - level)));
        let mut last_s = h;
        for _ in 0..EVENT_TRIALS {
            let guess = crossing.guess();
            vessel.effort.event_steps += 1;
            let Ok(shorter) = vessel.try_step(guess) else { break };
            let distance = sign * (self.watched(&shorter.outlet) - level);
            last_s = guess;
            if distance.abs() <= 0.5 * EVENT_ACCURACY * level {
                return Ok((shorter, guess));
            }
            crossing.tell(guess, distance);
            if crossing.width() <= 1e-12 * h {
                break;
            }
        }
        // The last trial solved must be the one taken.
        vessel.try_step(last_s).map(|again| (again, last_s)).map_err(|refused| Error::StepTooSmall {
            step: self.step.name.words().to_string(),
            time_s: self.time_s,
            step_s: last_s,
            cause: "the limit was not located".to_string(),
            cell: refused.cell(),
        })
    }
}
