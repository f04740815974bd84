//! Selectivity coefficients in their several conventions, converted in one place.
//!
//! For ions i and j of charges z_i, z_j, with j as reference, y equivalent fractions in the resin, x in solution, c
//! \[mol/L\], N \[eq/L of solution\], Q capacity \[eq/L\]:
//!
//! ```text
//! molar Gaines-Thomas       KGT_ij = (y_i/c_i)^z_j / (y_j/c_j)^z_i
//! normality/capacity        K_ij   = (y_i/x_i)^z_j (x_j/y_j)^z_i (N/Q)^(z_i - z_j)
//! link                      KGT_ij = K_ij Q^(z_i - z_j) z_i^z_j/z_j^z_i         (2 Q K for Ca against Na)
//! per bead and per bed      K_bed  = K_bead (1 - eps)^(z_j - z_i)               since Q_bead = Q/(1 - eps)
//! separation factor         alpha_ij = y_i x_j/(x_i y_j) = [K_ij (Q y_j/(N x_j))^(z_i - z_j)]^(1/z_j)
//! change of reference       K_ik = (K_ij^z_k K_jk^z_i)^(1/z_j)        K_ji = 1/K_ij
//! activities                K = K_app/(exchange factor at N0)         exchange factor = G_i^z_j/G_j^z_i
//! ```
//!
//! Definitions: G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714 (their fractions read in the theory guide of a code
//! for reactive transport); M. L. Davis (2010), *Water and Wastewater Engineering*, eq. 8-7 and 8-15, for the
//! normality/capacity form and the separation factor. Everything else is algebra. For unequal charges K depends on the
//! scale of concentration, which must be stated (IUPAC Gold Book, S05566), so a coefficient here carries its scale, and
//! two of different scales are not chained.

use std::fmt;

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::inputs::resin::SelectivityBasis;
use crate::laws::equilibrium::loading_from_solution;

/// How a coefficient is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Exchanger fractions over mol/L of solution.
    MolarGainesThomas,
    /// Fractions on both sides with (N/Q), Q counted on the volume named.
    NormalityCapacity(SelectivityBasis),
}

impl fmt::Display for Form {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::MolarGainesThomas => "molar Gaines-Thomas",
            Self::NormalityCapacity(SelectivityBasis::Bed) => "normality/capacity per litre of bed",
            Self::NormalityCapacity(SelectivityBasis::Bead) => "normality/capacity per litre of bead",
        })
    }
}

/// What the solution is described by in a coefficient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Solution {
    /// Concentrations, at a normality \[eq/L\].
    Concentrations {
        /// Where it was measured or is to be used.
        normality_eq_per_l: f64,
    },
    /// Activities on the molar scale: it holds at every normality.
    Activities,
}

impl fmt::Display for Solution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Concentrations { normality_eq_per_l } => write!(f, "concentrations at {normality_eq_per_l} eq/L"),
            Self::Activities => f.write_str("activities"),
        }
    }
}

/// The scale a coefficient was measured on.
#[derive(Debug, Clone, PartialEq)]
pub struct Scale {
    /// The set of measurements it belongs to: `BonnerSmith1957`.
    pub set: String,
    /// How it is written.
    pub form: Form,
    /// What the solution is described by.
    pub solution: Solution,
}

impl fmt::Display for Scale {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}, {}", self.set, self.form, self.solution)
    }
}

/// The resin a coefficient is converted for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Capacity {
    /// Q \[eq per litre of packed bed\].
    pub eq_per_l_of_bed: f64,
    /// Void fraction between the beads.
    pub void_fraction: f64,
}

impl Capacity {
    /// Q \[eq/L\] on the volume named.
    pub fn on(self, basis: SelectivityBasis) -> f64 {
        match basis {
            SelectivityBasis::Bed => self.eq_per_l_of_bed,
            SelectivityBasis::Bead => self.eq_per_l_of_bed / (1.0 - self.void_fraction),
        }
    }

