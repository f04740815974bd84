//! Ions of unlike mobility in a liquid film: Nernst-Planck fluxes held together by electroneutrality.
//!
//! Across a film at rest, s from 0 (liquid) to 1 (bead), thickness delta, concentrations in equivalents, with the
//! co-ions of mean charge z_Y standing still and no net current,
//!
//! ```text
//! J_i delta/D_i = -dC_i/ds - z_i C_i dphi/ds,    z_Y N dphi/ds = dN/ds,    N = sum C_i,    sum J_i = 0
//! ```
//!
//! F. Helfferich (1962), *Ion Exchange*, ch. 6, and for several ions M. Franzreb, W. H. Hoell, H. Sontheimer (1993), React.
//! Polym. 21, 117, and T. Kataoka, H. Yoshida, Y. Ozasa (1977), Chem. Eng. Sci. 32, 1237 (all from memory; derived anew).
//! N differs across the film: it is higher where the slower ions are.
//!
//! **Solution.** With x_i = C_i/N, w_i = 1 + z_i/z_Y, L = ln N* - ln N over the whole film, and t the share of ln N that
//! has been passed,
//!
//! ```text
//! dx_i/dt = -w_i L x_i + r_i S,    S = sum w_i x_i,    sum r_i = L,    J_i delta = -D_i r_i int S N dt
//! ```
//!
//! Charges are 1 and 2, so S follows a linear equation of its own, S = S_0 + (S* - S_0)(1 - e^(-k t))/(1 - e^(-k)), and all
//! that is unknown for any number of ions is k and L:
//!
//! ```text
//! (S_0 + S*) k/2 + (S* - S_0)(k/2) coth(k/2) = w_1 w_2 L
//! r_i = (x_i* - x_i e^(-w_i L))/G_i,    G_i = int e^(-w_i L (1 - t)) S dt,    sum D_i r_i = 0
//! ```
//!
//! At the bead, the loading of its surface fixes C* up to one number: C_i* sigma^z_i are the liquids in equilibrium with
//! it. The lumped rate law takes the one whose normality is the liquid's; here sigma follows from the normality N*.
//!
//! **Effective diffusivity.** The lumped law J_i = k_f (C_i - C_i*) has one coefficient for all ions. It is given the
//! diffusivity D_e that comes nearest to the fluxes in the sense of least squares,
//!
//! ```text
//! D_e = sum J_i delta (C_i - C_i*)/sum (C_i - C_i*)^2
//! ```
//!
//! exact for two ions, and the common value where diffusivities are equal. (Franzreb and others take sums of magnitudes
//! instead, which have a kink where an ion changes its way.) A coefficient goes with D_e as its correlation does.
//!
//! Activity coefficients in the film, and reactions, are left out. Several co-ions count as one of their mean charge.

use num_dual::DualNum;

/// Nodes and weights of Gauss and Legendre on (0, 1), the middle one first, then pairs about it: (distance, weight).
const MIDDLE_WEIGHT: f64 = 0.284_444_444_444_444_45;
const PAIRS: [(f64, f64); 2] =
    [(0.269_234_655_052_841_5, 0.239_314_335_249_683_24), (0.453_089_922_969_332, 0.118_463_442_528_094_54)];
/// Differences of concentration below this share of the normality have no direction worth following.
const SMALLEST_DIFFERENCE: f64 = 1e-7;
/// Iterations of the outer and of the inner search; a few are taken.
const MOST_ITERATIONS: usize = 60;
/// The last step of ln sigma: what is left is about its square.
const NEWTON: f64 = 1e-6;
/// The same where sigma only serves a first guess.
const ROUGH: f64 = 0.05;
/// Below this, hyperbolic functions of k are series.
const SMALL: f64 = 1e-4;

/// What passes a film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmFluxes<S, const N: usize> {
    /// Flux of each ion towards the bead times the thickness of the film \[eq/L m2/s\].
    pub flux_times_thickness: [S; N],
    /// Normality at the bead \[eq/L\].
    pub surface_normality: S,
    /// Effective diffusivity D_e of the lumped law \[m2/s\].
    pub effective_m2_per_s: S,
}

