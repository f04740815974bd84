//! A table of a few long rows, each row in one piece of memory: loops along a row run several values at a time.

use crate::numerics::lanes::{LANES, Lanes};

/// N rows of equal length, each with room on both sides: [`Lanes`] may reach beyond its ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Rows<const N: usize> {
    length: usize,
    values: Vec<f64>,
}

/// Room before a row and after it; what is written there is no part of any result.
const ROOM: (usize, usize) = (1, LANES);

impl<const N: usize> Rows<N> {
    /// Rows of `length` times one value.
    pub fn filled(length: usize, value: f64) -> Self {
        Self { length, values: vec![value; N * (ROOM.0 + length + ROOM.1)] }
    }

    /// Rows from columns; shape of `columns`: (length, N). The room at both ends gets the last column.
    pub fn from_columns(columns: &[[f64; N]]) -> Self {
        let mut rows = Self::filled(columns.len(), 0.0);
        if let Some(last) = columns.last() {
            for (i, row) in rows.values.chunks_exact_mut(ROOM.0 + columns.len() + ROOM.1).enumerate() {
                row.fill(last[i]);
            }
        }
        for (j, column) in columns.iter().enumerate() {
            rows.set(j, column);
        }
        rows
    }

    /// The columns; shape (length, N).
    pub fn to_columns(&self) -> Vec<[f64; N]> {
        (0..self.length).map(|j| self.at(j)).collect()
    }

    /// Length of each row.
    pub fn length(&self) -> usize {
        self.length
    }

    #[inline(always)]
    fn first(&self, i: usize) -> usize {
        i * (ROOM.0 + self.length + ROOM.1) + ROOM.0
    }

    /// Row `i`.
    #[inline(always)]
    pub fn row(&self, i: usize) -> &[f64] {
        let first = self.first(i);
        &self.values[first..first + self.length]
    }

    /// Row `i`, to be written.
    #[inline(always)]
    pub fn row_mut(&mut self, i: usize) -> &mut [f64] {
        let first = self.first(i);
        &mut self.values[first..first + self.length]
    }

    /// Values of row `i` from place `start`, which lies in the row.
    #[inline(always)]
    pub fn lanes(&self, i: usize, start: usize) -> Lanes {
        Lanes::of(&self.values[self.first(i) + start..])
    }

    /// Values of row `i` from the place before `start`, which lies in the row.
    #[inline(always)]
    pub fn lanes_before(&self, i: usize, start: usize) -> Lanes {
        Lanes::of(&self.values[self.first(i) + start - 1..])
    }

    /// The N values at place `j`.
    #[inline(always)]
    pub fn at(&self, j: usize) -> [f64; N] {
        let mut column = [0.0; N];
        for i in 0..N {
            column[i] = self.values[self.first(i) + j];
        }
        column
    }

    /// Write the N values at place `j`.
    #[inline(always)]
    pub fn set(&mut self, j: usize, column: &[f64; N]) {
        for i in 0..N {
            let place = self.first(i) + j;
            self.values[place] = column[i];
        }
    }

    /// Fill every row with one value.
    pub fn fill(&mut self, value: f64) {
        self.values.fill(value);
    }

    /// Copy another table of the same length.
    pub fn copy_from(&mut self, other: &Self) {
        self.values.copy_from_slice(&other.values);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_and_columns_are_the_same_table() {
        let columns = [[1.0, 10.0], [2.0, 20.0], [3.0, 30.0]];
        let rows = Rows::from_columns(&columns);
        assert_eq!(rows.row(1), [10.0, 20.0, 30.0]);
        assert_eq!(rows.to_columns(), columns);
        assert_eq!(rows.lanes(0, 1).0[..2], [2.0, 3.0]);
        assert_eq!(rows.lanes_before(1, 1).0[..3], [10.0, 20.0, 30.0]);
    }
}
