//! A case with other values: fields set by their dotted names.

use serde::Deserialize;
use serde_json::Value;

use crate::error::{Error, Result, shortened};
use crate::inputs::amounts::{Edit, as_written, whole_name};
use crate::inputs::case::Case;
use crate::inputs::case_file::{plain_words, with_numbers};
use crate::inputs::fields;

impl Case {
    /// The case with one field set by its dotted name (`regeneration.dose_g_per_l`, `recipe.0.flow_bv_per_h`, steps
    /// counted from 0); `null` takes an optional one away. Its name without the unit takes a text with one:
    /// `regeneration.dose` may be `"8 lb/ft3"`.
    ///
    /// # Errors
    /// [`Error::NoSuchField`] for an unknown name, [`Error::Value`] for a value the field does not allow.
    pub fn with(&self, name: &str, value: Value) -> Result<Self> {
        self.with_all(&[(name, value)])
    }

    /// The case with several fields set at once, checked when all are in place.
    ///
    /// # Errors
    /// As [`Case::with`].
    pub fn with_all(&self, changes: &[(&str, Value)]) -> Result<Self> {
        let (tree, edits) = self.changed(changes)?;
        let case: Self = match serde_json::from_value(tree) {
            Ok(case) => case,
            Err(_) => return Err(self.culprit(changes)?),
        };
        case.validate().map_err(|error| as_written(error, &edits))?;
        Ok(case)
    }

    /// The case's tree with fields set, and what texts with units became.
    fn changed(&self, changes: &[(&str, Value)]) -> Result<(Value, Vec<Edit>)> {
        let mut tree = serde_json::to_value(self).map_err(|e| Error::value("case", "", e.to_string()))?;
        for (name, value) in changes {
            // A text with a unit takes the place of the number, which the case has had until now.
            if let Some(whole) = whole_name(&tree, name) {
                let other = changes.iter().find(|(other, _)| *other == whole).map(|(_, other)| other);
                if value.is_null() && other.is_some() {
                    continue;
                }
                // To take one name of the two away is to give the other.
                if other.is_some_and(|other| !other.is_null()) {
                    return Err(Error::value(*name, shown(value), format!("is given twice: also as {whole}")));
                }
                set(&mut tree, &whole, Value::Null)?;
                if value.is_null() {
                    continue;
                }
            }
            set(&mut tree, name, value.clone())?;
        }
        with_numbers(tree)
    }

    /// Which of several changes does not fit its field, and why.
    fn culprit(&self, changes: &[(&str, Value)]) -> Result<Error> {
        for (name, value) in changes {
            let (tree, _) = self.changed(&[(*name, value.clone())])?;
            if let Err(e) = Self::deserialize(&tree) {
                let reason = plain_words(&e.to_string());
                return Ok(match fields::unknown_key(&tree) {
                    Some(_) => Error::NoSuchField { field: (*name).into(), value: shortened(&shown(value)), reason },
                    None => Error::value(*name, shown(value), reason),
                });
            }
        }
        let names: Vec<_> = changes.iter().map(|(name, _)| *name).collect();
        Ok(Error::value(names.join(", "), "together", "do not make a case"))
    }
}

/// A value as a person would write it.
fn shown(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_string)
}