/// Fluxes through a film between a liquid and a bead.
///
/// `liquid` is the liquid outside and `at_bead` the liquid of the same normality that is in equilibrium with the bead's
/// surface \[eq/L\], `diffusivity_m2_per_s` those of the ions, `valence` their charges (1 or 2), `co_ion_charge` the mean
/// charge of the co-ions, weighted by equivalents. `accuracy` is how near the shape of the profile must come, relative:
/// the sum of the fluxes is 0 to rounding whatever it is.
///
/// `None` if a liquid holds no ion or a number is not finite.
pub fn film_fluxes<S: DualNum<Primitive = f64> + Copy, const N: usize>(
    liquid: &[S; N],
    at_bead: &[S; N],
    diffusivity_m2_per_s: &[S; N],
    valence: &[u32; N],
    co_ion_charge: S,
    accuracy: f64,
) -> Option<FilmFluxes<S, N>> {
    let zero = S::from(0.0);
    let normality = liquid.iter().fold(zero, |sum, c| sum + *c);
    let normality_at_bead = at_bead.iter().fold(zero, |sum, c| sum + *c);
    if !(normality.re() > 0.0 && normality_at_bead.re() > 0.0) {
        return None;
    }
    let (per_normality, per_normality_at_bead) = (normality.recip(), normality_at_bead.recip());
    // Sums over the ions of one charge: of x, of D x.
    let (mut here, mut here_d, mut there, mut there_d) = ([zero; 2], [zero; 2], [zero; 2], [zero; 2]);
    for i in 0..N {
        let group = usize::from(valence[i] != 1);
        let (x, x_at_bead, d) =
            (liquid[i] * per_normality, at_bead[i] * per_normality_at_bead, diffusivity_m2_per_s[i]);
        here[group] += x;
        here_d[group] += x * d;
        there[group] += x_at_bead;
        there_d[group] += x_at_bead * d;
    }
    let a = co_ion_charge.recip();
    let groups = Groups { here, here_d, there, there_d, a };
    let profile = groups.solve(accuracy)?;
    let mut found = FilmFluxes {
        flux_times_thickness: [zero; N],
        surface_normality: normality * profile.nu,
        effective_m2_per_s: zero,
    };
    let (mut along, mut square, mut per_d) = (zero, zero, zero);
    let (mut slowest, mut fastest) = (f64::INFINITY, 0.0_f64);
    for i in 0..N {
        let group = usize::from(valence[i] != 1);
        let (x, x_at_bead, d) =
            (liquid[i] * per_normality, at_bead[i] * per_normality_at_bead, diffusivity_m2_per_s[i]);
        let r = (x_at_bead * profile.at_bead[group] - x * profile.decay[group]) * profile.per_g[group];
        let flux = -r * d * profile.h;
        along += flux * (x - x_at_bead);
        square += (x - x_at_bead) * (x - x_at_bead);
        per_d += x / d;
        (slowest, fastest) = (slowest.min(d.re()), fastest.max(d.re()));
        found.flux_times_thickness[i] = flux * normality;
    }
    // Where nothing differs there is no direction, and any mean is as good.
    let least = SMALLEST_DIFFERENCE * SMALLEST_DIFFERENCE;
    let effective = (along + per_d.recip() * least) / (square + least);
    if !effective.re().is_finite() {
        return None;
    }
    // Several ions may cross each other; a lumped law that follows them must still run downhill.
    found.effective_m2_per_s = if effective.re() < 0.5 * slowest {
        S::from(0.5 * slowest)
    } else if effective.re() > 2.0 * fastest {
        S::from(2.0 * fastest)
    } else {
        effective
    };
    Some(found)
}

/// The film as its ions of charge 1 and 2 together see it: sums of x and of D x in the liquid and at the bead.
#[derive(Clone, Copy)]
struct Groups<S> {
    here: [S; 2],
    here_d: [S; 2],
    there: [S; 2],
    there_d: [S; 2],
    /// 1/z_Y.
    a: S,
}

/// The profile of the liquid across the film, by charge.
struct Profile<S> {
    /// N*/N.
    nu: S,
    /// sigma^z N/N*, which turns x at the bead by the lumped law into x at the bead.
    at_bead: [S; 2],
    /// e^(-w L).
    decay: [S; 2],
    /// 1/G.
    per_g: [S; 2],
    /// int S N dt over N in the liquid.
    h: S,
}