    fn validate(self) -> Result<()> {
        positive("capacity_eq_per_l", self.eq_per_l_of_bed)?;
        if (0.0..1.0).contains(&self.void_fraction) {
            Ok(())
        } else {
            Err(Error::value("void_fraction", self.void_fraction, "must be from 0 to below 1"))
        }
    }
}

/// A selectivity coefficient that knows its ions and its scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Coefficient {
    ion: Ion,
    reference: Ion,
    value: f64,
    scale: Scale,
}

impl Coefficient {
    /// A coefficient of `ion` against `reference`.
    ///
    /// # Errors
    /// [`Error::Value`] for an anion, a value or a normality that is not a number above 0, or an ion against itself with
    /// another value than 1.
    pub fn new(ion: Ion, reference: Ion, value: f64, scale: Scale) -> Result<Self> {
        let field = format!("selectivity.{ion}");
        for one in [ion, reference] {
            if !one.is_cation() {
                return Err(Error::value(field, one, "a cation resin exchanges no anion"));
            }
        }
        positive(&field, value)?;
        if ion == reference && (value - 1.0).abs() > 1e-12 {
            return Err(Error::value(field, value, "an ion against itself is 1 by definition"));
        }
        if let Solution::Concentrations { normality_eq_per_l } = scale.solution {
            positive("normality_eq_per_l", normality_eq_per_l)?;
        }
        Ok(Self { ion, reference, value, scale })
    }

    /// A coefficient in the normality/capacity form per litre of bed, from a separation factor of two ions by themselves
    /// at a normality \[eq/L\] and a fraction `x` of `ion` in solution.
    ///
    /// # Errors
    /// [`Error::Value`] as [`Self::new`], or for a fraction not between 0 and 1.
    pub fn from_separation_factor(
        (ion, reference): (Ion, Ion),
        alpha: f64,
        x: f64,
        normality_eq_per_l: f64,
        set: &str,
        capacity: Capacity,
    ) -> Result<Self> {
        positive(&format!("separation_factor.{ion}"), alpha)?;
        positive("normality_eq_per_l", normality_eq_per_l)?;
        capacity.validate()?;
        between_0_and_1(ion, x)?;
        let y_reference = (1.0 - x) / (alpha * x + 1.0 - x);
        let ratio = normality_eq_per_l * (1.0 - x) / (capacity.eq_per_l_of_bed * y_reference);
        let (z, z_reference) = charges(ion, reference);
        let value = alpha.powi(z_reference) * ratio.powi(z - z_reference);
        let scale = Scale {
            set: set.to_string(),
            form: Form::NormalityCapacity(SelectivityBasis::Bed),
            solution: Solution::Concentrations { normality_eq_per_l },
        };
        Self::new(ion, reference, value, scale)
    }

    /// The ion it is of.
    pub fn ion(&self) -> Ion {
        self.ion
    }

    /// The ion it is against.
    pub fn reference(&self) -> Ion {
        self.reference
    }

    /// Its number, which means nothing without [`Self::scale`].
    pub fn value(&self) -> f64 {
        self.value
    }

