//! Values that serialise as their words.

use serde::Serializer;

use crate::inputs::recipe_steps::StepName;

/// Serialise a step by its name in words, which tables have; a case file joins the words by hyphens.
pub fn step_in_words<S: Serializer>(step: &StepName, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_str(step.words())
}

/// Serialise steps likewise.
pub fn steps_in_words<S: Serializer>(steps: &[StepName], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(steps.iter().map(|step| step.words()))
}
