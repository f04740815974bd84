//! Numbers with units in a case: a field's name without its unit takes a text with one, `dose = "8 lb/ft3"` for
//! `dose_g_per_l`, and so does the concentration of an ion.
//!
//! What becomes of it is the number under the field's own name, before anything else is read. The bed turns volumes and
//! flows of water into bed volumes, and a mass of salt into a dose.

use serde::Deserialize;
use serde_json::Value;

use crate::error::{Error, Result, shortened};
use crate::inputs::bed::Bed;
use crate::inputs::field::{Field, Kind};
use crate::inputs::fields::fields;
use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::FreeStep;
use crate::inputs::water::ConcentrationUnit;
use crate::units::amounts::{Amount, accepted, without_unit};
use crate::units::convert::{convert, kilo};

const IONS: &str = "water.ions";
const BY_THE_BED: &str = "a volume of water is so many bed volumes only of a bed, and a mass of salt so much a litre";
const A_DOSE: &str = "g/L of resin";

/// A text with a unit in a case's tree, and the number that takes its place.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Edit {
    /// Where it stands, key by key; places of lists are numbers from 0.
    pub path: Vec<String>,
    /// The key of the number.
    pub key: &'static str,
    /// The number.
    pub number: f64,
    /// The text.
    pub text: String,
}

impl Edit {
    /// Dotted name of the field.
    fn field(&self) -> String {
        let part = self.path.split_last().map_or(&[] as &[String], |(_, part)| part);
        part.iter().map(String::as_str).chain([self.key]).collect::<Vec<_>>().join(".")
    }
}

/// A refusal of a number that was given as one of these texts: it shows the text.
pub(super) fn as_written(error: Error, edits: &[Edit]) -> Error {
    match error {
        Error::Value { field, value, limits, source_name } => {
            let edit = edits.iter().find(|edit| field == *edit.field());
            let value = edit.map_or(value.clone(), |edit| written(edit.key, &edit.text, &value));
            Error::Value { field, value, limits, source_name }
        }
        other => other,
    }
}

/// A number of a field as it was written, with what that is in the field's own unit where it has another.
pub fn written(key: &str, text: &str, number: &str) -> String {
    let text = shortened(text.trim());
    match without_unit(key) {
        Some((_, unit)) if Amount::read(&text).is_none_or(|amount| amount.unit != unit) => {
            format!("{text} ({number} {})", unit.replace(" CaCO3", " as CaCO3"))
        }
        _ => text,
    }
}

/// A field that may be given without its unit.
struct Bare {
    field: &'static Field,
    /// Its part with `*` for a place in a list: `recipe.*`.
    part: &'static str,
    /// Its name in that part.
    key: &'static str,
    /// The same without the unit.
    stem: &'static str,
    unit: &'static str,
}

fn bare_fields() -> impl Iterator<Item = Bare> {
    fields().filter(|field| matches!(field.kind, Kind::Number | Kind::Other)).filter_map(|field| {
        let (part, key) = field.name.rsplit_once('.')?;
        let (stem, unit) = without_unit(key)?;
        Some(Bare { field, part, key, stem, unit })
    })
}

/// The field of `owner` that a name without a unit stands for, and its own name; `owner` is a struct, `Regeneration`.
pub fn named_without_unit(owner: &str, stem: &str) -> Option<&'static str> {
    bare_fields().find(|bare| bare.field.owner == owner && bare.stem == stem).map(|bare| bare.key)
}

/// The number that a text with a unit is in a field, given by its struct and its own name there; `name` is for errors.
///
/// # Errors
/// [`Error::Value`] for a text without number, of another unit, or one that only a bed gives a meaning.
pub fn in_field_of(owner: &str, key: &str, name: &str, text: &str) -> Result<f64> {
    match bare_fields().find(|bare| bare.field.owner == owner && bare.key == key) {
        Some(bare) => bare.number(name, text, &|| Err(Error::value(name, text, without_a_bed()))),
        None => Err(Error::value(name, text, "takes no text with a unit")),
    }
}

