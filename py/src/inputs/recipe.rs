//! A recipe of free steps.

use brinefront::inputs::recipe;
use brinefront::inputs::recipe_steps::{self, FreeStep};
use pyo3::IntoPyObjectExt;
use pyo3::exceptions::PyIndexError;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text;
use crate::errors::{self, to_python};

brinefront::fields_of_backwash! {
    brinefront_derive::python_class;
    /// An upward wash: it replaces the void by its water and turns over the top of the bed.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or two ends.
    ///
    /// References
    /// ----------
    /// * M. L. Davis (2010), Water and Wastewater Engineering, Table 8-2: 12 to 20 m/h, 5 to 15 min.
    step Backwash("backwash") of recipe_steps::Backwash {}
}

brinefront::fields_of_brine! {
    brinefront_derive::python_class;
    /// Brine through the bed.
    ///
    /// Its volume is its `share` of what the dose makes at the brine's strength, or `volume_bv`, or `minutes` at its flow,
    /// whatever the dose; brine steps that say none of these share equally what the others leave of the dose.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or more than one of share, volume and duration.
    step Brine("brine") of recipe_steps::Brine {}
}

brinefront::fields_of_rinse! {
    brinefront_derive::python_class;
    /// Displacement of the brine.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or more than one end.
    step SlowRinse("slow_rinse") of recipe_steps::Rinse {}
}

brinefront::fields_of_rinse! {
    brinefront_derive::python_class;
    /// Rinse to service quality.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or more than one end.
    step FastRinse("fast_rinse") of recipe_steps::Rinse {}
}

brinefront::fields_of_standby! {
    brinefront_derive::python_class;
    /// No flow: liquid and beads go to equilibrium with each other where they are.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits.
    step Standby("standby") of recipe_steps::Standby {}
}

/// The steps between two service runs, in the order given.
///
/// Parameters
/// ----------
/// steps : iterable of Backwash, Brine, SlowRinse, FastRinse or Standby
///     The steps, at least one of them a brine. What a step leaves out is taken from the case's regeneration.
///
/// Raises
/// ------
/// InputError
///     For something that is no such step, or no brine.
///
/// See Also
/// --------
/// Regeneration.recipe : The recipe that a regeneration stands for.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> pause = bf.Recipe([bf.Brine(share=0.5), bf.Standby(20.0), bf.Brine(), bf.SlowRinse(), bf.FastRinse()])
/// >>> len(pause), pause[1]
/// (5, Standby(minutes=20.0))
/// >>> case = bf.default_case().replace({"recipe": pause})
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Recipe(pub recipe::Recipe);

#[pymethods]
impl Recipe {
    #[new]
    fn new(steps: &Bound<'_, PyAny>) -> PyResult<Self> {
        let mut found = Vec::new();
        for (place, object) in steps.try_iter()?.enumerate() {
            let object = object?;
            found.push(step_of(&object).ok_or_else(|| match object.repr() {
                Ok(shown) => errors::value(
                    &format!("recipe.{place}"),
                    shown,
                    "must be a Backwash, Brine, SlowRinse, FastRinse or Standby; service runs between two recipes",
                ),
                Err(raised) => raised,
            })?);
        }
        Self::checked(recipe::Recipe { steps: found })
    }

    /// The steps, in their order.
    #[getter]
    fn steps<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        let steps: PyResult<Vec<_>> = self.0.steps.iter().map(|step| to_object(py, step)).collect();
        PyTuple::new(py, steps?)
    }

    fn __len__(&self) -> usize {
        self.0.steps.len()
    }

    fn __getitem__<'py>(&self, py: Python<'py>, index: isize) -> PyResult<Bound<'py, PyAny>> {
        let place = if index < 0 { self.0.steps.len().checked_add_signed(index) } else { usize::try_from(index).ok() };
        match place.and_then(|place| self.0.steps.get(place)) {
            Some(step) => to_object(py, step),
            None => Err(PyIndexError::new_err(format!("step {index} of {}", self.0.steps.len()))),
        }
    }

    /// Read a recipe from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Recipe
    ///     As it was.
    ///
    /// Raises
    /// ------
    /// CaseFileError
    ///     For a text that cannot be understood.
    /// InputError
    ///     For a value out of limits.
    #[classmethod]
    fn from_json(_class: &Bound<'_, PyType>, text: &str) -> PyResult<Self> {
        Self::checked(text::from_json(text, "recipe")?)
    }

    /// The recipe as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.0)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    pub(super) fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let steps: Vec<_> = self.0.steps.iter().map(|step| shown(py, step)).collect::<PyResult<_>>()?;
        Ok(format!("Recipe([{}])", steps.join(", ")))
    }
}

impl Recipe {
    fn checked(recipe: recipe::Recipe) -> PyResult<Self> {
        recipe.validate().map_err(to_python)?;
        Ok(Self(recipe))
    }
}

/// The step that an object is, if it is one.
pub(super) fn step_of(object: &Bound<'_, PyAny>) -> Option<FreeStep> {
    if let Ok(step) = object.cast::<Backwash>() {
        return Some(step.get().step());
    }
    if let Ok(step) = object.cast::<Brine>() {
        return Some(step.get().step());
    }
    if let Ok(step) = object.cast::<SlowRinse>() {
        return Some(step.get().step());
    }
    if let Ok(step) = object.cast::<FastRinse>() {
        return Some(step.get().step());
    }
    object.cast::<Standby>().ok().map(|step| step.get().step())
}

/// What must not happen: a step of the crate that this file does not know.
const NO_CLASS: &str = "a step without a class";

fn to_object<'py>(py: Python<'py>, step: &FreeStep) -> PyResult<Bound<'py, PyAny>> {
    match step.clone() {
        FreeStep::Backwash(step) => Backwash(step).into_bound_py_any(py),
        FreeStep::Brine(step) => Brine(step).into_bound_py_any(py),
        FreeStep::SlowRinse(step) => SlowRinse(step).into_bound_py_any(py),
        FreeStep::FastRinse(step) => FastRinse(step).into_bound_py_any(py),
        FreeStep::Standby(step) => Standby(step).into_bound_py_any(py),
        _ => Err(errors::internal(NO_CLASS)),
    }
}

fn shown(py: Python<'_>, step: &FreeStep) -> PyResult<String> {
    match step.clone() {
        FreeStep::Backwash(step) => Backwash(step).__repr__(py),
        FreeStep::Brine(step) => Brine(step).__repr__(py),
        FreeStep::SlowRinse(step) => SlowRinse(step).__repr__(py),
        FreeStep::FastRinse(step) => FastRinse(step).__repr__(py),
        FreeStep::Standby(step) => Standby(step).__repr__(py),
        _ => Err(errors::internal(NO_CLASS)),
    }
}
