"""More than one run: strategies side by side, and grids of cases."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brinefront import _core, text
from brinefront.figures import figures

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    import pandas as pd
    import xarray as xr
    from matplotlib.figure import Figure

    from brinefront._core import Case
    from brinefront.results import Cycle

    Progress = Callable[[int, int, int, float], object]

__all__ = ["Comparison", "compare", "sweep"]


@dataclass(frozen=True, eq=False, repr=False)
class Comparison:
    """Strategies side by side, at equal dose or at equal leakage, with the answer in one sentence."""

    cycles: tuple[Cycle, ...]
    at: str
    sentence: str

    def table(self) -> pd.DataFrame:
        """Every figure in words with its unit, one column for each strategy."""
        import pandas as pd

        shown = [each for each in figures() if each.name != "direction"]
        columns = {
            name: pd.Series([getattr(cycle, each.name) for each in shown], dtype=object)
            for name, cycle in zip(text.labels(self.cycles), self.cycles, strict=True)
        }
        frame = pd.DataFrame(columns)
        frame.index = pd.Index([each.label for each in shown], name="figure")
        frame.attrs["units"] = {each.label: each.unit for each in shown}
        return frame

    def summary(self) -> str:
        """The sentence and the key figures, as text."""
        return "\n\n".join([text.wrapped(self.sentence), text.key_table(self.cycles), *text.warnings(self.cycles)])

    def sheet(self) -> Figure:
        """One page that shows the answer: leakage curves, the beds upright, key figures and the caution."""
        from brinefront import plot

        return plot.comparison_sheet(self)

    def to_dict(self) -> dict[str, Any]:
        """``{"cases": [...], "at": ..., "sentence": ...}``, each case with every figure."""
        return {"cases": [cycle.to_dict() for cycle in self.cycles], "at": self.at, "sentence": self.sentence}

    def __repr__(self) -> str:
        return f"<Comparison at {self.at} of {', '.join(text.labels(self.cycles))}>"


def compare(cases: Case | Sequence[Case], at: str = "equal-dose", *, progress: Progress | None = None) -> Comparison:
    """Compare strategies.

    Parameters
    ----------
    cases : Case or sequence of Case
        One case is set against its mirror, the other direction with all else equal; several are compared as given.
    at : "equal-dose" or "equal-leakage"
        At equal leakage each strategy gets the salt it needs for the same half-run leakage and run length.
    progress : callable, optional
        Called with ``(done, total, cycle, residual)`` at most ten times a second.
    """
    given = [cases] if isinstance(cases, _core.Case) else list(cases)
    cycles, at, sentence = _core.compare(given, at, progress)
    return Comparison(tuple(cycles), at, sentence)


def sweep(
    case: Case, axes: Mapping[str, Sequence[Any]], *, threads: int | None = None, progress: Progress | None = None
) -> xr.Dataset:
    """Run the cyclic steady state over a grid of cases.

    Parameters
    ----------
    case : Case
        Where everything that is not swept comes from.
    axes : mapping
        Values for each dotted name: ``{"regeneration.dose_g_per_l": [64.0, 96.0, 128.0]}``.
    threads : int, optional
        Threads to use; all processors by default. The figures do not depend on it.
    progress : callable, optional
        Called with ``(done, total, cycle, residual)`` at most ten times a second.

    Returns
    -------
    xarray.Dataset
        One variable for each figure over the axes; a point that failed is nan and says why in ``error``.
    """
    import numpy as np
    import xarray as xr

    grid = {name: list(values) for name, values in axes.items()}
    points = _core.sweep(case, grid, threads, progress)
    dims = tuple(grid)
    shape = tuple(len(values) for values in grid.values())
    missing = {"float": np.nan, "int": 0, "bool": False, "str": ""}
    kinds = {"float": float, "int": int, "bool": bool, "str": object}
    dataset = xr.Dataset(coords={name: (name, _coordinate(values)) for name, values in grid.items()})
    for each in figures():
        column = [point[each.name] if point is not None else missing[each.kind] for point, _ in points]
        values: Any = np.array(column, dtype=kinds[each.kind]).reshape(shape)
        attrs = {"long_name": each.words} | ({"units": each.unit} if each.unit else {})
        dataset[each.name] = xr.DataArray(values, dims=dims, attrs=attrs)
    errors: Any = np.array([error for _, error in points], dtype=object).reshape(shape)
    dataset["error"] = xr.DataArray(errors, dims=dims, attrs={"long_name": "why a point has no figures"})
    return dataset


def _coordinate(values: list[Any]) -> list[Any]:
    """Values that can label an axis: what is not a number or a text is shown as JSON."""
    plain = all(isinstance(value, (int, float, str)) and not isinstance(value, bool) for value in values)
    same = len({isinstance(value, str) for value in values}) <= 1
    return values if plain and same else [value if isinstance(value, str) else _shown(value) for value in values]


def _shown(value: Any) -> str:
    try:
        return json.dumps(value)
    except TypeError:
        return repr(value)
