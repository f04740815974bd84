//! Finished runs as plain Python data, arrays moved without a copy, and handed to the class that presents them.

use std::fmt::Display;

use brinefront::inputs::case;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::recipe_steps::StepName;
use brinefront::plan::tubes::Tube;
use brinefront::report::gypsum::{Gypsum, saturation_ratio};
use brinefront::report::hydraulics::HydraulicsRow;
use brinefront::report::note::Note;
use brinefront::report::tables::{Curve, Profiles, Waste};
use brinefront::report::through_time::ThroughTime;
use brinefront::report::{CycleReport, RunReport};
use brinefront::study::SaltAccount;
use brinefront::{DisplayUnits, InWords, SearchEnd};
use numpy::PyArray;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList, PyTuple};
use serde::Serialize;

use crate::convert::plain;
use crate::inputs::Case;
use crate::{errors, figures};

/// A finished cycle as a `brinefront.results.Cycle`; `from_new_resin` counts it where it is one of a row, else it is the
/// steady one.
pub fn cycle(py: Python<'_>, found: CycleReport, from_new_resin: Option<usize>) -> PyResult<Bound<'_, PyAny>> {
    let data = PyDict::new(py);
    // Before the tables are moved out of it.
    data.set_item("assumed_of_the_bed", found.assumed_of_the_bed().unwrap_or_default())?;
    data.set_item("figures", figures::by_name(py, &found.figures)?)?;
    data.set_item("leakage", curve(py, found.leakage)?)?;
    data.set_item("waste_curve", curve(py, found.waste_curve)?)?;
    data.set_item("gypsum", found.gypsum.map(|found| gypsum(py, found)).transpose()?)?;
    data.set_item("profiles", profiles(py, found.profiles)?)?;
    data.set_item("steps", plain(py, &found.steps)?)?;
    data.set_item("hydraulics", hydraulics_rows(py, &found.hydraulics)?)?;
    data.set_item("waste", waste(py, &found.waste)?)?;
    data.set_item("notes", notes(py, &found.notes)?)?;
    data.set_item("design_rules", lines(py, "design_rule", &found.design_rules)?)?;
    data.set_item("site_targets", lines(py, "site_target", &found.site_targets)?)?;
    data.set_item("effort", plain(py, &found.effort)?)?;
    let longest_metered = found.longest_metered.map(|longest| cycle(py, *longest, None)).transpose()?;
    data.set_item("longest_metered", longest_metered)?;
    data.set_item("from_new_resin", from_new_resin)?;
    data.set_item("case", Case(found.case))?;
    finished("cycle", data)
}

/// A finished loading or elution as a `brinefront.results.Run`.
pub fn run<'py>(py: Python<'py>, case: &case::Case, found: RunReport) -> PyResult<Bound<'py, PyAny>> {
    let data = PyDict::new(py);
    data.set_item("effluent", curve(py, found.effluent)?)?;
    data.set_item("loading", profiles(py, found.loading)?)?;
    data.set_item("cells", found.cells)?;
    data.set_item("effluent_error_fraction", found.effluent_error_fraction)?;
    data.set_item("loading_error_fraction", found.loading_error_fraction)?;
    data.set_item("ledger_error", found.ledger_error)?;
    data.set_item("notes", notes(py, &found.notes)?)?;
    data.set_item("case", Case(case.clone()))?;
    data.set_item("effort", plain(py, &found.effort)?)?;
    finished("run", data)
}

