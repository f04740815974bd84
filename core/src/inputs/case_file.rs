//! The files and texts that a case is kept in.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use serde::Deserialize;
use serde_json::Value;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Deserializer};

use crate::error::{Cause, Error, Result};
use crate::inputs::amounts::{self, Edit};
use crate::inputs::case::Case;

/// Most bytes of a case file: a hundred times what the longest recipe takes, and an end for a device that has none.
pub const MOST_BYTES: u64 = 1_000_000;

impl Case {
    /// Read a case from TOML text; `source_name` is named in errors.
    ///
    /// A field's name without its unit takes a text with one: `dose = "8 lb/ft3"` for `dose_g_per_l`.
    ///
    /// # Errors
    /// [`Error::Text`] for text that is not a case file, with line and key; [`Error::Value`] for a value out of limits.
    pub fn from_toml(text: &str, source_name: &str) -> Result<Self> {
        if text.len() as u64 > MOST_BYTES {
            return Err(Error::value("case", source_name, too_long()));
        }
        let refuse = |e| unread(text, source_name, e);
        let tree: Value = toml::from_str(text).map_err(refuse)?;
        let edits = amounts::edits(&tree).map_err(|error| error.in_source(source_name))?;
        let case = if edits.is_empty() {
            toml::from_str(text).map_err(refuse)?
        } else {
            let numbers: Vec<String> = edits.iter().map(|edit| format!("{:?}", edit.number)).collect();
            let mut document = DeTable::parse(text).map_err(refuse)?;
            for (edit, number) in edits.iter().zip(&numbers) {
                put(document.get_mut(), edit, number).map_err(refuse)?;
            }
            Self::deserialize(Deserializer::from(document)).map_err(refuse)?
        };
        match case.validate() {
            Ok(()) => Ok(case),
            Err(error) => Err(amounts::as_written(error, &edits).in_source(source_name)),
        }
    }

    /// Read a case from a TOML file.
    ///
    /// # Errors
    /// [`Error::File`] if it cannot be read, is longer than a megabyte or not UTF-8, else as [`Case::from_toml`].
    pub fn from_toml_file(path: &Path) -> Result<Self> {
        Self::from_toml(&Self::text_of_file(path)?, &path.display().to_string())
    }

    /// The text of a case file.
    ///
    /// # Errors
    /// [`Error::File`] if it cannot be read, is longer than a megabyte or not UTF-8.
    pub fn text_of_file(path: &Path) -> Result<String> {
        let name = path.display().to_string();
        let refuse = |reason, source| Error::File { action: "read", path: name.clone(), reason, source };
        let system = |e: std::io::Error| refuse(e.to_string(), Cause::new(e));
        let mut bytes = Vec::new();
        File::open(path).and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes)).map_err(system)?;
        if bytes.len() as u64 > MOST_BYTES {
            return Err(refuse(too_long(), Cause::new(std::io::Error::from(std::io::ErrorKind::FileTooLarge))));
        }
        String::from_utf8(bytes).map_err(|e| {
            refuse(format!("not UTF-8 text (byte {})", e.utf8_error().valid_up_to()), Cause::new(e.utf8_error()))
        })
    }

    /// What a case's TOML text says, as a tree whose numbers stand under the names of their fields; nothing is filled
    /// in.
    ///
    /// # Errors
    /// [`Error::Text`] for text that is not TOML, [`Error::Value`] for a number with a unit that is not understood.
    pub fn said_in_toml(text: &str, source_name: &str) -> Result<Value> {
        let tree = toml::from_str(text).map_err(|e| unread(text, source_name, e))?;
        match with_numbers(tree) {
            Ok((tree, _)) => Ok(tree),
            Err(error) => Err(error.in_source(source_name)),
        }
    }

    /// The case as TOML text.
    ///
    /// # Errors
    /// [`Error::Text`] if a value cannot be written, which a valid case has none of.
    pub fn to_toml(&self) -> Result<String> {
        toml::to_string(self).map_err(|e| Error::text("case", e.to_string(), e))
    }

    /// Read a case from JSON text.
    ///
    /// # Errors
    /// [`Error::Text`] for text that is not a case, [`Error::Value`] for a value out of limits.
    pub fn from_json(text: &str) -> Result<Self> {
        let refuse = |e: serde_json::Error| Error::text("case", plain_words(&e.to_string()), e);
        let tree: Value = serde_json::from_str(text).map_err(refuse)?;
        let (tree, edits) = with_numbers(tree)?;
        let case: Self = if edits.is_empty() {
            serde_json::from_str(text).map_err(refuse)?
        } else {
            serde_json::from_value(tree).map_err(refuse)?
        };
        case.validate().map_err(|error| amounts::as_written(error, &edits))?;
        Ok(case)
    }

    /// The case as JSON text.
    ///
    /// # Errors
    /// [`Error::Text`] if a value cannot be written, which a valid case has none of.
    pub fn to_json(&self) -> Result<String> {
        serde_json::to_string(self).map_err(|e| Error::text("case", e.to_string(), e))
    }
}

