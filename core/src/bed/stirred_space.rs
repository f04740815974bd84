//! A stirred space above or below a bed: one concentration, which is also that of what leaves.
//!
//! ```text
//! V dC/dt = F (C_in - C)
//! ```
//!
//! with V in bed volumes and F in bed volumes per second. It takes the time steps of the column beside it, by the same
//! weights, applied to the integrated fluxes ([`crate::numerics::bdf`]): what leaves the one enters the other whatever the
//! weights are. Where the history would leave less than zero, the flux out uses the largest share of it that does not.

use crate::numerics::bdf::Weights;
use crate::plan::scheme::Scheme;

/// Histories are kept this share away from zero, as in a column.
const ROUNDING: f64 = Scheme::DEFAULT.rounding;

/// What enters a space over a time step \[eq per litre of bed\].
#[derive(Debug, Clone, Copy)]
pub(super) struct Inflow<const N: usize> {
    /// The part from the history.
    pub remembered: [f64; N],
    /// The rest.
    pub new: [f64; N],
}

/// A balance would have turned negative.
#[derive(Debug, Clone, Copy)]
pub(super) struct Emptied;

/// A space with its history within one recipe step.
#[derive(Debug, Clone)]
pub(super) struct Space<const N: usize> {
    volume_bv: f64,
    flow_bv_per_s: f64,
    /// Does a bed follow, which cannot give anything back?
    feeds_bed: bool,
    /// Liquid now, and at the ends of the two steps before \[eq/L\].
    liquid: [[f64; N]; 3],
    /// What entered and left over the last two steps \[eq per litre of bed\].
    entered_before: [[f64; N]; 2],
    left_before: [[f64; N]; 2],
    /// Rate at the end of the last step \[eq/L/s\].
    rate: [f64; N],
    /// What entered and left since the recipe step began \[eq per litre of bed\].
    pub entered: [f64; N],
    pub left: [f64; N],
    trial: SpaceTrial<N>,
}

#[derive(Debug, Clone, Copy)]
struct SpaceTrial<const N: usize> {
    liquid: [f64; N],
    memory: [f64; N],
    entered: [f64; N],
    left: [f64; N],
    rate: [f64; N],
    /// Largest difference between what was solved and what was predicted \[eq/L\].
    miss: f64,
}

impl<const N: usize> Space<N> {
    /// A space that begins a recipe step; none without a volume.
    pub fn new(volume_bv: f64, flow_bv_per_s: f64, liquid: [f64; N], feeds_bed: bool) -> Option<Self> {
        let zeros = [0.0; N];
        (volume_bv > 0.0).then_some(Self {
            volume_bv,
            flow_bv_per_s,
            feeds_bed,
            liquid: [liquid; 3],
            entered_before: [zeros; 2],
            left_before: [zeros; 2],
            rate: zeros,
            entered: zeros,
            left: zeros,
            trial: SpaceTrial { liquid, memory: [1.0; N], entered: zeros, left: zeros, rate: zeros, miss: 0.0 },
        })
    }

    /// What it holds now \[eq/L\].
    pub fn liquid(&self) -> [f64; N] {
        self.liquid[0]
    }

    /// What it holds at the end of the trial step \[eq/L\].
    pub fn trial_liquid(&self) -> [f64; N] {
        self.trial.liquid
    }

    /// Share of its history that the flux out remembers over the trial step.
    pub fn memory(&self) -> [f64; N] {
        self.trial.memory
    }

    /// Time in which the liquid that enters would fill it \[s\]; infinite without flow.
    pub fn transit_s(&self) -> f64 {
        self.volume_bv / self.flow_bv_per_s
    }

    /// What a liquid that does not change lets in over a step.
    pub fn of_constant(&self, weights: &Weights, entering: &[f64; N]) -> Inflow<N> {
        let [last, earlier] = &self.entered_before;
        Inflow {
            remembered: std::array::from_fn(|i| weights.of_history(last[i], earlier[i])),
            new: entering.map(|c| weights.theta * self.flow_bv_per_s * c),
        }
    }

