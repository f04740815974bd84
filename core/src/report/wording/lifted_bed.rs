//! What the figures of a bed that its upflow lifts stand on, as a clause of a sentence.

use crate::inputs::recipe_steps::StepName;
use crate::report::CycleReport;
use crate::report::note::Note;

/// Nothing was said of what holds the bed.
const HELD_DOWN: &str = "assumes the bed is held down";
/// Nothing holds it, and no mixing was asked for.
const PLACES_KEPT: &str = "shows the packed bed: its upflow lifts it and nothing holds it down, but no lifted_mixing was asked for, so that its beads keep their places";
/// The same, and the flow is faster than the beads settle.
const PLACES_KEPT_INSIDE: &str = "shows the packed bed: its upflow carries its beads away and nothing holds it down, but no lifted_mixing was asked for, so that they keep their places";
/// Nothing holds it, its beads mix, and the flow is faster than they settle.
const STAY_INSIDE: &str = "assumes that the upflow carries no beads away";

impl CycleReport {
    /// What the figures take for granted where a step lifts the bed, as the clause of a sentence; none where no step does,
    /// where the bed is said to be held down, and where its beads mix.
    pub fn assumed_of_the_bed(&self) -> Option<&'static str> {
        let bed = &self.case.bed;
        let carried =
            self.notes.iter().any(|note| matches!(note, Note::CarriedAway { step, .. } if *step != StepName::Backwash));
        let lifted = carried || self.notes.iter().any(|note| matches!(note, Note::Lifted { .. }));
        if !lifted {
            return None;
        }
        match bed.held_down {
            Some(true) => None,
            _ if !bed.lifted_mixing.is_none() => carried.then_some(STAY_INSIDE),
            None => Some(HELD_DOWN),
            Some(false) => Some(if carried { PLACES_KEPT_INSIDE } else { PLACES_KEPT }),
        }
    }
}