/// A tree with the numbers of its texts in their places, and what was put there.
pub(super) fn with_numbers(mut tree: Value) -> Result<(Value, Vec<Edit>)> {
    let edits = amounts::edits(&tree)?;
    amounts::apply(&mut tree, &edits);
    Ok((tree, edits))
}

/// A number in the place of its text, with the place in the file that an error names.
fn put<'t>(document: &mut DeTable<'t>, edit: &Edit, number: &'t str) -> std::result::Result<(), toml::de::Error> {
    let [first, path @ .., last] = edit.path.as_slice() else { return Ok(()) };
    let Some(part) = document.get_mut(first.as_str()) else { return Ok(()) };
    let place = path.iter().try_fold(part.get_mut(), |place, key| match place {
        DeValue::Table(table) => table.get_mut(key.as_str()).map(Spanned::get_mut),
        DeValue::Array(list) => list.get_mut(key.parse::<usize>().ok()?).map(Spanned::get_mut),
        _ => None,
    });
    if let Some(DeValue::Table(table)) = place
        && let Some((key, value)) = table.remove_entry(last.as_str())
    {
        let read = DeValue::parse(number)?.into_inner();
        table.insert(Spanned::new(key.span(), edit.key.into()), Spanned::new(value.span(), read));
    }
    Ok(())
}

fn too_long() -> String {
    format!("longer than {MOST_BYTES} bytes: no case file")
}

/// What a TOML reader says, with the line.
fn unread(text: &str, source_name: &str, e: toml::de::Error) -> Error {
    let line = e.span().map(|span| 1 + text[..span.start.min(text.len())].matches('\n').count());
    let place = line.map_or(String::new(), |line| format!("line {line}: "));
    let reason = format!("{place}{}", plain_words(e.message()));
    Error::text(source_name, reason, e)
}

/// Most letters of a reader's message, and how many of its beginning are kept; what is expected stands at its end.
const MOST_LETTERS: usize = 1500;
const BEGINNING: usize = 200;

