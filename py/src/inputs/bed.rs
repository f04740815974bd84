//! A bed.

use brinefront::inputs::bed;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::{from_name, name_of};
use crate::errors::to_python;
use crate::number::{Number, numbers};

/// A bed of settled resin: two of `depth_m`, `diameter_m` and `volume_l`.
///
/// Parameters
/// ----------
/// depth_m : float or Quantity, optional
///     Depth [m], 0.01 to 20.
/// diameter_m : float or Quantity, optional
///     Inner diameter of the vessel [m], 0.005 to 20.
/// volume_l : float or Quantity, optional
///     Volume of resin, sodium form, backwashed and settled [L], 0.001 to 1e6.
/// held_down : bool, default False
///     Whether the bed is kept from rising when brine or rinse goes up through it; a backwash raises it all the same.
/// lifted_mixing : {"none", "full", "dispersion"}, default "none"
///     How beads mix in a step that lifts a bed nothing holds: not, the lifted part mixed through, or with a
///     coefficient.
/// solid_mixing_m2_per_s : float or Quantity, optional
///     That coefficient [m2/s], 1e-12 to 1000. It has no default, for no source was found.
/// freeboard_l : float or Quantity, default 0.0
///     Liquid above the bed, ideally stirred [L], 0 to ten bed volumes: a height times the section. 0 leaves it out.
/// under_bed_l : float or Quantity, default 0.0
///     Liquid below the bed, around the lower collector [L], likewise.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, or one or three dimensions instead of two.
///
/// Notes
/// -----
/// What enters goes through the space at its end, the bed, and the other; spaces keep what they hold through stops and
/// reversals. A leakage limit, and a rinse that ends on what leaves, are armed once as much as void and spaces hold has
/// been delivered. A backwash replaces what they hold, as it does the void.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> bed = bf.Bed(depth_m=0.9, diameter_m=0.4)
/// >>> round(bed.volume_l, 1)
/// 113.1
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Bed(pub bed::Bed);

#[pymethods]
impl Bed {
    #[new]
    #[pyo3(
        signature = (
            depth_m = None, diameter_m = None, *, volume_l = None, held_down = false, lifted_mixing = "none",
            solid_mixing_m2_per_s = None, freeboard_l = Number::Plain(0.0), under_bed_l = Number::Plain(0.0),
        ),
        text_signature = "(depth_m=None, diameter_m=None, *, volume_l=None, held_down=False, lifted_mixing='none', \
            solid_mixing_m2_per_s=None, freeboard_l=0.0, under_bed_l=0.0)"
    )]
    #[expect(clippy::too_many_arguments, reason = "keyword arguments of the Python constructor")]
    fn new(
        depth_m: Option<Number<'_>>,
        diameter_m: Option<Number<'_>>,
        volume_l: Option<Number<'_>>,
        held_down: bool,
        lifted_mixing: &str,
        solid_mixing_m2_per_s: Option<Number<'_>>,
        freeboard_l: Number<'_>,
        under_bed_l: Number<'_>,
    ) -> PyResult<Self> {
        numbers!("bed": depth_m, diameter_m, volume_l, solid_mixing_m2_per_s, freeboard_l, under_bed_l);
        let lifted_mixing = from_name("bed.lifted_mixing", lifted_mixing, "must be none, dispersion or full")?;
        Self::checked(bed::Bed {
            depth_m,
            diameter_m,
            volume_l,
            held_down,
            lifted_mixing,
            solid_mixing_m2_per_s,
            freeboard_l,
            under_bed_l,
        })
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

    /// Whether the bed is kept from rising when brine or rinse goes up through it.
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

    /// Liquid between the bed and the top of the vessel, ideally stirred [L]; 0 where it is left out.
    #[getter]
    fn freeboard_l(&self) -> f64 {
        self.0.freeboard_l
    }

    /// Liquid below the bed, ideally stirred [L]; 0 where it is left out.
    #[getter]
    fn under_bed_l(&self) -> f64 {
        self.0.under_bed_l
    }

    /// Read a bed from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Bed
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
        Self::checked(text::from_json(text, "bed")?)
    }

    /// The bed as JSON text.
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

    pub(super) fn __repr__(&self) -> PyResult<String> {
        let repr = Repr::of("Bed")
            .number_if("depth_m", self.0.depth_m)
            .number_if("diameter_m", self.0.diameter_m)
            .number_if("volume_l", self.0.volume_l);
        let repr = if self.0.held_down { repr.raw("held_down", "True") } else { repr };
        Ok(repr
            .word_unless("lifted_mixing", &self.lifted_mixing()?, "none")
            .number_if("solid_mixing_m2_per_s", self.0.solid_mixing_m2_per_s)
            .number_if("freeboard_l", Some(self.0.freeboard_l).filter(|litres| *litres > 0.0))
            .number_if("under_bed_l", Some(self.0.under_bed_l).filter(|litres| *litres > 0.0))
            .end())
    }
}

impl Bed {
    fn checked(bed: bed::Bed) -> PyResult<Self> {
        bed.validate().map_err(to_python)?;
        Ok(Self(bed))
    }
}