impl<S: DualNum<Primitive = f64> + Copy> Groups<S> {
    fn solve(&self, accuracy: f64) -> Option<Profile<S>> {
        let a = self.a;
        let (w_1, w_2) = (a + 1.0, a * 2.0 + 1.0);
        let s_here = w_1 * self.here[0] + w_2 * self.here[1];
        let mut sigma = self.without_current(S::from(1.0), S::from(1.0), ROUGH)?;
        // G of the divalent ions over G of the monovalent ones, and k.
        let (mut bend, mut k) = (self.first_bend(sigma, s_here), S::from(0.0));
        for _ in 0..MOST_ITERATIONS {
            sigma = self.without_current(sigma, bend, NEWTON)?;
            let nu = self.nu(sigma);
            let log_nu = nu.ln();
            let at_bead = [sigma / nu, sigma * sigma / nu];
            let s_there = self.mean_charge_at_bead(sigma);
            k = (w_1 * w_2 * log_nu - (s_there - s_here) * half_coth(k)) * 2.0 / (s_there + s_here);
            let integrals = self.integrals(log_nu, k, s_here, s_there);
            let next = integrals[1] / integrals[0];
            if (next - bend).re().abs() <= accuracy {
                let decay = [(-w_1 * log_nu).exp(), (-w_2 * log_nu).exp()];
                // The ratio that sigma was found with, so that no current flows.
                let per_g = [integrals[0].recip(), (integrals[0] * bend).recip()];
                return Some(Profile { nu, at_bead, decay, per_g, h: integrals[2] * nu });
            }
            bend = next;
        }
        None
    }

    fn nu(&self, sigma: S) -> S {
        sigma * (self.there[0] + sigma * self.there[1])
    }

    /// S at the bead.
    fn mean_charge_at_bead(&self, sigma: S) -> S {
        let (single, double) = (self.there[0], sigma * self.there[1]);
        ((self.a + 1.0) * single + (self.a * 2.0 + 1.0) * double) / (single + double)
    }

    /// G of the divalent over G of the monovalent ions to second order in L, S being taken as straight.
    fn first_bend(&self, sigma: S, s_here: S) -> S {
        let log_nu = self.nu(sigma).ln();
        let s_there = self.mean_charge_at_bead(sigma);
        let mean = (s_here - s_there) / ((s_here + s_there) * 6.0) - (self.a * 3.0 + 2.0) * log_nu / 24.0 + 0.5;
        (-self.a * log_nu * mean).exp()
    }

    /// sigma at which no current flows, by Newton on ln sigma: a rising function.
    fn without_current(&self, from: S, bend: S, last_step: f64) -> Option<S> {
        let a = self.a;
        let mut sigma = from;
        for _ in 0..MOST_ITERATIONS {
            let nu = self.nu(sigma);
            let slope_nu = sigma * (self.there[0] + sigma * self.there[1] * 2.0) / nu;
            let single = if a == S::from(1.0) { nu.recip() } else { (-a * nu.ln()).exp() };
            let double = single * single;
            let (up_1, up_2) = (bend * self.there_d[0] * sigma, self.there_d[1] * sigma * sigma);
            let (down_1, down_2) = (bend * self.here_d[0] * single, self.here_d[1] * double);
            let current = up_1 + up_2 - down_1 - down_2;
            let slope = up_1 + up_2 * 2.0 + (down_1 + down_2 * 2.0) * a * slope_nu;
            let step = -current / slope;
            let size = step.re().abs();
            if !size.is_finite() {
                return None;
            }
            if size < 1.0 {
                // exp of the step to third order; what is left out vanishes with the step.
                sigma *= step * (step * (step / 3.0 + 1.0) * 0.5 + 1.0) + 1.0;
            } else {
                sigma *= S::from(step.re().clamp(-1.0, 1.0).exp());
            }
            if size < last_step {
                return Some(sigma);
            }
        }
        None
    }

    /// G of the ions of charge 1 and 2, and int S e^(-L (1 - t)) dt.
    fn integrals(&self, log_nu: S, k: S, s_here: S, s_there: S) -> [S; 3] {
        let one = S::from(1.0);
        let middle = (log_nu * -0.5).exp();
        let bend = (k * -0.5).exp();
        let near_one = self.a == one;
        let middle_a = if near_one { middle } else { (log_nu * self.a * -0.5).exp() };
        let mut sums = [S::from(0.0); 3];
        let mut add = |weight: f64, t: f64, e_log: S, e_a: S, e_k: S| {
            let passed = if k.re().abs() < SMALL {
                (k * (0.5 * (1.0 - t)) + 1.0) * t
            } else {
                (one - e_k) / (one - bend * bend)
            };
            let s = (s_here + (s_there - s_here) * passed) * weight;
            let first = s * e_log;
            let second = first * e_a;
            sums[0] += second;
            sums[1] += second * e_a;
            sums[2] += first;
        };
        add(MIDDLE_WEIGHT, 0.5, middle, middle_a, bend);
        for (distance, weight) in PAIRS {
            let out = (log_nu * distance).exp();
            let out_a = if near_one { out } else { (log_nu * self.a * distance).exp() };
            let out_k = (k * distance).exp();
            add(weight, 0.5 + distance, middle * out, middle_a * out_a, bend / out_k);
            add(weight, 0.5 - distance, middle / out, middle_a / out_a, bend * out_k);
        }
        sums
    }
}

