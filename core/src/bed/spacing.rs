//! Heights of a column's cells along the flow, and what face values and dispersion need of them; all 1 on an even grid.

use crate::numerics::grid::Grid;
use crate::numerics::lanes::Lanes;
use crate::numerics::rows::Rows;

const HEIGHT: usize = 0;
const PER_HEIGHT: usize = 1;
const BEFORE: usize = 2;
const AHEAD: usize = 3;
const NEARNESS: usize = 4;

/// How the cells of a column lie along the flow.
#[derive(Debug, Clone)]
pub(super) struct Spacing {
    rows: Rows<5>,
}

impl Spacing {
    /// Of a grid along service, seen along the flow.
    pub fn new(grid: &Grid, with_service: bool) -> Self {
        let reversed;
        let along = if with_service {
            grid.heights()
        } else {
            reversed = grid.reversed();
            reversed.heights()
        };
        let columns: Vec<_> = (0..along.len())
            .map(|j| {
                let here = along[j];
                // The ends repeat their cell.
                let before = along[j.saturating_sub(1)];
                let ahead = along[(j + 1).min(along.len() - 1)];
                [here, 1.0 / here, 2.0 * here / (before + here), 2.0 * here / (here + ahead), 2.0 / (here + ahead)]
            })
            .collect();
        Self { rows: Rows::from_columns(&columns) }
    }

    /// Height of the cells from `start`, over the mean height.
    #[inline(always)]
    pub fn height(&self, start: usize) -> Lanes {
        self.rows.lanes(HEIGHT, start)
    }

    /// Its reciprocal.
    #[inline(always)]
    pub fn per_height(&self, start: usize) -> Lanes {
        self.rows.lanes(PER_HEIGHT, start)
    }

    /// Heights of all cells.
    #[inline(always)]
    pub fn heights(&self) -> &[f64] {
        self.rows.row(HEIGHT)
    }

    /// Height of the cells from `start` over the distance to the cell before: what of the difference from there falls
    /// within the cell.
    #[inline(always)]
    pub fn of_difference_before(&self, start: usize) -> Lanes {
        self.rows.lanes(BEFORE, start)
    }

    /// The same of the difference to the cell ahead.
    #[inline(always)]
    pub fn of_difference_ahead(&self, start: usize) -> Lanes {
        self.rows.lanes(AHEAD, start)
    }

    /// Mean height over the distance from a cell to the one ahead.
    pub fn nearness(&self, cell: usize) -> f64 {
        self.rows.row(NEARNESS)[cell]
    }

    /// Where the outlet lies in the last two cells: its distance from the last centre over the distance between the two.
    pub fn beyond_last(&self) -> f64 {
        let last = self.rows.length() - 1;
        0.5 * self.rows.row(BEFORE)[last]
    }

    /// The lowest height.
    pub fn lowest(&self) -> f64 {
        self.heights().iter().copied().fold(f64::INFINITY, f64::min)
    }
}
