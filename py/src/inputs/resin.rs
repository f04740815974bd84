//! A resin.

use brinefront::inputs::resin::{self, BeadDiffusivity, BeadSize, Selectivity, SelectivityBasis};
use pyo3::IntoPyObjectExt;
use pyo3::prelude::*;
use pyo3::types::{PyTuple, PyType};

use super::text::{self, Repr};
use crate::convert::{from_name, ion_dict, ion_map, name_of};
use crate::errors::to_python;
use crate::number::{InField, Number, numbers};

/// A strong-acid cation resin as packed in a bed; `Resin()` is a new gel resin with 8 % divinylbenzene.
///
/// Parameters
/// ----------
/// capacity_eq_per_l : float or Quantity, optional
///     Total capacity [eq per litre of packed bed], 0.1 to 5; 1.8 if None, the low end of the 1.8 to 2.0 of Davis
///     (2010).
/// selectivity : mapping of str to float or Quantity, or str, optional
///     Gaines-Thomas coefficients against sodium by ion, in the normality/capacity form (sodium is 1), 0.001 to
///     1000; or the name of a published set, as `selectivity_sets` has them. "BonnerSmith1957" if None: per litre of
///     bed Mg 2.7 and Ca 4.2, inside the 1.7 to 3.3 and 3 to 6 quoted for softening resin (from memory).
/// bead_diameter_mm : float or Quantity, optional
///     Bead diameter [mm], 0.05 to 5; 0.5 if None, the geometric mean of 20 to 50 mesh (Lin).
/// void_fraction : float or Quantity, optional
///     Void fraction between the beads of the settled bed, 0.2 to 0.7; 0.38 if None, within the 0.35 to 0.40 of Perry.
/// bead_diffusivity_m2_per_s : float or Quantity, or mapping of str to float or Quantity, optional
///     Diffusivity in the bead at 25 C [m2/s], one value or by ion, 1e-14 to 1e-8. 2e-11 if None, the top of a bracket
///     around zinc and cadmium, chosen for co-current capacity: the least certain constant here (from memory).
/// bead_activation_kj_per_mol : float or Quantity, optional
///     Activation energy of that diffusivity [kJ/mol], 0 to 100; 28 if None, from two values of sodium (from memory).
/// wet_bead_kg_per_m3 : float or Quantity, optional
///     Density of a wet bead [kg/m3], 900 to 2000, for hydraulics alone; 1280 if None, near the middle of 1260 to 1320
///     for gel beads in sodium form (from memory).
/// selectivity_basis : {"bed", "bead"}, default "bed"
///     Volume that the capacity in given coefficients is counted on; a named set has its own.
/// bead_sizes : sequence of pairs of float or Quantity, optional
///     Diameters [mm], 0.05 to 5, and shares of the volume that sum to 1, for radial kinetics; they lie behind one
///     film. Hydraulics and dispersion keep to `bead_diameter_mm`.
/// sorbed_salt : bool, default False
///     Whether the liquid in the beads takes up salt from the brine, by Donnan's equilibrium, and gives it back in the
///     rinse.
/// bead_water_fraction : float or Quantity, optional
///     Water in a bead as a share of its volume, 0.1 to 0.95, where salt is sorbed; 0.59 if None, a moisture of 0.46 by
///     mass (from memory).
/// age_years : float or Quantity, default 0.0
///     Time in service [years], 0 to 50. Capacity falls with them; selectivity and rates stay.
/// capacity_loss_percent_per_year : float or Quantity, optional
///     Capacity lost in a year [% of what the year began with], 0 to 50, compounded (a choice, no source); 5 if None
///     (UFC 2005).
/// crosslinking_percent : float or Quantity, optional
///     Crosslinking [% divinylbenzene], the column of a named set; 8 if None.
/// selectivity_at_eq_per_l : float or Quantity, optional
///     Normality [eq/L] of the chloride solution, half sodium and half the ion in equivalents, in which coefficients
///     were measured with concentrations, 1e-4 to 5; at infinite dilution if None.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, an anion among the coefficients, or a set or column that is not there.
///
/// References
/// ----------
/// * M. L. Davis (2010), Water and Wastewater Engineering, ch. 8.
/// * G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714, second-hand.
/// * S. D. Lin, Water and Wastewater Calculations Manual, ch. 5.
/// * Perry's Chemical Engineers' Handbook, sec. 16.
/// * UFC 3-240-13FN (2005), sec. 2-2.5.1.4.1; 1 to 5 % by Davis.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> bf.Resin().capacity_eq_per_l
/// 1.8
/// >>> old = bf.Resin(2.0, {"Ca": 4.0, "Mg": 2.5}, age_years=5.0)
/// >>> round(old.aged_capacity_eq_per_l, 3)
/// 1.548
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Resin(pub resin::Resin);

