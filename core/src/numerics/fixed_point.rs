//! Anderson acceleration of a fixed-point iteration x = G(x).
//!
//! With residuals f_k = G(x_k) - x_k and differences dF, dG over the last few iterates,
//! x_(k+1) = G(x_k) - dG gamma, gamma minimising |f_k - dF gamma|.
//! D. G. Anderson (1965), J. ACM 12, 547; H. F. Walker, P. Ni (2011), SIAM J. Numer. Anal. 49, 1715; read in the manual of
//! the library SUNDIALS, in the same form with weights that sum to 1.

use nalgebra::{DMatrix, DVector};

/// Relative singular value below which a direction of the history is ignored.
const RANK_TOLERANCE: f64 = 1e-8;

/// The history of an accelerated iteration: differences of residuals and images, and the last iterate.
#[derive(Debug, Clone, Default)]
pub struct Anderson {
    depth: usize,
    residual_steps: Vec<DVector<f64>>,
    image_steps: Vec<DVector<f64>>,
    last: Option<(DVector<f64>, DVector<f64>)>,
}

impl Anderson {
    /// Remember at most `depth` differences.
    pub fn new(depth: usize) -> Self {
        Self { depth, ..Self::default() }
    }

    /// The same history carried over to another grid by a linear map, for an iteration that begins there.
    #[must_use]
    pub fn carried(&self, map: impl Fn(&[f64]) -> Vec<f64>) -> Self {
        let carry = |steps: &[DVector<f64>]| steps.iter().map(|step| DVector::from_vec(map(step.as_slice()))).collect();
        Self {
            depth: self.depth,
            residual_steps: carry(&self.residual_steps),
            image_steps: carry(&self.image_steps),
            last: None,
        }
    }

    /// Take a point and its image, give the next point to try.
    ///
    /// The weights of the images sum to 1, so that a linear invariant of G is kept.
    pub fn next(&mut self, point: &[f64], image: &[f64]) -> Vec<f64> {
        let g = DVector::from_column_slice(image);
        let f = &g - DVector::from_column_slice(point);
        if let Some((last_f, last_g)) = self.last.take() {
            self.residual_steps.push(&f - last_f);
            self.image_steps.push(&g - last_g);
            if self.residual_steps.len() > self.depth {
                self.residual_steps.remove(0);
                self.image_steps.remove(0);
            }
        }
        let next = if self.residual_steps.is_empty() { None } else { self.corrected(&f, &g) };
        let next = next.map_or_else(|| image.to_vec(), |x| x.as_slice().to_vec());
        self.last = Some((f, g));
        next
    }

    fn corrected(&self, f: &DVector<f64>, g: &DVector<f64>) -> Option<DVector<f64>> {
        let svd = DMatrix::from_columns(&self.residual_steps).svd(true, true);
        let cut = RANK_TOLERANCE * svd.singular_values.max();
        let gamma = svd.solve(f, cut).ok()?;
        Some(g - DMatrix::from_columns(&self.image_steps) * gamma)
    }

    /// Largest ratio |G(a) - G(b)| / |a - b| (largest component) among the remembered neighbours: an estimate of the
    /// contraction of G along the directions still alive. `None` before two points are known.
    pub fn contraction(&self) -> Option<f64> {
        self.residual_steps
            .iter()
            .zip(&self.image_steps)
            .filter_map(|(df, dg)| {
                let moved = (dg - df).amax();
                (moved > 0.0).then(|| dg.amax() / moved)
            })
            .reduce(f64::max)
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
