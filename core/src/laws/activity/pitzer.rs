//! Pitzer's equations for a mixed solution, in the form of Harvie, Moller and Weare (1984).
//!
//! ```text
//! F        = -A_phi [s/(1 + b s) + (2/b) ln(1 + b s)] + sum_ca m_c m_a B'_ca + sum_pairs m_i m_j Phi'_ij
//! ln g_M   = z_M^2 F + sum_a m_a (2 B_Ma + Z C_Ma) + sum_c 2 m_c Phi_Mc + sum_triples with M m_j m_k psi_Mjk
//!            + |z_M| sum_ca m_c m_a C_ca                                            (and the mirror for an anion)
//! phi - 1  = (2/sum m) { -A_phi s^3/(1 + b s) + sum_ca m_c m_a (Bphi_ca + Z C_ca)
//!            + sum_pairs m_i m_j (Phi_ij + I Phi'_ij) + sum_triples m_i m_j m_k psi_ijk }
//! B   = beta0 + beta1 g(a1 s) + beta2 g(a2 s)          g(x) = 2 [1 - (1 + x) e^-x]/x^2
//! B'  = [beta1 h(a1 s) + beta2 h(a2 s)]/I              h(x) = e^-x - g(x)
//! Bphi = beta0 + beta1 e^(-a1 s) + beta2 e^(-a2 s)     C = C_phi/(2 sqrt|z_c z_a|)
//! Phi = theta + E-theta(I)      s = sqrt(I)     I = sum m z^2/2      Z = sum m |z|
//! ```
//!
//! g molal activity coefficients, m molalities \[mol/kg\], z charges; pairs are two ions of like sign, triples such a
//! pair with an ion of the other sign; a1 = 2, and 1.4 with a2 = 12 for a salt of two divalent ions. E-theta is 0
//! between equal charges.
//!
//! Single ions are in the convention of the plain equations, which no experiment can tell from another (MacInnes'
//! scaling, say): only electrically neutral combinations mean something.
//!
//! Parameters: `laws/data/HarvieMollerWeare1984.toml`, 25 C. The salts alone were fitted up to 6 mol/kg of NaCl, 4.8 of
//! KCl, 2.5 of CaCl2 and 4.5 of MgCl2 (from memory).

use num_dual::DualNum;

use super::tables::Parameters;
use super::{MOST_IONS, unsymmetrical};
use crate::error::{Error, Result};
use crate::inputs::ion::Ion;

/// Below this x the closed form of g loses digits and its series is used.
const SERIES_BELOW: f64 = 0.1;

/// A salt of the ions at two places.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Salt {
    places: [usize; 2],
    both_divalent: bool,
    beta: [f64; 3],
    c: f64,
}

/// Two ions of like sign.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Pair {
    places: [usize; 2],
    theta: f64,
    unequal: bool,
}

/// Two ions of like sign with one of the other.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Triple {
    places: [usize; 3],
    psi: f64,
}

/// The parameters of one set of ions, looked up once.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mixture {
    charge: Vec<f64>,
    a_phi: f64,
    b: f64,
    salts: Vec<Salt>,
    pairs: Vec<Pair>,
    triples: Vec<Triple>,
    any_both_divalent: bool,
    any_unequal: bool,
}

impl Mixture {
    /// Look up the rows of `ions`, each under the name that `known_as` gives it.
    ///
    /// # Errors
    /// [`Error::Value`] naming the ion or the salt that has no row.
    pub(super) fn new(ions: &[Ion], known_as: impl Fn(Ion) -> Ion) -> Result<Self> {
        let parameters = Parameters::known()?;
        for ion in ions {
            if !parameters.knows(known_as(*ion)) {
                let known: Vec<_> = parameters.ions().map(Ion::symbol).collect();
                let limits = format!("has no Pitzer parameters; choose an analogue among {}", known.join(", "));
                return Err(Error::value("activity.pitzer", ion, limits));
            }
        }
        let (mut salts, mut pairs, mut triples) = (Vec::new(), Vec::new(), Vec::new());
        for (i, one) in ions.iter().enumerate() {
            for (j, other) in ions.iter().enumerate() {
                if one.is_cation() && !other.is_cation() {
                    let (cation, anion) = (known_as(*one), known_as(*other));
                    let row = parameters.salt(cation, anion).ok_or_else(|| {
                        Error::value("activity.pitzer", format!("{cation} with {anion}"), "has no Pitzer parameters")
                    })?;
                    salts.push(Salt {
                        places: [i, j],
                        both_divalent: one.valence() == 2 && other.valence() == 2,
                        beta: [row.beta0, row.beta1, row.beta2],
                        c: row.c_phi / (2.0 * f64::from(one.valence() * other.valence()).sqrt()),
                    });
                } else if i < j && one.is_cation() == other.is_cation() {
                    let row = parameters.like(known_as(*one), known_as(*other));
                    let unequal = one.valence() != other.valence();
                    pairs.push(Pair { places: [i, j], theta: row.map_or(0.0, |row| row.theta), unequal });
                    for (k, opposite) in ions.iter().enumerate() {
                        let psi = row.map_or(0.0, |row| row.psi_with(known_as(*opposite)));
                        if psi != 0.0 {
                            triples.push(Triple { places: [i, j, k], psi });
                        }
                    }
                }
            }
        }
        Ok(Self {
            charge: ions.iter().map(|ion| f64::from(ion.data().charge)).collect(),
            a_phi: parameters.a_phi,
            b: parameters.b,
            any_both_divalent: salts.iter().any(|salt| salt.both_divalent),
            any_unequal: pairs.iter().any(|pair| pair.unequal),
            salts,
            pairs,
            triples,
        })
    }