/// The bed through one cycle, as `brinefront.tables.through_time` makes a dataset of it.
pub fn through_time(py: Python<'_>, found: ThroughTime) -> PyResult<Bound<'_, PyDict>> {
    let data = PyDict::new(py);
    data.set_item("step", step_names(&found.step))?;
    data.set_item("ions", symbols(&found.ions))?;
    data.set_item("bv", PyArray::from_vec(py, found.bv))?;
    data.set_item("minutes", PyArray::from_vec(py, found.minutes))?;
    data.set_item("depth_m", PyArray::from_vec(py, found.depth_m))?;
    data.set_item("height_m", PyArray::from_vec(py, found.height_m))?;
    data.set_item("loading_eq_per_l", PyArray::from_owned_array(py, found.loading_eq_per_l))?;
    data.set_item("liquid_eq_per_l", PyArray::from_owned_array(py, found.liquid_eq_per_l))?;
    data.set_item("effluent_eq_per_l", PyArray::from_owned_array(py, found.effluent_eq_per_l))?;
    Ok(data)
}

/// A salt account as a `brinefront.results.SaltAccount`.
pub fn salt_account(py: Python<'_>, found: SaltAccount) -> PyResult<Bound<'_, PyAny>> {
    let data = PyDict::new(py);
    data.set_item("shares", plain(py, &found.shares)?)?;
    data.set_item("order", found.order.name())?;
    data.set_item("dose_g_per_l", found.dose_g_per_l)?;
    data.set_item("limit_mg_per_l_caco3", found.limit_mg_per_l_caco3)?;
    data.set_item("without", PyTuple::new(py, found.without)?)?;
    data.set_item("notes", notes(py, &found.notes)?)?;
    data.set_item("warnings", notes(py, &found.warnings)?)?;
    data.set_item("runs", found.runs)?;
    data.set_item("effort", plain(py, &found.effort)?)?;
    data.set_item("case", Case(found.case))?;
    finished("salt account", data)
}

/// What the flow of each step of a case does to its bed, a dict by column for each step.
#[pyfunction]
pub fn hydraulics<'py>(py: Python<'py>, case: &Bound<'py, Case>) -> PyResult<Bound<'py, PyList>> {
    hydraulics_rows(py, &case.get().0.hydraulics().map_err(errors::to_python)?)
}

/// Hand finished work over, by the one function of the package that knows which class presents it.
fn finished<'py>(kind: &str, data: Bound<'py, PyDict>) -> PyResult<Bound<'py, PyAny>> {
    data.py().import("brinefront.native.handover")?.getattr("finished")?.call1((kind, data))
}

/// Notes as lines in each system of units, with their weight and their values beside them.
fn notes<'py>(py: Python<'py>, found: &[Note]) -> PyResult<Bound<'py, PyTuple>> {
    let weighed = |note: &Note| {
        let make = py.import("brinefront.native.handover")?.getattr("note")?;
        let us = note.in_words(DisplayUnits::Us);
        make.call1((note.in_words(DisplayUnits::Metric), plain(py, note)?, note.weight().words(), us))
    };
    PyTuple::new(py, found.iter().map(weighed).collect::<PyResult<Vec<_>>>()?)
}

/// How a search ended as a line in each system of units, with its values beside it.
pub fn search_end(py: Python<'_>, end: SearchEnd) -> PyResult<Bound<'_, PyAny>> {
    let make = py.import("brinefront.native.handover")?.getattr("search_end")?;
    make.call1((end.in_words(DisplayUnits::Metric), plain(py, &end)?, end.in_words(DisplayUnits::Us)))
}

/// Values as lines with the values beside them: what `brinefront.native.handover` makes of the two by a function.
fn lines<'py, T: Serialize + Display>(py: Python<'py>, made_by: &str, found: &[T]) -> PyResult<Bound<'py, PyTuple>> {
    let make = py.import("brinefront.native.handover")?.getattr(made_by)?;
    let line = |one: &T| make.call1((one.to_string(), plain(py, one)?));
    PyTuple::new(py, found.iter().map(line).collect::<PyResult<Vec<_>>>()?)
}

/// Rows of hydraulics as dicts by column.
fn hydraulics_rows<'py>(py: Python<'py>, found: &[HydraulicsRow]) -> PyResult<Bound<'py, PyList>> {
    let rows = PyList::empty(py);
    for row in found {
        let columns = plain(py, row)?;
        columns.set_item("notes", notes(py, &row.notes)?)?;
        rows.append(columns)?;
    }
    Ok(rows)
}

