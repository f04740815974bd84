//! The records of every field of a case, in the order in which a report lists them.

use crate::inputs::bed::Bed;
use crate::inputs::case::Case;
use crate::inputs::field::{Field, Kind};
use crate::inputs::maldistribution::Maldistribution;
use crate::inputs::rates::Rates;
use crate::inputs::recipe_steps::{Backwash, Brine, Rinse, Standby};
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
    ]
    .into_iter()
    .flatten()
}
