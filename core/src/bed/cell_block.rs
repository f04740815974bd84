//! Blocks of cells: as many neighbours as [`Lanes`] hold numbers are worked on at a time.

use crate::numerics::lanes::{LANES, Lanes};
use crate::numerics::rows::Rows;

/// Values by ion of the cells of a block.
pub(super) type CellBlock<const N: usize> = [Lanes; N];

/// Which cells a block is made of. What a solver keeps of a block from one look at it to the next has a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Place {
    /// Where the block's memory lies, from 0.
    pub slot: usize,
    /// Its first cell.
    pub start: usize,
    /// How many of its lanes are cells; the others hold numbers of no meaning.
    pub cells: usize,
}

impl Place {
    /// The block in a slot that begins at a cell, of the cells before `reach`.
    #[inline(always)]
    pub fn up_to(slot: usize, start: usize, reach: usize) -> Self {
        Self { slot, start, cells: (reach - start).min(LANES) }
    }
}

/// A block of a table.
#[inline(always)]
pub(super) fn block_of<const N: usize>(rows: &Rows<N>, start: usize) -> CellBlock<N> {
    std::array::from_fn(|i| rows.lanes(i, start))
}

/// Write a block into a table.
#[inline(always)]
pub(super) fn write<const N: usize>(rows: &mut Rows<N>, values: &CellBlock<N>, place: Place) {
    for i in 0..N {
        let row = &mut rows.row_mut(i)[place.start..place.start + place.cells];
        if place.cells == LANES {
            row.copy_from_slice(&values[i].0);
        } else {
            row.copy_from_slice(&values[i].0[..place.cells]);
        }
    }
}
