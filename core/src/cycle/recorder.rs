//! The bed through one cycle, recorded at moments spread over its throughput.
//!
//! A recorder takes part in a cycle that has been run before and is run once more from the same bed: so it knows how long
//! each step lasts, and the cycle it looks at is the same to the last bit. Between two accepted time steps a moment lies on
//! the straight line through them, which keeps what is positive positive and the sums over the ions as they are; nothing
//! else is interpolated. A cycle takes several hundred time steps. A backwash is not marched: the bed before it and the bed
//! after it are all there is.

use std::ops::Range;

use crate::cycle::history::CycleHistory;
use crate::error::{Error, Result};
use crate::inputs::recipe::StepName;
use crate::units::convert::bv_at_bv_per_h_to_s;

/// Most moments of one cycle.
const MOST_MOMENTS: usize = 5000;
/// A step with flow gets this share of the moments at least, so that brine is seen as well as the long service run, ...
const SHARE_OF_A_STEP: f64 = 0.1;
/// ... and one without flow this share.
const SHARE_OF_A_REST: f64 = 0.04;

/// A piece of a cycle in which the bed changes without a break: a step, or a part of a service run with a rest in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its step's place in [`CycleHistory::steps`].
    pub place: usize,
    /// What is going on; a rest within service is a standby.
    pub name: StepName,
    /// Duration \[s\].
    pub duration_s: f64,
    /// Volume passed \[bed volumes\].
    pub volume_bv: f64,
    /// The step's samples of what left meanwhile.
    pub samples: Range<usize>,
}

/// The bed at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// Place of its stretch in [`Recording::stretches`].
    pub stretch: usize,
    /// How far that stretch has come, from 0 to 1, in time and in throughput alike.
    pub share: f64,
    /// Loading \[eq/L of bed\], mean of stream tubes by area; shape (cells x ions), from the service inlet.
    pub loading: Vec<f64>,
    /// Liquid \[eq/L\], likewise; shape (cells x ions), from the service inlet.
    pub liquid: Vec<f64>,
}

/// The bed through one cycle. The first and the last moment of a stretch are the bed as it finds it and as it leaves it.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// What the cycle consists of, in its order.
    pub stretches: Vec<Stretch>,
    /// The moments, in their order.
    pub moments: Vec<Moment>,
}

/// The stretches of a cycle that was run.
fn stretches(history: &CycleHistory) -> Vec<Stretch> {
    let last = history.steps.len().saturating_sub(1);
    let mut found = Vec::with_capacity(history.steps.len() + 2);
    for (place, step) in history.steps.iter().enumerate() {
        let whole = Stretch {
            place,
            name: step.name,
            duration_s: step.duration_s,
            volume_bv: step.volume_bv,
            samples: 0..step.sample_bv.len(),
        };
        match history.restart.filter(|_| place == last) {
            None => found.push(whole),
            Some(restart) => {
                let until_s = bv_at_bv_per_h_to_s(restart.after_bv, step.flow_bv_per_h);
                let before = Stretch {
                    duration_s: until_s,
                    volume_bv: restart.after_bv,
                    samples: 0..restart.sample,
                    ..whole.clone()
                };
                let rest = Stretch {
                    name: StepName::Standby,
                    duration_s: restart.rest_s,
                    volume_bv: 0.0,
                    samples: 0..0,
                    ..whole.clone()
                };
                let after = Stretch {
                    duration_s: whole.duration_s - restart.rest_s - until_s,
                    volume_bv: whole.volume_bv - restart.after_bv,
                    samples: restart.sample..whole.samples.end,
                    ..whole
                };
                found.extend([before, rest, after]);
            }
        }
    }
    found
}

/// How many of the moments each stretch gets: two at least, a fair share where it is short, the rest by throughput.
fn shared_out(moments: usize, stretches: &[Stretch]) -> Vec<usize> {
    let even = moments / stretches.len().max(1);
    let least = |stretch: &Stretch| match stretch {
        Stretch { name: StepName::Backwash, .. } => 2,
        Stretch { volume_bv, .. } => {
            let share = if *volume_bv > 0.0 { SHARE_OF_A_STEP } else { SHARE_OF_A_REST };
            ((moments as f64 * share) as usize).min(even).max(2)
        }
    };
    let mut shares: Vec<usize> = stretches.iter().map(least).collect();
    let left = moments.saturating_sub(shares.iter().sum());
    let weight = |stretch: &Stretch| if stretch.name == StepName::Backwash { 0.0 } else { stretch.volume_bv };
    let total: f64 = stretches.iter().map(weight).sum();
    // Rounded along the way, so that they sum to what is left.
    let (mut passed, mut given) = (0.0, 0);
    for (share, stretch) in shares.iter_mut().zip(stretches) {
        passed += weight(stretch);
        let until = (left as f64 * passed / total.max(f64::MIN_POSITIVE)).round() as usize;
        *share += until - given;
        given = until;
    }
    shares
}

