//! A whole number, or the one word that takes its place: as it is written in files, read from them and named in errors.

use std::fmt::Formatter;
use std::marker::PhantomData;
use std::ops::RangeInclusive;

use serde::de::{self, Unexpected, Visitor};
use serde::{Deserializer, Serializer};

use crate::error::{Error, Result};

/// A field that holds a number or a word.
pub trait NumberOrWord: Copy {
    /// Its name.
    const FIELD: &'static str;
    /// The word.
    const WORD: &'static str;
    /// Least and most of the number.
    const RANGE: RangeInclusive<usize>;

    /// From the number, or from none where the word stands.
    fn of(number: Option<usize>) -> Self;

    /// The number; none where the word stands.
    fn as_number(self) -> Option<usize>;

    /// What may be given, in words.
    fn allowed() -> String {
        format!("a whole number from {} to {}, or \"{}\"", Self::RANGE.start(), Self::RANGE.end(), Self::WORD)
    }

    /// Find it by the word.
    ///
    /// # Errors
    /// [`Error::Value`] for any other word.
    fn parse(word: &str) -> Result<Self> {
        if word == Self::WORD {
            return Ok(Self::of(None));
        }
        Err(Error::value(Self::FIELD, word, format!("must be {}", Self::allowed())))
    }

    /// Check the number.
    ///
    /// # Errors
    /// [`Error::Value`] for a number out of range.
    fn validate(self) -> Result<()> {
        match self.as_number() {
            Some(number) if !Self::RANGE.contains(&number) => {
                Err(Error::value(Self::FIELD, number, format!("must be {}", Self::allowed())))
            }
            _ => Ok(()),
        }
    }
}

/// Write it as a number or as its word.
pub(super) fn serialize<T: NumberOrWord, S: Serializer>(it: T, serializer: S) -> std::result::Result<S::Ok, S::Error> {
    match it.as_number() {
        Some(number) => serializer.serialize_u64(number as u64),
        None => serializer.serialize_str(T::WORD),
    }
}

/// Read it from either.
pub(super) fn deserialize<'de, T: NumberOrWord, D: Deserializer<'de>>(
    deserializer: D,
) -> std::result::Result<T, D::Error> {
    deserializer.deserialize_any(Either(PhantomData))
}

struct Either<T>(PhantomData<T>);

impl<T: NumberOrWord> Visitor<'_> for Either<T> {
    type Value = T;

    fn expecting(&self, f: &mut Formatter<'_>) -> std::fmt::Result {
        f.write_str(&T::allowed())
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> std::result::Result<T, E> {
        // Beyond a word of memory any number is out of range.
        Ok(T::of(Some(usize::try_from(number).unwrap_or(usize::MAX))))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> std::result::Result<T, E> {
        u64::try_from(number)
            .map_err(|_| E::invalid_value(Unexpected::Signed(number), &self))
            .and_then(|number| self.visit_u64(number))
    }

    fn visit_str<E: de::Error>(self, word: &str) -> std::result::Result<T, E> {
        T::parse(word).map_err(|_| E::invalid_value(Unexpected::Str(word), &self))
    }
}
