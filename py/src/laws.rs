//! Laws at one point.

use brinefront::inputs::activity::ActivityLaw;
use brinefront::inputs::diffusivity_sets::DiffusivitySet;
use brinefront::inputs::resin::{Resin, Selectivity};
use brinefront::inputs::selectivity_sets::SelectivitySet;
use brinefront::laws::equilibrium::{apparent_selectivities, resin_fractions};
use brinefront::units::convert::celsius_to_kelvin;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::convert::{concentrations, ion_map, plain};
use crate::errors::{self, to_python};
use crate::number::{Number, numbers};

/// The published sets of selectivities that a resin may name.
///
/// Returns
/// -------
/// list of dict
///     Each has its `name`, `source` and whether it was `read`; its `kind` ("relative" affinities or
///     "separation-factor"), the `basis` of their capacity and how they are `chained` to sodium; where it holds
///     (`normality_eq_per_l`, `temperature_c`, `validity`); what its `columns` are, and the `values` as printed, by
///     column and ion.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> "BonnerSmith1957" in [one["name"] for one in bf.selectivity_sets()]
/// True
#[pyfunction]
pub fn selectivity_sets(py: Python<'_>) -> PyResult<Vec<Bound<'_, PyAny>>> {
    SelectivitySet::all().map_err(to_python)?.iter().map(|set| plain(py, set)).collect()
}

/// The published sets of diffusivities inside beads that a resin may name.
///
/// None was chosen for what a bed does with it. Numbers hold at 25 C; at another temperature they follow the
/// resin's own activation energy, whatever a set says of one.
///
/// Returns
/// -------
/// list of dict
///     Each has its `name`, `source` and whether it was `read`; its `kind` ("self-diffusion", "inference", or
///     "obstruction", a rule without numbers of its own); its `temperature_c`, `conditions` and `validity`; what
///     its `columns` are, of which a resin reads the one nearest to its crosslinking, up to 1 % away; the `values`
///     in m2/s by column and ion, with their `spread` where that is known, and the `reasons` for what is inferred;
///     `neighbours`, values of ions or beads that no case reads; and the `activation` energies of ions where they
///     are known.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> "AboutTenthOfSodium" in [one["name"] for one in bf.diffusivity_sets()]
/// True
#[pyfunction]
pub fn diffusivity_sets(py: Python<'_>) -> PyResult<Vec<Bound<'_, PyAny>>> {
    DiffusivitySet::all().map_err(to_python)?.iter().map(|set| plain(py, set)).collect()
}

/// Equivalent fractions on a resin in equilibrium with a solution.
///
/// Parameters
/// ----------
/// solution : mapping of str to float or Quantity
///     Cations by symbol [eq/L], 0 or more, at most ten.
/// selectivity : mapping of str to float or Quantity, or str
///     Gaines-Thomas coefficients against sodium in the normality/capacity form, or the name of a published set.
/// capacity_eq_per_l : float or Quantity
///     Total capacity [eq per litre of packed bed], 0.1 to 5.
/// activity : {"ideal", "davies", "pitzer"}, default "ideal"
///     With a law, coefficients are those of infinite dilution and the solution's own activities act on them; its anion
///     is chloride, and the laws' parameters stand at 25 C.
/// temperature_c : float or Quantity, default 25.0
///     Temperature that the density of water follows [C], 1 to 45; for the laws alone.
///
/// Returns
/// -------
/// dict of str to float
///     Equivalent fraction of each ion, which sum to 1.
///
/// Raises
/// ------
/// InputError
///     For a value out of limits, or a cation without a coefficient.
///
/// Notes
/// -----
/// Mass action in exchanger fractions: G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714, second-hand.
///
/// Examples
/// --------
/// >>> import brinefront as bf
/// >>> found = bf.equilibrium({"Na": 0.002, "Ca": 0.004}, {"Ca": 4.0}, 1.8)
/// >>> {ion: round(fraction, 3) for ion, fraction in found.items()}
/// {'Na': 0.012, 'Ca': 0.988}
#[pyfunction]
#[pyo3(
    signature = (
        solution, selectivity, capacity_eq_per_l, *, activity = "ideal", temperature_c = Number::Plain(25.0),
    ),
    text_signature = "(solution, selectivity, capacity_eq_per_l, *, activity='ideal', temperature_c=25.0)"
)]
pub fn equilibrium<'py>(
    py: Python<'py>,
    solution: &Bound<'py, PyAny>,
    selectivity: &Bound<'py, PyAny>,
    capacity_eq_per_l: Number<'_>,
    activity: &str,
    temperature_c: Number<'_>,
) -> PyResult<Bound<'py, PyDict>> {
    numbers!(capacity_eq_per_l, temperature_c);
    let selectivity = match selectivity.extract::<String>() {
        Ok(name) => Selectivity::Named(name),
        Err(_) => Selectivity::Given(ion_map("selectivity", selectivity)?),
    };
    let resin = Resin { selectivity, capacity_eq_per_l, ..Resin::default() };
    resin.validate().map_err(to_python)?;
    let mut liquid = Vec::new();
    for (ion, concentration) in concentrations("solution", solution, "eq/L")? {
        liquid.push((ion, concentration, resin.selectivity_of(ion).map_err(to_python)?));
    }
    let law = activity.parse::<ActivityLaw>().map_err(to_python)?;
    if !law.is_ideal() {
        if !(1.0..=45.0).contains(&temperature_c) {
            return Err(errors::value("temperature_c", temperature_c, "must be a number from 1 to 45 C"));
        }
        liquid = apparent_selectivities(&liquid, law, celsius_to_kelvin(temperature_c)).map_err(to_python)?;
    }
    let fractions = PyDict::new(py);
    for (ion, fraction) in resin_fractions(&liquid, capacity_eq_per_l).map_err(to_python)? {
        fractions.set_item(ion.symbol(), fraction)?;
    }
    Ok(fractions)
}
