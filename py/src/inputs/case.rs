//! A case, and what can be run with it.

use brinefront::cycle::Watch;
use brinefront::inputs::activity::ActivityLaw;
use brinefront::inputs::case::{self, Kinetics};
use brinefront::inputs::cells::Cells;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::{rates, scenario};
use brinefront::study;
use pyo3::IntoPyObjectExt;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping, PyTuple, PyType};
use serde_json::Value;
use std::path::PathBuf;

use super::text::{self, Repr};
use super::{Bed, Maldistribution, Rates, Recipe, Regeneration, Resin, Service, Site, Water};
use crate::convert::{count, ions, to_value, whole};
use crate::enter::enter;
use crate::errors::to_python;
use crate::number::{Number, in_case, numbers};
use crate::{cycle, report};
use brinefront::numerics::sphere::FITTED_SHELLS;

/// A water, a resin, a bed, a service run and a regeneration: everything one simulation needs.
///
/// `kinetics` is "equilibrium" (beads in equilibrium with the liquid around them), "lumped" (film and bead as two
/// resistances in series) or "radial" (beads cut into `shells`, every ion at its own diffusivity by Nernst-Planck; 10 shells
/// are a ladder that follows a sphere within 0.003 %, any other number from 2 to 100 an ordinary grid). `tolerance` is the error allowed
/// in one time step, relative to the bed's capacity and to the larger normality in the bed. `cells` is a number, or "auto":
/// doubled from 25 to at most 800 until the estimated numerical error of leakages is within `accuracy` of them, that of run
/// length and capacity within a tenth of it. `activity` is "ideal", "davies" (to an ionic strength of 0.5 mol/kg) or "pitzer"
/// (in brine): the activity coefficients of each cell's own liquid. `maldistribution` says how unevenly water goes through the
/// bed; evenly without. `recipe` gives the steps between two service runs; without, they are those
/// that the regeneration stands for.
#[pyclass(frozen, eq, module = "brinefront")]
#[derive(PartialEq)]
pub struct Case(pub case::Case);

