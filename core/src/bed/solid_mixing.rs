//! Beads that change places while an upflow lifts them.
//!
//! A cell is lifted where the flow is faster than the minimum fluidisation (Wen and Yu) of the beads in the cell's own
//! liquid, so that behind a front of brine a bed may be lifted that lies still ahead of it. Neighbouring lifted cells mix
//! with each other: through and through, or as by diffusion,
//!
//! ```text
//! dq/dt = d/dz( Ds dq/dz ),   no flux at the ends of the lifted part
//! ```
//!
//! solved implicitly, so that sums are kept and nothing turns negative whatever the time. Depth and void stay those of the
//! settled bed: liquid that an expanded bed takes up is not modelled.

use crate::bed::state::State;
use crate::numerics::grid::Grid;
use crate::plan::solid_mixing::SolidMixing;

impl<const N: usize> State<N> {
    /// Mix the beads of every run of neighbouring cells whose liquid is above a normality \[eq/L\], for some seconds, in a
    /// bed of some depth.
    pub fn mix_lifted(
        &mut self,
        above_eq_per_l: f64,
        mixing: SolidMixing,
        seconds: f64,
        (grid, depth_m): (&Grid, f64),
    ) {
        let lifted: Vec<bool> = self.liquid.iter().map(|c| c.iter().sum::<f64>() > above_eq_per_l).collect();
        let mut first = 0;
        for run in lifted.chunk_by(|a, b| a == b) {
            let place = first..first + run.len();
            first += run.len();
            if !run[0] || run.len() == 1 {
                continue;
            }
            // Beads change places as they are: shell by shell, with the salt in them.
            let salt = (!self.sorbed.is_empty()).then_some(&mut self.sorbed);
            for rows in std::iter::once(&mut self.loading).chain(&mut self.inside).chain(salt) {
                let (cells, heights) = (&mut rows[place.clone()], &grid.heights()[place.clone()]);
                match mixing {
                    SolidMixing::Full => level(cells, heights),
                    SolidMixing::Dispersion(coefficient) => {
                        let cell_m = depth_m / grid.cells() as f64;
                        disperse(cells, heights, coefficient * seconds / (cell_m * cell_m));
                    }
                }
            }
        }
    }
}

/// Give every cell the mean.
fn level<const N: usize>(cells: &mut [[f64; N]], heights: &[f64]) {
    let whole: f64 = heights.iter().sum();
    let sum = |i: usize| cells.iter().zip(heights).map(|(q, height)| height * q[i]).sum::<f64>();
    let mean: [f64; N] = std::array::from_fn(|i| sum(i) / whole);
    cells.fill(mean);
}

/// One implicit step of diffusion between cells, with `number` = Ds h/dz2 at the mean height dz, which heights are over;
/// L. H. Thomas's elimination along the cells.
fn disperse<const N: usize>(cells: &mut [[f64; N]], heights: &[f64], number: f64) {
    let last = cells.len() - 1;
    // What each cell's elimination passes on to the next one, and what that leaves of 1: kept by itself, for their
    // difference would lose its digits at a large number.
    let (mut upper, mut slack) = (vec![0.0; cells.len()], 0.0);
    for j in 0..=last {
        let between = |a: usize, b: usize| 2.0 * number / ((heights[a] + heights[b]) * heights[j]);
        let before = if j > 0 { between(j - 1, j) } else { 0.0 };
        let after = if j < last { between(j, j + 1) } else { 0.0 };
        let own = 1.0 + before * slack;
        let pivot = own + after;
        (upper[j], slack) = (after / pivot, own / pivot);
        for i in 0..N {
            let from = if j > 0 { before * cells[j - 1][i] } else { 0.0 };
            cells[j][i] = (cells[j][i] + from) / pivot;
        }
    }
    for j in (0..last).rev() {
        for i in 0..N {
            cells[j][i] += upper[j] * cells[j + 1][i];
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Forty cells of 1 cm.
    const DEPTH_M: f64 = 0.4;

    fn even() -> Grid {
        Grid::even(40)
    }

    fn bed(cells: usize) -> State<2> {
        let loading: Vec<[f64; 2]> = (0..cells).map(|j| [1.9 * (j as f64 / cells as f64).powi(2), 0.0]).collect();
        let loading: Vec<[f64; 2]> = loading.iter().map(|q| [q[0], 1.9 - q[0]]).collect();
        State {
            loading,
            liquid: vec![[0.5, 0.5]; cells],
            ratio: vec![1.0; cells],
            inside: Vec::new(),
            sorbed: Vec::new(),
        }
    }

    #[test]
    fn a_full_mixing_is_a_bed_turned_over() {
        let (mut lifted, mut turned) = (bed(40), bed(40));
        lifted.mix_lifted(0.0, SolidMixing::Full, 1.0, (&even(), DEPTH_M));
        turned.mix_resin(&even(), 1.0, true);
        for (a, b) in lifted.loading.iter().zip(&turned.loading) {
            assert!((a[0] - b[0]).abs() < 1e-14 && (a[1] - b[1]).abs() < 1e-14);
        }
        // So does a dispersion without bounds.
        let mut fast = bed(40);
        fast.mix_lifted(0.0, SolidMixing::Dispersion(1e6), 1.0, (&even(), DEPTH_M));
        for (a, b) in fast.loading.iter().zip(&turned.loading) {
            assert!((a[0] - b[0]).abs() < 1e-6, "{} {}", a[0], b[0]);
        }
    }

    #[test]
    fn only_cells_in_brine_mix_and_sums_are_kept() {
        for mixing in [SolidMixing::Full, SolidMixing::Dispersion(1e-4)] {
            let mut state = bed(40);
            for c in &mut state.liquid[15..] {
                *c = [0.01, 0.0];
            }
            let before = state.clone();
            state.mix_lifted(0.5, mixing, 3.0, (&even(), DEPTH_M));
            assert_eq!(state.loading[15..], before.loading[15..]);
            assert!(state.loading[..15] != before.loading[..15]);
            let (a, b) = (before.mean_loading(&even()), state.mean_loading(&even()));
            assert!((a[0] - b[0]).abs() < 1e-14 && (a[1] - b[1]).abs() < 1e-14);
            assert!(state.loading.iter().all(|q| q[0] >= 0.0 && (q[0] + q[1] - 1.9).abs() < 1e-12));
        }
    }

    /// A cosine with no slope at the ends decays by exp(-Ds k2 t).
    #[test]
    fn a_wave_decays_as_diffusion_says() {
        let (cells, coefficient, seconds) = (100_usize, 1e-4, 40.0);
        let wave = |j: usize| (std::f64::consts::PI * (j as f64 + 0.5) / cells as f64).cos();
        let loading = (0..cells).map(|j| [1.0 + 0.5 * wave(j), 1.0 - 0.5 * wave(j)]).collect();
        let mut state = State {
            loading,
            liquid: vec![[0.5, 0.5]; cells],
            ratio: vec![1.0; cells],
            inside: Vec::new(),
            sorbed: Vec::new(),
        };
        let steps = 200;
        for _ in 0..steps {
            state.mix_lifted(
                0.0,
                SolidMixing::Dispersion(coefficient),
                seconds / f64::from(steps),
                (&Grid::even(100), 1.0),
            );
        }
        let k = std::f64::consts::PI / (cells as f64 * 0.01);
        let exact = 0.5 * (-coefficient * k * k * seconds).exp();
        let found = (state.loading[0][0] - 1.0) / wave(0);
        assert!((found / exact - 1.0).abs() < 1e-3, "{found} {exact}");
    }
}
