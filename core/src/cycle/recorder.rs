//! The bed through one cycle, recorded at moments spread over its throughput.
//!
//! A recorder takes part in a cycle that has been run before and is run once more from the same bed: so it knows how long
//! each step lasts, and the cycle it looks at is the same to the last bit. Between two accepted time steps a moment lies on
//! the straight line through them, which keeps what is positive positive and the sums over the ions as they are; nothing
//! else is interpolated. A cycle takes several hundred time steps. A backwash is not marched: the bed before it and the bed
//! after it are all there is.

use crate::cycle::history::{CycleHistory, StepHistory};
use crate::error::{Error, Result};
use crate::inputs::recipe_steps::StepName;

/// Most moments of one cycle.
const MOST_MOMENTS: usize = 5000;
/// A step with flow gets this share of the moments at least, so that brine is seen as well as the long service run, ...
const SHARE_OF_A_STEP: f64 = 0.1;
/// ... and one without flow this share.
const SHARE_OF_A_REST: f64 = 0.04;

/// One step of a cycle as its recording needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Segment {
    /// Its name.
    pub name: StepName,
    /// Duration \[s\].
    pub duration_s: f64,
    /// Volume passed \[bed volumes\].
    pub volume_bv: f64,
}

/// The bed at one moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment {
    /// Place of its segment in [`Recording::segments`].
    pub segment: usize,
    /// How far that segment has come, from 0 to 1, in time and in throughput alike.
    pub share: f64,
    /// Loading \[eq/L of bed\], mean of stream tubes by area; shape (cells x ions), from the service inlet.
    pub loading: Vec<f64>,
    /// Liquid \[eq/L\], likewise; shape (cells x ions), from the service inlet.
    pub liquid: Vec<f64>,
}

/// The bed through one cycle. The first and the last moment of a segment are the bed as it finds it and as it leaves it.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// What the cycle consists of, in its order.
    pub segments: Vec<Segment>,
    /// The moments, in their order.
    pub moments: Vec<Moment>,
}

/// The segments of a cycle that was run, one a step.
fn segments(history: &CycleHistory) -> Vec<Segment> {
    let of = |step: &StepHistory| Segment { name: step.name, duration_s: step.duration_s, volume_bv: step.volume_bv };
    history.steps().map(of).collect()
}

/// How many of the moments each segment gets: two at least, a fair share where it is short, the rest by throughput.
fn shared_out(moments: usize, segments: &[Segment]) -> Vec<usize> {
    let even = moments / segments.len().max(1);
    let least = |segment: &Segment| match segment {
        Segment { name: StepName::Backwash, .. } => 2,
        Segment { volume_bv, .. } => {
            let share = if *volume_bv > 0.0 { SHARE_OF_A_STEP } else { SHARE_OF_A_REST };
            ((moments as f64 * share) as usize).min(even).max(2)
        }
    };
    let mut shares: Vec<usize> = segments.iter().map(least).collect();
    let left = moments.saturating_sub(shares.iter().sum());
    let weight = |segment: &Segment| if segment.name == StepName::Backwash { 0.0 } else { segment.volume_bv };
    let total: f64 = segments.iter().map(weight).sum();
    // Rounded along the way, so that they sum to what is left.
    let (mut passed, mut given) = (0.0, 0);
    for (share, segment) in shares.iter_mut().zip(segments) {
        passed += weight(segment);
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

fn wrong(moments: usize, segments: usize) -> Error {
    let least = 2 * segments;
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
    /// Segments begun so far.
    begun: usize,
    /// Moments of the present segment so far.
    taken: usize,
    /// Time since it began \[s\], and the bed then.
    elapsed_s: f64,
    before: Frame,
}

impl Recorder {
    /// A recorder for a cycle that was run.
    ///
    /// # Errors
    /// [`Error::Value`] if there are not two moments for each segment.
    pub fn new(history: &CycleHistory, moments: usize) -> Result<Self> {
        check(moments)?;
        let segments = segments(history);
        if moments < 2 * segments.len() {
            return Err(wrong(moments, segments.len()));
        }
        let shares = shared_out(moments, &segments);
        let recording = Recording { segments, moments: Vec::with_capacity(moments) };
        Ok(Self { recording, shares, begun: 0, taken: 0, elapsed_s: 0.0, before: Frame::default() })
    }

    /// What was recorded.
    pub fn recording(self) -> Recording {
        self.recording
    }

    /// A segment begins with this bed.
    pub fn begins(&mut self, loading: Vec<f64>, liquid: Vec<f64>) {
        self.begun += 1;
        self.taken = 0;
        self.elapsed_s = 0.0;
        self.keep(Frame { loading, liquid });
    }

    /// A march begins within the segment: something may have been done to the bed since the one before.
    pub fn marches_on(&mut self, loading: Vec<f64>, liquid: Vec<f64>) {
        self.before = Frame { loading, liquid };
    }

    /// A time step of `h` seconds was accepted and left this bed.
    pub fn steps(&mut self, h: f64, loading: Vec<f64>, liquid: Vec<f64>) {
        let now = Frame { loading, liquid };
        let elapsed_s = self.elapsed_s + h;
        // The last moment of the segment is for its end, after all that is done there.
        while self.taken + 1 < self.moments() {
            let at = self.share() * self.recording.segments[self.begun - 1].duration_s;
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

    /// The segment ends with this bed.
    pub fn ends(&mut self, loading: Vec<f64>, liquid: Vec<f64>) {
        while self.taken < self.moments() {
            self.keep(Frame { loading: loading.clone(), liquid: liquid.clone() });
        }
    }

    /// Moments of the present segment.
    fn moments(&self) -> usize {
        self.begun.checked_sub(1).and_then(|place| self.shares.get(place)).copied().unwrap_or(0)
    }

    /// How far the segment is at its next moment.
    fn share(&self) -> f64 {
        self.taken as f64 / (self.moments() - 1) as f64
    }

    fn keep(&mut self, frame: Frame) {
        if self.taken < self.moments() {
            let Frame { loading, liquid } = frame;
            let moment = Moment { segment: self.begun - 1, share: self.share(), loading, liquid };
            self.recording.moments.push(moment);
            self.taken += 1;
        }
    }
}