/// Set one value in a case's tree by its dotted name; the places of a list are numbers from 0.
fn set(tree: &mut Value, name: &str, value: Value) -> Result<()> {
    let refuse =
        || Error::NoSuchField { field: name.into(), value: shortened(&shown(&value)), reason: "no such field".into() };
    let (path, last) = name.rsplit_once('.').map_or((None, name), |(path, last)| (Some(path), last));
    let mut place = tree;
    for part in path.into_iter().flat_map(|path| path.split('.')) {
        place = match place {
            Value::Object(table) => table.get_mut(part),
            Value::Array(list) => part.parse().ok().and_then(|index: usize| list.get_mut(index)),
            _ => None,
        }
        .ok_or_else(refuse)?;
    }
    match place {
        Value::Object(table) if value.is_null() => {
            table.remove(last);
        }
        Value::Object(table) => {
            table.insert(last.to_string(), value);
        }
        Value::Array(list) => {
            let found = last.parse().ok().and_then(|index: usize| list.get_mut(index)).ok_or_else(refuse)?;
            if value.is_null() {
                return Err(Error::value(name, "null", "an item of a list is not taken away: give the whole list"));
            }
            *found = value;
        }
        _ => return Err(refuse()),
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::ion::Ion;
    use crate::inputs::recipe::Recipe;
    use crate::inputs::recipe_steps::{Brine, FreeStep, Rinse};
    use crate::inputs::scenario::default_case;

    #[test]
    fn fields_are_set_by_their_dotted_names() {
        let case = default_case().with("regeneration.dose_g_per_l", 120.0.into()).unwrap();
        assert!((case.regeneration.dose_g_per_l - 120.0).abs() < 1e-12);
        assert!(matches!(case.with("regeneration.dose_g_per_l", (-1.0).into()), Err(Error::Value { .. })));
        let two = [("cells", "many".into()), ("regeneration.dose_g_per_l", 80.0.into())];
        let message = case.with_all(&two).unwrap_err().to_string();
        assert!(message.contains("cells = many") && message.contains("a whole number"), "{message}");
        let ion = serde_json::json!({"Ca": 2.6, "Xx": 1.0});
        let message = case.with("resin.selectivity", ion).unwrap_err().to_string();
        assert!(message.contains("Xx") && message.contains("not an ion"), "{message}");
    }

    #[test]
    fn a_name_without_its_unit_takes_a_text_with_one() {
        let case = default_case();
        let litres = case.bed.volume_l();
        let near =
            |found: f64, expected: f64| assert!((found / expected - 1.0).abs() < 1e-9, "{found} against {expected}");
        near(
            case.with("regeneration.dose", "8 lb/ft3".into()).unwrap().regeneration.dose_g_per_l,
            8.0 * 453.592_37 / 28.316_846_592,
        );
        near(case.with("regeneration.dose", "20 lb".into()).unwrap().regeneration.dose_g_per_l, 9_071.847_4 / litres);
        near(case.with("service.flow", "10 gpm".into()).unwrap().service.flow_bv_per_h, 2_271.247_070_4 / litres);
        near(case.with("water.temperature", "59 F".into()).unwrap().water.temperature_c, 15.0);
        near(case.with("water.ions.Ca", "80 mg/L as ion".into()).unwrap().water.ions[&Ion::CA], 80.0);
        // A bed that changes with it is the new one.
        let both = [("service.volume", "2000 gal".into()), ("bed.depth", "3 ft".into())];
        let found = case.with_all(&both).unwrap();
        near(found.service.volume_bv.unwrap(), 7_570.823_568 / found.bed.volume_l());
        near(found.bed.depth_m(), 0.9144);
        assert_eq!(case.with("service.volume", Value::Null).unwrap().service.volume_bv, None);
        let refused = |name: &str, value: Value| case.with(name, value).unwrap_err().to_string();
        for (name, value, words) in [
            ("regeneration.dose", 8.0.into(), "a text with its unit, or dose_g_per_l"),
            ("regeneration.dose", "8 furlong".into(), "lb/ft3"),
            ("service.limit", "17 mg/L".into(), "as CaCO3 or as the ion?"),
            ("water.ions.Ca", "12 gr/gal".into(), "12 gr/gal as CaCO3"),
            ("bed.depth_m", "3 ft".into(), "a number"),
        ] {
            let message = refused(name, value);
            assert!(message.contains(name) && message.contains(words), "{message}");
        }
        let twice = [("regeneration.dose", "8 lb/ft3".into()), ("regeneration.dose_g_per_l", 96.0.into())];
        let message = case.with_all(&twice).unwrap_err().to_string();
        assert!(message.contains("given twice"), "{message}");
        let message = refused("regeneration.dose", "0.01 lb/ft3".into());
        assert!(message.contains("= 0.01 lb/ft3 (0.16018 g/L): must be a number from 1 to"), "{message}");
    }

    #[test]
    fn one_name_is_given_where_the_other_is_taken_away() {
        let case = default_case();
        let (gallons, none) = (Value::from("1000 gal"), Value::Null);
        let expected = case.with("service.volume", gallons.clone()).unwrap();
        for order in [[0, 1], [1, 0]] {
            let changes = [("service.volume", gallons.clone()), ("service.volume_bv", none.clone())];
            assert_eq!(case.with_all(&order.map(|place: usize| changes[place].clone())).unwrap(), expected);
            let changes = [("service.volume", none.clone()), ("service.volume_bv", 100.0.into())];
            let found = case.with_all(&order.map(|place: usize| changes[place].clone())).unwrap();
            assert_eq!(found.service.volume_bv, Some(100.0));
        }
        let both = [("service.volume", Value::Null), ("service.volume_bv", Value::Null)];
        assert_eq!(expected.with_all(&both).unwrap().service.volume_bv, None);
    }

    #[test]
    fn a_name_that_no_field_has_is_told_from_a_value_that_a_field_refuses() {
        let mut case = default_case();
        case.recipe =
            Some(Recipe { steps: vec![FreeStep::Brine(Brine::default()), FreeStep::SlowRinse(Rinse::default())] });
        let unknown = |name: &str, value: Value| matches!(case.with(name, value), Err(Error::NoSuchField { .. }));
        for name in ["regeneration.dosage", "colour", "dose.of.salt", "recipe.2.minutes", "recipe.1.share", "cells.x"] {
            assert!(unknown(name, 1.0.into()), "{name}");
        }
        assert!(unknown("bed", serde_json::json!({"depth_m": 1.0, "diameter_m": 0.4, "colour": "red"})));
        for (name, value) in [
            ("cells", "many".into()),
            ("recipe.0.share", "half".into()),
            ("recipe.0.share", 2.0.into()),
            ("resin.selectivity", serde_json::json!({"Ca": 2.6, "Xx": 1.0})),
            ("water.ions.Xx", 1.0.into()),
            ("water.unit", "ppm".into()),
            ("resin.bead_sizes", serde_json::json!([{"diameter_mm": 0.4, "share": "all"}])),
            ("schema", 2.into()),
        ] {
            let error = case.with(name, value).unwrap_err();
            assert!(matches!(error, Error::Value { .. }), "{error}");
        }
    }
}
