//! Salt in the liquid inside a bead: Donnan's equilibrium, and how fast it comes and goes.
//!
//! Fixed charges of concentration X \[eq per litre of water in the bead\] keep co-ions out. With ideal activities a salt of
//! normality N outside has inside (F. G. Donnan 1911; F. Helfferich 1962, *Ion Exchange*, sec. 5-3; equation read in the
//! library `membrane_toolkit`)
//!
//! ```text
//! C_b (C_b + X) = N^2,    X = Q_bead/w = Q/((1 - eps) w)
//! ```
//!
//! for a salt of monovalent ions, to which most of a brine comes. It depends on N alone: little of a feed, a few per cent of
//! a brine. Its diffusivity is that of the salt in water times (w/(2 - w))^2, the tortuosity of J. S. Mackie and P. Meares
//! (1955), Proc. R. Soc. A 232, 498 (read in `membrane_toolkit`, where w is a fraction of volume).

use num_dual::DualNum;

/// Salt in the water of a bead \[eq/L of that water\], next to a solution of `normality` \[eq/L\]; `fixed` charges \[eq/L
/// of that water\].
pub fn sorbed_eq_per_l<S: DualNum<Primitive = f64> + Copy>(normality: S, fixed: S) -> S {
    // The root of the quadratic without its cancellation.
    let twice = normality * normality * 2.0;
    twice / (fixed + (fixed * fixed + twice * 2.0).sqrt())
}

/// Diffusivity in a bead over that in water, for what its fixed charges leave alone.
pub fn obstruction<S: DualNum<Primitive = f64> + Copy>(water_fraction: S) -> S {
    let ratio = water_fraction / (-water_fraction + 2.0);
    ratio * ratio
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::assert_close;

    #[test]
    fn the_quadratic_is_met_from_traces_to_brine() {
        for n in [1e-6, 1e-3, 0.1, 1.0, 5.0] {
            let inside: f64 = sorbed_eq_per_l(n, 4.9);
            assert_close(inside * (inside + 4.9), n * n, 1e-12);
        }
        // Algebra: far below the fixed charges N^2/X, far above N.
        assert_close(sorbed_eq_per_l(1e-4, 5.0), 1e-8 / 5.0, 1e-6);
        assert_close(sorbed_eq_per_l(1e4, 5.0), 1e4, 1e-3);
    }

    #[test]
    fn water_alone_obstructs_nothing() {
        assert_eq!(obstruction(1.0), 1.0);
        assert_close(obstruction(0.5), 1.0 / 9.0, 1e-12);
    }
}
