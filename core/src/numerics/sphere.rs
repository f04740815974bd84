//! A sphere cut into shells, for diffusion that is felt at its surface.
//!
//! Shell s holds the share v_s of the sphere's volume; between it and the next one outwards, or the surface, is the
//! conductance k_s, in units of D/R^2 and per volume of the sphere:
//!
//! ```text
//! v_s dq_s/dt = D/R^2 [k_s (q_(s+1) - q_s) - k_(s-1) (q_s - q_(s-1))],    q_S = the surface
//! ```
//!
//! Seen from the surface, such a ladder answers a change of p in the Laplace sense (p in units of D/R^2) with the flux
//! Y(p) per volume; the sphere itself answers with (J. Crank 1975, *The Mathematics of Diffusion*, sec. 6.3)
//!
//! ```text
//! Y(p) = 3 (sqrt p coth sqrt p - 1)
//! ```
//!
//! [`Sphere::fitted`] is the ladder of ten shells whose Y is the sphere's within 5e-8 for p from 0.1 to 5e4: the idea of
//! finite-difference grids that converge as Gaussian quadrature does, where only the surface is asked for (V. Druskin, L.
//! Knizhnerman 2000, SIAM J. Numer. Anal. 37, 403, from memory). Its shells are a grid like any other, finer towards the
//! surface; ten of them follow the uptake of a sphere within 0.003 % from 0.1 % of its diffusion time on, where ten shells of
//! an ordinary grid miss it by 2 %. [`Sphere::graded`] is that ordinary grid, for any number of shells.
//!
//! [`Sphere::layered`] is the least that can be said of a sphere beyond its mean: a core of one shell, and a layer that is
//! always as the surface is. With a share b in the layer and the conductance k between the two
//!
//! ```text
//! Y(p) = p (b + (1 - b) k/(k + (1 - b) p)) = p - (1 - b)^2 p^2/k + (1 - b)^3 p^3/k^2 - ...
//! ```
//!
//! and the sphere's p - p^2/15 + 2 p^3/315 - ... leaves no choice: b = 3/10, k = 147/20. Slow changes are met one power of p
//! further than by the linear driving force, b = 0 and k = 15, whose Y is 6 % too low at p = 8 and 26 % at p = 30; this one's is 1
//! and 8 % too high there. No layer can be as slow as a sphere in the beginning: a film in front of it is.

/// Shells of a sphere, from the centre outwards.
#[derive(Debug, Clone, PartialEq)]
pub struct Sphere {
    /// Share of the sphere's volume that each shell holds.
    pub volume: Vec<f64>,
    /// Conductance from each shell outwards \[D/R^2\].
    pub conductance: Vec<f64>,
    /// Share of the sphere's volume that is as its surface is; with the shells' it sums to 1.
    pub at_surface: f64,
}

/// Shells of the fitted ladder.
const FITTED_SHELLS: usize = 10;

/// Volumes of the fitted ladder: least squares of ln Y at 120 values of p, spread evenly in its logarithm
/// (`tests/python/physics/reference_values/sphere.py`).
const FITTED_VOLUME: [f64; FITTED_SHELLS] = [
    0.127_319_573_132,
    0.204_002_029_895,
    0.208_186_967_746,
    0.165_391_025_624,
    0.115_791_121_83,
    0.076_318_127_625_7,
    0.048_804_199_312_6,
    0.030_211_089_067_4,
    0.017_100_180_114_9,
    0.006_875_685_651_93,
];

/// Its conductances.
const FITTED_CONDUCTANCE: [f64; FITTED_SHELLS] = [
    3.379_190_367_64,
    9.504_897_604_71,
    20.628_194_564,
    40.083_631_974_5,
    72.879_884_000_9,
    126.845_773_774,
    215.984_440_144,
    375.885_910_366,
    758.047_450_613,
    3_973.648_534_1,
];

/// How much thinner a shell of the ordinary grid is than the one within it, over its whole depth.
const GRADING: f64 = 60.0;

/// Share of the layer around a core, and the conductance between the two.
const LAYER: f64 = 3.0 / 10.0;
const LAYER_CONDUCTANCE: f64 = 147.0 / 20.0;

impl Sphere {
    /// The ladder of ten shells.
    pub fn fitted() -> Self {
        let sum: f64 = FITTED_VOLUME.iter().sum();
        Self {
            volume: FITTED_VOLUME.map(|v| v / sum).to_vec(),
            conductance: FITTED_CONDUCTANCE.to_vec(),
            at_surface: 0.0,
        }
    }