#[pymethods]
impl Case {
    #[new]
    #[pyo3(signature = (
        water, resin, bed, service, regeneration, *, rates = None, cells = None, kinetics = "lumped", hardness_ions = None,
        tolerance = None, accuracy = None, name = None, site = None, recipe = None, shells = None,
        activity = "ideal", maldistribution = None,
    ))]
    #[expect(clippy::too_many_arguments, reason = "keyword arguments of the Python constructor")]
    fn new(
        water: &Bound<'_, Water>,
        resin: &Bound<'_, Resin>,
        bed: &Bound<'_, Bed>,
        service: &Bound<'_, Service>,
        regeneration: &Bound<'_, Regeneration>,
        rates: Option<&Bound<'_, Rates>>,
        cells: Option<&Bound<'_, PyAny>>,
        kinetics: &str,
        hardness_ions: Option<Vec<String>>,
        tolerance: Option<Number<'_>>,
        accuracy: Option<Number<'_>>,
        name: Option<String>,
        site: Option<&Bound<'_, Site>>,
        recipe: Option<&Bound<'_, Recipe>>,
        shells: Option<&Bound<'_, PyAny>>,
        activity: &str,
        maldistribution: Option<&Bound<'_, Maldistribution>>,
    ) -> PyResult<Self> {
        numbers!(tolerance, accuracy);
        let default = case::Case::new(
            water.get().0.clone(),
            resin.get().0.clone(),
            bed.get().0.clone(),
            service.get().0.clone(),
            regeneration.get().0.clone(),
        );
        Self::checked(case::Case {
            rates: rates.map_or(rates::Rates::default(), |rates| rates.get().0.clone()),
            cells: match cells {
                Some(cells) => match cells.extract::<String>() {
                    Ok(word) => Cells::parse(&word).map_err(to_python)?,
                    Err(_) => whole("cells", cells, &format!("must be {}", Cells::allowed()))?.into(),
                },
                None => default.cells,
            },
            accuracy: accuracy.unwrap_or(default.accuracy),
            kinetics: Kinetics::parse(kinetics).map_err(to_python)?,
            hardness_ions: match hardness_ions {
                Some(symbols) => ions("hardness_ions", &symbols)?,
                None => default.hardness_ions.clone(),
            },
            tolerance: tolerance.unwrap_or(default.tolerance),
            name,
            site: site.map(|site| site.get().0.clone()),
            recipe: recipe.map(|recipe| recipe.get().0.clone()),
            shells: match shells {
                Some(shells) => whole("shells", shells, "must be a whole number from 2 to 100")?,
                None => default.shells,
            },
            activity: ActivityLaw::parse(activity).map_err(to_python)?,
            maldistribution: maldistribution.map(|uneven| uneven.get().0.clone()),
            ..default
        })
    }

    /// The feed.
    #[getter]
    fn water(&self) -> Water {
        Water(self.0.water.clone())
    }

    /// The resin.
    #[getter]
    fn resin(&self) -> Resin {
        Resin(self.0.resin.clone())
    }

    /// The bed.
    #[getter]
    fn bed(&self) -> Bed {
        Bed(self.0.bed.clone())
    }

    /// The service run.
    #[getter]
    fn service(&self) -> Service {
        Service(self.0.service.clone())
    }

    /// The regeneration.
    #[getter]
    fn regeneration(&self) -> Regeneration {
        Regeneration(self.0.regeneration.clone())
    }

    /// The steps between two service runs, if they are not those of the regeneration by itself.
    #[getter]
    fn recipe(&self) -> Option<Recipe> {
        self.0.recipe.clone().map(Recipe)
    }

    /// Rates that replace a correlation.
    #[getter]
    fn rates(&self) -> Rates {
        Rates(self.0.rates.clone())
    }

    /// Cells along the bed, or "auto".
    #[getter]
    fn cells<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        match self.0.cells {
            Cells::Number(number) => number.into_bound_py_any(py),
            Cells::Auto => "auto".into_bound_py_any(py),
        }
    }

    /// Where cells are found automatically: numerical error allowed in leakages, as a share of them.
    #[getter]
    fn accuracy(&self) -> f64 {
        self.0.accuracy
    }

    /// Shells in a bead, where kinetics are "radial".
    #[getter]
    fn shells(&self) -> usize {
        self.0.shells
    }

    /// How exchange is limited: "equilibrium", "lumped" or "radial".
    #[getter]
    fn kinetics(&self) -> &'static str {
        self.0.kinetics.name()
    }

    /// Activity coefficients of the liquid: "ideal", "davies" or "pitzer".
    #[getter]
    fn activity(&self) -> &'static str {
        self.0.activity.name()
    }

    /// The ions that count as hardness.
    #[getter]
    fn hardness_ions<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyTuple>> {
        PyTuple::new(py, self.0.hardness_ions.iter().map(|ion| ion.symbol()))
    }

    /// Error allowed in one time step.
    #[getter]
    fn tolerance(&self) -> f64 {
        self.0.tolerance
    }

    /// What the case is called.
    #[getter]
    fn name(&self) -> Option<&str> {
        self.0.name.as_deref()
    }

    /// How unevenly water goes through the bed; evenly without.
    #[getter]
    fn maldistribution(&self) -> Option<Maldistribution> {
        self.0.maldistribution.clone().map(Maldistribution)
    }

    /// Where the softener stands.
    #[getter]
    fn site(&self) -> Option<Site> {
        self.0.site.clone().map(Site)
    }

    /// Hardness of the feed [mg/L as CaCO3], from the ions that count as hardness here.
    #[getter]
    fn feed_hardness_mg_per_l_caco3(&self) -> PyResult<f64> {
        self.0.water.hardness_mg_per_l_caco3(&self.0.hardness_ions).map_err(to_python)
    }

    /// The case with fields changed by their dotted names, all at once: `{"regeneration.dose_g_per_l": 120.0}`.
    ///
    /// `None` takes an optional field away. A whole part may be given: `{"water": Water(...)}`, `{"recipe": Recipe(...)}`.
    /// Steps of a recipe are counted from 0: `{"recipe.1.flow_bv_per_h": 2.0}`. Quantities with units are converted; where
    /// the bed stays as it is, volumes and flows of water are divided by its volume.
    fn replace<'py>(slf: &Bound<'py, Self>, changes: &Bound<'py, PyMapping>) -> PyResult<Self> {
        let plain = |field: &str, object: &Bound<'py, PyAny>| in_case(slf, changes, field, object);
        let mut named: Vec<(String, Value)> = Vec::with_capacity(changes.len()?);
        for item in changes.items()?.iter() {
            let (name, object): (String, Bound<'_, PyAny>) = item.extract()?;
            let value = to_value(&name, &object, &plain)?;
            named.push((name, value));
        }
        let named: Vec<(&str, Value)> = named.iter().map(|(name, value)| (name.as_str(), value.clone())).collect();
        slf.get().0.with_all(&named).map(Self).map_err(to_python)
    }

    /// The mirror of this case: the brine in the other direction, with the backwash that direction has.
    ///
    /// Brine and slow rinses of a recipe change direction, fast rinses stay. Every backwash of a co-current recipe turns the
    /// whole bed over, and one is put first where there is none; a counter-current recipe has none.
    fn mirrored(&self) -> Self {
        Self(self.0.mirrored())
    }

    /// Run to the cyclic steady state; `progress` is called with `(done, total, cycle, residual)`.
    #[pyo3(signature = (*, progress = None))]
    fn cycle<'py>(&self, py: Python<'py>, progress: Option<Py<PyAny>>) -> PyResult<Bound<'py, PyAny>> {
        let found = enter(py, progress, |watch| study::cycle(&self.0, watch))?;
        report::cycle(py, found, None)
    }

    /// Run `n` cycles from new resin; a list, the first cycle first.
    #[pyo3(signature = (n, *, progress = None))]
    fn cycles<'py>(
        &self,
        py: Python<'py>,
        n: &Bound<'py, PyAny>,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<Vec<Bound<'py, PyAny>>> {
        let n = count("n", n)?;
        let found = enter(py, progress, |watch| study::cycles(&self.0, n, watch))?;
        (1..).zip(found).map(|(n, one)| report::cycle(py, one, Some(n))).collect()
    }

    /// Where the salt of a regeneration went: beds that gain one effect after the other, each at its own steady cycle.
    ///
    /// `order` is "ladder" (each effect is charged what it adds to those before it) or "shapley" (the mean over all orders
    /// of at most six effects). A metered end of service is set aside: every run goes to the limit of the case, or to 17 mg/L
    /// as CaCO3 where it has none.
    #[pyo3(signature = (order = "ladder", *, progress = None))]
    fn salt_account<'py>(
        &self,
        py: Python<'py>,
        order: &str,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let order = study::salt_account::Order::parse(order).map_err(to_python)?;
        let found = enter(py, progress, |watch| study::salt_account(&self.0, order, watch))?;
        report::salt_account(py, found)
    }

    /// One loading run of `volume_bv` bed volumes with the feed, at the service flow and without a limit.
    ///
    /// `from_loading` is the resin's loading as equivalent fractions by ion, or "feed": in equilibrium with the feed.
    #[pyo3(signature = (from_loading, volume_bv, *, progress = None))]
    fn load<'py>(
        slf: &Bound<'py, Self>,
        from_loading: &Bound<'py, PyAny>,
        volume_bv: Number<'py>,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<Bound<'py, PyAny>> {
        let case = &slf.get().0;
        let from = cycle::loading(from_loading)?;
        let volume_bv = in_its_bed(slf, "volume_bv", volume_bv)?;
        let found = enter(slf.py(), progress, |watch| study::load(case, &from, volume_bv, watch))?;
        report::run(slf.py(), case, found)
    }

    /// One elution of `volume_bv` bed volumes with the salt alone, at the brine's flow and direction.
    ///
    /// `normality_eq_per_l` is the total normality at the inlet.
    #[pyo3(signature = (from_loading, volume_bv, normality_eq_per_l, *, progress = None))]
    fn elute<'py>(
        slf: &Bound<'py, Self>,
        from_loading: &Bound<'py, PyAny>,
        volume_bv: Number<'py>,
        normality_eq_per_l: Number<'py>,
        progress: Option<Py<PyAny>>,
    ) -> PyResult<Bound<'py, PyAny>> {
        numbers!(normality_eq_per_l);
        let case = &slf.get().0;
        let from = cycle::loading(from_loading)?;
        let volume_bv = in_its_bed(slf, "volume_bv", volume_bv)?;
        let run = |watch: &Watch<'_>| study::elute(case, &from, volume_bv, normality_eq_per_l, watch);
        let found = enter(slf.py(), progress, run)?;
        report::run(slf.py(), case, found)
    }

    /// Read a case from a TOML file.
    #[classmethod]
    fn from_toml(_class: &Bound<'_, PyType>, path: PathBuf) -> PyResult<Self> {
        case::Case::from_toml_file(&path).map(Self).map_err(to_python)
    }

    /// The case as the text of a TOML file.
    fn to_toml(&self) -> PyResult<String> {
        self.0.to_toml().map_err(to_python)
    }

    /// Read a case from JSON text.
    #[classmethod]
    fn from_json(_class: &Bound<'_, PyType>, text: &str) -> PyResult<Self> {
        case::Case::from_json(text).map(Self).map_err(to_python)
    }

    /// The case as JSON text.
    fn to_json(&self) -> PyResult<String> {
        self.0.to_json().map_err(to_python)
    }

    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, Bound<'py, PyTuple>)> {
        text::reduce(&py.get_type::<Self>(), self.to_json()?)
    }

    fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
        let hardness: Vec<_> =
            self.0.hardness_ions.iter().copied().map(Ion::symbol).map(|symbol| format!("'{symbol}',")).collect();
        let repr = Repr::of("Case")
            .bare(&self.water().__repr__())
            .bare(&self.resin().__repr__(py)?)
            .bare(&self.bed().__repr__()?)
            .bare(&self.service().__repr__()?)
            .bare(&self.regeneration().__repr__())
            .raw("rates", &self.rates().__repr__())
            .raw(
                "cells",
                &match self.0.cells {
                    Cells::Number(number) => number.to_string(),
                    Cells::Auto => "'auto'".to_string(),
                },
            )
            .word("kinetics", self.kinetics())
            .raw("hardness_ions", &format!("({})", hardness.join(" ")))
            .number("tolerance", self.0.tolerance)
            .number("accuracy", self.0.accuracy);
        let repr = match self.0.shells {
            FITTED_SHELLS => repr,
            shells => repr.raw("shells", &shells.to_string()),
        };
        let repr = match self.name() {
            Some(name) => repr.text(py, "name", name)?,
            None => repr,
        };
        let repr = match self.recipe() {
            Some(recipe) => repr.raw("recipe", &recipe.__repr__()),
            None => repr,
        };
        let repr = match self.maldistribution() {
            Some(uneven) => repr.raw("maldistribution", &uneven.__repr__()),
            None => repr,
        };
        let repr = if self.0.activity.is_ideal() { repr } else { repr.word("activity", self.activity()) };
        Ok(match self.site() {
            Some(site) => repr.raw("site", &site.__repr__(py)?),
            None => repr,
        }
        .end())
    }
}

/// A number for a case as it stands.
fn in_its_bed<'py>(case: &Bound<'py, Case>, field: &str, number: Number<'py>) -> PyResult<f64> {
    match number {
        Number::Plain(number) => Ok(number),
        Number::Quantity(quantity) => in_case(case, &PyDict::new(case.py()), field, &quantity)?.extract(),
    }
}

impl Case {
    fn checked(case: case::Case) -> PyResult<Self> {
        case.validate().map_err(to_python)?;
        Ok(Self(case))
    }
}

/// The built-in scenario: an invented laundry on an invented hard well, regenerated counter-current.
#[pyfunction]
pub fn default_case() -> Case {
    Case(scenario::default_case())
}