/// Refuse a number of moments that no cycle allows, before anything is run.
pub(super) fn check(moments: usize) -> Result<()> {
    if moments == 0 || moments > MOST_MOMENTS { Err(wrong(moments, 1)) } else { Ok(()) }
}

fn wrong(moments: usize, stretches: usize) -> Error {
    let least = 2 * stretches;
    Error::value(
        "moments",
        moments,
        format!("must be a whole number from {least}, the start and the end of each step, to {MOST_MOMENTS}"),
    )
}

/// Loading and liquid at one time.
#[derive(Debug, Clone, Default)]
struct Frame {
    loading: Vec<f64>,
    liquid: Vec<f64>,
}

/// What fills a [`Recording`] while a cycle is run once more.
#[derive(Debug)]
pub(super) struct Recorder {
    recording: Recording,
    shares: Vec<usize>,
    /// Stretches begun so far.
    begun: usize,
    /// Moments of the present stretch so far.
    taken: usize,
    /// Time since it began \[s\], and the bed then.
    elapsed_s: f64,
    before: Frame,
}

impl Recorder {
    /// A recorder for a cycle that was run.
    ///
    /// # Errors
    /// [`Error::Value`] if there are not two moments for each stretch.
    pub fn new(history: &CycleHistory, moments: usize) -> Result<Self> {
        check(moments)?;
        let stretches = stretches(history);
        if moments < 2 * stretches.len() {
            return Err(wrong(moments, stretches.len()));
        }
        let shares = shared_out(moments, &stretches);
        let recording = Recording { stretches, moments: Vec::with_capacity(moments) };
        Ok(Self { recording, shares, begun: 0, taken: 0, elapsed_s: 0.0, before: Frame::default() })
    }

    /// What was recorded.
    pub fn recording(self) -> Recording {
        self.recording
    }

    /// A stretch begins with this bed.
    pub fn begins(&mut self, loading: Vec<f64>, liquid: Vec<f64>) {
        self.begun += 1;
        self.taken = 0;
        self.elapsed_s = 0.0;
        self.keep(Frame { loading, liquid });
    }

    /// A march begins within the stretch: something may have been done to the bed since the one before.
    pub fn marches_on(&mut self, loading: Vec<f64>, liquid: Vec<f64>) {
        self.before = Frame { loading, liquid };
    }

    /// A time step of `h` seconds was accepted and left this bed.
    pub fn steps(&mut self, h: f64, loading: Vec<f64>, liquid: Vec<f64>) {
        let now = Frame { loading, liquid };
        let elapsed_s = self.elapsed_s + h;
        // The last moment of the stretch is for its end, after all that is done there.
        while self.taken + 1 < self.moments() {
            let at = self.share() * self.recording.stretches[self.begun - 1].duration_s;
            if at > elapsed_s {
                break;
            }
            let share = ((at - self.elapsed_s) / h).clamp(0.0, 1.0);
            let between = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a + share * (b - a)).collect();
            self.keep(Frame {
                loading: between(&self.before.loading, &now.loading),
                liquid: between(&self.before.liquid, &now.liquid),
            });
        }
        self.elapsed_s = elapsed_s;
        self.before = now;
    }

    /// The stretch ends with this bed.
    pub fn ends(&mut self, loading: Vec<f64>, liquid: Vec<f64>) {
        while self.taken < self.moments() {
            self.keep(Frame { loading: loading.clone(), liquid: liquid.clone() });
        }
    }

    /// Moments of the present stretch.
    fn moments(&self) -> usize {
        self.begun.checked_sub(1).and_then(|place| self.shares.get(place)).copied().unwrap_or(0)
    }

    /// How far the stretch is at its next moment.
    fn share(&self) -> f64 {
        self.taken as f64 / (self.moments() - 1) as f64
    }

    fn keep(&mut self, frame: Frame) {
        if self.taken < self.moments() {
            let Frame { loading, liquid } = frame;
            let moment = Moment { stretch: self.begun - 1, share: self.share(), loading, liquid };
            self.recording.moments.push(moment);
            self.taken += 1;
        }
    }
}
