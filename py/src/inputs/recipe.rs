//! A recipe of free steps.

use brinefront::inputs::recipe;
use brinefront::inputs::recipe_steps::{self, FreeStep};
use brinefront::inputs::regeneration::{BrineWater, Direction};
use pyo3::IntoPyObjectExt;
use pyo3::exceptions::PyIndexError;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::from_name;
use crate::errors::{self, to_python};
use crate::number::{Number, numbers};

/// An upward wash: it replaces the void by its water and turns over the top of the bed.
///
/// Parameters
/// ----------
/// flow_m_per_h : float or Quantity, optional
///     Flow [m/h], 0.1 to 100; the regeneration's if None, else 15 (Davis 2010).
/// minutes : float or Quantity, optional
///     Duration [min], 0.01 to 600; the regeneration's if no end is given, else 10 (Davis).
/// volume_bv : float or Quantity, optional
///     Volume [bed volumes], 0.001 to 1000, instead of a duration.
/// mixing : float or Quantity, optional
///     Fraction of the bed, from the top, that is turned over, 0 to 1; the regeneration's if None, else 1 (an
///     assumption).
/// water : {"feed", "soft"}, optional
///     Its water; the feed if None.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, or two ends.
///
/// References
/// ----------
/// * Davis, M. L. (2010), Water and Wastewater Engineering, Table 8-2: 12 to 20 m/h, 5 to 15 min.
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Backwash(recipe_steps::Backwash);

/// Brine through the bed.
///
/// Its volume is its `share` of what the dose makes at the brine's strength, or `volume_bv`, or `minutes` at its flow,
/// whatever the dose; brine steps that say none of these share equally what the others leave of the dose.
///
/// Parameters
/// ----------
/// flow_bv_per_h : float or Quantity, optional
///     Flow [bed volumes per hour], 0.05 to 100; the regeneration's if None.
/// direction : {"co-current", "counter-current"}, optional
///     Direction, relative to service; the regeneration's if None.
/// share : float or Quantity, optional
///     Share of the dose, 0.001 to 1.
/// volume_bv : float or Quantity, optional
///     Volume [bed volumes], 0.001 to 100.
/// minutes : float or Quantity, optional
///     Duration [min], 0.01 to 1e5.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, or more than one of share, volume and duration.
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Brine(recipe_steps::Brine);

/// No flow: liquid and beads go to equilibrium with each other where they are.
///
/// Parameters
/// ----------
/// minutes : float or Quantity
///     Duration [min], 0.01 to 1e6.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits.
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Standby(recipe_steps::Standby);

/// The steps between two service runs, in the order given.
///
/// Parameters
/// ----------
/// steps : iterable of Backwash, Brine, SlowRinse, FastRinse or Standby
///     The steps, at least one of them a brine. What a step leaves out, the case's regeneration says.
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

fn direction_of(field: &str, name: Option<&str>) -> PyResult<Option<Direction>> {
    name.map(|name| from_name(field, name, "must be co-current or counter-current")).transpose()
}

fn water_of(field: &str, name: Option<&str>) -> PyResult<Option<BrineWater>> {
    name.map(|name| from_name(field, name, "must be soft or feed")).transpose()
}

fn checked(place: &str, step: FreeStep) -> PyResult<FreeStep> {
    step.validate(place).map_err(to_python)?;
    Ok(step)
}

/// A step of one kind from JSON text.
fn from_json<T>(text: &str, place: &str, pick: impl Fn(FreeStep) -> Option<T>) -> PyResult<T> {
    let step = checked(place, text::from_json(text, place)?)?;
    let found = step.name().words();
    pick(step).ok_or_else(|| errors::value("step", found, &format!("must be {}", place.replace('_', "-"))))
}

/// A repr with direction and water where they are given.
fn with_words(repr: Repr, direction: Option<Direction>, water: Option<BrineWater>) -> Repr {
    let repr = match direction {
        Some(direction) => repr.word("direction", direction.name()),
        None => repr,
    };
    match water {
        Some(water) => repr.word("water", water.name()),
        None => repr,
    }
}

#[pymethods]
impl Backwash {
    #[new]
    #[pyo3(signature = (*, flow_m_per_h = None, minutes = None, volume_bv = None, mixing = None, water = None))]
    fn new(
        flow_m_per_h: Option<Number<'_>>,
        minutes: Option<Number<'_>>,
        volume_bv: Option<Number<'_>>,
        mixing: Option<Number<'_>>,
        water: Option<&str>,
    ) -> PyResult<Self> {
        numbers!("backwash": flow_m_per_h, minutes, volume_bv, mixing);
        let water = water_of("backwash.water", water)?;
        let step = recipe_steps::Backwash { flow_m_per_h, minutes, volume_bv, mixing, water };
        checked("backwash", FreeStep::Backwash(step.clone()))?;
        Ok(Self(step))
    }