/// (k/2) coth(k/2).
fn half_coth<S: DualNum<Primitive = f64> + Copy>(k: S) -> S {
    if k.re().abs() < SMALL { k * k / 12.0 + 1.0 } else { k * 0.5 / (k * 0.5).tanh() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::assert_close;
    use num_dual::Dual64;

    const EXACT: f64 = 1e-13;
    const SODIUM: f64 = 1.334e-9;
    const CALCIUM: f64 = 7.918e-10;
    const HYDROGEN: f64 = 9.311e-9;

    fn two(x: f64, x_at_bead: f64, d: [f64; 2], z: [u32; 2], co_ion: f64) -> FilmFluxes<f64, 2> {
        film_fluxes(&[x, 1.0 - x], &[x_at_bead, 1.0 - x_at_bead], &d, &z, co_ion, EXACT).unwrap()
    }

    /// Two ions of one charge and a monovalent co-ion (F. Helfferich 1962, ch. 6, from memory): N falls in a straight line,
    /// and a whole exchange has D_e = 2 D_A/(1 + sqrt(D_A/D_B)) with A in the liquid.
    #[test]
    fn a_whole_exchange_of_one_charge_is_closed() {
        let ratio = (HYDROGEN / SODIUM).sqrt();
        let forward = two(1.0, 0.0, [HYDROGEN, SODIUM], [1, 1], 1.0);
        let reverse = two(0.0, 1.0, [HYDROGEN, SODIUM], [1, 1], 1.0);
        assert_close(forward.effective_m2_per_s, 2.0 * HYDROGEN / (1.0 + ratio), 1e-7);
        assert_close(reverse.effective_m2_per_s, 2.0 * SODIUM / (1.0 + 1.0 / ratio), 1e-7);
        // The faster ion gets in faster than it gets out.
        assert_close(forward.effective_m2_per_s / reverse.effective_m2_per_s, ratio, 1e-7);
        assert_close(forward.surface_normality, ratio, 1e-12);
    }

    /// The closed solution for two ions of unlike charge: with J_A = -J_B, rho_A = D_B/(D_B - D_A) is known, and in ln N
    ///
    /// ```text
    /// dx_A/dlnN = -w_A x_A + rho_A (w_A x_A + w_B (1 - x_A))
    /// ```
    ///
    /// is linear with constant coefficients, so that x_A* gives N*/N; and N's slope gives the flux.
    #[test]
    fn two_ions_of_unlike_charge_are_closed() {
        for (x, x_at_bead, co_ion) in [(0.7, 0.001, 1.0), (0.001, 0.7, 1.0), (0.98, 0.1, 2.0), (0.05, 0.5, 1.3)] {
            let found = two(x, x_at_bead, [CALCIUM, SODIUM], [2, 1], co_ion);
            // Fraction of A at the bead, at its own normality: C*_A sigma^2 and C*_B sigma add up to nu.
            let nu = found.surface_normality;
            let (p, q) = (x_at_bead, 1.0 - x_at_bead);
            let sigma = 2.0 * nu / (q + (q * q + 4.0 * p * nu).sqrt());
            let end = p * sigma * sigma / nu;
            let (w_a, w_b) = (1.0 + 2.0 / co_ion, 1.0 + 1.0 / co_ion);
            let rho = SODIUM / (SODIUM - CALCIUM);
            let slope = -w_a + rho * (w_a - w_b);
            let rest = rho * w_b / slope;
            let log_nu = ((end + rest) / (x + rest)).ln() / slope;
            assert_close(nu, log_nu.exp(), 1e-10);
            // J_A (1/D_A - 1/D_B) = -int (w_A x_A + w_B x_B) dN, in steps of Simpson.
            let mean_charge = |l: f64| {
                let x_a = (x + rest) * (slope * l).exp() - rest;
                (w_a * x_a + w_b * (1.0 - x_a)) * l.exp()
            };
            let h = log_nu / 200.0;
            let simpson: f64 = (0..100)
                .map(|j| {
                    let l = 2.0 * h * f64::from(j);
                    (mean_charge(l) + 4.0 * mean_charge(l + h) + mean_charge(l + 2.0 * h)) * h / 3.0
                })
                .sum();
            let flux = -simpson / (1.0 / CALCIUM - 1.0 / SODIUM);
            assert_close(found.flux_times_thickness[0], flux, 1e-7);
            assert_close(found.effective_m2_per_s, flux / (x - x_at_bead), 1e-7);
        }
    }

    #[test]
    fn equal_diffusivities_leave_the_lumped_law_as_it_is() {
        let (c, c_at_bead) = ([0.3, 0.1, 0.2, 0.4], [0.6, 0.25, 0.05, 0.1]);
        let found = film_fluxes(&c, &c_at_bead, &[SODIUM; 4], &[1, 1, 2, 2], 1.2, EXACT).unwrap();
        assert_close(found.effective_m2_per_s, SODIUM, 1e-14);
        assert_close(found.surface_normality, 1.0, 1e-14);
        for i in 0..4 {
            assert_close(found.flux_times_thickness[i], SODIUM * (c[i] - c_at_bead[i]), 1e-13);
        }
    }

    /// A film does not know the scale of its liquid, and carries no current.
    #[test]
    fn fluxes_scale_and_sum_to_nothing() {
        let d = [SODIUM, 7.057e-10, CALCIUM];
        let at = |scale: f64, accuracy: f64| {
            let (c, c_at_bead) = ([0.17, 0.28, 0.55].map(|x| scale * x), [0.98, 0.012, 0.008].map(|x| scale * x));
            film_fluxes(&c, &c_at_bead, &d, &[1, 2, 2], 1.2, accuracy).unwrap()
        };
        let (one, small) = (at(1.0, EXACT), at(3e-3, EXACT));
        assert_close(small.effective_m2_per_s, one.effective_m2_per_s, 1e-12);
        for accuracy in [EXACT, 1e-2] {
            let found = at(1.0, accuracy);
            let current: f64 = found.flux_times_thickness.iter().sum();
            assert!(current.abs() < 2e-9 * found.flux_times_thickness[0].abs(), "{current}");
        }
        // What the column asks for.
        assert_close(at(1.0, 1e-3).effective_m2_per_s, one.effective_m2_per_s, 1e-3);
    }

    /// As the differences vanish the coefficient settles, from either side, until they are within rounding.
    #[test]
    fn small_differences_have_a_limit() {
        let at = |difference: f64| two(0.7, 0.7 + difference, [CALCIUM, SODIUM], [2, 1], 1.0).effective_m2_per_s;
        assert_close(at(1e-4), at(-1e-4), 1e-4);
        assert_close(at(1e-5), at(1e-4), 1e-4);
        assert!(at(0.0) > CALCIUM && at(0.0) < SODIUM);
    }

    #[test]
    fn derivatives_come_from_the_same_code() {
        let effective = |d: f64| two(0.7, 0.05, [d, SODIUM], [2, 1], 1.0).effective_m2_per_s;
        let step = 1e-5 * CALCIUM;
        let difference = (effective(CALCIUM + step) - effective(CALCIUM - step)) / (2.0 * step);
        let numbers = |values: [f64; 2]| values.map(Dual64::from);
        let d = [Dual64::from(CALCIUM).derivative(), Dual64::from(SODIUM)];
        let (c, c_at_bead) = (numbers([0.7, 0.3]), numbers([0.05, 0.95]));
        let found = film_fluxes(&c, &c_at_bead, &d, &[2, 1], Dual64::from(1.0), EXACT).unwrap();
        assert_close(found.effective_m2_per_s.eps, difference, 1e-6);
    }

    #[test]
    fn a_film_of_nothing_is_refused() {
        let d = [SODIUM, CALCIUM];
        assert!(film_fluxes(&[0.0; 2], &[1.0, 0.0], &d, &[1, 2], 1.0, EXACT).is_none());
        assert!(film_fluxes(&[1.0, 0.0], &[f64::NAN, 0.0], &d, &[1, 2], 1.0, EXACT).is_none());
        // Traces are films all the same.
        assert!(film_fluxes(&[1.0, 0.0], &[1e-300, 1.0], &d, &[1, 2], 1.0, EXACT).is_some());
    }
}