/// The number that a text with a unit is in the field of a dotted name, where the beds are known; `name` is for errors.
///
/// # Errors
/// [`Error::Value`] as [`in_field_of`], and for a volume of water that is another number in each of the beds.
pub fn in_field_by_beds<'b>(
    field: &str,
    name: &str,
    text: &str,
    beds: impl IntoIterator<Item = &'b Bed>,
) -> Result<f64> {
    let Some(bare) = bare_fields().find(|bare| bare.field.name == field) else {
        return Err(Error::value(name, text, "takes no text with a unit"));
    };
    let mut found = None;
    for bed in beds {
        let number = bare.number(name, text, &|| Ok(bed.clone()))?;
        if found.is_some_and(|other: f64| (number - other).abs() > SAME_BED * other.abs()) {
            let limits = format!("is another number in each of the beds: give it in {}", bare.unit);
            return Err(Error::value(name, text, limits));
        }
        found.get_or_insert(number);
    }
    found.map_or_else(|| bare.number(name, text, &|| Err(Error::value(name, text, without_a_bed()))), Ok)
}

/// Beds whose sizes differ by less are of one size.
const SAME_BED: f64 = 1e-9;

fn without_a_bed() -> String {
    format!("{BY_THE_BED}: give it where the bed is known, in a case file or as a change of a case")
}

/// The concentration of an ion, given as a text with a unit, in the unit of an analysis.
///
/// # Errors
/// [`Error::Value`] for a text without number, of another unit, or a mass of an ion of hardness that does not say what
/// it is the mass of.
pub fn of_ion(name: &str, ion: Ion, text: &str, unit: ConcentrationUnit) -> Result<f64> {
    let refuse = |limits: String| Err(Error::value(name, text, limits));
    let limits = "must be a concentration with its unit: \"80 mg/L as ion\", \"12 gr/gal as CaCO3\", \"2 mmol/L\" or \
                  \"4 meq/L\"";
    let Some(amount) = Amount::read(text) else { return refuse(limits.to_string()) };
    let number = amount.number;
    let symbol = format!(" {ion}");
    if let Some(mass) = amount.unit.strip_suffix(" ion").or_else(|| amount.unit.strip_suffix(&symbol)) {
        return match convert(number, mass, "mg/L") {
            Ok(mg_per_l) => Ok(unit.convert(ion, mg_per_l, ConcentrationUnit::MgPerL)),
            Err(_) => refuse(limits.to_string()),
        };
    }
    match amount.unit.as_str() {
        "mmol/L" => return Ok(unit.convert(ion, number, ConcentrationUnit::MmolPerL)),
        "mol/L" => return Ok(unit.convert(ion, kilo(number), ConcentrationUnit::MmolPerL)),
        "mg/L CaCO3" => return Ok(unit.convert(ion, number, ConcentrationUnit::MgPerLCaco3)),
        "mmol/L divalent" if !ion.is_divalent_cation() => return refuse(limits.to_string()),
        _ => {}
    }
    let is_mass = convert(number, &amount.unit, "mg/L").is_ok();
    let is_ambiguous = amount.unit == "ppm" || amount.unit == "gr/gal" || is_mass && ion.is_divalent_cation();
    if is_ambiguous {
        let written = if amount.unit == "ppm" { "mg/L" } else { amount.unit.as_str() };
        let as_ion = format!("{} as ion", if written == "gr/gal" { "mg/L" } else { written });
        return refuse(format!(
            "as CaCO3 or as the ion? Write \"{number} {written} as CaCO3\", or give the number in \"{as_ion}\""
        ));
    }
    if is_mass {
        let mg_per_l = convert(number, &amount.unit, "mg/L")?;
        return Ok(unit.convert(ion, mg_per_l, ConcentrationUnit::MgPerL));
    }
    match convert(number, &amount.unit, "meq/L") {
        Ok(meq_per_l) => Ok(unit.convert(ion, meq_per_l, ConcentrationUnit::MeqPerL)),
        Err(_) => refuse(limits.to_string()),
    }
}

