//! Block-tridiagonal systems with small dense diagonal blocks and diagonal couplings.

use nalgebra::{SMatrix, SVector};

/// Workspace of the solver, allocated once.
#[derive(Debug, Clone)]
pub struct BlockTridiagonal<const N: usize> {
    /// Diagonal blocks.
    pub diagonal: Vec<SMatrix<f64, N, N>>,
    /// Coupling to the cell before: the diagonal of a diagonal block.
    pub lower: Vec<SVector<f64, N>>,
    /// Coupling to the cell after.
    pub upper: Vec<SVector<f64, N>>,
    /// Right-hand side on entry, solution on exit.
    pub right: Vec<SVector<f64, N>>,
    eliminated: Vec<SMatrix<f64, N, N>>,
}

impl<const N: usize> BlockTridiagonal<N> {
    /// Space for `cells` blocks.
    pub fn new(cells: usize) -> Self {
        Self {
            diagonal: vec![SMatrix::zeros(); cells],
            lower: vec![SVector::zeros(); cells],
            upper: vec![SVector::zeros(); cells],
            right: vec![SVector::zeros(); cells],
            eliminated: vec![SMatrix::zeros(); cells],
        }
    }

    /// Solve in place by block elimination without pivoting between blocks, which diagonally dominant systems allow
    /// (R. S. Varga 1962, *Matrix Iterative Analysis*, sec. 6.4; from memory).
    ///
    /// # Errors
    /// The first block that is singular, by its place.
    pub fn solve(&mut self) -> Result<(), usize> {
        let cells = self.diagonal.len();
        for j in 0..cells {
            let mut block = self.diagonal[j];
            let mut right = self.right[j];
            if j > 0 {
                let lower = self.lower[j];
                let before = &self.eliminated[j - 1];
                for row in 0..N {
                    for column in 0..N {
                        block[(row, column)] -= lower[row] * before[(row, column)];
                    }
                    right[row] -= lower[row] * self.right[j - 1][row];
                }
            }
            let Some(inverse) = block.try_inverse() else {
                return Err(j);
            };
            right = inverse * right;
            // inverse(block) * diag(upper): each column scaled.
            let mut scaled = inverse;
            for column in 0..N {
                for row in 0..N {
                    scaled[(row, column)] *= self.upper[j][column];
                }
            }
            self.eliminated[j] = scaled;
            self.right[j] = right;
        }
        for j in (0..cells.saturating_sub(1)).rev() {
            let ahead = self.right[j + 1];
            self.right[j] -= self.eliminated[j] * ahead;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};

    #[test]
    fn agrees_with_a_dense_solve() {
        const N: usize = 3;
        let cells = 6;
        let mut system = BlockTridiagonal::<N>::new(cells);
        let mut dense = DMatrix::<f64>::zeros(N * cells, N * cells);
        let mut right = DVector::<f64>::zeros(N * cells);
        let mut seed = 1.0_f64;
        let mut next = || {
            seed = (seed * 997.0 + 0.37) % 1.0;
            seed - 0.5
        };
        for j in 0..cells {
            for r in 0..N {
                for c in 0..N {
                    let v = next() + if r == c { 4.0 } else { 0.0 };
                    system.diagonal[j][(r, c)] = v;
                    dense[(j * N + r, j * N + c)] = v;
                }
                system.lower[j][r] = next();
                system.upper[j][r] = next();
                if j > 0 {
                    dense[(j * N + r, (j - 1) * N + r)] = system.lower[j][r];
                }
                if j + 1 < cells {
                    dense[(j * N + r, (j + 1) * N + r)] = system.upper[j][r];
                }
                system.right[j][r] = next();
                right[j * N + r] = system.right[j][r];
            }
        }
        assert_eq!(system.solve(), Ok(()));
        let exact = dense.lu().solve(&right).unwrap();
        for j in 0..cells {
            for r in 0..N {
                assert!((system.right[j][r] - exact[j * N + r]).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn a_singular_block_is_named() {
        let mut system = BlockTridiagonal::<2>::new(4);
        system.diagonal.fill(SMatrix::identity());
        system.diagonal[2].fill(0.0);
        assert_eq!(system.solve(), Err(2));
    }
}
