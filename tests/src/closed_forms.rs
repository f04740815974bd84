//! What theory says a column does, computed here and nowhere else.

/// J(x, y) = 1 - exp(-y) int_0^x exp(-t) I0(2 sqrt(y t)) dt, the breakthrough of linear exchange in a plug-flow bed.
///
/// x counts transfer units along the bed, y along time: c/c0 = J(x, y), q/q0 = 1 - J(y, x). N. K. Hiester,
/// T. Vermeulen (1952), Chem. Eng. Prog. 48, 505 (from memory). Summed as the chance that a Poisson number of mean x is
/// at most one of mean y, which follows from the series of I0 term by term; for x and y up to 700.
pub fn j_function(x: f64, y: f64) -> f64 {
    let terms = (x.max(y) + 12.0 * x.max(y).sqrt() + 40.0) as u32;
    let (mut of_x, mut of_y) = ((-x).exp(), (-y).exp());
    let mut at_most = of_x;
    let mut sum = of_y * at_most;
    for k in 1..terms {
        of_x *= x / f64::from(k);
        of_y *= y / f64::from(k);
        at_most += of_x;
        sum += of_y * at_most;
    }
    sum
}

/// An exchange isotherm between a monovalent resident and an incoming ion of charge z, in equivalent fractions.
#[derive(Debug, Clone, Copy)]
pub struct Isotherm {
    /// Coefficient of the incoming ion against the resident one.
    pub selectivity: f64,
    /// Charge of the incoming ion, 1 or 2.
    pub valence: u32,
    /// Capacity over normality, Q/N.
    pub capacity_over_normality: f64,
}

impl Isotherm {
    /// K Q/N for a divalent ion, K for a monovalent one.
    fn strength(&self) -> f64 {
        self.selectivity * if self.valence == 2 { self.capacity_over_normality } else { 1.0 }
    }

    /// f/(1 - f)^z.
    fn odds(&self, fraction: f64) -> f64 {
        fraction / (1.0 - fraction).powi(self.valence as i32)
    }

    /// The fraction with these odds: y/(1 - y)^2 = p is a quadratic.
    fn of_odds(&self, p: f64) -> f64 {
        if self.valence == 1 {
            p / (1.0 + p)
        } else {
            // The smaller root of p y^2 - (2 p + 1) y + p = 0, in the form that loses no digits.
            2.0 * p / (2.0 * p + 1.0 + (4.0 * p + 1.0).sqrt())
        }
    }

    /// Resin fraction in equilibrium with a liquid fraction.
    ///
    /// K = (y/x) ((1-x)/(1-y))^z (N/Q)^(z-1): G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714 (second-hand).
    pub fn resin(&self, x: f64) -> f64 {
        if x >= 1.0 { 1.0 } else { self.of_odds(self.strength() * self.odds(x)) }
    }

    /// Liquid fraction in equilibrium with a resin fraction.
    pub fn liquid(&self, y: f64) -> f64 {
        if y >= 1.0 { 1.0 } else { self.of_odds(self.odds(y) / self.strength()) }
    }
}

/// Which resistance decides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Control {
    /// The film, kf_a \[1/s\].
    Film(f64),
    /// The bead, kb \[1/s\].
    Bead(f64),
}

/// Time that a constant pattern takes at one place from liquid fraction `low` to `high` \[s\].
///
/// Resident ion out, feed of the incoming ion alone: then every plane of a front that keeps its shape holds
/// q/Q = C/N, and dx/dt = kf_a (N/Q) (x - x*) or kb (y* - y). E. Glueckauf, J. I. Coates (1947), J. Chem. Soc. 1315
/// (from memory); for two monovalent ions the integral is elementary, (ln x - r ln(1-x))/(1-r) or
/// (r ln x - ln(1-x))/(1-r) with r = 1/K.
pub fn constant_pattern_s(isotherm: &Isotherm, control: Control, low: f64, high: f64) -> f64 {
    let rate = |x: f64| match control {
        Control::Film(film) => film / isotherm.capacity_over_normality * (x - isotherm.liquid(x)),
        Control::Bead(bead) => bead * (isotherm.resin(x) - x),
    };
    // Simpson's rule; the integrand is smooth between the ends of a front.
    let intervals = 2000;
    let step = (high - low) / f64::from(intervals);
    let weight = |k: i32| match k {
        0 => 1.0,
        _ if k == intervals => 1.0,
        _ if k % 2 == 1 => 4.0,
        _ => 2.0,
    };
    (0..=intervals).map(|k| weight(k) / rate(low + f64::from(k) * step)).sum::<f64>() * step / 3.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Computed apart from this code by quadrature and by the non-central chi-square distribution, which agree.
    #[test]
    fn the_table_of_j() {
        for (x, row) in [
            (1.0, [0.53013036, 0.60868195, 0.65425416, 0.69494316, 0.81741523]),
            (2.0, [0.39429686, 0.52708093, 0.60350096, 0.67017687, 0.85193636]),
            (5.0, [0.23130845, 0.43507202, 0.56391667, 0.67554962, 0.92560799]),
            (10.0, [0.11979375, 0.36209665, 0.54489016, 0.70349210, 0.97420563]),
            (20.0, [0.03934503, 0.27969010, 0.53163914, 0.75157367, 0.99638508]),
            (50.0, [0.00205473, 0.15798127, 0.51997219, 0.84189595, 0.99998568]),
        ] {
            for (share, tabled) in [0.5, 0.8, 1.0, 1.2, 2.0].into_iter().zip(row) {
                let ours = j_function(x, share * x);
                assert!((ours - tabled).abs() < 6e-9, "J({x}, {}): {ours} against {tabled}", share * x);
            }
        }
    }

    /// The elementary integrals of two monovalent ions (algebra).
    #[test]
    fn the_quadrature_of_a_constant_pattern() {
        let isotherm = Isotherm { selectivity: 3.0, valence: 1, capacity_over_normality: 200.0 };
        let r: f64 = 1.0 / 3.0;
        let film = |x: f64| (x.ln() - r * (1.0 - x).ln()) / (1.0 - r) * 200.0 / 0.1;
        let bead = |x: f64| (r * x.ln() - (1.0 - x).ln()) / (1.0 - r) / 0.006;
        let by_film = constant_pattern_s(&isotherm, Control::Film(0.1), 0.1, 0.5);
        let by_bead = constant_pattern_s(&isotherm, Control::Bead(0.006), 0.1, 0.5);
        assert!((by_film / (film(0.5) - film(0.1)) - 1.0).abs() < 1e-9, "{by_film}");
        assert!((by_bead / (bead(0.5) - bead(0.1)) - 1.0).abs() < 1e-9, "{by_bead}");
    }

    /// Mass action with K = 2.606, Q = 2.0 eq/L, N = 0.01 eq/L: the closed quadratic evaluated apart from this code.
    #[test]
    fn the_isotherm_of_a_divalent_ion() {
        let isotherm = Isotherm { selectivity: 2.606, valence: 2, capacity_over_normality: 200.0 };
        for (x, y) in [(0.05, 0.83042), (0.2, 0.92465), (0.5, 0.96950), (0.8, 0.99025)] {
            assert!((isotherm.resin(x) - y).abs() < 6e-6);
            assert!((isotherm.liquid(isotherm.resin(x)) - x).abs() < 1e-12);
        }
    }
}
