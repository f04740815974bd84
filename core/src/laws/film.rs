//! Mass transfer through the liquid film around a bead, from a packed-bed correlation.
//!
//! ```text
//! Re = rho |u| d_p / mu      Sc = mu / (rho D)      Sh = k_f d_p / D      film rate = k_f 6 (1 - eps) / d_p
//! ```
//!
//! with u superficial velocity \[m/s\], d_p bead diameter \[m\], eps void fraction, rho density \[kg/m3\], mu
//! viscosity \[Pa s\], D ionic diffusivity \[m2/s\], k_f film coefficient \[m/s\], film rate \[1/s\] in the bed.
//!
//! V. Gnielinski (1981), Int. Chem. Eng. 21, 378, the default; with Re_i = Re/eps (formula and range 0.1 < Re_i < 1000
//! read in the documentation of the library `ht`, which takes them from VDI (2010) for heat, with Prandtl numbers from 0.4
//! to 1000; Sc from 0.6 to 10 000 from memory):
//!
//! ```text
//! Sh = (1 + 1.5 (1 - eps)) (2 + sqrt(L^2 + T^2))
//! L = 0.664 Re_i^0.5 Sc^(1/3)      T = 0.037 Re_i^0.8 Sc/(1 + 2.443 Re_i^-0.1 (Sc^(2/3) - 1))
//! ```
//!
//! It is the default because its range holds the slow flow of a brine as well as service. At service it lies within 3 % of
//! Wilson and Geankoplis, at the flow of a brine 35 % below.
//!
//! J. J. Carberry (1960), AIChE J. 6, 460, 0.1 < Re < 1000 (from memory): Sh = 1.15 (Re/eps)^0.5 Sc^(1/3).
//!
//! E. J. Wilson, C. J. Geankoplis (1966), Ind. Eng. Chem. Fundam. 5, 9; formulas and ranges as lecture notes have them (T.
//! Tian 2026, after the textbook of Geankoplis); the paper's first page gives Sc from 950 to 70 600 for its own measurements:
//!
//! ```text
//! Sh = (1.09/eps) (Re Sc)^(1/3)           0.0016 < Re < 55        165 < Sc < 70 600
//! Sh = (0.25/eps) Re^0.69 Sc^(1/3)        55 < Re < 1500          165 < Sc < 10 690
//! ```
//!
//! At Re = 55 the first is 4.4 % above the second, and they cross at 62. The larger of the two is taken, so that Sh
//! neither jumps nor falls with rising flow; between 55 and 62 that is up to 4.4 % above the paper.
//!
//! N. Wakao, T. Funazkri (1978), Chem. Eng. Sci. 33, 1375, 3 < Re < 10 000 (equation 12 and range read in a transcription
//! of the paper in the gallery of the library `pymrm`; range of Sc from memory): Sh = 2 + 1.1 Re^0.6 Sc^(1/3). It belongs
//! to a dispersion of 20 D/eps + 0.5 d_p u/eps, is made for faster flow than a softener's and lies well below the others;
//! brine and rinse are outside it.
//!
//! A sphere in still liquid has Sh = 2 (diffusion from a sphere, exact), so no correlation goes below that, and a bed
//! that stands still keeps a film.

use num_dual::DualNum;

use crate::inputs::rates::FilmCorrelation;

/// Sherwood number of a sphere in still, unbounded liquid.
pub const STILL_LIQUID_SHERWOOD: f64 = 2.0;

/// Reynolds number of a bead in superficial velocity; the direction of the flow does not count.
pub fn reynolds<S: DualNum<Primitive = f64> + Copy>(
    superficial_velocity_m_per_s: S,
    bead_diameter_m: S,
    density_kg_per_m3: S,
    viscosity_pa_s: S,
) -> S {
    density_kg_per_m3 * superficial_velocity_m_per_s.abs() * bead_diameter_m / viscosity_pa_s
}

/// Schmidt number of an ion in a solution.
pub fn schmidt<S: DualNum<Primitive = f64> + Copy>(
    density_kg_per_m3: S,
    viscosity_pa_s: S,
    diffusivity_m2_per_s: S,
) -> S {
    viscosity_pa_s / (density_kg_per_m3 * diffusivity_m2_per_s)
}

