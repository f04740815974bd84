//! How a line is cut into cells: evenly, or thin where a steep layer forms at an end, each cell somewhat higher than its
//! neighbour until it is one of the even middle.

/// Largest ratio between the heights of neighbouring cells: near one, since a second-order scheme stays one where heights change
/// smoothly. Chosen within what is usual; other values were not tried.
const GROWTH: f64 = 1.25;
/// Share of the cells that both layers may take: the middle, where fronts travel, keeps the others.
const MOST_IN_LAYERS: f64 = 0.4;

/// Cells along a line.
#[derive(Debug, Clone, PartialEq)]
pub struct Grid {
    /// Heights over their mean: they sum to the number of cells, and are 1 on an even grid.
    heights: Vec<f64>,
}

/// Height of a layer over that of its thinnest cell, for each cell of the line: with a hundred cells it is cut by five.
/// More cells cut it more finely, so that two grids tell what both of them miss.
const CUT_PER_CELL: f64 = 0.05;
/// The same with few cells, at least.
const LEAST_CUT: f64 = 1.7;

/// Heights of layers at the two ends, as shares of the line: an end without a layer is cut like the middle.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Layers {
    /// At the first end.
    pub first: Option<f64>,
    /// At the last end.
    pub last: Option<f64>,
}

impl Grid {
    /// Cells of one height.
    pub fn even(cells: usize) -> Self {
        Self { heights: vec![1.0; cells] }
    }

    /// So many cells, thin in the layers at the ends; less thin if the middle would be left with too few of them.
    pub fn graded(cells: usize, layers: Layers) -> Self {
        let cut = (CUT_PER_CELL * cells as f64).max(LEAST_CUT);
        let wanted = [layers.first, layers.last]
            .map(|layer| layer.map(|layer| layer / cut).filter(|share| *share * (cells as f64) < 1.0));
        if wanted == [None; 2] {
            return Self::even(cells);
        }
        let ends = wanted.iter().flatten().count() as f64;
        let most = (MOST_IN_LAYERS * cells as f64 / ends).floor();
        // Thinner cells leave higher ones for the middle: the height of the middle over the whole is what sums to 1.
        let heights_at = |middle: f64| {
            let mut heights = vec![middle; cells];
            for (end, share) in wanted.iter().enumerate() {
                let Some(share) = share else { continue };
                let steps = ((middle / share).ln() / GROWTH.ln()).clamp(0.0, most);
                for k in 0..cells {
                    let thinner = (steps - k as f64).max(0.0);
                    let place = if end == 0 { k } else { cells - 1 - k };
                    heights[place] = f64::min(heights[place], middle * GROWTH.powf(-thinner));
                }
            }
            heights
        };
        let (mut low, mut high) = (1.0 / cells as f64, 1.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if heights_at(middle).iter().sum::<f64>() < 1.0 { low = middle } else { high = middle }
        }
        let mut heights = heights_at(low);
        let mean = heights.iter().sum::<f64>() / cells as f64;
        heights.iter_mut().for_each(|height| *height /= mean);
        Self { heights }
    }

    /// How many cells.
    pub fn cells(&self) -> usize {
        self.heights.len()
    }

    /// Heights over their mean; shape (cells).
    pub fn heights(&self) -> &[f64] {
        &self.heights
    }

    /// Heights as shares of the line; shape (cells).
    pub fn shares(&self) -> impl Iterator<Item = f64> {
        let cells = self.heights.len() as f64;
        self.heights.iter().map(move |height| height / cells)
    }

    /// Places of the cells' centres, from 0 to 1 along the line; shape (cells).
    pub fn centres(&self) -> Vec<f64> {
        let mut edge = 0.0;
        let cells = self.heights.len() as f64;
        let centre = |height: &f64| {
            let centre = edge + 0.5 * height;
            edge += height;
            centre / cells
        };
        self.heights.iter().map(centre).collect()
    }

    /// The cell in which a place from 0 to 1 lies.
    pub fn cell_at(&self, place: f64) -> usize {
        let mut edge = 0.0;
        let in_heights = place * self.heights.len() as f64;
        let inside = |height: &f64| {
            edge += height;
            in_heights < edge
        };
        self.heights.iter().position(inside).unwrap_or(self.heights.len() - 1)
    }

    /// How much of each cell lies within a share of the line from one of its ends, from 0 to 1; shape (cells).
    pub fn within(&self, share: f64, from_first: bool) -> Vec<f64> {
        let mut left = share * self.heights.len() as f64;
        let mut inside = vec![0.0; self.heights.len()];
        for k in 0..self.heights.len() {
            let place = if from_first { k } else { self.heights.len() - 1 - k };
            inside[place] = (left / self.heights[place]).clamp(0.0, 1.0);
            left -= self.heights[place];
        }
        inside
    }

    /// The same line from its other end.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self { heights: self.heights.iter().rev().copied().collect() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_are_thin_at_the_ends_that_want_it_and_grow_smoothly() {
        for cells in [4, 10, 25, 80, 400] {
            for layers in [
                Layers::default(),
                Layers { first: None, last: Some(6e-3) },
                Layers { first: Some(1e-2), last: Some(3e-3) },
                Layers { first: Some(0.9), last: None },
            ] {
                let grid = Grid::graded(cells, layers);
                let heights = grid.heights();
                assert!((heights.iter().sum::<f64>() - cells as f64).abs() < 1e-9);
                for pair in heights.windows(2) {
                    let ratio = pair[0].max(pair[1]) / pair[0].min(pair[1]);
                    assert!(ratio < GROWTH * (1.0 + 1e-9), "{cells} {layers:?} {ratio}");
                }
                let thickest = heights.iter().copied().fold(0.0, f64::max);
                assert!(thickest <= 1.0 / (1.0 - MOST_IN_LAYERS) + 1e-9, "{cells} {layers:?}: {thickest}");
                if let Some(layer) = layers.last {
                    let cut = layer / (heights[cells - 1] / cells as f64);
                    assert!(cut > 0.9999 * CUT_PER_CELL * cells as f64 || cells < 80, "{cells} {layers:?}: {cut}");
                }
            }
        }
        assert_eq!(Grid::graded(30, Layers::default()), Grid::even(30));
    }

    #[test]
    fn places_and_parts() {
        let grid = Grid::graded(20, Layers { first: None, last: Some(0.02) });
        let centres = grid.centres();
        assert!(centres.windows(2).all(|pair| pair[0] < pair[1]) && centres[0] > 0.0 && centres[19] < 1.0);
        for (cell, centre) in centres.iter().enumerate() {
            assert_eq!(grid.cell_at(*centre), cell);
        }
        for share in [0.0, 0.3, 0.77, 1.0] {
            for from_first in [true, false] {
                let inside = grid.within(share, from_first);
                let sum: f64 = inside.iter().zip(grid.shares()).map(|(part, height)| part * height).sum();
                assert!((sum - share).abs() < 1e-12);
                let edge = if from_first { inside[0] } else { inside[19] };
                assert_eq!(edge > 0.0, share > 0.0);
            }
        }
        assert_eq!(grid.reversed().reversed(), grid);
    }
}