    /// Its scale.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// The same coefficient written in another form, for a resin.
    ///
    /// # Errors
    /// [`Error::Value`] for a capacity or a void fraction out of its limits.
    pub fn in_form(&self, form: Form, capacity: Capacity) -> Result<Self> {
        capacity.validate()?;
        let (z, z_reference) = charges(self.ion, self.reference);
        // KGT over the value in a form.
        let molar_over = |form| match form {
            Form::MolarGainesThomas => 1.0,
            Form::NormalityCapacity(basis) => {
                let charges = f64::from(z).powi(z_reference) / f64::from(z_reference).powi(z);
                capacity.on(basis).powi(z - z_reference) * charges
            }
        };
        let bed_over_bead = (1.0 - capacity.void_fraction).powi(z_reference - z);
        let basis = |form| match form {
            Form::NormalityCapacity(basis) => Some(basis),
            Form::MolarGainesThomas => None,
        };
        // From one volume to the other the capacity itself drops out.
        let value = match (basis(self.scale.form), basis(form)) {
            _ if self.scale.form == form => self.value,
            (Some(SelectivityBasis::Bead), Some(SelectivityBasis::Bed)) => self.value * bed_over_bead,
            (Some(SelectivityBasis::Bed), Some(SelectivityBasis::Bead)) => self.value / bed_over_bead,
            _ => self.value * molar_over(self.scale.form) / molar_over(form),
        };
        Ok(Self { value, scale: Scale { form, ..self.scale.clone() }, ..self.clone() })
    }

    /// The reference against the ion.
    pub fn inverted(&self) -> Self {
        Self { ion: self.reference, reference: self.ion, value: self.value.recip(), scale: self.scale.clone() }
    }

    /// This coefficient against the reference of `next`, which must be of this one's reference and on the same scale.
    ///
    /// # Errors
    /// [`Error::Value`] naming both scales if they differ, or both ions if they do not join.
    pub fn chained(&self, next: &Self) -> Result<Self> {
        let field = format!("selectivity.{}", self.ion);
        if self.reference != next.ion {
            let limits = format!("is against {}: a coefficient of {} does not join it", self.reference, next.ion);
            return Err(Error::value(field, self.value, limits));
        }
        if self.scale != next.scale {
            let limits = format!(
                "is on the scale ({}) and {} against {} on ({}): convert one, or state that they agree",
                self.scale, next.ion, next.reference, next.scale
            );
            return Err(Error::value(field, self.value, limits));
        }
        let (z, z_joint) = charges(self.ion, self.reference);
        let z_next = next.reference.valence() as i32;
        let value = (self.value.powi(z_next) * next.value.powi(z)).powf(f64::from(z_joint).recip());
        Ok(Self { reference: next.reference, value, ..self.clone() })
    }

    /// The same number said to belong to another set: how a caller states that two sets agree.
    pub fn stated_in(&self, set: &str) -> Self {
        Self { scale: Scale { set: set.to_string(), ..self.scale.clone() }, ..self.clone() }
    }

    /// From concentrations to activities: K = K_app / factor, with the exchange factor G_i^z_j/G_j^z_i of the solution it
    /// was measured in ([`crate::laws::activity`]).
    ///
    /// # Errors
    /// [`Error::Value`] if it is on activities already, or the factor is not a number above 0.
    pub fn to_activities(&self, exchange_factor: f64) -> Result<Self> {
        positive("exchange_factor", exchange_factor)?;
        if self.scale.solution == Solution::Activities {
            let limits = "is on activities already: no exchange factor may be taken out of it again";
            return Err(Error::value(format!("selectivity.{}", self.ion), self.value, limits));
        }
        let scale = Scale { solution: Solution::Activities, ..self.scale.clone() };
        Ok(Self { value: self.value / exchange_factor, scale, ..self.clone() })
    }

    /// From activities to concentrations at a normality \[eq/L\]: K_app = K factor, with the exchange factor there.
    ///
    /// # Errors
    /// [`Error::Value`] if it is on concentrations already, or a number is not above 0.
    pub fn to_concentrations(&self, exchange_factor: f64, normality_eq_per_l: f64) -> Result<Self> {
        positive("exchange_factor", exchange_factor)?;
        positive("normality_eq_per_l", normality_eq_per_l)?;
        if self.scale.solution != Solution::Activities {
            let limits = format!("is on {} already: take it to activities first", self.scale.solution);
            return Err(Error::value(format!("selectivity.{}", self.ion), self.value, limits));
        }
        let scale = Scale { solution: Solution::Concentrations { normality_eq_per_l }, ..self.scale.clone() };
        Ok(Self { value: self.value * exchange_factor, scale, ..self.clone() })
    }