/// Film coefficient k_f \[m/s\] from a Sherwood number.
pub fn coefficient_m_per_s<S: DualNum<Primitive = f64> + Copy>(
    sherwood: S,
    diffusivity_m2_per_s: S,
    bead_diameter_m: S,
) -> S {
    sherwood * diffusivity_m2_per_s / bead_diameter_m
}

/// Film rate \[1/s\]: film coefficient times bead surface per volume of bed.
pub fn film_rate_per_s<S: DualNum<Primitive = f64> + Copy>(
    film_coefficient_m_per_s: S,
    void_fraction: S,
    bead_diameter_m: S,
) -> S {
    film_coefficient_m_per_s * (-void_fraction + 1.0) * 6.0 / bead_diameter_m
}

/// The range a correlation was measured in, as (lowest, highest).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Of the Reynolds number.
    pub reynolds: (f64, f64),
    /// Of the Schmidt number.
    pub schmidt: (f64, f64),
}

/// Whether a correlation was used in the range it was measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Validity {
    /// The Reynolds number it was used at.
    pub reynolds: f64,
    /// The Schmidt number it was used at.
    pub schmidt: f64,
    /// Whether both lie within the limits. A standing bed is never within: its film is that of still liquid.
    pub within: bool,
    /// What was measured.
    pub limits: Limits,
}

impl FilmCorrelation {
    /// Sherwood number of a bead in a bed of `void_fraction`.
    pub fn sherwood<S: DualNum<Primitive = f64> + Copy>(self, reynolds: S, schmidt: S, void_fraction: S) -> S {
        let correlated = match self {
            Self::Gnielinski => {
                let interstitial = reynolds / void_fraction;
                let third = schmidt.cbrt();
                let laminar = interstitial.sqrt() * third * 0.664;
                // 0.037 Re^0.8 Sc/(1 + 2.443 Re^-0.1 (Sc^(2/3) - 1)), times Re^0.1 above and below: finite at rest.
                let tenth = interstitial.powf(0.1);
                let turbulent = interstitial.powf(0.9) * schmidt * 0.037 / (tenth + (third * third - 1.0) * 2.443);
                let sphere = (laminar * laminar + turbulent * turbulent).sqrt() + STILL_LIQUID_SHERWOOD;
                ((-void_fraction + 1.0) * 1.5 + 1.0) * sphere
            }
            Self::Carberry => (reynolds / void_fraction).sqrt() * schmidt.cbrt() * 1.15,
            Self::WilsonGeankoplis => {
                let low = reynolds.cbrt() * 1.09;
                let high = reynolds.powf(0.69) * 0.25;
                larger(low, high) * schmidt.cbrt() / void_fraction
            }
            Self::Wakao => {
                // No slope at rest to speak of: Sh = 2 there.
                let still = S::from(STILL_LIQUID_SHERWOOD);
                if reynolds.re() > 0.0 { reynolds.powf(0.6) * schmidt.cbrt() * 1.1 + still } else { still }
            }
        };
        larger(correlated, STILL_LIQUID_SHERWOOD.into())
    }

    /// The range this correlation was measured in; that of the Schmidt number may depend on the Reynolds number.
    pub fn limits(self, reynolds: f64) -> Limits {
        match self {
            // Re_i from 0.1 to 1000, at the void fractions of settled beads.
            Self::Gnielinski => Limits { reynolds: (0.04, 400.0), schmidt: (0.6, 10_000.0) },
            Self::Carberry => Limits { reynolds: (0.1, 1000.0), schmidt: (0.6, 70_600.0) },
            Self::WilsonGeankoplis => {
                let largest_schmidt = if reynolds < 55.0 { 70_600.0 } else { 10_690.0 };
                Limits { reynolds: (0.0016, 1500.0), schmidt: (165.0, largest_schmidt) }
            }
            Self::Wakao => Limits { reynolds: (3.0, 10_000.0), schmidt: (0.6, 70_600.0) },
        }
    }

