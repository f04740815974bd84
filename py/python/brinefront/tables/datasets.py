"""Whole results as xarray datasets: every figure, curve, step and profile of a run under one roof.

A dataset of a cycle has these dimensions: `step`, `depth` and `ion`; `waste_ion`, which has the anions too; and for
each curve its samples, `leakage_sample`, `waste_sample` and `gypsum_sample`, with `..._bv` and `..._step` along them as
coordinates. Names of variables are those of the figures and of the tables' columns, the latter after the table's name.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from brinefront.errors import MissingPackageError, SolverError
from brinefront.native.optional import need
from brinefront.words import text
from brinefront.words.figures import MG_CACO3, cell, figures
from brinefront.words.labels import about, attributes

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    import pandas as pd
    import xarray as xr

    from brinefront.native.protocols import Comparison, Cycle, Run, SaltAccount

__all__ = ["account_dataset", "comparison_tree", "cycle_dataset", "frame_dataset", "run_dataset"]

# Names of counts of effort begin with it where they are beside figures.
EFFORT = "effort_"


def cycle_dataset(cycle: Cycle) -> xr.Dataset:
    """Every table and figure of a cycle."""
    need("xarray", "datasets")
    import xarray as xr

    profiles = cycle.profiles()
    found: xr.Dataset = (
        xr.Dataset(_figures(cycle), profiles.coords).assign(_counts(cycle.effort)).assign(profiles.data_vars)
    )
    found = found.assign(_columns(cycle.steps(), "step", "step_"))
    found = found.assign(_columns(cycle.hydraulics(), "step", "hydraulics_"))
    found = _with_curve(found, cycle.leakage(), "leakage")
    found = _with_curve(found, cycle.waste_curve(), "waste")
    try:
        found = _with_curve(found, cycle.gypsum(), "gypsum")
    except SolverError:
        pass  # An ion without an activity law: there is no such curve, and all else is there.
    waste = cycle.waste()
    found = found.assign(_columns(waste, "waste_ion", "waste_")).assign_coords(
        waste_ion=("waste_ion", _objects(waste.index), {"long_name": "ion of the waste"})
    )
    peak = attributes("", "highest chloride of the spent brine and rinse", "mg/L")
    found["waste_peak_chloride_mg_per_l"] = ((), waste.attrs["peak_chloride_mg_per_l"], peak)
    found.attrs = about(f"one cycle, {cycle.direction}", "cyclic steady state", cycle.case)
    found.attrs |= {"notes": "\n".join(cycle.notes), "cautions": "\n".join(text.cautions([cycle]))}
    return found


def run_dataset(run: Run) -> xr.Dataset:
    """Effluent, final loading and ledger of a run."""
    need("xarray", "datasets")
    import xarray as xr

    loading = run.loading()
    ions = [name for name in loading.columns if name != "depth_m"]
    words = attributes("loading_eq_per_l", "loading of the resin", loading.attrs["units"][ions[0]])
    found: xr.Dataset = xr.Dataset(
        {"loading_eq_per_l": (("depth", "ion"), loading[ions].to_numpy(), words)},
        coords={
            "depth": ("depth", loading["depth_m"].to_numpy(), attributes("depth_m")),
            "ion": ("ion", ions, {"long_name": "ion"}),
        },
        attrs=about("one run from a given loading", "one run", run.case) | {"notes": "\n".join(run.notes)},
    )
    found = _with_curve(found, run.effluent(), "effluent").assign(_counts(run.effort))
    error = attributes("", "numerical error of the effluent", "of what left")
    found["cells"] = ((), run.cells, attributes("cells"))
    found["effluent_error_fraction"] = ((), run.effluent_error_fraction, error)
    error = attributes("", "numerical error of the loading", "of capacity")
    found["loading_error_fraction"] = ((), run.loading_error_fraction, error)
    found["ledger_error"] = ((), run.ledger_error, attributes("ledger_error"))
    return found


def comparison_tree(found: Comparison) -> xr.DataTree:
    """A comparison as a tree: `/figures` over the strategies, and a group for each with all that its cycle has."""
    import numpy as np

    need("xarray", "datasets")
    import xarray as xr

    if not hasattr(xr, "DataTree"):
        message = "a comparison as a tree needs xarray 2024.10 or newer: pip install --upgrade xarray"
        raise MissingPackageError(message, name="xarray")
    names = text.labels(found.cycles, for_machines=True)
    groups = {}
    for place, (name, cycle) in enumerate(zip(names, found.cycles, strict=True), start=1):
        groups[f"/{place}-{cycle.direction}"] = cycle_dataset(cycle).assign_attrs(strategy=name)
    beside = xr.Dataset(
        coords={
            "strategy": ("strategy", _objects(names), {"long_name": "strategy"}),
            "group": ("strategy", _objects([path[1:] for path in groups]), {"long_name": "group of its cycle"}),
        }
    )
    for each in figures():
        values = [cell(getattr(cycle, each.name)) for cycle in found.cycles]
        column = _objects(values) if each.kind == "str" else np.array(values)
        beside[each.name] = ("strategy", column, attributes(each.name))
    root = about(f"strategies at {found.at.replace('-', ' ')}", f"compare at {found.at}")
    root |= {"sentence": found.sentence, "at": found.at, "effort": json.dumps(dict(found.effort))}
    tree: xr.DataTree = xr.DataTree.from_dict({"/": xr.Dataset(attrs=root), "/figures": beside, **groups})
    return tree


def account_dataset(account: SaltAccount) -> xr.Dataset:
    """The shares of a salt account, with how they were come by."""
    found: xr.Dataset = frame_dataset(account.table()).assign(_counts(account.effort))
    found.attrs |= about("where the salt went", f"salt account, {account.order}", account.case)
    found.attrs |= {"order": account.order, "sentence": account.sentence(), "without": ", ".join(account.without)}
    found.attrs |= {"notes": "\n".join(account.notes), "warnings": "\n".join(account.warnings)}
    limit = attributes("", "leakage that ended every run", MG_CACO3)
    found["dose_g_per_l"] = ((), account.dose_g_per_l, attributes("dose_g_per_l"))
    found["limit_mg_per_l_caco3"] = ((), account.limit_mg_per_l_caco3, limit)
    return found


def frame_dataset(frame: pd.DataFrame) -> xr.Dataset:
    """A labelled frame as a dataset with one variable a column; what else its ``attrs`` hold becomes global attributes.

    The rows are along the index by its name, or along `row`. Entries that are no text and no number are JSON.
    """
    need("xarray", "datasets")
    import xarray as xr

    dim = str(frame.index.name or "row")
    attrs = dict(frame.attrs)
    units, words = attrs.pop("units", {}), attrs.pop("long_names", {})
    beside = {
        name: value if isinstance(value, (str, float, int)) else json.dumps(value) for name, value in attrs.items()
    }
    found = xr.Dataset(attrs=about(str(attrs.get("title", "table")), "one table") | beside)
    if frame.index.name is not None:
        found = found.assign_coords({dim: (dim, _values(frame.index.to_series()), attributes(dim))})
    for name in map(str, frame.columns):
        label = {"long_name": words.get(name, name)} | ({"units": units[name]} if units.get(name) else {})
        found[name] = (dim, _values(frame[name]), label)
    return found


def _figures(cycle: Cycle) -> dict[str, Any]:
    return {each.name: ((), cell(getattr(cycle, each.name)), attributes(each.name)) for each in figures()}


def _counts(effort: Mapping[str, int]) -> dict[str, Any]:
    return {EFFORT + name: ((), count, effort_attributes(name)) for name, count in effort.items()}


def effort_attributes(count: str) -> dict[str, str]:
    """``long_name`` of a count of effort."""
    return {"long_name": f"effort: {count.replace('_', ' ')}"}


def _columns(frame: pd.DataFrame, dim: str, prefix: str) -> dict[str, Any]:
    """The columns of a frame as variables along `dim`, their names after `prefix`; `step` is the dimension's own."""
    words, units = frame.attrs["long_names"], frame.attrs["units"]
    return {
        prefix + name: (dim, _values(frame[name]), attributes(name, words[name], units.get(name, "")))
        for name in map(str, frame.columns)
        if name != "step"
    }


