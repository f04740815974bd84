//! Davies: one formula for every ion, for dilute solutions.
//!
//! ```text
//! ln g_i = -z_i^2 a f(I),    f = s/(1 + s) - 0.3 I,    s = sqrt(I),    a = A ln(10)
//! phi    = 1 - (2 a/sum m) int_0^I I df = 1 - (2 a/sum m) [ s^3/(1 + s) - (I - 2 s + 2 ln(1 + s)) - 0.15 I^2 ]
//! ```
//!
//! g molal activity coefficient of an ion, I ionic strength \[mol/kg\], z charge, m molality \[mol/kg\], phi osmotic
//! coefficient, which follows from g by Gibbs and Duhem (algebra). A = 0.509 kg^0.5/mol^0.5 at 25 C; Bradley and
//! Pitzer (1979) give 0.5100, and 0.4979 at 10 C (computed as the geochemical code behind `phreeqpython` does).
//!
//! C. W. Davies (1962), *Ion Association*, Butterworths; formula and 0.3 read in the same code. (From memory: 0.3 for the 0.2
//! of 1938, good to 3 % of a mean coefficient at 0.1 mol/kg.) Used to 0.5: above, the term 0.3 I takes over and g rises
//! without limit.

use num_dual::DualNum;

/// Davies' formula is used up to this ionic strength \[mol/kg\].
pub const DAVIES_STRONGEST: f64 = 0.5;

/// A \[kg^0.5/mol^0.5\] at 25 C.
const A: f64 = 0.509;

/// ln g over z^2, the same for every ion, from ionic strength \[mol/kg\] above 0.
pub(super) fn ln_gamma_by_charge_squared<S: DualNum<Primitive = f64> + Copy>(ionic_strength: S) -> S {
    let root = ionic_strength.sqrt();
    (root / (root + 1.0) - ionic_strength * 0.3) * (-A * std::f64::consts::LN_10)
}

/// phi - 1, from ionic strength above 0 and the sum of molalities \[mol/kg\].
pub(super) fn osmotic_excess<S: DualNum<Primitive = f64> + Copy>(ionic_strength: S, total: S) -> S {
    let i = ionic_strength;
    let root = i.sqrt();
    let integral = i * root / (root + 1.0) - (i - root * 2.0 + (root + 1.0).ln() * 2.0) - i * i * 0.15;
    integral * (-2.0 * A * std::f64::consts::LN_10) / total
}
