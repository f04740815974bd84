//! Why a trial step cannot be accepted.

/// Why a trial step cannot be accepted, and in which cell: counted along the flow in a column, from the service inlet in a
/// vessel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// A balance would have turned negative.
    Negative {
        /// Where.
        cell: usize,
    },
    /// The nonlinear iteration did not converge, or a law does not hold for what it came to.
    Nonlinear {
        /// Where.
        cell: usize,
    },
}

impl Refusal {
    /// The same with its cell counted in another way.
    #[must_use]
    pub fn counted(self, otherwise: impl FnOnce(usize) -> usize) -> Self {
        match self {
            Self::Negative { cell } => Self::Negative { cell: otherwise(cell) },
            Self::Nonlinear { cell } => Self::Nonlinear { cell: otherwise(cell) },
        }
    }

    /// Its cell.
    pub fn cell(self) -> usize {
        match self {
            Self::Negative { cell } | Self::Nonlinear { cell } => cell,
        }
    }
}

/// The place of the largest number in a row of several; what is not a number is larger than any.
pub(super) fn furthest<'a>(rows: impl Iterator<Item = &'a [f64]>) -> usize {
    let largest = |row: &[f64]| row.iter().map(|miss| miss.abs()).max_by(f64::total_cmp).unwrap_or(0.0);
    let places = rows.map(largest).enumerate();
    places.max_by(|(_, a), (_, b)| a.total_cmp(b)).map_or(0, |(place, _)| place)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_furthest_is_found_by_its_size_and_what_is_no_number_first() {
        let rows = [[0.1, -0.2], [-3.0, 1.0], [2.0, 2.0]];
        assert_eq!(furthest(rows.iter().map(<[f64; 2]>::as_slice)), 1);
        let rows = [[0.1, 9.0], [f64::NAN, 0.0], [2.0, 2.0]];
        assert_eq!(furthest(rows.iter().map(<[f64; 2]>::as_slice)), 1);
        assert_eq!(furthest(std::iter::empty()), 0);
    }
}
