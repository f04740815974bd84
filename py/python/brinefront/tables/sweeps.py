"""Grids of cases: figures over the swept values, as a dataset."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.native.handover import of_native
from brinefront.native.optional import need
from brinefront.tables.datasets import EFFORT, effort_attributes
from brinefront.units.quantities import on_axes
from brinefront.words.figures import cell, figures
from brinefront.words.labels import about, attributes, field_attributes

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    import xarray as xr

    from brinefront._core import Case

    Progress = Callable[[int, int, int, float], object]

__all__ = ["MISSING", "beside", "label", "sweep"]


def sweep(
    case: Case, axes: Mapping[str, Sequence[Any]], *, threads: int | None = None, progress: Progress | None = None
) -> xr.Dataset:
    """Run the cyclic steady state over a grid of cases.

    Parameters
    ----------
    case : Case
        Where everything that is not swept comes from.
    axes : mapping of str to sequence
        Values for each dotted name: ``{"regeneration.dose_g_per_l": [64.0, 96.0, 128.0]}``. Quantities with units are
        converted, and label the axis as plain numbers in its unit.
    threads : int, optional
        Threads to use, at least 1; all processors by default. The figures do not depend on it.
    progress : callable, optional
        Called with ``(done, total, cycle, residual)`` at most ten times a second.

    Returns
    -------
    xarray.Dataset
        One variable for each figure over the axes, and one for each count of the effort (``effort_steps`` and so on); a
        point that failed has nan for its figures, no effort, and the reason in ``error``. A figure that is an axis too,
        as `cells`, is ``cells_used``. Units and words are in the ``attrs`` of variables and axes, the case in those of
        the dataset; :func:`brinefront.save` writes it to a file.

    Raises
    ------
    InputError
        For a grid that is wrong as a whole: no axis, no values, a name that is not there.

    See Also
    --------
    sweep_stream : The same points one after the other, for grids that memory should not hold.
    sweep_table : The grid as a frame with one row for each point.
    long_table : The grid as a table with one row for each value.

    Examples
    --------
    >>> import brinefront as bf
    >>> case = bf.default_case().replace({"cells": 10})
    >>> found = bf.sweep(case, {"regeneration.dose_g_per_l": [64.0, 96.0], "bed.depth_m": [0.6, 0.9, 1.2]})
    >>> dict(found["capacity_eq_per_l"].sizes)
    {'regeneration.dose_g_per_l': 2, 'bed.depth_m': 3}
    >>> found["capacity_eq_per_l"].attrs["units"]
    'eq/L of bed'
    """
    need("xarray", "sweeps")
    import numpy as np
    import xarray as xr

    grid = on_axes(case, axes)
    rows = _core.sweep(case, grid, threads, progress)
    points = [(None if found is None else of_native(found), effort, error) for found, effort, error in rows]
    dims = tuple(grid)
    shape = tuple(len(values) for values in grid.values())
    kinds = {"float": float, "int": int, "bool": bool, "str": object}
    dataset = xr.Dataset(
        coords={name: (name, _coordinate(values), field_attributes(name, case)) for name, values in grid.items()},
        attrs=about("figures over a grid of cases", f"sweep over {', '.join(grid)}", case),
    )
    for each in figures():
        column = [cell(point[each.name]) if point is not None else MISSING[each.kind] for point, _, _ in points]
        values: Any = np.array(column, dtype=kinds[each.kind]).reshape(shape)
        dataset[beside(grid, each.name)] = xr.DataArray(values, dims=dims, attrs=attributes(each.name))
    for count in points[0][1]:
        counts = np.array([effort[count] for _, effort, _ in points], dtype=np.int64).reshape(shape)
        dataset[EFFORT + count] = xr.DataArray(counts, dims=dims, attrs=effort_attributes(count))
    errors: Any = np.array([error for _, _, error in points], dtype=object).reshape(shape)
    dataset["error"] = xr.DataArray(errors, dims=dims, attrs={"long_name": "why a point has no figures"})
    return dataset


# What a point without figures has in their place.
MISSING: Mapping[str, Any] = {"float": float("nan"), "int": 0, "bool": False, "str": ""}


def beside(axes: Mapping[str, Any], name: str) -> str:
    """A figure's name beside the swept values: `cells` may be both, what was asked for and what was used."""
    return f"{name}_used" if name in axes else name


def _coordinate(values: list[Any]) -> list[Any]:
    """Values that can label an axis: all numbers, or else all texts."""
    labels = [label(value) for value in values]
    same = len({isinstance(each, str) for each in labels}) <= 1
    return labels if same else [each if isinstance(each, str) else _written(each) for each in labels]


def label(value: Any) -> Any:
    """A number or a text as it is; anything else as JSON."""
    return value if isinstance(value, (int, float, str)) and not isinstance(value, bool) else _written(value)


def _written(value: Any) -> str:
    try:
        return json.dumps(value)
    except TypeError:
        return repr(value)
