//! Anderson acceleration of a fixed-point iteration x = G(x).
//!
//! With residuals f_k = G(x_k) - x_k and differences dF, dG over the last few iterates,
//! x_(k+1) = G(x_k) - dG gamma, gamma minimising |f_k - dF gamma|.
//! D. G. Anderson (1965), J. ACM 12, 547; H. F. Walker, P. Ni (2011), SIAM J. Numer. Anal. 49, 1715 (from memory).

use nalgebra::{DMatrix, DVector};

/// Relative singular value below which a direction of the history is ignored.
const RANK_TOLERANCE: f64 = 1e-8;

/// The history of an accelerated iteration.
#[derive(Debug, Clone, Default)]
pub struct Anderson {
    depth: usize,
    images: Vec<DVector<f64>>,
    residuals: Vec<DVector<f64>>,
    points: Vec<DVector<f64>>,
}

impl Anderson {
    /// Remember at most `depth` differences.
    pub fn new(depth: usize) -> Self {
        Self { depth, ..Self::default() }
    }

    /// Take a point and its image, give the next point to try.
    ///
    /// The weights of the images sum to 1, so that a linear invariant of G is kept.
    pub fn next(&mut self, point: &[f64], image: &[f64]) -> Vec<f64> {
        let x = DVector::from_column_slice(point);
        let g = DVector::from_column_slice(image);
        self.residuals.push(&g - &x);
        self.images.push(g);
        self.points.push(x);
        if self.images.len() > self.depth + 1 {
            self.images.remove(0);
            self.residuals.remove(0);
            self.points.remove(0);
        }
        let columns = self.images.len() - 1;
        if columns == 0 {
            return image.to_vec();
        }
        let differences =
            |of: &[DVector<f64>]| DMatrix::from_columns(&(0..columns).map(|k| &of[k + 1] - &of[k]).collect::<Vec<_>>());
        let (df, dg) = (differences(&self.residuals), differences(&self.images));
        let svd = df.svd(true, true);
        let cut = RANK_TOLERANCE * svd.singular_values.max();
        match svd.solve(&self.residuals[columns], cut) {
            Ok(gamma) => (&self.images[columns] - dg * gamma).as_slice().to_vec(),
            Err(_) => image.to_vec(),
        }
    }

    /// Largest ratio |G(a) - G(b)| / |a - b| (largest component) among the remembered neighbours: an estimate of the
    /// contraction of G along the directions still alive. `None` before two points are known.
    pub fn contraction(&self) -> Option<f64> {
        self.points
            .windows(2)
            .zip(self.images.windows(2))
            .filter_map(|(x, g)| {
                let moved = (&x[1] - &x[0]).amax();
                (moved > 0.0).then(|| (&g[1] - &g[0]).amax() / moved)
            })
            .reduce(f64::max)
    }

    /// Forget everything, after a point that did not help.
    pub fn restart(&mut self) {
        *self = Self::new(self.depth);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_linear_map_is_solved_in_as_many_steps_as_it_has_directions() {
        let map = |x: &[f64]| vec![0.9 * x[0] + 0.05 * x[1] + 1.0, 0.3 * x[1] + 0.5];
        let mut anderson = Anderson::new(5);
        let mut x = vec![0.0, 0.0];
        for _ in 0..4 {
            x = anderson.next(&x, &map(&x));
        }
        let image = map(&x);
        assert!((image[0] - x[0]).abs() < 1e-10 && (image[1] - x[1]).abs() < 1e-10, "{x:?}");
        // The slowest direction contracts by 0.9.
        assert!(anderson.contraction().unwrap() <= 0.95);
    }
}