#[pymethods]
impl Resin {
    #[new]
    #[pyo3(
        signature = (
            capacity_eq_per_l = None, selectivity = None, *, bead_diameter_mm = None, void_fraction = None,
            bead_diffusivity_m2_per_s = None, bead_activation_kj_per_mol = None, wet_bead_kg_per_m3 = None,
            selectivity_basis = "bed", bead_sizes = None, sorbed_salt = false, bead_water_fraction = None,
            age_years = Number::Plain(0.0), capacity_loss_percent_per_year = None, crosslinking_percent = None,
            selectivity_at_eq_per_l = None,
        ),
        text_signature = "(capacity_eq_per_l=None, selectivity=None, *, bead_diameter_mm=None, void_fraction=None, \
            bead_diffusivity_m2_per_s=None, bead_activation_kj_per_mol=None, wet_bead_kg_per_m3=None, \
            selectivity_basis='bed', bead_sizes=None, sorbed_salt=False, bead_water_fraction=None, age_years=0.0, \
            capacity_loss_percent_per_year=None, crosslinking_percent=None, selectivity_at_eq_per_l=None)"
    )]
    #[expect(clippy::too_many_arguments, reason = "keyword arguments of the Python constructor")]
    fn new(
        capacity_eq_per_l: Option<Number<'_>>,
        selectivity: Option<&Bound<'_, PyAny>>,
        bead_diameter_mm: Option<Number<'_>>,
        void_fraction: Option<Number<'_>>,
        bead_diffusivity_m2_per_s: Option<&Bound<'_, PyAny>>,
        bead_activation_kj_per_mol: Option<Number<'_>>,
        wet_bead_kg_per_m3: Option<Number<'_>>,
        selectivity_basis: &str,
        bead_sizes: Option<Vec<(Number<'_>, Number<'_>)>>,
        sorbed_salt: bool,
        bead_water_fraction: Option<Number<'_>>,
        age_years: Number<'_>,
        capacity_loss_percent_per_year: Option<Number<'_>>,
        crosslinking_percent: Option<Number<'_>>,
        selectivity_at_eq_per_l: Option<Number<'_>>,
    ) -> PyResult<Self> {
        numbers!("resin":
            capacity_eq_per_l, bead_diameter_mm, void_fraction, bead_activation_kj_per_mol, wet_bead_kg_per_m3,
            bead_water_fraction, age_years, capacity_loss_percent_per_year, crosslinking_percent, selectivity_at_eq_per_l,
        );
        let default = resin::Resin::default();
        let selectivity = match selectivity {
            None => default.selectivity,
            Some(given) => match given.extract::<String>() {
                Ok(name) => Selectivity::Named(name),
                Err(_) => Selectivity::Given(ion_map("resin.selectivity", given)?),
            },
        };
        let bead_diffusivity_m2_per_s = match bead_diffusivity_m2_per_s {
            None => default.bead_diffusivity_m2_per_s,
            Some(given) => match given.extract::<Number<'_>>() {
                Ok(one) => BeadDiffusivity::One(one.in_field("resin.bead_diffusivity_m2_per_s")?),
                Err(_) => BeadDiffusivity::ByIon(ion_map("resin.bead_diffusivity_m2_per_s", given)?),
            },
        };
        Self::checked(resin::Resin {
            capacity_eq_per_l: capacity_eq_per_l.unwrap_or(default.capacity_eq_per_l),
            selectivity,
            crosslinking_percent,
            selectivity_at_eq_per_l,
            selectivity_basis: from_name("resin.selectivity_basis", selectivity_basis, "must be bed or bead")?,
            bead_diameter_mm: bead_diameter_mm.unwrap_or(default.bead_diameter_mm),
            void_fraction: void_fraction.unwrap_or(default.void_fraction),
            bead_diffusivity_m2_per_s,
            bead_activation_kj_per_mol: bead_activation_kj_per_mol.unwrap_or(default.bead_activation_kj_per_mol),
            wet_bead_kg_per_m3: wet_bead_kg_per_m3.unwrap_or(default.wet_bead_kg_per_m3),
            bead_sizes: bead_sizes.unwrap_or_default().into_iter().map(size).collect::<PyResult<_>>()?,
            sorbed_salt,
            bead_water_fraction: bead_water_fraction.unwrap_or(default.bead_water_fraction),
            age_years,
            capacity_loss_percent_per_year: capacity_loss_percent_per_year
                .unwrap_or(default.capacity_loss_percent_per_year),
        })
    }

    /// Total capacity [eq per litre of packed bed].
    #[getter]
    fn capacity_eq_per_l(&self) -> f64 {
        self.0.capacity_eq_per_l
    }

    /// Selectivity coefficients against sodium, a dict by ion or the name of a set.
    #[getter]
    fn selectivity<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match &self.0.selectivity {
            Selectivity::Named(name) => name.into_bound_py_any(py),
            Selectivity::Given(given) => ion_dict(py, given).map(Bound::into_any),
        }
    }

    /// Volume that the capacity in the coefficients is counted on: "bed" or "bead".
    #[getter]
    fn selectivity_basis(&self) -> PyResult<String> {
        name_of(&self.0.selectivity_basis)
    }

    /// Crosslinking [percent divinylbenzene]: the column of a named set, if one was picked.
    #[getter]
    fn crosslinking_percent(&self) -> Option<f64> {
        self.0.crosslinking_percent
    }

    /// Normality [eq/L] of the solution that the coefficients were measured in, if not at infinite dilution.
    #[getter]
    fn selectivity_at_eq_per_l(&self) -> Option<f64> {
        self.0.selectivity_at_eq_per_l
    }

    /// Bead diameter [mm].
    #[getter]
    fn bead_diameter_mm(&self) -> f64 {
        self.0.bead_diameter_mm
    }

    /// Void fraction between the beads.
    #[getter]
    fn void_fraction(&self) -> f64 {
        self.0.void_fraction
    }

    /// Diffusivity inside the bead at 25 C [m2/s], one value or a dict by ion.
    #[getter]
    fn bead_diffusivity_m2_per_s<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match &self.0.bead_diffusivity_m2_per_s {
            BeadDiffusivity::One(one) => one.into_bound_py_any(py),
            BeadDiffusivity::ByIon(by_ion) => ion_dict(py, by_ion).map(Bound::into_any),
        }
    }

    /// Activation energy of that diffusivity [kJ/mol].
    #[getter]
    fn bead_activation_kj_per_mol(&self) -> f64 {
        self.0.bead_activation_kj_per_mol
    }

    /// Sizes of bead where there are several: pairs of diameter [mm] and share of the volume.
    #[getter]
    fn bead_sizes<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.bead_sizes.iter().map(|size| (size.diameter_mm, size.share)))
    }

    /// Whether the liquid in the beads takes up salt from the brine.
    #[getter]
    fn sorbed_salt(&self) -> bool {
        self.0.sorbed_salt
    }

    /// Water in a bead, as a share of its volume.
    #[getter]
    fn bead_water_fraction(&self) -> f64 {
        self.0.bead_water_fraction
    }

    /// Density of a wet bead [kg/m3].
    #[getter]
    fn wet_bead_kg_per_m3(&self) -> f64 {
        self.0.wet_bead_kg_per_m3
    }

    /// Years in service.
    #[getter]
    fn age_years(&self) -> f64 {
        self.0.age_years
    }

    /// Capacity lost in a year [% of what the year began with].
    #[getter]
    fn capacity_loss_percent_per_year(&self) -> f64 {
        self.0.capacity_loss_percent_per_year
    }

    /// Total capacity after its years in service [eq per litre of packed bed].
    #[getter]
    fn aged_capacity_eq_per_l(&self) -> f64 {
        self.0.aged_capacity_eq_per_l()
    }

    /// Read a resin from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Resin
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
        Self::checked(text::from_json(text, "resin")?)
    }

    /// The resin as JSON text.
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
        let resin = &self.0;
        let repr = Repr::of("Resin").number("capacity_eq_per_l", resin.capacity_eq_per_l);
        let repr = match &resin.selectivity {
            Selectivity::Named(name) => repr.text(py, "selectivity", name)?,
            Selectivity::Given(given) => repr.raw("selectivity", &text::dict_repr(given)),
        };
        let repr = repr.number("bead_diameter_mm", resin.bead_diameter_mm).number("void_fraction", resin.void_fraction);
        let repr = match &resin.bead_diffusivity_m2_per_s {
            BeadDiffusivity::One(one) => repr.number("bead_diffusivity_m2_per_s", *one),
            BeadDiffusivity::ByIon(by_ion) => repr.raw("bead_diffusivity_m2_per_s", &text::dict_repr(by_ion)),
        };
        let repr = repr
            .number("bead_activation_kj_per_mol", resin.bead_activation_kj_per_mol)
            .number("wet_bead_kg_per_m3", resin.wet_bead_kg_per_m3);
        let repr = if resin.bead_sizes.is_empty() {
            repr
        } else {
            let sizes: Vec<_> =
                resin.bead_sizes.iter().map(|size| format!("({:?}, {:?})", size.diameter_mm, size.share)).collect();
            repr.raw("bead_sizes", &format!("[{}]", sizes.join(", ")))
        };
        let repr = if resin.sorbed_salt { repr.raw("sorbed_salt", "True") } else { repr };
        let repr = if resin.bead_water_fraction == resin::Resin::default().bead_water_fraction {
            repr
        } else {
            repr.number("bead_water_fraction", resin.bead_water_fraction)
        };
        let repr = repr.number_if("age_years", Some(resin.age_years).filter(|years| *years > 0.0));
        let usual = resin::Resin::default().capacity_loss_percent_per_year;
        let loss = resin.capacity_loss_percent_per_year;
        let repr = repr.number_if("capacity_loss_percent_per_year", Some(loss).filter(|percent| *percent != usual));
        let repr = resin.crosslinking_percent.into_iter().fold(repr, |repr, v| repr.number("crosslinking_percent", v));
        let stated = resin.selectivity_at_eq_per_l;
        let repr = stated.into_iter().fold(repr, |repr, v| repr.number("selectivity_at_eq_per_l", v));
        Ok(match resin.selectivity_basis {
            SelectivityBasis::Bed => repr,
            SelectivityBasis::Bead => repr.word("selectivity_basis", "bead"),
        }
        .end())
    }
}

fn size((diameter_mm, share): (Number<'_>, Number<'_>)) -> PyResult<BeadSize> {
    numbers!("resin.bead_sizes": diameter_mm, share);
    Ok(BeadSize { diameter_mm, share })
}

impl Resin {
    fn checked(resin: resin::Resin) -> PyResult<Self> {
        resin.validate().map_err(to_python)?;
        Ok(Self(resin))
    }
}