/// A reader's message without names of machine types, and without the middle of a value that fills pages.
pub(super) fn plain_words(message: &str) -> String {
    let plain = message
        .replace("expected f64", "expected a number")
        .replace("expected usize", "expected a whole number")
        .replace('\n', " ");
    let letters: Vec<char> = plain.chars().collect();
    if letters.len() <= MOST_LETTERS {
        return plain;
    }
    let (beginning, end) = (&letters[..BEGINNING], &letters[letters.len() - (MOST_LETTERS - BEGINNING)..]);
    [beginning, &[' ', '.', '.', '.', ' '], end].concat().into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::scenario::default_case;

    #[test]
    fn toml_and_json_give_the_case_back() {
        let case = default_case();
        assert_eq!(Case::from_toml(&case.to_toml().unwrap(), "test").unwrap(), case);
        assert_eq!(Case::from_json(&case.to_json().unwrap()).unwrap(), case);
    }

    #[test]
    fn a_typo_names_line_and_key() {
        let text = default_case().to_toml().unwrap().replace("dose_g_per_l", "dose_g_per_litre");
        let message = Case::from_toml(&text, "my.toml").unwrap_err().to_string();
        assert!(
            message.contains("my.toml") && message.contains("line ") && message.contains("dose_g_per_litre"),
            "{message}"
        );
    }

    #[test]
    fn texts_with_units_are_read_and_lines_still_named() {
        let text = default_case().to_toml().unwrap();
        let pounds =
            text.replace("dose_g_per_l = 96.0", "dose = \"96 g/L\"").replace("depth_m = 0.9", "depth = \"0.9 m\"");
        assert_ne!(pounds, text);
        assert_eq!(Case::from_toml(&pounds, "trade.toml").unwrap(), default_case());
        let said = Case::said_in_toml(&pounds, "trade.toml").unwrap();
        assert_eq!(said.pointer("/regeneration/dose_g_per_l"), Some(&Value::from(96.0)));
        let typo = pounds.replace("direction =", "way =");
        let message = Case::from_toml(&typo, "trade.toml").unwrap_err().to_string();
        let line = 1 + typo[..typo.find("way =").unwrap()].matches('\n').count();
        assert!(message.contains(&format!("trade.toml: line {line}: unknown field `way`")), "{message}");
        let json = default_case().to_json().unwrap().replace("\"dose_g_per_l\":96.0", "\"dose\":\"96 g/L\"");
        assert_eq!(Case::from_json(&json).unwrap(), default_case());
    }

    #[test]
    fn a_refused_value_names_the_file_and_is_as_it_was_written() {
        let text = default_case().to_toml().unwrap();
        for (right, wrong, message) in [
            ("dose_g_per_l = 96.0", "dose_g_per_l = 0.5", "my.toml: regeneration.dose_g_per_l = 0.5: must be"),
            (
                "dose_g_per_l = 96.0",
                "dose = \"0.01 lb/ft3\"",
                "my.toml: regeneration.dose_g_per_l = 0.01 lb/ft3 (0.16018 g/L): must be a number from 1 to 2000 g",
            ),
            ("dose_g_per_l = 96.0", "dose = \"8 furlong\"", "my.toml: regeneration.dose = 8 furlong: must be"),
        ] {
            let wrong = text.replace(right, wrong);
            assert_ne!(wrong, text);
            let found = Case::from_toml(&wrong, "my.toml").unwrap_err().to_string();
            assert!(found.starts_with(message), "{found}");
        }
        let said = Case::said_in_toml(&text.replace("dose_g_per_l = 96.0", "dose = \"8 furlong\""), "my.toml");
        assert!(said.unwrap_err().to_string().starts_with("my.toml: regeneration.dose"));
        let json = default_case().to_json().unwrap().replace("\"dose_g_per_l\":96.0", "\"dose\":\"0.01 lb/ft3\"");
        let found = Case::from_json(&json).unwrap_err().to_string();
        assert!(found.starts_with("regeneration.dose_g_per_l = 0.01 lb/ft3 (0.16018 g/L): "), "{found}");
    }

    #[test]
    fn a_megabyte_is_neither_read_nor_repeated() {
        let long = format!("name = \"{}\"", "x".repeat(2_000_000));
        assert!(Case::from_toml(&long, "long.toml").unwrap_err().to_string().contains("longer than 1000000 bytes"));
        let typo = default_case().to_toml().unwrap().replace("96.0", &format!("\"{}\"", "x".repeat(500_000)));
        let message = Case::from_toml(&typo, "typo.toml").unwrap_err().to_string();
        assert!(message.len() < 2000, "{}", message.len());
    }
}
