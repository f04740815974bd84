//! How finely a bed is cut.

use std::fmt::{Display, Formatter};

use serde::de::{self, Unexpected, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::error::{Error, Result};

/// Fewest and most cells.
const RANGE: std::ops::RangeInclusive<usize> = 4..=20_000;
/// What takes the place of a number where the numerical error decides.
const AUTO: &str = "auto";

/// Cells along the bed: a number, or as many as the accuracy asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cells {
    /// So many.
    Number(usize),
    /// Doubled until the numerical error is within the accuracy of the case.
    Auto,
}

impl Serialize for Cells {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        match self {
            Self::Number(number) => number.serialize(serializer),
            Self::Auto => AUTO.serialize(serializer),
        }
    }
}

impl<'de> Deserialize<'de> for Cells {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        deserializer.deserialize_any(NumberOrWord)
    }
}

struct NumberOrWord;

impl Visitor<'_> for NumberOrWord {
    type Value = Cells;

    fn expecting(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        f.write_str(&Cells::allowed())
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> std::result::Result<Cells, E> {
        // Beyond a word of memory any number is out of range.
        Ok(Cells::Number(usize::try_from(number).unwrap_or(usize::MAX)))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> std::result::Result<Cells, E> {
        u64::try_from(number)
            .map_err(|_| E::invalid_value(Unexpected::Signed(number), &self))
            .and_then(|number| self.visit_u64(number))
    }

    fn visit_str<E: de::Error>(self, word: &str) -> std::result::Result<Cells, E> {
        Cells::parse(word).map_err(|_| E::invalid_value(Unexpected::Str(word), &self))
    }
}

impl Default for Cells {
    fn default() -> Self {
        Self::Number(100)
    }
}

impl From<usize> for Cells {
    fn from(number: usize) -> Self {
        Self::Number(number)
    }
}

impl Display for Cells {
    fn fmt(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Number(number) => number.fmt(f),
            Self::Auto => AUTO.fmt(f),
        }
    }
}

impl Cells {
    /// What may be given, in words.
    pub fn allowed() -> String {
        format!("a whole number from {} to {}, or \"{AUTO}\"", RANGE.start(), RANGE.end())
    }

    /// Find it by the word that stands for it.
    ///
    /// # Errors
    /// [`Error::Value`] for any other word.
    pub fn parse(word: &str) -> Result<Self> {
        if word == AUTO {
            return Ok(Self::Auto);
        }
        Err(Error::value("cells", word, format!("must be {}", Self::allowed())))
    }

    /// The number.
    ///
    /// # Errors
    /// [`Error::Value`] where none is given: it is found by running the case on several grids.
    pub fn number(self) -> Result<usize> {
        match self {
            Self::Number(number) => Ok(number),
            Self::Auto => Err(Error::value("cells", AUTO, "one grid was asked for: give a number")),
        }
    }

    /// Check the number.
    ///
    /// # Errors
    /// [`Error::Value`] for a number out of range.
    pub fn validate(self) -> Result<()> {
        match self {
            Self::Number(number) if !RANGE.contains(&number) => {
                Err(Error::value("cells", number, format!("must be {}", Self::allowed())))
            }
            _ => Ok(()),
        }
    }
}