fn step_names(steps: &[StepName]) -> Vec<&'static str> {
    steps.iter().map(|step| step.words()).collect()
}

fn symbols(ions: &[Ion]) -> Vec<&'static str> {
    ions.iter().map(|ion| ion.symbol()).collect()
}

fn curve(py: Python<'_>, found: Curve) -> PyResult<Bound<'_, PyDict>> {
    let data = PyDict::new(py);
    data.set_item("ions", symbols(&found.ions))?;
    data.set_item("bv", PyArray::from_vec(py, found.bv))?;
    data.set_item("eq_per_l", PyArray::from_owned_array(py, found.eq_per_l))?;
    data.set_item("step", step_names(&found.step))?;
    Ok(data)
}

fn gypsum(py: Python<'_>, found: Gypsum) -> PyResult<Bound<'_, PyDict>> {
    let data = PyDict::new(py);
    let ratio: Vec<f64> = found.index.iter().copied().map(saturation_ratio).collect();
    data.set_item("bv", PyArray::from_vec(py, found.bv))?;
    data.set_item("step", step_names(&found.step))?;
    data.set_item("saturation_index", PyArray::from_vec(py, found.index))?;
    data.set_item("saturation_ratio", PyArray::from_vec(py, ratio))?;
    let stand_ins = PyDict::new(py);
    for (ion, taken_as) in found.stand_ins {
        stand_ins.set_item(ion.symbol(), taken_as.symbol())?;
    }
    data.set_item("stand_ins", stand_ins)?;
    let highest = found.highest.map(|at| plain(py, &at)).transpose()?;
    data.set_item("highest", highest.unwrap_or_else(|| PyDict::new(py).into_any()))?;
    Ok(data)
}

fn profiles(py: Python<'_>, found: Profiles) -> PyResult<Bound<'_, PyDict>> {
    let data = PyDict::new(py);
    data.set_item("steps", step_names(&found.steps))?;
    data.set_item("ions", symbols(&found.ions))?;
    data.set_item("depth_m", PyArray::from_vec(py, found.depth_m))?;
    data.set_item("height_m", PyArray::from_vec(py, found.height_m))?;
    data.set_item("loading_eq_per_l", PyArray::from_owned_array(py, found.loading_eq_per_l))?;
    data.set_item("liquid_eq_per_l", PyArray::from_owned_array(py, found.liquid_eq_per_l))?;
    if let Some(tubes) = found.tubes {
        let of_tubes = |pick: fn(&Tube) -> f64| PyArray::from_vec(py, tubes.tubes.iter().map(pick).collect());
        data.set_item("tube_area", of_tubes(|tube| tube.area))?;
        data.set_item("tube_service", of_tubes(|tube| tube.service))?;
        data.set_item("tube_regenerant", of_tubes(|tube| tube.regenerant))?;
        data.set_item("tube_loading_eq_per_l", PyArray::from_owned_array(py, tubes.loading_eq_per_l))?;
    }
    Ok(data)
}

fn waste<'py>(py: Python<'py>, found: &Waste) -> PyResult<Bound<'py, PyDict>> {
    let by_ion = |pairs: &[(Ion, f64)]| {
        let dict = PyDict::new(py);
        for (ion, value) in pairs {
            dict.set_item(ion.symbol(), value)?;
        }
        PyResult::Ok(dict)
    };
    let data = PyDict::new(py);
    data.set_item("volume_bv", found.volume_bv)?;
    data.set_item("volume_l", found.volume_l)?;
    data.set_item("composite_mg_per_l", by_ion(&found.composite_mg_per_l)?)?;
    data.set_item("mass_g", by_ion(&found.mass_g)?)?;
    data.set_item("peak_chloride_mg_per_l", found.peak_chloride_mg_per_l)?;
    Ok(data)
}