    /// Solve a trial step.
    pub fn try_step(&mut self, weights: &Weights, inflow: &Inflow<N>) -> Result<(), Emptied> {
        let [now, last, earlier] = self.liquid;
        let trial = &mut self.trial;
        trial.miss = 0.0;
        for i in 0..N {
            let there = self.volume_bv * now[i] + inflow.remembered[i];
            let remembered = weights.of_history(self.left_before[0][i], self.left_before[1][i]);
            let memory = if remembered < 0.0 && self.feeds_bed {
                0.0
            } else if remembered > 0.0 && remembered > there {
                (there * (1.0 - ROUNDING) / remembered).max(0.0)
            } else {
                1.0
            };
            let through = weights.of_new(memory) * self.flow_bv_per_s;
            let balance = there - memory * remembered + inflow.new[i];
            if balance < 0.0 {
                return Err(Emptied);
            }
            let c = balance / (self.volume_bv + through);
            let (dc, dc1, dc2) = (c - now[i], now[i] - last[i], last[i] - earlier[i]);
            trial.liquid[i] = c;
            trial.memory[i] = memory;
            trial.entered[i] = inflow.remembered[i] + inflow.new[i];
            trial.left[i] = memory * remembered + through * c;
            trial.rate[i] = (dc - weights.of_history(dc1, dc2)) / weights.theta;
            trial.miss = trial.miss.max((dc - weights.predicted(self.rate[i], dc1, dc2)).abs());
        }
        Ok(())
    }

    /// Largest difference between the trial step and its prediction \[eq/L\].
    pub fn miss(&self) -> f64 {
        self.trial.miss
    }

    /// Take the trial step.
    pub fn accept(&mut self) {
        let SpaceTrial { liquid, entered, left, rate, .. } = self.trial;
        self.liquid = [liquid, self.liquid[0], self.liquid[1]];
        self.entered_before = [entered, self.entered_before[0]];
        self.left_before = [left, self.left_before[0]];
        self.rate = rate;
        for i in 0..N {
            self.entered[i] += entered[i];
            self.left[i] += left[i];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Steps of a space of 0.5 BV at 1 BV/s; `h` by step.
    fn washed(space: &mut Space<1>, entering: f64, steps: impl Iterator<Item = f64>) -> f64 {
        let (mut before, mut t) = ([None; 2], 0.0);
        for h in steps {
            let weights = Weights::new(h, before);
            let inflow = space.of_constant(&weights, &[entering]);
            space.try_step(&weights, &inflow).unwrap();
            space.accept();
            before = [Some(h), before[0]];
            t += h;
        }
        t
    }

    /// C_in + (C_0 - C_in) exp(-F t/V), relative error for each unit of time. The start is of orders 1 and 2 with small steps.
    #[test]
    fn third_order_in_time() {
        let error = |n: u32| {
            let mut space = Space::new(0.5, 1.0, [1.0], true).unwrap();
            let h = 0.5 / f64::from(n);
            let start = (0..200).map(|k| (h * 1e-3 * 1.05_f64.powi(k)).min(h));
            let t = washed(&mut space, 0.2, start.chain((0..n).map(|_| h)));
            (space.liquid()[0] - (0.2 + 0.8 * (-t / 0.5).exp())).abs() * f64::exp(t / 0.5) / t
        };
        let order = (error(80) / error(160)).log2();
        assert!((2.8..3.3).contains(&order), "{order}");
    }

    /// Steps a hundred times as long as the liquid takes to fill the space.
    #[test]
    fn positive_and_balanced_at_any_step() {
        for feeds_bed in [true, false] {
            for entering in [0.0, 1e-9, 0.3] {
                let mut space = Space::new(0.01, 1.0, [1.8], feeds_bed).unwrap();
                for _ in 0..12 {
                    let t = washed(&mut space, entering, [0.001, 0.01, 1.0, 0.7, 0.1, 2.0].into_iter());
                    assert!(t > 0.0 && space.liquid()[0] >= 0.0);
                }
                let gained = 0.01 * (space.liquid()[0] - 1.8);
                assert!((space.entered[0] - space.left[0] - gained).abs() < 1e-13 * (1.0 + space.entered[0]));
                assert!((space.liquid()[0] - entering).abs() < 1e-3, "{}", space.liquid()[0]);
            }
        }
    }

    #[test]
    fn no_volume_no_space() {
        assert!(Space::new(0.0, 1.0, [1.0], true).is_none());
    }
}