    /// Flow [m/h].
    #[getter]
    fn flow_m_per_h(&self) -> Option<f64> {
        self.0.flow_m_per_h
    }

    /// Duration [min].
    #[getter]
    fn minutes(&self) -> Option<f64> {
        self.0.minutes
    }

    /// Volume [bed volumes].
    #[getter]
    fn volume_bv(&self) -> Option<f64> {
        self.0.volume_bv
    }

    /// Fraction of the bed, from the top, that is turned over.
    #[getter]
    fn mixing(&self) -> Option<f64> {
        self.0.mixing
    }

    /// Its water: "feed" or "soft".
    #[getter]
    fn water(&self) -> Option<&'static str> {
        self.0.water.map(BrineWater::name)
    }

    /// Read a backwash from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Backwash
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
        from_json(text, "backwash", |step| match step {
            FreeStep::Backwash(step) => Some(Self(step)),
            _ => None,
        })
    }

    /// The backwash as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.step())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    fn __repr__(&self) -> String {
        let repr = Repr::of("Backwash")
            .number_if("flow_m_per_h", self.0.flow_m_per_h)
            .number_if("minutes", self.0.minutes)
            .number_if("volume_bv", self.0.volume_bv)
            .number_if("mixing", self.0.mixing);
        with_words(repr, None, self.0.water).end()
    }
}

impl Backwash {
    fn step(&self) -> FreeStep {
        FreeStep::Backwash(self.0.clone())
    }
}

#[pymethods]
impl Brine {
    #[new]
    #[pyo3(signature = (*, flow_bv_per_h = None, direction = None, share = None, volume_bv = None, minutes = None))]
    fn new(
        flow_bv_per_h: Option<Number<'_>>,
        direction: Option<&str>,
        share: Option<Number<'_>>,
        volume_bv: Option<Number<'_>>,
        minutes: Option<Number<'_>>,
    ) -> PyResult<Self> {
        numbers!("brine": flow_bv_per_h, share, volume_bv, minutes);
        let direction = direction_of("brine.direction", direction)?;
        let step = recipe_steps::Brine { flow_bv_per_h, direction, share, volume_bv, minutes };
        checked("brine", FreeStep::Brine(step.clone()))?;
        Ok(Self(step))
    }

    /// Flow [bed volumes per hour].
    #[getter]
    fn flow_bv_per_h(&self) -> Option<f64> {
        self.0.flow_bv_per_h
    }

    /// Direction, relative to service: "co-current" or "counter-current".
    #[getter]
    fn direction(&self) -> Option<&'static str> {
        self.0.direction.map(Direction::name)
    }

    /// Share of the dose.
    #[getter]
    fn share(&self) -> Option<f64> {
        self.0.share
    }

    /// Volume [bed volumes].
    #[getter]
    fn volume_bv(&self) -> Option<f64> {
        self.0.volume_bv
    }

    /// Duration [min].
    #[getter]
    fn minutes(&self) -> Option<f64> {
        self.0.minutes
    }

    /// Read a brine from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Brine
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
        from_json(text, "brine", |step| match step {
            FreeStep::Brine(step) => Some(Self(step)),
            _ => None,
        })
    }

    /// The brine as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.step())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    fn __repr__(&self) -> String {
        let repr = Repr::of("Brine").number_if("flow_bv_per_h", self.0.flow_bv_per_h);
        with_words(repr, self.0.direction, None)
            .number_if("share", self.0.share)
            .number_if("volume_bv", self.0.volume_bv)
            .number_if("minutes", self.0.minutes)
            .end()
    }
}

impl Brine {
    fn step(&self) -> FreeStep {
        FreeStep::Brine(self.0.clone())
    }
}