impl Bare {
    /// The number; `bed` is asked for where it decides, or gives the error that says why there is none.
    fn number(&self, name: &str, text: &str, bed: &dyn Fn() -> Result<Bed>) -> Result<f64> {
        let Some(amount) = Amount::read(text) else { return Err(self.refusal(name, text)) };
        if let Some(number) = amount.in_unit(self.unit) {
            return Ok(number);
        }
        let of_bed = |unit: &str| amount.in_unit(unit);
        match self.unit {
            "BV" => {
                if let Some(litres) = of_bed("L") {
                    return Ok(litres / bed()?.volume_l());
                }
            }
            "BV/h" => {
                if let Some(l_per_h) = of_bed("L/h") {
                    return Ok(l_per_h / bed()?.volume_l());
                }
                if let Some(m_per_h) = of_bed("m/h") {
                    return Ok(m_per_h / bed()?.depth_m());
                }
            }
            "m/h" => {
                if let Some(m3_per_h) = of_bed("m3/h") {
                    return Ok(m3_per_h / bed()?.area_m2());
                }
                if let Some(bv_per_h) = of_bed("BV/h") {
                    return Ok(bv_per_h * bed()?.depth_m());
                }
            }
            "g/L" if self.field.unit == Some(A_DOSE) => {
                if let Some(grams) = of_bed("g") {
                    return Ok(grams / bed()?.volume_l());
                }
            }
            _ => {}
        }
        Err(self.refusal(name, text))
    }

    fn refusal(&self, name: &str, text: &str) -> Error {
        let mut units = accepted(self.unit);
        let more: &[&str] = match self.unit {
            "BV" => &["L", "m3", "gal", "ft3"],
            "BV/h" => &["gpm", "m3/h", "L/h", "m/h", "gpm/ft2"],
            "m/h" => &["gpm", "m3/h", "BV/h"],
            "g/L" if self.field.unit == Some(A_DOSE) => &["lb", "kg"],
            _ => &[],
        };
        units.extend(more);
        let units: Vec<String> = units.into_iter().map(|unit| unit.replace(" CaCO3", " as CaCO3")).collect();
        let mass =
            Amount::read(text).is_some_and(|amount| amount.unit == "ppm" || convert(1.0, &amount.unit, "mg/L").is_ok());
        let hint = match self.unit {
            "mg/L CaCO3" | "eq/L" if mass => "as CaCO3 or as the ion? A plain mass does not say; ",
            _ => "",
        };
        Error::value(name, text, format!("{hint}must be a number with one of the units {}", units.join(", ")))
    }
}

/// Every text with a unit in a case's tree, with the number that takes its place.
///
/// # Errors
/// [`Error::Value`] for one that is not understood, and for a field that is given twice.
pub(super) fn edits(tree: &Value) -> Result<Vec<Edit>> {
    let mut found = Vec::new();
    let bare: Vec<Bare> = bare_fields().collect();
    // The bed first: others are measured by it.
    let parts =
        |own: bool| tree.as_object().into_iter().flatten().filter(move |(key, _)| (key.as_str() == "bed") == own);
    let none = || Err(Error::value("bed", "none", without_a_bed()));
    for (key, part) in parts(true) {
        below(part, std::slice::from_ref(key), key, &bare, &none, &mut found)?;
    }
    let mut whole = tree.clone();
    apply(&mut whole, &found);
    let bed = || {
        let given = whole.get("bed").ok_or_else(|| Error::value("bed", "none", without_a_bed()))?;
        let bed = Bed::deserialize(given).map_err(|e| Error::value("bed", given, e.to_string()))?;
        bed.validate().map(|()| bed)
    };
    for (key, part) in parts(false) {
        below(part, std::slice::from_ref(key), key, &bare, &bed, &mut found)?;
    }
    ions(tree, &mut found)?;
    Ok(found)
}

/// Put the numbers into a tree.
pub(super) fn apply(tree: &mut Value, edits: &[Edit]) {
    for edit in edits {
        let Some((last, path)) = edit.path.split_last() else { continue };
        let place = path.iter().try_fold(&mut *tree, |place, key| match place {
            Value::Object(table) => table.get_mut(key),
            Value::Array(list) => list.get_mut(key.parse::<usize>().ok()?),
            _ => None,
        });
        if let Some(Value::Object(table)) = place {
            table.remove(last);
            table.insert(edit.key.to_string(), edit.number.into());
        }
    }
}

