//! Values of one grid at the cells of another: on the cubic through the four nearest centres (J.-L. Lagrange).

use crate::numerics::grid::Grid;

/// How the cells of a grid are read off those of another; both have four cells at least.
#[derive(Debug, Clone)]
pub struct Regrid {
    from_cells: usize,
    cells: Vec<Reading>,
}

#[derive(Debug, Clone, Copy)]
struct Reading {
    /// The cell in which the centre lies.
    nearest: usize,
    /// The first of four.
    first: usize,
    weights: [f64; 4],
}

impl Regrid {
    /// From one grid onto another.
    pub fn new(from: &Grid, onto: &Grid) -> Self {
        let centres = from.centres();
        let last = centres.len().saturating_sub(4);
        let reading = |place: &f64| {
            let after = centres.partition_point(|centre| centre <= place);
            let first = after.saturating_sub(2).min(last);
            let four = &centres[first..first + 4];
            let weights = std::array::from_fn(|k| {
                let others = (0..4).filter(|other| *other != k);
                others.map(|other| (place - four[other]) / (four[k] - four[other])).product()
            });
            Reading { nearest: from.cell_at(*place), first, weights }
        };
        Self { from_cells: from.cells(), cells: onto.centres().iter().map(reading).collect() }
    }

    /// Cells of the grid that is read from.
    pub fn from_cells(&self) -> usize {
        self.from_cells
    }

    /// The cell of the other grid in which each centre lies.
    pub fn nearest(&self) -> impl Iterator<Item = usize> {
        self.cells.iter().map(|cell| cell.nearest)
    }

    /// Rows of N values a cell, one after another; sums over the N are kept.
    pub fn values<const N: usize>(&self, from: &[f64]) -> Vec<f64> {
        let mut found = Vec::with_capacity(self.cells.len() * N);
        for cell in &self.cells {
            let of = |i: usize| (0..4).map(|k| cell.weights[k] * from[(cell.first + k) * N + i]).sum::<f64>();
            found.extend((0..N).map(of));
        }
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numerics::grid::Layers;

    #[test]
    fn a_cubic_is_met_exactly_on_any_grids() {
        let layers = Layers { first: None, last: Some(0.005) };
        for (from, onto) in [
            (Grid::even(9), Grid::even(30)),
            (Grid::graded(20, layers), Grid::graded(61, layers)),
            (Grid::even(40), Grid::graded(12, layers)),
        ] {
            let value = |z: f64| [1.0 + z - 3.0 * z * z + 0.5 * z * z * z, 2.0 - z];
            let known: Vec<f64> = from.centres().into_iter().flat_map(value).collect();
            let found = Regrid::new(&from, &onto).values::<2>(&known);
            for (place, pair) in onto.centres().into_iter().zip(found.chunks_exact(2)) {
                for (a, b) in pair.iter().zip(value(place)) {
                    assert!((a - b).abs() < 1e-12, "{place} {a} {b}");
                }
            }
        }
    }
}