/// The class of one of the two rinses: they say the same things and leave out different ones.
macro_rules! rinse {
    ($(#[$said:meta])* $class:ident, $name:literal, $place:literal) => {
        $(#[$said])*
        #[pyclass(frozen, eq, module = "brinefront")]
        #[derive(PartialEq)]
        pub struct $class(recipe_steps::Rinse);

        #[pymethods]
        impl $class {
            #[new]
            #[pyo3(signature = (
                *, flow_bv_per_h = None, direction = None, water = None, volume_bv = None, minutes = None,
                until_hardness_mg_per_l_caco3 = None, until_chloride_mg_per_l = None, at_most_bv = None,
            ))]
            #[expect(clippy::too_many_arguments, reason = "keyword arguments of the Python constructor")]
            fn new(
                flow_bv_per_h: Option<Number<'_>>,
                direction: Option<&str>,
                water: Option<&str>,
                volume_bv: Option<Number<'_>>,
                minutes: Option<Number<'_>>,
                until_hardness_mg_per_l_caco3: Option<Number<'_>>,
                until_chloride_mg_per_l: Option<Number<'_>>,
                at_most_bv: Option<Number<'_>>,
            ) -> PyResult<Self> {
                numbers!($place:
                    flow_bv_per_h, volume_bv, minutes, until_hardness_mg_per_l_caco3, until_chloride_mg_per_l, at_most_bv,
                );
                let step = recipe_steps::Rinse {
                    flow_bv_per_h,
                    direction: direction_of(concat!($place, ".direction"), direction)?,
                    water: water_of(concat!($place, ".water"), water)?,
                    volume_bv,
                    minutes,
                    until_hardness_mg_per_l_caco3,
                    until_chloride_mg_per_l,
                    at_most_bv,
                };
                checked($place, FreeStep::$class(step.clone()))?;
                Ok(Self(step))
            }

            /// Flow [bed volumes per hour].
            #[getter]
            fn flow_bv_per_h(&self) -> Option<f64> {
                self.0.flow_bv_per_h
            }

            /// Direction, relative to service: "co-current" or "counter-current".
            #[getter]
            fn direction(&self) -> Option<&'static str> {
                self.0.direction.map(Direction::name)
            }

            /// Its water: "feed" or "soft".
            #[getter]
            fn water(&self) -> Option<&'static str> {
                self.0.water.map(BrineWater::name)
            }

            /// Volume [bed volumes].
            #[getter]
            fn volume_bv(&self) -> Option<f64> {
                self.0.volume_bv
            }

            /// Duration [min].
            #[getter]
            fn minutes(&self) -> Option<f64> {
                self.0.minutes
            }

            /// Effluent hardness that ends it [mg/L as CaCO3].
            #[getter]
            fn until_hardness_mg_per_l_caco3(&self) -> Option<f64> {
                self.0.until_hardness_mg_per_l_caco3
            }

            /// Effluent chloride that ends it [mg/L].
            #[getter]
            fn until_chloride_mg_per_l(&self) -> Option<f64> {
                self.0.until_chloride_mg_per_l
            }

            /// Volume at which it ends all the same, if it ends on what leaves [bed volumes].
            #[getter]
            fn at_most_bv(&self) -> Option<f64> {
                self.0.at_most_bv
            }

            /// Read a rinse from JSON text.
            ///
            /// Parameters
            /// ----------
            /// text : str
            ///     What `to_json` wrote.
            ///
            /// Returns
            /// -------
            /// SlowRinse or FastRinse
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
                from_json(text, $place, |step| match step {
                    FreeStep::$class(step) => Some(Self(step)),
                    _ => None,
                })
            }

            /// The rinse as JSON text.
            ///
            /// Returns
            /// -------
            /// str
            ///     A JSON object, which `from_json` reads.
            fn to_json(&self) -> PyResult<String> {
                text::to_json(&self.step())
            }

            fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
                text::reduce(&py.get_type::<Self>(), self.to_json()?)
            }

            fn __repr__(&self) -> String {
                let repr = Repr::of($name).number_if("flow_bv_per_h", self.0.flow_bv_per_h);
                with_words(repr, self.0.direction, self.0.water)
                    .number_if("volume_bv", self.0.volume_bv)
                    .number_if("minutes", self.0.minutes)
                    .number_if("until_hardness_mg_per_l_caco3", self.0.until_hardness_mg_per_l_caco3)
                    .number_if("until_chloride_mg_per_l", self.0.until_chloride_mg_per_l)
                    .number_if("at_most_bv", self.0.at_most_bv)
                    .end()
            }
        }

        impl $class {
            fn step(&self) -> FreeStep {
                FreeStep::$class(self.0.clone())
            }
        }
    };
}