/// The texts below a place that `pattern` names with `*` for a place in a list.
fn below(
    place: &Value,
    path: &[String],
    pattern: &str,
    bare: &[Bare],
    bed: &dyn Fn() -> Result<Bed>,
    found: &mut Vec<Edit>,
) -> Result<()> {
    let inside = |key: &str| [path, &[key.to_string()]].concat();
    match place {
        Value::Array(items) => {
            for (index, item) in items.iter().enumerate() {
                below(item, &inside(&index.to_string()), &format!("{pattern}.*"), bare, bed, found)?;
            }
        }
        Value::Object(table) => {
            // Which fields a step has depends on the step.
            let step = (pattern == "recipe.*").then(|| table.get("step").and_then(Value::as_str).unwrap_or_default());
            let owner = step.map(FreeStep::fields_of);
            for (key, value) in table {
                let mine = |bare: &&Bare| {
                    bare.part == pattern && bare.stem == key && owner.is_none_or(|owner| owner == bare.field.owner)
                };
                let Some(one) = bare.iter().find(mine) else {
                    below(value, &inside(key), &format!("{pattern}.{key}"), bare, bed, found)?;
                    continue;
                };
                let name = inside(key).join(".");
                let Some(text) = value.as_str() else {
                    let limits = format!("must be a text with its unit, or {} a plain number", one.key);
                    return Err(Error::value(name, value, limits));
                };
                if table.contains_key(one.key) {
                    return Err(Error::value(name, text, format!("is given twice: also as {}", one.key)));
                }
                let number = one.number(&name, text, bed)?;
                found.push(Edit { path: inside(key), key: one.key, number, text: text.to_string() });
            }
        }
        _ => {}
    }
    Ok(())
}

/// The concentrations that are texts.
fn ions(tree: &Value, found: &mut Vec<Edit>) -> Result<()> {
    let Some(water) = tree.get("water") else { return Ok(()) };
    let unit = water.get("unit").and_then(Value::as_str).unwrap_or_default().parse().unwrap_or_default();
    for (symbol, value) in water.get("ions").and_then(Value::as_object).into_iter().flatten() {
        let (Some(text), Ok(ion)) = (value.as_str(), symbol.parse::<Ion>()) else { continue };
        let number = of_ion(&format!("{IONS}.{ion}"), ion, text, unit)?;
        let path = ["water", "ions", symbol].map(str::to_string).to_vec();
        found.push(Edit { path, key: ion.symbol(), number, text: text.to_string() });
    }
    Ok(())
}

/// The dotted name of the field that a dotted name without a unit stands for in a tree; none for any other name.
pub(super) fn whole_name(tree: &Value, name: &str) -> Option<String> {
    let (path, stem) = name.rsplit_once('.')?;
    let mut place = Some(tree);
    let mut pattern = Vec::new();
    for part in path.split('.') {
        place = match place {
            Some(Value::Array(list)) => {
                pattern.push("*");
                part.parse().ok().and_then(|index: usize| list.get(index))
            }
            other => {
                pattern.push(part);
                other.and_then(|table| table.get(part))
            }
        };
    }
    let pattern = pattern.join(".");
    let step = (pattern == "recipe.*").then(|| place?.get(STEP_KEY)?.as_str().map(FreeStep::fields_of));
    let owner = step.flatten();
    bare_fields()
        .find(|bare| bare.part == pattern && bare.stem == stem && owner.is_none_or(|owner| owner == bare.field.owner))
        .map(|bare| format!("{path}.{}", bare.key))
}

