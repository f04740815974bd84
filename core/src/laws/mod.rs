//! Laws: what is true at one point at one instant.
//!
//! One law a file, as pure functions with its equation, its units and its source. Here are no cells, no clock and
//! no state: values in SI go in, values in SI come out, and a name carries its unit where that is another. Every law is
//! generic over its scalar, `S: DualNum<Primitive = f64> + Copy`, which `f64` is too, so that a derivative comes
//! from the same code as the value.
//!
//! Laws trust their arguments: limits are checked where a case is built, and a correlation states the range it was
//! measured in.

pub mod activity;
pub mod bead;
pub mod conventions;
pub mod density;
pub mod diffusivity;
pub mod diffusivity_sets;
pub mod dispersion;
pub mod donnan;
pub mod equilibrium;
pub mod film;
pub mod film_coupling;
pub mod hydraulics;
pub mod molality;
pub mod scaling;
pub mod selectivity_sets;
pub mod viscosity;
pub mod waves;

/// Slope of `law` at `at` by central difference: what the laws' derivatives are tested against.
#[cfg(test)]
fn central_difference(law: impl Fn(f64) -> f64, at: f64) -> f64 {
    let step = 1e-5 * at.abs();
    (law(at + step) - law(at - step)) / (2.0 * step)
}

/// Asserts that two numbers agree to a relative tolerance.
#[cfg(test)]
#[track_caller]
fn assert_close(actual: f64, expected: f64, relative: f64) {
    let error = (actual - expected).abs() / expected.abs();
    assert!(error <= relative, "{actual} against {expected}: relative error {error:.2e} exceeds {relative:.2e}");
}
