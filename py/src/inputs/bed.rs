//! A bed.

use brinefront::inputs::bed;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::{from_name, name_of};
use crate::errors::to_python;

/// A bed of settled resin: two of `depth_m`, `diameter_m` and `volume_l`. `held_down` says that it is kept from rising when
/// brine or rinse goes up through it.
///
/// `lifted_mixing` says how beads mix in a step that lifts a bed nothing holds: "none", "full" (the lifted part mixed through)
/// or "dispersion", with a coefficient of your own, `solid_mixing_m2_per_s`.
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Bed(pub bed::Bed);

#[pymethods]
impl Bed {
    #[new]
    #[pyo3(signature = (
        depth_m = None, diameter_m = None, *, volume_l = None, held_down = false, lifted_mixing = "none",
        solid_mixing_m2_per_s = None,
    ))]
    fn new(
        depth_m: Option<f64>,
        diameter_m: Option<f64>,
        volume_l: Option<f64>,
        held_down: bool,
        lifted_mixing: &str,
        solid_mixing_m2_per_s: Option<f64>,
    ) -> PyResult<Self> {
        let lifted_mixing = from_name("bed.lifted_mixing", lifted_mixing, "must be none, dispersion or full")?;
        Self::checked(bed::Bed { depth_m, diameter_m, volume_l, held_down, lifted_mixing, solid_mixing_m2_per_s })
    }

    /// Depth [m].
    #[getter]
    fn depth_m(&self) -> f64 {
        self.0.depth_m()
    }

    /// Inner diameter of the vessel [m].
    #[getter]
    fn diameter_m(&self) -> f64 {
        self.0.diameter_m()
    }

    /// Volume of resin [L]: one bed volume.
    #[getter]
    fn volume_l(&self) -> f64 {
        self.0.volume_l()
    }

    /// Is the bed kept from rising when brine or rinse goes up through it?
    #[getter]
    fn held_down(&self) -> bool {
        self.0.held_down
    }

    /// How beads mix in a step that lifts the bed: "none", "dispersion" or "full".
    #[getter]
    fn lifted_mixing(&self) -> PyResult<String> {
        name_of(&self.0.lifted_mixing)
    }

    /// Coefficient with which beads wander in a lifted bed [m2/s], if given.
    #[getter]
    fn solid_mixing_m2_per_s(&self) -> Option<f64> {
        self.0.solid_mixing_m2_per_s
    }

    /// Read a bed from JSON text.
    #[classmethod]
    fn from_json(_class: &Bound<'_, PyType>, text: &str) -> PyResult<Self> {
        Self::checked(text::from_json(text, "bed")?)
    }

    /// The bed as JSON text.
    fn to_json(&self) -> PyResult<String> {
        text::to_json(&self.0)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    pub(super) fn __repr__(&self) -> PyResult<String> {
        let repr = Repr::of("Bed")
            .number_if("depth_m", self.0.depth_m)
            .number_if("diameter_m", self.0.diameter_m)
            .number_if("volume_l", self.0.volume_l);
        let repr = if self.0.held_down { repr.raw("held_down", "True") } else { repr };
        Ok(repr
            .word_unless("lifted_mixing", &self.lifted_mixing()?, "none")
            .number_if("solid_mixing_m2_per_s", self.0.solid_mixing_m2_per_s)
            .end())
    }
}

impl Bed {
    fn checked(bed: bed::Bed) -> PyResult<Self> {
        bed.validate().map_err(to_python)?;
        Ok(Self(bed))
    }
}
