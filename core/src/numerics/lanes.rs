//! A few numbers side by side, worked on at a time: loops over them have no branches and become vector instructions of
//! whatever width the processor has, with the same bits for any width.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// Do some work with the widest vector instructions that this processor has. What is to use them must be inlined into it.
///
/// The bits are the same for any processor: no operation is fused with another.
#[inline(always)]
pub fn widest<R>(work: impl FnOnce() -> R) -> R {
    pulp::Arch::new().dispatch(work)
}

/// How many.
pub const LANES: usize = 8;

/// Numbers side by side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lanes(pub [f64; LANES]);

impl Default for Lanes {
    fn default() -> Self {
        Self::all(0.0)
    }
}

impl Lanes {
    /// The same number in every lane.
    #[inline(always)]
    pub fn all(value: f64) -> Self {
        Self([value; LANES])
    }

    /// The first values of a slice, which holds at least [`LANES`].
    #[inline(always)]
    pub fn of(values: &[f64]) -> Self {
        let mut out = [0.0; LANES];
        out.copy_from_slice(&values[..LANES]);
        Self(out)
    }

    #[inline(always)]
    fn with(self, other: Self, of: impl Fn(f64, f64) -> f64) -> Self {
        let mut out = [0.0; LANES];
        for k in 0..LANES {
            out[k] = of(self.0[k], other.0[k]);
        }
        Self(out)
    }

    /// Magnitudes.
    #[inline(always)]
    pub fn abs(self) -> Self {
        self.with(self, |a, _| a.abs())
    }

    /// The larger of two numbers in each lane, neither of them NaN.
    #[inline(always)]
    pub fn at_least(self, floor: Self) -> Self {
        self.with(floor, |a, b| if a > b { a } else { b })
    }

    /// The smaller of two numbers in each lane, neither of them NaN.
    #[inline(always)]
    pub fn at_most(self, ceiling: Self) -> Self {
        self.with(ceiling, |a, b| if a < b { a } else { b })
    }

    /// Where `test` is above 0, this number; elsewhere `other`.
    #[inline(always)]
    pub fn where_positive(self, test: Self, other: Self) -> Self {
        let mut out = [0.0; LANES];
        for k in 0..LANES {
            out[k] = if test.0[k] > 0.0 { self.0[k] } else { other.0[k] };
        }
        Self(out)
    }

    /// Does any lane lie below the other's?
    #[inline(always)]
    pub fn any_below(self, other: Self) -> bool {
        let mut any = false;
        for k in 0..LANES {
            any |= self.0[k] < other.0[k];
        }
        any
    }

    /// Largest lane; what is not a number is larger than any.
    #[inline(always)]
    pub fn largest(self) -> f64 {
        self.0.into_iter().fold(f64::NEG_INFINITY, larger)
    }
}

impl Add for Lanes {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        self.with(other, |a, b| a + b)
    }
}

impl Sub for Lanes {
    type Output = Self;
    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        self.with(other, |a, b| a - b)
    }
}

impl Mul for Lanes {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        self.with(other, |a, b| a * b)
    }
}

impl Mul<f64> for Lanes {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: f64) -> Self {
        self.with(Self::all(other), |a, b| a * b)
    }
}

impl Div for Lanes {
    type Output = Self;
    #[inline(always)]
    fn div(self, other: Self) -> Self {
        self.with(other, |a, b| a / b)
    }
}

impl Neg for Lanes {
    type Output = Self;
    #[inline(always)]
    fn neg(self) -> Self {
        self.with(self, |a, _| -a)
    }
}

/// The larger of two numbers; what is not a number is larger than any.
#[inline(always)]
pub fn larger(a: f64, b: f64) -> f64 {
    if a <= b || b.is_nan() { b } else { a }
}

/// Largest of some values, at least `floor`; what is not a number is larger than any.
#[inline(always)]
pub fn largest(values: &[f64], floor: f64) -> f64 {
    let mut most = Lanes::all(floor);
    let (blocks, rest) = values.as_chunks::<LANES>();
    for block in blocks {
        for k in 0..LANES {
            most.0[k] = larger(most.0[k], block[k]);
        }
    }
    for (k, value) in rest.iter().enumerate() {
        most.0[k] = larger(most.0[k], *value);
    }
    most.largest()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_is_found_wherever_it_stands() {
        for place in 0..19 {
            let row: Vec<f64> = (0..19).map(|j| if j == place { 5.0 } else { f64::from(j) * 0.1 }).collect();
            assert_eq!(largest(&row, 0.0), 5.0);
        }
        assert_eq!(largest(&[1.0; 3], 7.0), 7.0);
    }

    /// An error that is not a number is no small one, wherever it stands.
    #[test]
    fn what_is_no_number_is_largest() {
        for length in [3, 8, 19] {
            for place in 0..length {
                let row: Vec<f64> = (0..length).map(|j| if j == place { f64::NAN } else { j as f64 }).collect();
                assert!(largest(&row, 0.0).is_nan(), "{place} of {length}");
            }
        }
        assert!(larger(f64::NAN, 1.0).is_nan() && larger(1.0, f64::NAN).is_nan());
        assert_eq!((larger(1.0, 2.0), larger(2.0, 1.0)), (2.0, 2.0));
    }

    #[test]
    fn selections() {
        let a = Lanes(std::array::from_fn(|k| k as f64 - 3.0));
        assert_eq!(a.at_least(Lanes::all(0.0)).0[..5], [0.0, 0.0, 0.0, 0.0, 1.0]);
        assert_eq!(a.where_positive(a, Lanes::all(9.0)).0[2..5], [9.0, 9.0, 1.0]);
        assert!(a.any_below(Lanes::all(-2.5)) && !a.any_below(Lanes::all(-3.0)));
    }
}
