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
/// Parameters
/// ----------
/// water : Water
///     The feed.
/// resin : Resin
///     The resin.
/// bed : Bed
///     The bed.
/// service : Service
///     The service run.
/// regeneration : Regeneration
///     The regeneration.
/// rates : Rates, optional
///     Rates that replace a correlation; all are correlated if None.
/// cells : int, "auto" or Quantity, optional
///     Cells along the bed, 4 to 20000, 100 if None (a choice, no source); or "auto", doubled from 25 to at most 800
///     until the estimated numerical error is within `accuracy`.
/// kinetics : {"lumped", "equilibrium", "radial"}, default "lumped"
///     How exchange is limited: film and bead as two resistances in series, beads in equilibrium with the liquid
///     around them, or beads cut into `shells` with every ion at its own diffusivity by Nernst-Planck.
/// hardness_ions : sequence of str, optional
///     The divalent cations that count as hardness; magnesium and calcium if None (by definition).
/// tolerance : float or Quantity, optional
///     Error allowed in one time step, relative to the bed's capacity and to the larger normality in the bed, 1e-7 to
///     0.1; 3e-4 if None (a choice, no source: leakages are within 0.1 %, run lengths and capacities within 0.001 %).
/// accuracy : float or Quantity, optional
///     Where cells are found automatically: numerical error allowed in leakages as a share of them, 1e-4 to 0.5, in run
///     length and capacity a tenth of it; 0.01 if None (common practice, no source).
/// name : str, optional
///     What the case is called.
/// site : Site, optional
///     Where the softener stands; without it there are no figures per week.
/// recipe : Recipe, optional
///     The steps between two service runs; those that the regeneration stands for if None.
/// shells : int, optional
///     Shells in a bead, 2 to 100; 10 if None, a ladder that follows a sphere within 0.003 %, any other number is
///     an ordinary grid.
/// activity : {"ideal", "davies", "pitzer"}, default "ideal"
///     Activity coefficients of each cell's own liquid: 1, for an ionic strength to 0.5 mol/kg, or in brine.
/// maldistribution : Maldistribution, optional
///     How unevenly water goes through the bed; evenly if None.
///
/// Raises
/// ------
/// InputError
///     For parts that do not fit each other, or a value out of limits.
///
/// See Also
/// --------
/// default_case : The built-in scenario.
/// compare : A case against its mirror, or several cases.
///
/// References
/// ----------
/// * Lumped: E. Glueckauf (1955), Trans. Faraday Soc. 51, 1540.
/// * Radial: F. Helfferich, M. S. Plesset (1958), J. Chem. Phys. 28, 418, from memory.
/// * A sphere: J. Crank (1975), The Mathematics of Diffusion, sec. 6.3.
/// * Davies: C. W. Davies (1962), Ion Association, second-hand.
/// * Pitzer: C. E. Harvie, N. Moller, J. H. Weare (1984), Geochim. Cosmochim. Acta 48, 723, at 25 C.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> case = bf.Case(
/// ...     bf.Water({"Ca": 80.0, "Mg": 24.0, "Na": 28.0}, temperature_c=15.0),
/// ...     bf.Resin(),
/// ...     bf.Bed(depth_m=0.9, diameter_m=0.4, held_down=True),
/// ...     bf.Service(20.0, limit_mg_per_l_caco3=17.0),
/// ...     bf.Regeneration("counter-current", 96.0),
/// ...     cells=20,
/// ... )
/// >>> cycle = case.cycle()
/// >>> cycle.stop_reason
/// 'leakage limit'
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

    /// The case with fields changed by their dotted names, all at once.
    ///
    /// Parameters
    /// ----------
    /// changes : mapping of str to object
    ///     New values by name, `{"regeneration.dose_g_per_l": 120.0}`. None takes an optional field away, and a whole
    ///     part may be given: `{"water": Water(...)}`. Steps of a recipe are counted from 0:
    ///     `{"recipe.1.flow_bv_per_h": 2.0}`. Quantities are converted; where the bed stays as it is, volumes and flows
    ///     of water are divided by its volume.
    ///
    /// Returns
    /// -------
    /// Case
    ///     A new case; this one stays as it is.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a name that is not there, or a value that its field does not allow.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> case = bf.default_case().replace({"regeneration.dose_g_per_l": 120.0, "service.volume_bv": None})
    /// >>> case.regeneration.dose_g_per_l, case.service.volume_bv
    /// (120.0, None)
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
    /// Brine and slow rinses of a recipe change direction, fast rinses stay. Every backwash of a co-current recipe
    /// turns the whole bed over, and one is put first where there is none; a counter-current recipe has none.
    ///
    /// Returns
    /// -------
    /// Case
    ///     With everything else equal.
    fn mirrored(&self) -> Self {
        Self(self.0.mirrored())
    }

    /// Run to the cyclic steady state.
    ///
    /// Parameters
    /// ----------
    /// progress : callable, optional
    ///     Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.
    ///
    /// Returns
    /// -------
    /// Cycle
    ///     The cycle that repeats itself, `settled` False if none was found.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a feed that holds no hardness, or a limit that is not below it.
    /// SolverError
    ///     For a run that could not be carried through.
    ///
    /// See Also
    /// --------
    /// compare : Several strategies side by side.
    /// sweep : A grid of cases.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> cycle = bf.default_case().replace({"cells": 20}).cycle()
    /// >>> cycle.settled, round(cycle.run_length_bv)
    /// (True, 134)
    #[pyo3(signature = (*, progress = None))]
    fn cycle<'py>(&self, py: Python<'py>, progress: Option<Py<PyAny>>) -> PyResult<Bound<'py, PyAny>> {
        let found = enter(py, progress, |watch| study::cycle(&self.0, watch))?;
        report::cycle(py, found, None)
    }

    /// Run a number of cycles from new resin.
    ///
    /// Parameters
    /// ----------
    /// n : int
    ///     How many, at least 1.
    /// progress : callable, optional
    ///     Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.
    ///
    /// Returns
    /// -------
    /// list of Cycle
    ///     The first cycle first.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a feed that holds no hardness, or a limit that is not below it.
    /// SolverError
    ///     For a run that could not be carried through.
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
    /// A metered end of service is set aside: every run goes to the limit of the case, or to 17 mg/L as CaCO3, one
    /// grain a gallon, where it has none.
    ///
    /// Parameters
    /// ----------
    /// order : {"ladder", "shapley"}, default "ladder"
    ///     Each effect is charged what it adds to those before it, or the mean over all orders of at most six effects.
    /// progress : callable, optional
    ///     Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.
    ///
    /// Returns
    /// -------
    /// SaltAccount
    ///     Shares [g of salt per litre of resin] that sum to the dose.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For an order that is not there, too many effects for all orders, or a feed that never exceeds the limit.
    /// SolverError
    ///     For a run that could not be carried through.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> account = bf.default_case().replace({"cells": 10}).salt_account()
    /// >>> round(sum(share.share_g_per_l for share in account.shares), 6)
    /// 96.0
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

    /// One loading run with the feed, at the service flow and without a limit.
    ///
    /// Parameters
    /// ----------
    /// from_loading : mapping of str to float or Quantity, or "feed"
    ///     The resin's loading as equivalent fractions by ion, which sum to 1, or in equilibrium with the feed.
    /// volume_bv : float or Quantity
    ///     Throughput [bed volumes], above 0 to 1e7.
    /// progress : callable, optional
    ///     Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.
    ///
    /// Returns
    /// -------
    /// Run
    ///     The effluent by throughput, and the loading along the bed at the end.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a loading or a volume that is not allowed.
    /// SolverError
    ///     For a run that could not be carried through.
    ///
    /// See Also
    /// --------
    /// Case.elute : The way back.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> run = bf.default_case().replace({"cells": 20}).load({"Na": 1.0}, 50.0)
    /// >>> float(run.effluent()["bv"].iloc[-1])
    /// 50.0
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

    /// One elution with the salt alone, at the brine's flow and direction.
    ///
    /// Parameters
    /// ----------
    /// from_loading : mapping of str to float or Quantity, or "feed"
    ///     The resin's loading as equivalent fractions by ion, which sum to 1, or in equilibrium with the feed.
    /// volume_bv : float or Quantity
    ///     Throughput [bed volumes], above 0 to 1e7.
    /// normality_eq_per_l : float or Quantity
    ///     Total normality at the inlet [eq/L], above 0 to 20.
    /// progress : callable, optional
    ///     Called with `(done, total, cycle, residual)` at most ten times a second; what it raises ends the run.
    ///
    /// Returns
    /// -------
    /// Run
    ///     The effluent by throughput, and the loading along the bed at the end.
    ///
    /// Raises
    /// ------
    /// InputError
    ///     For a loading, a volume or a normality that is not allowed.
    /// SolverError
    ///     For a run that could not be carried through.
    ///
    /// See Also
    /// --------
    /// Case.load : The loading run.
    ///
    /// Examples
    /// --------
    /// >>> import brinefront as bf
    /// >>> run = bf.default_case().replace({"cells": 20}).elute("feed", 4.0, 1.7)
    /// >>> list(run.effluent().columns)
    /// ['bv', 'Na', 'Mg', 'Ca', 'hardness_mg_per_l_caco3']
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
    ///
    /// Parameters
    /// ----------
    /// path : str or path
    ///     The file, as `to_toml` writes its text.
    ///
    /// Returns
    /// -------
    /// Case
    ///     The case, checked.
    ///
    /// Raises
    /// ------
    /// CaseFileNotFoundError
    ///     For a file that does not exist.
    /// CaseFileAccessError
    ///     For a file that cannot be read or is not UTF-8.
    /// CaseFileError
    ///     For a text that cannot be understood; line and key are named.
    /// InputError
    ///     For a value out of limits.
    #[classmethod]
    fn from_toml(_class: &Bound<'_, PyType>, path: PathBuf) -> PyResult<Self> {
        case::Case::from_toml_file(&path).map(Self).map_err(to_python)
    }

    /// The case as the text of a TOML file.
    ///
    /// Returns
    /// -------
    /// str
    ///     What `from_toml` reads from a file.
    fn to_toml(&self) -> PyResult<String> {
        self.0.to_toml().map_err(to_python)
    }

    /// Read a case from JSON text.
    ///
    /// Parameters
    /// ----------
    /// text : str
    ///     What `to_json` wrote.
    ///
    /// Returns
    /// -------
    /// Case
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
        case::Case::from_json(text).map(Self).map_err(to_python)
    }

    /// The case as JSON text.
    ///
    /// Returns
    /// -------
    /// str
    ///     A JSON object, which `from_json` reads.
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
///
/// Returns
/// -------
/// Case
///     Heron Weir; `Case.mirrored` gives the other strategy.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> case = bf.default_case()
/// >>> case.name, case.regeneration.direction
/// ('Heron Weir laundry', 'counter-current')
#[pyfunction]
pub fn default_case() -> Case {
    Case(scenario::default_case())
}
