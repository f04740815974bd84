//! A case, and what can be run with it.

use std::path::PathBuf;

use brinefront::Order;
use brinefront::cycle::Watch;
use brinefront::inputs::{case, scenario};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyMapping, PyString, PyType};
use serde_json::Value;

use super::{Bed, Display, Maldistribution, Rates, Recipe, Regeneration, Resin, Service, Site, Water};
use crate::convert::{count, plain, to_value};
use crate::enter::{enter, wait};
use crate::errors::to_python;
use crate::number::{Number, in_case, no_number, numbers};
use crate::{cycle, report};

brinefront::fields_of_case! {
    brinefront_derive::python_class;
    /// A water, a resin, a bed, a service run and a regeneration: everything one simulation needs.
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
    class Case("") of case::Case {
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
        ///     of water are divided by its volume. A name without its unit takes a text with one:
        ///     `{"regeneration.dose": "8 lb/ft3"}`.
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
            let found = enter(py, progress, |watch| self.0.cycle_watched(watch))?;
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
            let found = enter(py, progress, |watch| self.0.cycles_watched(n, watch))?;
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
            let order = order.parse::<Order>().map_err(to_python)?;
            let found = enter(py, progress, |watch| self.0.salt_account_watched(order, watch))?;
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
            let found = enter(slf.py(), progress, |watch| case.load_watched(&from, volume_bv, watch))?;
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
            let run = |watch: &Watch<'_>| case.elute_watched(&from, volume_bv, normality_eq_per_l, watch);
            let found = enter(slf.py(), progress, run)?;
            report::run(slf.py(), case, found)
        }

        /// Read a case from a TOML file, or from the text of one.
        ///
        /// Parameters
        /// ----------
        /// text_or_path : str or path
        ///     The file, or what `to_toml` returned: a text with a line break or an equals sign is no path.
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
        ///     For a file that cannot be read, is longer than a megabyte or is not UTF-8.
        /// CaseFileError
        ///     For a text that cannot be understood; line and key are named.
        /// InputError
        ///     For a value out of limits.
        ///
        /// Notes
        /// -----
        /// A field's name without its unit takes a text with one: `dose = "8 lb/ft3"` in the place of `dose_g_per_l`, also
        /// `"10 lb"`, `flow = "60 gpm"` or `volume = "10000 gal"`, by the bed of the case.
        ///
        /// Examples
        /// --------
        /// >>> import brinefront as bf
        /// >>> case = bf.default_case()
        /// >>> bf.Case.from_toml(case.to_toml()) == case
        /// True
        #[classmethod]
        fn from_toml(class: &Bound<'_, PyType>, text_or_path: &Bound<'_, PyAny>) -> PyResult<Self> {
            if let Ok(text) = text_or_path.cast::<PyString>() {
                let text = text.to_string();
                if text.contains(['\n', '=']) {
                    return case::Case::from_toml(&text, "text").map(Self).map_err(to_python);
                }
            }
            case_file(class.py(), text_or_path.extract()?).map(|(case, _)| case)
        }

        /// The case as the text of a TOML file.
        ///
        /// Returns
        /// -------
        /// str
        ///     What `from_toml` reads.
        fn to_toml(&self) -> PyResult<String> {
            self.0.to_toml().map_err(to_python)
        }
    }
}

/// A number for a case as it stands.
fn in_its_bed<'py>(case: &Bound<'py, Case>, field: &str, number: Number<'py>) -> PyResult<f64> {
    match number {
        Number::Plain(number) => Ok(number),
        Number::Quantity(quantity) => in_case(case, &PyDict::new(case.py()), field, &quantity)?.extract(),
        Number::Flag(flag) => Err(no_number(field, &flag)),
    }
}

/// A case file, read once.
///
/// Parameters
/// ----------
/// path : str or path
///     The file, or a pipe.
///
/// Returns
/// -------
/// case : Case
///     The case, checked.
/// text : str
///     The text of the file.
///
/// Raises
/// ------
/// CaseFileError
///     For a file that cannot be read, or a text that cannot be understood.
/// InputError
///     For a value out of limits.
#[pyfunction]
pub fn case_file(py: Python<'_>, path: PathBuf) -> PyResult<(Case, String)> {
    let name = path.display().to_string();
    // A pipe may wait for its writer, so that Ctrl-C must be looked for.
    let text = wait(py, move || case::Case::text_of_file(&path))?.map_err(to_python)?;
    let case = case::Case::from_toml(&text, &name).map_err(to_python)?;
    Ok((Case(case), text))
}

/// What the text of a case file says, and nothing that is filled in.
///
/// Parameters
/// ----------
/// text : str
///     TOML.
/// name : str
///     The file that errors name.
///
/// Returns
/// -------
/// dict
///     As it stands there; numbers that are texts with units stand as numbers under the names of their fields.
///
/// Raises
/// ------
/// CaseFileError
///     For a text that is not TOML.
/// InputError
///     For a unit that is not understood.
#[pyfunction]
pub fn said_in_toml<'py>(py: Python<'py>, text: &str, name: &str) -> PyResult<Bound<'py, PyAny>> {
    plain(py, &case::Case::said_in_toml(text, name).map_err(to_python)?)
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