    /// Separation factor of the two ions by themselves, at a normality \[eq/L\] and a fraction `x` of the ion in solution,
    /// as if this coefficient held there. The reference must have one charge.
    ///
    /// # Errors
    /// [`Error::Value`] for a number out of its limits, or a reference of two charges.
    pub fn separation_factor(&self, x: f64, normality_eq_per_l: f64, capacity: Capacity) -> Result<f64> {
        positive("normality_eq_per_l", normality_eq_per_l)?;
        between_0_and_1(self.ion, x)?;
        if self.reference.valence() != 1 {
            let limits = "needs a reference of one charge; chain it to sodium first";
            return Err(Error::value(format!("selectivity.{}", self.ion), self.reference, limits));
        }
        let k = self.in_form(Form::NormalityCapacity(SelectivityBasis::Bed), capacity)?.value;
        let c = [normality_eq_per_l * (1.0 - x), normality_eq_per_l * x];
        let valence = [1, self.ion.valence()];
        let (q, _) = loading_from_solution(&c, &[1.0, k], &valence, capacity.eq_per_l_of_bed)
            .ok_or_else(|| Error::value("normality_eq_per_l", normality_eq_per_l, "no equilibrium was found"))?;
        Ok(q[1] * (1.0 - x) / (q[0] * x))
    }
}

fn charges(ion: Ion, reference: Ion) -> (i32, i32) {
    (ion.valence() as i32, reference.valence() as i32)
}

fn positive(field: &str, value: f64) -> Result<()> {
    if value.is_finite() && value > 0.0 { Ok(()) } else { Err(Error::value(field, value, "must be a number above 0")) }
}

