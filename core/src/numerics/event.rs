//! The moment at which a quantity crosses a level.

/// A bracketed search for the step at which a signed distance crosses zero: regula falsi, Illinois variant
/// (M. Dowell, P. Jarratt 1971, BIT 11, 168; read in a text that cites it).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    low: (f64, f64),
    high: (f64, f64),
    last_side: i8,
}

impl Crossing {
    /// Bracket between two steps with distances of opposite sign.
    pub fn new(low: (f64, f64), high: (f64, f64)) -> Self {
        Self { low, high, last_side: 0 }
    }

    /// The next step to try; strictly inside the bracket.
    pub fn guess(&self) -> f64 {
        let ((a, fa), (b, fb)) = (self.low, self.high);
        let secant = b - fb * (b - a) / (fb - fa);
        let margin = 1e-3 * (b - a);
        if secant.is_finite() { secant.clamp(a + margin, b - margin) } else { 0.5 * (a + b) }
    }

    /// Tell the distance found at a tried step.
    pub fn tell(&mut self, step: f64, distance: f64) {
        if (distance > 0.0) == (self.high.1 > 0.0) {
            self.high = (step, distance);
            if self.last_side == 1 {
                self.low.1 *= 0.5;
            }
            self.last_side = 1;
        } else {
            self.low = (step, distance);
            if self.last_side == -1 {
                self.high.1 *= 0.5;
            }
            self.last_side = -1;
        }
    }

    /// Width of the bracket.
    pub fn width(&self) -> f64 {
        (self.high.0 - self.low.0).abs()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_a_root_of_a_curved_function() {
        let f = |x: f64| x.exp() - 3.0;
        let mut crossing = Crossing::new((0.0, f(0.0)), (4.0, f(4.0)));
        let mut x = crossing.guess();
        for _ in 0..20 {
            crossing.tell(x, f(x));
            x = crossing.guess();
        }
        assert!((x - 3.0_f64.ln()).abs() < 1e-9, "{x}");
    }
}