def _with_curve(found: xr.Dataset, frame: pd.DataFrame, name: str) -> xr.Dataset:
    """A curve along its own samples: throughput and step as coordinates, ions together, the rest as it is."""
    dim = f"{name}_sample"
    ions = [ion for ion in found["ion"].values.tolist() if ion in frame.columns]
    along = {each: frame[each] for each in ("bv", "step") if each in frame.columns}
    if name == "leakage":
        along["step"] = frame["bv"].map(lambda _: "service")
    coords = {f"{name}_{each}": (dim, _values(column), attributes(each)) for each, column in along.items()}
    found = found.assign_coords(coords)
    if ions:
        words = attributes("", "concentration of what left", frame.attrs["units"][ions[0]])
        found[f"{name}_eq_per_l"] = ((dim, "ion"), frame[ions].to_numpy(), words)
    for column in map(str, frame.columns):
        if column not in (*along, *ions):
            found[f"{name}_{column}"] = (dim, _values(frame[column]), attributes(column))
    return found


def _values(column: pd.Series) -> Any:
    """The numbers or truths of a column as they are, texts as objects, several texts in one place as JSON."""
    need("pandas", "tables")
    import pandas as pd

    if pd.api.types.is_numeric_dtype(column.dtype) or pd.api.types.is_bool_dtype(column.dtype):
        return column.to_numpy()
    return _objects([plain_text(value) for value in column])


def plain_text(value: Any) -> str:
    """A cell of a column of texts: a text as it is, several as JSON, None as an empty text, a number by its digits."""
    if isinstance(value, (list, tuple)):
        return json.dumps(list(value))
    return "" if value is None else str(value)


def _objects(values: Sequence[Any] | pd.Index) -> Any:
    import numpy as np

    found = np.empty(len(values), dtype=object)
    found[:] = list(values)
    return found