    /// Whether this correlation was measured at such numbers.
    pub fn validity(self, reynolds: f64, schmidt: f64) -> Validity {
        let limits = self.limits(reynolds);
        let inside = |value: f64, (low, high): (f64, f64)| low <= value && value <= high;
        Validity {
            reynolds,
            schmidt,
            within: inside(reynolds, limits.reynolds) && inside(schmidt, limits.schmidt),
            limits,
        }
    }
}

/// The larger of two by value, with its own derivatives; a first that is not a number stays.
fn larger<S: DualNum<Primitive = f64> + Copy>(first: S, second: S) -> S {
    if second > first { second } else { first }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    const WILSON: FilmCorrelation = FilmCorrelation::WilsonGeankoplis;

    #[test]
    fn the_worked_case_comes_out() {
        // Computed apart from this code: void fraction 0.38, 20 m/h of water at 20 C, calcium.
        let (d, rho, mu, diffusivity) = (0.6e-3, 998.21, 1.0016e-3, 7.92e-10);
        let re = reynolds(20.0 / 3600.0, d, rho, mu);
        let sc = schmidt(rho, mu, diffusivity);
        assert_close(re, 3.32205, 1e-5);
        assert_close(sc, 1266.91, 1e-5);
        assert_close(WILSON.sherwood(re, sc, 0.38), 46.312, 2e-5);
        let k_f = coefficient_m_per_s(WILSON.sherwood(re, sc, 0.38), diffusivity, d);
        assert_close(k_f, 6.113e-5, 1e-4);
        assert_close(film_rate_per_s(k_f, 0.38, d), 0.3790, 2e-4);
        assert!(WILSON.validity(re, sc).within);
    }

    /// The library `ht` 1.2.0: 44.921 for the worked case, and 61.37823202546954 for the example in its documentation
    /// (d 0.8 mm, eps 0.4, 1 m/s, rho 1000, mu 1e-3, Sc 0.7).
    #[test]
    fn gnielinski_agrees_with_an_independent_library() {
        let law = FilmCorrelation::Gnielinski;
        assert_close(law.sherwood(3.32205, 1266.91, 0.38), 44.921, 2e-5);
        assert_close(law.sherwood(800.0, 0.7, 0.4), 61.378_232_025_469_54, 1e-12);
        assert!(law.sherwood(0.0, 1200.0, 0.38) >= STILL_LIQUID_SHERWOOD);
    }

    /// The worked case by the formula, computed apart from this code: 36.792.
    #[test]
    fn carberry_comes_out() {
        assert_close(FilmCorrelation::Carberry.sherwood(3.32205, 1266.91, 0.38), 36.792, 2e-5);
    }

    /// The example in the documentation of the library `ht` 1.2.0: Re = 2000, Sc = 0.7.
    #[test]
    fn wakao_agrees_with_an_independent_library() {
        assert_close(FilmCorrelation::Wakao.sherwood(2000.0, 0.7, 0.4), 95.406_413_280_412_48, 1e-12);
        assert_close(FilmCorrelation::Wakao.sherwood(3.32205, 1266.91, 0.38), 26.462, 2e-5);
        let at_rest = first_derivative(|re| FilmCorrelation::Wakao.sherwood(re, 1200.0.into(), 0.38.into()), 0.0);
        assert_eq!(at_rest, (STILL_LIQUID_SHERWOOD, 0.0));
    }

    #[test]
    fn other_correlations_lie_within_a_factor_two() {
        // Same case by Gnielinski and by Wakao (library `ht` 1.2.0): 44.921 and 26.462.
        assert_close(WILSON.sherwood(3.32205, 1266.91, 0.38), 44.921, 0.05);
        assert!(WILSON.sherwood(3.32205, 1266.91, 0.38) / 26.462 < 2.0);
    }

    #[test]
    fn the_branches_join_without_a_fall() {
        // The published high branch, well above the joint.
        let expected = 0.25 / 0.38 * 200f64.powf(0.69) * 1200f64.cbrt();
        assert_close(WILSON.sherwood(200.0, 1200.0, 0.38), expected, 1e-12);
        let curve = (1..15_000).map(|i| WILSON.sherwood(f64::from(i) / 10.0, 1200.0, 0.38));
        assert!(curve.is_sorted_by(|lower, higher| lower < higher));
    }

    #[test]
    fn a_standing_bed_keeps_a_film() {
        let film = first_derivative(|re| WILSON.sherwood(re, 1200.0.into(), 0.38.into()), 0.0);
        assert_eq!(film, (STILL_LIQUID_SHERWOOD, 0.0));
        assert!(!WILSON.validity(0.0, 1200.0).within);
        assert!(!WILSON.validity(3.0, 160.0).within);
        assert!(WILSON.sherwood(f64::NAN, 1200.0, 0.38).is_nan());
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        for re in [0.5, 300.0] {
            let law = |re| WILSON.sherwood(re, 1200.0.into(), 0.38.into());
            let expected = central_difference(|re| WILSON.sherwood(re, 1200.0, 0.38), re);
            assert_close(first_derivative(law, re).1, expected, 1e-8);
        }
    }

    /// Water warmed from 10 to 25 C at 20 m/h. By the exponents of each formula, with D(10 C)/D(25 C) = 0.6473 and kinematic
    /// viscosities 1.30630e-6 and 0.89266e-6 m2/s (library `iapws` 1.5.5): k_f goes with D^(2/3) by Wilson and Geankoplis,
    /// where viscosity cancels, and with D^(2/3) nu^(-1/6) by Carberry.
    #[test]
    fn a_warm_film_is_faster_as_viscosity_says() {
        use crate::laws::{density::water_kg_per_m3, diffusivity::ionic_m2_per_s, viscosity::water_pa_s};
        let coefficient = |law: FilmCorrelation, t_k: f64| {
            let (rho, mu) = (water_kg_per_m3(t_k), water_pa_s(t_k));
            let ionic = ionic_m2_per_s(7.918e-10, t_k, mu);
            let (re, sc) = (reynolds(20.0 / 3600.0, 0.6e-3, rho, mu), schmidt(rho, mu, ionic));
            coefficient_m_per_s(law.sherwood(re, sc, 0.38), ionic, 0.6e-3)
        };
        let ten_over_25 = |law| coefficient(law, 283.15) / coefficient(law, 298.15);
        let by_diffusivity = 0.6473_f64.powf(2.0 / 3.0);
        assert_close(ten_over_25(WILSON), by_diffusivity, 1e-3);
        let by_viscosity = (1.30630_f64 / 0.89266).powf(-1.0 / 6.0);
        assert_close(ten_over_25(FilmCorrelation::Carberry), by_diffusivity * by_viscosity, 1e-3);
        for law in [FilmCorrelation::Gnielinski, FilmCorrelation::Carberry, WILSON, FilmCorrelation::Wakao] {
            let warming = (5..=40).map(|t_c| coefficient(law, f64::from(t_c) + 273.15));
            assert!(warming.is_sorted_by(|cold, warm| cold < warm), "{}", law.name());
        }
    }

    /// Warm water lies within, Sc 600 and less, and faster flow was measured up to a smaller Sc (T. Tian 2026).
    #[test]
    fn wilson_and_geankoplis_measured_other_liquids_in_slow_flow() {
        assert!(WILSON.validity(3.0, 600.0).within);
        assert!(WILSON.validity(54.0, 20_000.0).within && !WILSON.validity(56.0, 20_000.0).within);
        assert!(WILSON.validity(56.0, 10_000.0).within);
    }

    #[test]
    fn every_correlation_knows_its_range() {
        for law in [FilmCorrelation::Gnielinski, FilmCorrelation::Carberry, WILSON, FilmCorrelation::Wakao] {
            let (re_low, re_high) = law.limits(f64::NAN).reynolds;
            let middle_re = (re_low * re_high).sqrt();
            let (sc_low, sc_high) = law.limits(middle_re).schmidt;
            let middle = (middle_re, (sc_low * sc_high).sqrt());
            assert!(law.validity(middle.0, middle.1).within, "{}", law.name());
            for (re, sc) in [
                (0.99 * re_low, middle.1),
                (1.01 * re_high, middle.1),
                (middle.0, 0.99 * sc_low),
                (middle.0, 1.01 * sc_high),
            ] {
                assert!(!law.validity(re, sc).within, "{} at Re {re}, Sc {sc}", law.name());
            }
        }
    }
}