/// The key of a step's name.
const STEP_KEY: &str = "step";

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn number(owner: &str, key: &str, text: &str) -> f64 {
        in_field_of(owner, key, key, text).unwrap()
    }

    #[test]
    fn every_field_with_a_unit_takes_it_as_text() {
        let mut seen = 0;
        for bare in bare_fields() {
            let text = format!("2.5 {}", bare.unit);
            assert_eq!(number(bare.field.owner, bare.key, &text).to_bits(), 2.5_f64.to_bits(), "{}", bare.field.name);
            assert_eq!(named_without_unit(bare.field.owner, bare.stem), Some(bare.key), "{}", bare.field.name);
            let message = in_field_of(bare.field.owner, bare.key, bare.field.name, "3 farad").unwrap_err().to_string();
            assert!(message.contains(bare.field.name) && message.contains("must be a number with"), "{message}");
            seen += 1;
        }
        assert!(seen > 40, "{seen}");
        // A unit in words, "of the depth", is that of a bare number.
        let has_unit = |field: &&Field| {
            field.kind == Kind::Number
                && !field.name.ends_with(".*")
                && field.unit.is_some_and(|unit| !unit.starts_with("of "))
        };
        for field in fields().filter(has_unit) {
            assert!(bare_fields().any(|bare| bare.field.name == field.name), "{} has an ending not known", field.name);
        }
    }

    #[test]
    fn stems_are_no_names_of_other_fields() {
        for bare in bare_fields() {
            let name = format!("{}.{}", bare.part, bare.stem);
            let taken = |field: &Field| field.name == name && field.owner == bare.field.owner;
            assert!(!fields().any(taken), "{name}");
            let alike = bare_fields().filter(|other| other.field.owner == bare.field.owner && other.stem == bare.stem);
            assert_eq!(alike.count(), 1, "{name}");
        }
    }

    #[test]
    fn beds_of_one_size_give_a_volume_one_number() {
        let bed = |depth: f64| Bed::new(depth, 0.4);
        let run = |beds: &[Bed]| in_field_by_beds("service.volume_bv", "run", "1000 gal", beds);
        let found = run(&[bed(0.9), bed(0.9)]).unwrap();
        assert!((found * bed(0.9).volume_l() / 3_785.411_784 - 1.0).abs() < 1e-12, "{found}");
        let refused = run(&[bed(0.9), bed(1.0)]).unwrap_err().to_string();
        assert_eq!(refused, "run = 1000 gal: is another number in each of the beds: give it in BV");
        let limit = |text: &str| in_field_by_beds("service.limit_mg_per_l_caco3", "mean", text, &[bed(0.9), bed(1.0)]);
        assert!((limit("0.5 gr/gal").unwrap() - 8.559_03).abs() < 1e-5);
        assert_eq!(limit("3 ppm as CaCO3").map(f64::to_bits), Ok(3.0_f64.to_bits()));
        assert!(limit("3 ppm").unwrap_err().to_string().contains("as CaCO3 or as the ion?"));
    }

    #[test]
    fn a_refusal_shows_what_was_written() {
        let tree = json!({"regeneration": {"dose": "0.01 lb/ft3"}, "recipe": [{"step": "brine", "flow": "-4 gpm"}],
                          "bed": {"depth": "0.9 m", "diameter": "0.4 m"}});
        let edits = edits(&tree).unwrap();
        let refused = |field: &str, value: &str| as_written(Error::value(field, value, "no"), &edits).to_string();
        let dose = refused("regeneration.dose_g_per_l", "0.16018");
        assert_eq!(dose, "regeneration.dose_g_per_l = 0.01 lb/ft3 (0.16018 g/L): no");
        assert_eq!(refused("bed.depth_m", "0.9"), "bed.depth_m = 0.9 m: no");
        assert!(refused("recipe.0.flow_bv_per_h", "-8").contains("= -4 gpm (-8 BV/h)"));
        assert_eq!(refused("cells", "0"), "cells = 0: no");
    }

    #[test]
    fn the_bed_turns_volumes_and_masses_into_its_own() {
        let tree = json!({
            "bed": {"depth": "3 ft", "diameter": "12 in"},
            "service": {"flow": "10 gpm", "volume": "1000 gal"},
            "regeneration": {"dose": "10 lb", "backwash_flow": "5 gpm/ft2"},
            "recipe": [{"step": "backwash", "flow": "4 gpm", "duration": "0.1 h"}, {"step": "brine", "flow": "4 m/h"}],
        });
        let edits = edits(&tree).unwrap();
        let mut whole = tree;
        apply(&mut whole, &edits);
        let (depth, area) = (0.9144, std::f64::consts::PI / 4.0 * 0.3048_f64.powi(2));
        let litres = 1e3 * depth * area;
        for (name, expected) in [
            ("/bed/depth_m", depth),
            ("/bed/diameter_m", 0.3048),
            ("/service/flow_bv_per_h", 600.0 * 3.785_411_784 / litres),
            ("/service/volume_bv", 3_785.411_784 / litres),
            ("/regeneration/dose_g_per_l", 4535.9237 / litres),
            ("/regeneration/backwash_flow_m_per_h", 5.0 * 60.0 * 3.785_411_784e-3 / 0.092_903_04),
            ("/recipe/0/flow_m_per_h", 0.24 * 3.785_411_784 / area),
            ("/recipe/0/minutes", 6.0),
            ("/recipe/1/flow_bv_per_h", 4.0 / depth),
        ] {
            let found = whole.pointer(name).and_then(Value::as_f64).unwrap();
            assert!((found / expected - 1.0).abs() < 1e-9, "{name}: {found} against {expected}");
        }
        let refused = |tree: Value| super::edits(&tree).unwrap_err().to_string();
        let twice = refused(json!({"regeneration": {"dose": "8 lb/ft3", "dose_g_per_l": 96.0}}));
        assert!(twice.contains("regeneration.dose = 8 lb/ft3: is given twice"), "{twice}");
        let plain = refused(json!({"regeneration": {"dose": 8.0}}));
        assert!(plain.contains("a text with its unit, or dose_g_per_l"), "{plain}");
        assert!(refused(json!({"service": {"volume": "10 gal"}})).contains("only of a bed"));
        assert!(refused(json!({"service": {"limit": "17 mg/L"}})).contains("as CaCO3 or as the ion?"));
        assert!(refused(json!({"service": {"limit": "17 ppm"}})).contains("as CaCO3 or as the ion?"));
    }

    #[test]
    fn an_ion_of_hardness_says_what_its_mass_is_the_mass_of() {
        let of = |ion: Ion, text: &str| of_ion("water.ions.X", ion, text, ConcentrationUnit::MgPerL);
        for (text, expected) in [
            ("80 mg/L as ion", 80.0),
            ("80 mg/L as Ca", 80.0),
            ("0.08 g/L as ion", 80.0),
            ("200 mg/L as CaCO3", 200.0 * 40.078 / 100.086),
            ("200 ppm as CaCO3", 200.0 * 40.078 / 100.086),
            ("80 ppm as ion", 80.0),
            ("10 gr/gal as CaCO3", 171.180_6 * 40.078 / 100.086),
            ("10 gpg", 171.180_6 * 40.078 / 100.086),
            ("2 mmol/L", 80.156),
            ("4 meq/L", 80.156),
            ("20 degree French", 200.0 * 40.078 / 100.086),
        ] {
            let found = of(Ion::CA, text).unwrap();
            assert!((found / expected - 1.0).abs() < 1e-5, "{text}: {found} against {expected}");
        }
        for text in ["80 mg/L", "80 ppm", "12 gr/gal", "0.08 g/L"] {
            let message = of(Ion::CA, text).unwrap_err().to_string();
            assert!(message.contains("as CaCO3 or as the ion?") && message.contains("as CaCO3\""), "{message}");
        }
        for text in ["80", "80 BV", "lots", "80 mg/L as Mg"] {
            assert!(of(Ion::CA, text).unwrap_err().to_string().contains("with its unit"), "{text}");
        }
        assert_eq!(of(Ion::NA, "28 mg/L").map(f64::to_bits), Ok(28.0_f64.to_bits()));
        assert!(of(Ion::NA, "12 gr/gal").is_err() && of(Ion::NA, "28 ppm").is_err());
    }
}
