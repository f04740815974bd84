//! How finely a bed is cut, and how finely its beads.

use std::fmt::{Display, Formatter};
use std::ops::RangeInclusive;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::error::{Error, Result};
use crate::inputs::number_or_word::{self, NumberOrWord};

/// Cells along the bed: a number, or as many as the accuracy asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Cells {
    /// So many.
    Number(usize),
    /// More and more until the numerical error is likely to be within the accuracy of the case.
    #[default]
    Auto,
}

/// Shells in a bead: the ladder that was fitted to a sphere's answer, or an ordinary grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Shells {
    /// The ladder of ten.
    #[default]
    Fitted,
    /// So many shells of an ordinary grid, whose error falls with the square of their number.
    Number(usize),
}

impl NumberOrWord for Cells {
    const FIELD: &'static str = "cells";
    const WORD: &'static str = "auto";
    const RANGE: RangeInclusive<usize> = 4..=20_000;

    fn of(number: Option<usize>) -> Self {
        number.map_or(Self::Auto, Self::Number)
    }

    fn as_number(self) -> Option<usize> {
        match self {
            Self::Number(number) => Some(number),
            Self::Auto => None,
        }
    }
}

impl NumberOrWord for Shells {
    const FIELD: &'static str = "shells";
    const WORD: &'static str = "fitted";
    const RANGE: RangeInclusive<usize> = 2..=100;

    fn of(number: Option<usize>) -> Self {
        number.map_or(Self::Fitted, Self::Number)
    }

    fn as_number(self) -> Option<usize> {
        match self {
            Self::Number(number) => Some(number),
            Self::Fitted => None,
        }
    }
}

impl Cells {
    /// The number.
    ///
    /// # Errors
    /// [`Error::Value`] where none is given: it is found by running the case on several grids.
    pub fn number(self) -> Result<usize> {
        self.as_number().ok_or_else(|| Error::value(Self::FIELD, self, "one grid was asked for: give a number"))
    }
}

/// What a field that holds a number or a word has of the traits that are not its own.
macro_rules! number_or_word {
    ($type:ty) => {
        impl From<usize> for $type {
            fn from(number: usize) -> Self {
                Self::Number(number)
            }
        }

        impl Display for $type {
            fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
                match self.as_number() {
                    Some(number) => number.fmt(f),
                    None => Self::WORD.fmt(f),
                }
            }
        }

        impl Serialize for $type {
            fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
                number_or_word::serialize(*self, serializer)
            }
        }

        impl<'de> Deserialize<'de> for $type {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
                number_or_word::deserialize(deserializer)
            }
        }
    };
}

number_or_word!(Cells);
number_or_word!(Shells);