    /// ln g of every ion and phi - 1, at an ionic strength above 0.
    pub(super) fn evaluate<S: DualNum<Primitive = f64> + Copy>(
        &self,
        molality: &[S],
        ionic_strength: S,
        total: S,
    ) -> ([S; MOST_IONS], S) {
        let zero = S::from(0.0);
        let (i, root) = (ionic_strength, ionic_strength.sqrt());
        let screened = root * self.b + 1.0;
        let equivalents = molality.iter().zip(&self.charge).fold(zero, |sum, (m, z)| sum + *m * z.abs());

        let usual = Decay::new(root * 2.0);
        let divalent = self.any_both_divalent.then(|| (Decay::new(root * 1.4), Decay::new(root * 12.0)));
        let unsymmetrical =
            if self.any_unequal { unsymmetrical::one_and_two(i, root, self.a_phi) } else { (zero, zero) };

        let mut ln_gamma = [zero; MOST_IONS];
        let mut f = (root / screened + screened.ln() * (2.0 / self.b)) * -self.a_phi;
        let mut osmotic = i * root / screened * -self.a_phi;
        let mut third = zero;
        for salt in &self.salts {
            let [c, a] = salt.places;
            let product = molality[c] * molality[a];
            let (b, slope, b_phi) = match (salt.both_divalent, divalent) {
                (true, Some((slow, fast))) => {
                    let [b0, b1, b2] = salt.beta;
                    let b = slow.g * b1 + fast.g * b2 + b0;
                    let b_phi = slow.exp * b1 + fast.exp * b2 + b0;
                    (b, (slow.h * b1 + fast.h * b2) / i, b_phi)
                }
                _ => {
                    let [b0, b1, _] = salt.beta;
                    (usual.g * b1 + b0, usual.h * b1 / i, usual.exp * b1 + b0)
                }
            };
            let each = b * 2.0 + equivalents * salt.c;
            ln_gamma[c] += molality[a] * each;
            ln_gamma[a] += molality[c] * each;
            f += product * slope;
            third += product * salt.c;
            osmotic += product * (b_phi + equivalents * salt.c);
        }
        for pair in &self.pairs {
            let [one, other] = pair.places;
            let product = molality[one] * molality[other];
            let (e, slope) = if pair.unequal { unsymmetrical } else { (zero, zero) };
            let phi = e + pair.theta;
            ln_gamma[one] += molality[other] * phi * 2.0;
            ln_gamma[other] += molality[one] * phi * 2.0;
            f += product * slope;
            osmotic += product * (phi + i * slope);
        }
        for triple in &self.triples {
            let [one, other, opposite] = triple.places;
            ln_gamma[one] += molality[other] * molality[opposite] * triple.psi;
            ln_gamma[other] += molality[one] * molality[opposite] * triple.psi;
            let product = molality[one] * molality[other] * triple.psi;
            ln_gamma[opposite] += product;
            osmotic += product * molality[opposite];
        }
        for (ln, z) in ln_gamma.iter_mut().zip(&self.charge) {
            *ln += f * (z * z) + third * z.abs();
        }
        (ln_gamma, osmotic * 2.0 / total)
    }
}

/// What decays with ionic strength in a second virial coefficient.
#[derive(Clone, Copy)]
struct Decay<S> {
    exp: S,
    g: S,
    h: S,
}

impl<S: DualNum<Primitive = f64> + Copy> Decay<S> {
    fn new(x: S) -> Self {
        let exp = (-x).exp();
        let g = if x.re() < SERIES_BELOW {
            // 2 sum_k (-x)^k (k + 1)/(k + 2)!, whose next term is 5e-14 at the joint.
            const TERMS: [f64; 8] =
                [1.0, -2.0 / 3.0, 1.0 / 4.0, -1.0 / 15.0, 1.0 / 72.0, -1.0 / 420.0, 1.0 / 2880.0, -1.0 / 22_680.0];
            TERMS.iter().rev().fold(S::from(0.0), |sum, term| sum * x + *term)
        } else {
            (-(x + 1.0) * exp + 1.0) * 2.0 / (x * x)
        };
        Self { exp, g, h: exp - g }
    }
}