    /// Concentric shells, the outermost 60 times as thin as the innermost; values stand where half a shell's volume lies
    /// within. Second order in their number.
    pub fn graded(shells: usize) -> Self {
        let ratio = GRADING.powf(-1.0 / (shells.max(2) - 1) as f64);
        let thickness: Vec<f64> = (0..shells).map(|s| ratio.powi(s as i32)).collect();
        let whole: f64 = thickness.iter().sum();
        let mut radius = vec![0.0];
        for s in &thickness {
            radius.push(radius[radius.len() - 1] + s / whole);
        }
        let volume: Vec<f64> = radius.windows(2).map(|r| r[1].powi(3) - r[0].powi(3)).collect();
        let mut middle: Vec<f64> = radius.windows(2).map(|r| (0.5 * (r[1].powi(3) + r[0].powi(3))).cbrt()).collect();
        middle.push(1.0);
        let conductance = (0..shells).map(|s| 3.0 * radius[s + 1].powi(2) / (middle[s + 1] - middle[s])).collect();
        Self { volume, conductance, at_surface: 0.0 }
    }

    /// A core in a layer that is as the surface is.
    pub fn layered() -> Self {
        Self { volume: vec![1.0 - LAYER], conductance: vec![LAYER_CONDUCTANCE], at_surface: LAYER }
    }

    /// Outer radius of each shell, as a share of the sphere's: volumes laid on one another.
    pub fn outer_radius(&self) -> Vec<f64> {
        self.volume
            .iter()
            .scan(0.0, |inside: &mut f64, v| {
                *inside += v;
                Some(inside.cbrt())
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a ladder answers to p at its surface.
    fn admittance(sphere: &Sphere, p: f64) -> f64 {
        sphere
            .volume
            .iter()
            .zip(&sphere.conductance)
            .fold(0.0, |inside, (v, k)| 1.0 / (1.0 / k + 1.0 / (p * v + inside)))
            + p * sphere.at_surface
    }

    #[test]
    fn the_ladder_answers_as_the_sphere_does() {
        let ladder = Sphere::fitted();
        for i in 0..=57 {
            let p = 10f64.powf(-1.0 + 0.1 * f64::from(i));
            let exact = 3.0 * (p.sqrt() / p.sqrt().tanh() - 1.0);
            assert!(
                (admittance(&ladder, p) / exact - 1.0).abs() < 1e-7,
                "{p}: {}",
                admittance(&ladder, p) / exact - 1.0
            );
        }
        assert!((ladder.outer_radius()[FITTED_SHELLS - 1] - 1.0).abs() < 1e-14);
    }

    #[test]
    fn an_ordinary_grid_converges_to_it() {
        let worst = |shells: usize| {
            let grid = Sphere::graded(shells);
            (0..=40)
                .map(|i| 10f64.powf(-1.0 + 0.1 * f64::from(i)))
                .map(|p| (admittance(&grid, p) / (3.0 * (p.sqrt() / p.sqrt().tanh() - 1.0)) - 1.0).abs())
                .fold(0.0, f64::max)
        };
        let (coarse, fine) = (worst(20), worst(40));
        assert!(coarse < 0.02 && coarse / fine > 3.0, "{coarse} {fine}");
    }

    #[test]
    fn a_core_in_a_layer_answers_slow_changes_as_the_sphere_does() {
        let (layered, linear) =
            (Sphere::layered(), Sphere { volume: vec![1.0], conductance: vec![15.0], at_surface: 0.0 });
        let off = |sphere: &Sphere, p: f64| admittance(sphere, p) / (3.0 * (p.sqrt() / p.sqrt().tanh() - 1.0)) - 1.0;
        assert!((layered.volume[0] + layered.at_surface - 1.0).abs() < 1e-15);
        // What is missing of Y/p goes with the third power of p, where it does with the second of the linear driving force.
        for (sphere, power) in [(&layered, 3), (&linear, 2)] {
            let seen = (off(sphere, 0.2) / off(sphere, 0.1)).log2();
            assert!((seen - f64::from(power)).abs() < 0.05, "{power}: {seen}");
        }
        for (p, of_layered, of_linear) in [(8.0, 0.0064, -0.062), (30.0, 0.076, -0.26)] {
            let (a, b) = (off(&layered, p), off(&linear, p));
            assert!((a / of_layered - 1.0).abs() < 0.2 && (b / of_linear - 1.0).abs() < 0.2, "{p}: {a} {b}");
        }
    }
}
