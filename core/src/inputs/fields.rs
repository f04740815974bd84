//! The records of every field of a case, in the order in which a report lists them, and what they say of a name.

use serde_json::Value;

use crate::inputs::bed::Bed;
use crate::inputs::case::Case;
use crate::inputs::display::Display;
use crate::inputs::field::{Field, Kind};
use crate::inputs::maldistribution::Maldistribution;
use crate::inputs::rates::Rates;
use crate::inputs::recipe_steps::{Backwash, Brine, FreeStep, Rinse, Standby};
use crate::inputs::regeneration::Regeneration;
use crate::inputs::resin::{BeadSize, Resin};
use crate::inputs::service::Service;
use crate::inputs::site::Site;
use crate::inputs::water::Water;

/// The tag of a step, which is no field of a struct.
const STEP: Field = Field {
    name: "recipe.*.step",
    kind: Kind::Text,
    doc: "Which step.",
    words: "kind",
    required: true,
    ..Field::EMPTY
};

/// Every record. A name that several steps have comes once for each, with its `owner`.
pub fn fields() -> impl Iterator<Item = &'static Field> {
    [
        Case::FIELDS,
        Water::FIELDS,
        Resin::FIELDS,
        BeadSize::FIELDS,
        Bed::FIELDS,
        Maldistribution::FIELDS,
        Rates::FIELDS,
        Service::FIELDS,
        Regeneration::FIELDS,
        &[STEP],
        Brine::FIELDS,
        Rinse::FIELDS,
        Backwash::FIELDS,
        Standby::FIELDS,
        Site::FIELDS,
        Display::FIELDS,
    ]
    .into_iter()
    .flatten()
}

/// The first key of a case's tree, as a dotted name, that no field has.
pub(super) fn unknown_key(tree: &Value) -> Option<String> {
    let known: Vec<&Field> = fields().collect();
    unknown_below(tree, "", "", &known)
}

/// The same below a place: `name` is its dotted name, `pattern` the same with `*` for an ion and for a place in a list.
fn unknown_below(place: &Value, name: &str, pattern: &str, known: &[&Field]) -> Option<String> {
    let below = |path: &str, key: &str| if path.is_empty() { key.to_string() } else { format!("{path}.{key}") };
    match place {
        Value::Array(items) => items.iter().enumerate().find_map(|(index, item)| {
            unknown_below(item, &below(name, &index.to_string()), &below(pattern, "*"), known)
        }),
        Value::Object(table) => {
            // Which fields a step has depends on the step.
            let step = (pattern == "recipe.*").then(|| table.get("step").and_then(Value::as_str).unwrap_or_default());
            let owner = step.map(FreeStep::fields_of);
            let mine = |field: &&Field| owner.is_none_or(|owner| owner == field.owner || field.name == STEP.name);
            table.iter().find_map(|(key, value)| {
                let exact = below(pattern, key);
                let any = below(pattern, "*");
                let found = [exact, any].into_iter().find(|path| {
                    let inside = format!("{path}.");
                    let has = |field: &&Field| field.name == path || field.name.starts_with(&inside);
                    path == "schema" || known.iter().copied().any(|field| mine(&field) && has(&field))
                });
                match found {
                    Some(path) => unknown_below(value, &below(name, key), &path, known),
                    None => Some(below(name, key)),
                }
            })
        }
        _ => None,
    }
}