fn between_0_and_1(ion: Ion, x: f64) -> Result<()> {
    if x > 0.0 && x < 1.0 {
        Ok(())
    } else {
        Err(Error::value(format!("fraction.{ion}"), x, "must lie between 0 and 1"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::assert_close;

    const BED: Form = Form::NormalityCapacity(SelectivityBasis::Bed);
    const BEAD: Form = Form::NormalityCapacity(SelectivityBasis::Bead);
    const RESIN: Capacity = Capacity { eq_per_l_of_bed: 2.0, void_fraction: 0.38 };

    fn scale(form: Form) -> Scale {
        Scale { set: "Invented".into(), form, solution: Solution::Concentrations { normality_eq_per_l: 0.01 } }
    }

    fn coefficient(ion: Ion, reference: Ion, value: f64, form: Form) -> Coefficient {
        Coefficient::new(ion, reference, value, scale(form)).unwrap()
    }

    /// Coefficients evaluated from their definitions at one state: three ions anyhow, no equilibrium needed.
    fn from_definition(ion: Ion, reference: Ion, form: Form) -> f64 {
        // Na, K, Ca: fractions in resin and solution, N 0.3 eq/L.
        let state = |ion: Ion| match ion.symbol() {
            "Na" => (0.5, 0.7),
            "K" => (0.2, 0.1),
            "Mg" => (0.1, 0.15),
            _ => (0.2, 0.05),
        };
        let ((y, x), (y_r, x_r), n) = (state(ion), state(reference), 0.3);
        let (z, z_r) = charges(ion, reference);
        match form {
            Form::MolarGainesThomas => {
                let (c, c_r) = (x * n / f64::from(z), x_r * n / f64::from(z_r));
                (y / c).powi(z_r) / (y_r / c_r).powi(z)
            }
            Form::NormalityCapacity(basis) => {
                (y / x).powi(z_r) * (x_r / y_r).powi(z) * (n / RESIN.on(basis)).powi(z - z_r)
            }
        }
    }

    /// Every form from every other, for pairs of equal and unequal charge with either as reference.
    #[test]
    fn forms_are_those_of_the_definitions() {
        let forms = [Form::MolarGainesThomas, BED, BEAD];
        for (ion, reference) in [(Ion::CA, Ion::NA), (Ion::K, Ion::NA), (Ion::NA, Ion::CA), (Ion::MG, Ion::CA)] {
            for from in forms {
                for to in forms {
                    let given = coefficient(ion, reference, from_definition(ion, reference, from), from);
                    let converted = given.in_form(to, RESIN).unwrap();
                    assert_close(converted.value(), from_definition(ion, reference, to), 1e-13);
                    assert_eq!(converted.scale().form, to);
                    assert_close(converted.in_form(from, RESIN).unwrap().value(), given.value(), 1e-14);
                }
            }
        }
    }

    #[test]
    fn references_are_changed_as_by_the_definitions() {
        for form in [Form::MolarGainesThomas, BED, BEAD] {
            let of = |ion, reference| coefficient(ion, reference, from_definition(ion, reference, form), form);
            for [i, j, k] in [
                [Ion::CA, Ion::NA, Ion::K],
                [Ion::CA, Ion::MG, Ion::NA],
                [Ion::K, Ion::CA, Ion::NA],
                [Ion::MG, Ion::CA, Ion::NA],
                [Ion::NA, Ion::CA, Ion::MG],
            ] {
                let chained = of(i, j).chained(&of(j, k)).unwrap();
                assert_close(chained.value(), from_definition(i, k, form), 1e-13);
                assert_eq!((chained.ion(), chained.reference()), (i, k));
                assert_close(
                    chained.chained(&of(j, k).inverted()).unwrap().value(),
                    from_definition(i, j, form),
                    1e-13,
                );
                assert_close(of(i, j).inverted().value(), from_definition(j, i, form), 1e-13);
            }
        }
    }

    /// K 2.606 and Q 2.0 eq/L of bed by hand: KGT = 2 Q K = 10.424; per litre of bead, at a void fraction of 0.38, Q is
    /// 3.2258 and K = 10.424/(2 Q) = 1.6157.
    #[test]
    fn a_hand_worked_coefficient() {
        let k = coefficient(Ion::CA, Ion::NA, 2.606, BED);
        assert_close(k.in_form(Form::MolarGainesThomas, RESIN).unwrap().value(), 10.424, 1e-12);
        assert_close(k.in_form(BEAD, RESIN).unwrap().value(), 1.61572, 1e-5);
        // As the exchange law has it: K_bed = K_bead (1 - eps)^(1 - z).
        let bead = coefficient(Ion::CA, Ion::NA, 2.606, BEAD);
        assert_close(bead.in_form(BED, RESIN).unwrap().value(), 2.606 / 0.62, 1e-13);
        // Equal charges: the three forms are one number.
        let k = coefficient(Ion::K, Ion::NA, 1.46, BEAD);
        assert_close(k.in_form(Form::MolarGainesThomas, RESIN).unwrap().value(), 1.46, 1e-14);
    }

    /// alpha at K 2.606, Q 2.0 eq/L: the closed quadratic evaluated apart from this code, and 1 at N = K Q by algebra.
    #[test]
    fn separation_factors_agree_with_mass_action() {
        let k = coefficient(Ion::CA, Ion::NA, 2.606, BED);
        for (n, x, alpha) in [
            (0.005, 0.05, 135.2),
            (0.01, 0.5, 31.79),
            (0.1, 0.2, 14.27),
            (1.0, 0.5, 2.767),
            (4.0, 0.8, 1.157),
            (2.606 * 2.0, 0.3, 1.0),
        ] {
            let found = k.separation_factor(x, n, RESIN).unwrap();
            assert_close(found, alpha, 5e-4);
            let back = Coefficient::from_separation_factor((Ion::CA, Ion::NA), found, x, n, "Invented", RESIN).unwrap();
            assert_close(back.value(), 2.606, 1e-9);
        }
    }

    /// M. L. Davis (2010), Example 8-1: alpha 1.9 of Ca against Na, 1.4 and 2.6 meq/L, Q 2.0 eq/L hold 1.0114 eq/L of
    /// calcium (the book rounds alpha and prints 1.008). As mass action, that alpha is a K of 0.0050: no true separation
    /// factor of such a water.
    #[test]
    fn the_example_of_a_textbook() {
        let (n, x) = (0.004, 0.35);
        let k = Coefficient::from_separation_factor((Ion::CA, Ion::NA), 1.9, x, n, "Davis2010", RESIN).unwrap();
        let alpha = k.separation_factor(x, n, RESIN).unwrap();
        assert_close(2.0 * alpha * x / (alpha * x + 1.0 - x), 1.0114, 5e-5);
        assert_close(k.value(), 0.004997, 1e-3);
    }

    #[test]
    fn activities_are_taken_out_and_put_in_once() {
        let apparent = coefficient(Ion::CA, Ion::NA, 2.0, BED);
        let k = apparent.to_activities(0.8).unwrap();
        assert_close(k.value(), 2.5, 1e-15);
        let brine = k.to_concentrations(0.5, 2.0).unwrap();
        assert_close(brine.value(), 1.25, 1e-15);
        assert_eq!(brine.scale().solution, Solution::Concentrations { normality_eq_per_l: 2.0 });
        assert!(k.to_activities(0.8).unwrap_err().to_string().contains("on activities already"));
        assert!(apparent.to_concentrations(0.5, 2.0).unwrap_err().to_string().contains("take it to activities first"));
    }

    #[test]
    fn scales_are_not_mixed_in_silence() {
        let calcium = coefficient(Ion::CA, Ion::K, 1.2, BED);
        let potassium = coefficient(Ion::K, Ion::NA, 1.5, BEAD);
        assert_eq!(
            calcium.chained(&potassium).unwrap_err().to_string(),
            "selectivity.Ca = 1.2: is on the scale (Invented, normality/capacity per litre of bed, concentrations at \
             0.01 eq/L) and K against Na on (Invented, normality/capacity per litre of bead, concentrations at 0.01 \
             eq/L): convert one, or state that they agree"
        );
        assert!(calcium.chained(&potassium.in_form(BED, RESIN).unwrap()).is_ok());
        let elsewhere = potassium.in_form(BED, RESIN).unwrap().stated_in("Elsewhere");
        assert!(calcium.chained(&elsewhere).unwrap_err().to_string().contains("Elsewhere"));
        assert!(calcium.chained(&elsewhere.stated_in("Invented")).is_ok());
        let sodium = coefficient(Ion::NA, Ion::K, 0.7, BED);
        assert!(calcium.chained(&sodium).unwrap_err().to_string().contains("does not join"));
    }

    #[test]
    fn numbers_out_of_limits_are_named() {
        let new = |ion, value| Coefficient::new(ion, Ion::NA, value, scale(BED)).unwrap_err().to_string();
        assert_eq!(new(Ion::CA, -1.0), "selectivity.Ca = -1: must be a number above 0");
        assert!(new(Ion::CL, 1.0).contains("no anion"));
        assert!(new(Ion::NA, 2.0).contains("1 by definition"));
        let k = coefficient(Ion::CA, Ion::NA, 2.6, BED);
        assert!(k.separation_factor(1.0, 0.1, RESIN).unwrap_err().to_string().contains("fraction.Ca = 1"));
        assert!(k.separation_factor(0.5, f64::NAN, RESIN).is_err());
        assert!(k.inverted().separation_factor(0.5, 0.1, RESIN).unwrap_err().to_string().contains("one charge"));
        let hollow = Capacity { void_fraction: 1.0, ..RESIN };
        assert!(k.in_form(BEAD, hollow).unwrap_err().to_string().contains("void_fraction"));
    }
}