rinse!(
    /// Displacement of the brine.
    ///
    /// Parameters
    /// ----------
    /// flow_bv_per_h : float or Quantity, optional
    ///     Flow [bed volumes per hour], 0.05 to 500; that of the brine before it if None.
    /// direction : {"co-current", "counter-current"}, optional
    ///     Direction, relative to service; that of the brine before it if None.
    /// water : {"soft", "feed"}, optional
    ///     Its water; the regeneration's `slow_rinse_water` if None, else that of the brine.
    /// volume_bv : float or Quantity, optional
    ///     Volume [bed volumes], 0.001 to 1000; the regeneration's `slow_rinse_bv` if no end is given.
    /// minutes : float or Quantity, optional
    ///     Duration [min], 0.01 to 1e5.
    /// until_hardness_mg_per_l_caco3 : float or Quantity, optional
    ///     Hardness of what leaves that ends the step [mg/L as CaCO3], 1e-6 to 1e6, armed once one void volume has
    ///     left.
    /// until_chloride_mg_per_l : float or Quantity, optional
    ///     Chloride of what leaves that ends the step [mg/L], 0.001 to 1e6, armed likewise.
    /// at_most_bv : float or Quantity, optional
    ///     Volume at which such a step ends all the same [bed volumes], 0.001 to 1000; must be given with either.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or more than one end.
    SlowRinse, "SlowRinse", "slow_rinse"
);
rinse!(
    /// Rinse to service quality.
    ///
    /// Parameters
    /// ----------
    /// flow_bv_per_h : float or Quantity, optional
    ///     Flow [bed volumes per hour], 0.05 to 500; the regeneration's `fast_rinse_flow_bv_per_h` if None.
    /// direction : {"co-current", "counter-current"}, optional
    ///     Direction, relative to service; that of service if None.
    /// water : {"soft", "feed"}, optional
    ///     Its water; the feed if None.
    /// volume_bv : float or Quantity, optional
    ///     Volume [bed volumes], 0.001 to 1000; the regeneration's `fast_rinse_bv` if no end is given.
    /// minutes : float or Quantity, optional
    ///     Duration [min], 0.01 to 1e5.
    /// until_hardness_mg_per_l_caco3 : float or Quantity, optional
    ///     Hardness of what leaves that ends the step [mg/L as CaCO3], 1e-6 to 1e6, armed once one void volume has
    ///     left.
    /// until_chloride_mg_per_l : float or Quantity, optional
    ///     Chloride of what leaves that ends the step [mg/L], 0.001 to 1e6, armed likewise.
    /// at_most_bv : float or Quantity, optional
    ///     Volume at which such a step ends all the same [bed volumes], 0.001 to 1000; must be given with either.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a value out of limits, or more than one end.
    FastRinse, "FastRinse", "fast_rinse"
);

#[pymethods]
impl Standby {
    #[new]
    fn new(minutes: Number<'_>) -> PyResult<Self> {
        numbers!("standby": minutes);
        let step = recipe_steps::Standby { minutes };
        checked("standby", FreeStep::Standby(step.clone()))?;
        Ok(Self(step))
    }

    /// Duration [min].
    #[getter]
    fn minutes(&self) -> f64 {
        self.0.minutes
    }

    /// Read a standby from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Standby
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
        from_json(text, "standby", |step| match step {
            FreeStep::Standby(step) => Some(Self(step)),
            _ => None,
        })
    }

    /// The standby as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.step())
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    fn __repr__(&self) -> String {
        Repr::of("Standby").number("minutes", self.0.minutes).end()
    }
}

impl Standby {
    fn step(&self) -> FreeStep {
        FreeStep::Standby(self.0.clone())
    }
}

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

    pub(super) fn __repr__(&self) -> String {
        let steps: Vec<_> = self.0.steps.iter().map(shown).collect();
        format!("Recipe([{}])", steps.join(", "))
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

fn to_object<'py>(py: Python<'py>, step: &FreeStep) -> PyResult<Bound<'py, PyAny>> {
    match step.clone() {
        FreeStep::Backwash(step) => Backwash(step).into_bound_py_any(py),
        FreeStep::Brine(step) => Brine(step).into_bound_py_any(py),
        FreeStep::SlowRinse(step) => SlowRinse(step).into_bound_py_any(py),
        FreeStep::FastRinse(step) => FastRinse(step).into_bound_py_any(py),
        FreeStep::Standby(step) => Standby(step).into_bound_py_any(py),
    }
}

fn shown(step: &FreeStep) -> String {
    match step.clone() {
        FreeStep::Backwash(step) => Backwash(step).__repr__(),
        FreeStep::Brine(step) => Brine(step).__repr__(),
        FreeStep::SlowRinse(step) => SlowRinse(step).__repr__(),
        FreeStep::FastRinse(step) => FastRinse(step).__repr__(),
        FreeStep::Standby(step) => Standby(step).__repr__(),
    }
}
