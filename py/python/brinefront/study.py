"""More than one run: strategies side by side, and grids of cases."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NoReturn

from brinefront import _core, text
from brinefront.datasets import EFFORT, effort_attributes
from brinefront.figures import Figures, figures
from brinefront.labels import about, attributes, field_attributes
from brinefront.optional import need
from brinefront.quantities import on_axes

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from os import PathLike

    import pandas as pd
    import xarray as xr
    from matplotlib.figure import Figure
    from typing_extensions import Self

    from brinefront._core import Case
    from brinefront.long_table import LongTable
    from brinefront.results import Cycle

    Progress = Callable[[int, int, int, float], object]

__all__ = ["Comparison", "Point", "PointStream", "compare", "sweep", "sweep_stream"]


@dataclass(frozen=True, eq=False, repr=False)
class Comparison:
    """Strategies side by side, with the answer in one sentence; what :func:`compare` returns.

    Attributes
    ----------
    cycles : tuple of Cycle
        The steady cycle of each strategy, in the order given.
    at : str
        What was held equal: "equal-dose" or "equal-leakage".
    sentence : str
        The answer.
    effort : mapping of str to int
        What all of it cost: at equal leakage every dose that was tried, not the cycles shown alone.
    """

    cycles: tuple[Cycle, ...]
    at: str
    sentence: str
    effort: Mapping[str, int]

    def table(self) -> pd.DataFrame:
        """Every figure in words with its unit.

        Returns
        -------
        pandas.DataFrame
            One row for each figure, one column for each strategy; ``attrs`` are by row.
        """
        need("pandas", "tables")
        import pandas as pd

        shown = [each for each in figures() if each.name != "direction"]
        columns = {
            name: pd.Series([getattr(cycle, each.name) for each in shown], dtype=object)
            for name, cycle in zip(text.labels(self.cycles), self.cycles, strict=True)
        }
        frame = pd.DataFrame(columns)
        frame.index = pd.Index([each.label for each in shown], name="figure")
        frame.attrs["title"] = f"strategies at {self.at.replace('-', ' ')}"
        frame.attrs["case"] = "; ".join(dict.fromkeys(cycle.case.name or "" for cycle in self.cycles))
        # By row: here figures stand below each other.
        frame.attrs["units"] = {each.label: each.unit for each in shown}
        frame.attrs["long_names"] = {each.label: each.words for each in shown}
        return frame

    def to_xarray(self) -> xr.DataTree:
        """Give all of it as a tree: ``/figures`` over the strategies, a group for each with :meth:`Cycle.to_xarray`.

        Returns
        -------
        xarray.DataTree
            Figures have the dimension ``strategy``; ``attrs`` of a group have the strategy's name and its case.

        Raises
        ------
        MissingPackageError
            With an xarray that has no trees (before 2024.10).
        """
        from brinefront.datasets import comparison_tree

        return comparison_tree(self)

    def long_table(self) -> LongTable:
        """Every figure, curve, step and profile of every strategy.

        Returns
        -------
        LongTable
            One row for each value, ``strategy`` ahead of the columns of :meth:`Cycle.long_table`.
        """
        from brinefront.long_table import long_table

        return long_table(self.to_xarray())

    def save(self, path: str | PathLike[str]) -> None:
        """Write the comparison to a file, as :func:`brinefront.save` does.

        Parameters
        ----------
        path : str or path
            Its suffix says the format: ``.csv``, ``.parquet``, ``.nc`` or ``.zarr``.
        """
        from brinefront.export import save

        save(self, path)

    def summary(self) -> str:
        """The sentence and the key figures, as text.

        Returns
        -------
        str
            The sentence, a table with a column for each strategy, and warnings.
        """
        return "\n\n".join([text.wrapped(self.sentence), text.key_table(self.cycles), *text.warnings(self.cycles)])

    def sheet(self) -> Figure:
        """One page that shows the answer: leakage curves, the beds upright, key figures and the caution.

        Returns
        -------
        matplotlib.figure.Figure
            A4 landscape, as :func:`brinefront.plot.comparison_sheet` draws it.
        """
        from brinefront import plot

        return plot.comparison_sheet(self)

    def report(self, path: str | PathLike[str], *, efficiency: bool = False, account: bool = False) -> None:
        """Write the report: one HTML file with figures, pictures, every input with its source, and the case files.

        Parameters
        ----------
        path : str or path
            Where to; folders are made.
        efficiency : bool, default False
            Show what each dose of salt buys, in both directions; sweeps the dose.
        account : bool, default False
            Show where the salt of each strategy went; runs further cycles.

        Raises
        ------
        MissingPackageError
            If jinja2 is not installed (extra ``report``).

        Notes
        -----
        The file needs no network and no script, and prints on A4 and Letter. ``SOURCE_DATE_EPOCH`` in the environment fixes
        its date; all else is the same for the same comparison.
        """
        from brinefront import report

        accounts = tuple(cycle.salt_account() for cycle in self.cycles) if account else ()
        report.write(self, path, extras=report.Extras(accounts, efficiency))

    def to_dict(self) -> dict[str, Any]:
        """All of it as plain data.

        Returns
        -------
        dict
            ``{"cases": [...], "at": ..., "sentence": ..., "effort": {...}}``, each case with every figure.
        """
        return {
            "cases": [cycle.to_dict() for cycle in self.cycles],
            "at": self.at,
            "sentence": self.sentence,
            "effort": dict(self.effort),
        }

    def __repr__(self) -> str:
        return f"<Comparison at {self.at} of {', '.join(text.labels(self.cycles))}>"

    def _repr_html_(self) -> str:
        from brinefront import notebook

        return notebook.comparison(self)


def compare(cases: Case | Sequence[Case], at: str = "equal-dose", *, progress: Progress | None = None) -> Comparison:
    """Compare strategies.

    Parameters
    ----------
    cases : Case or sequence of Case
        One case is set against its mirror, the other direction with all else equal; several are compared as given.
    at : {"equal-dose", "equal-leakage"}, default "equal-dose"
        At equal leakage each strategy gets the salt it needs for the same half-run leakage and run length.
    progress : callable, optional
        Called with ``(done, total, cycle, residual)`` at most ten times a second.

    Returns
    -------
    Comparison
        The steady cycles, a case before its mirror, and the answer in a sentence.

    Raises
    ------
    InputError
        For no case, a case without hardness or whose limit is not below it, or an equal leakage that no dose brings.
    SolverError
        For a run that could not be carried through.

    Examples
    --------
    >>> import brinefront as bf
    >>> both = bf.compare(bf.default_case().replace({"cells": 10}))
    >>> [cycle.direction for cycle in both.cycles]
    ['counter-current', 'co-current']
    >>> against, along = (cycle.leakage_half_run_mg_per_l_caco3 for cycle in both.cycles)
    >>> against < along
    True
    """
    given = [cases] if isinstance(cases, _core.Case) else list(cases)
    cycles, at, sentence, effort = _core.compare(given, at, progress)
    return Comparison(tuple(cycles), at, sentence, effort)


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
        point that failed has nan for its figures, no effort, and says why in ``error``. A figure that is an axis too,
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
    points = _core.sweep(case, grid, threads, progress)
    dims = tuple(grid)
    shape = tuple(len(values) for values in grid.values())
    kinds = {"float": float, "int": int, "bool": bool, "str": object}
    dataset = xr.Dataset(
        coords={name: (name, _coordinate(values), field_attributes(name, case)) for name, values in grid.items()},
        attrs=about("figures over a grid of cases", f"sweep over {', '.join(grid)}", case),
    )
    for each in figures():
        column = [point[each.name] if point is not None else MISSING[each.kind] for point, _, _ in points]
        values: Any = np.array(column, dtype=kinds[each.kind]).reshape(shape)
        dataset[_beside(grid, each.name)] = xr.DataArray(values, dims=dims, attrs=attributes(each.name))
    for count in points[0][1]:
        counts = np.array([effort[count] for _, effort, _ in points], dtype=np.int64).reshape(shape)
        dataset[EFFORT + count] = xr.DataArray(counts, dims=dims, attrs=effort_attributes(count))
    errors: Any = np.array([error for _, _, error in points], dtype=object).reshape(shape)
    dataset["error"] = xr.DataArray(errors, dims=dims, attrs={"long_name": "why a point has no figures"})
    return dataset


# What a point without figures has in their place.
MISSING: Mapping[str, Any] = {"float": float("nan"), "int": 0, "bool": False, "str": ""}


def _beside(axes: Mapping[str, Any], name: str) -> str:
    """A figure's name beside the swept values: `cells` may be both, what was asked for and what was used."""
    return f"{name}_used" if name in axes else name


@dataclass(frozen=True, eq=False, repr=False)
class Point:
    """One point of a sweep.

    Attributes
    ----------
    index : int
        Its place in the grid; the last axis varies fastest.
    changes : mapping
        The swept values by their dotted names: ``case.replace(point.changes)`` is the case that was run.
    figures : Figures or None
        Its figures, by attribute; None if the point failed.
    effort : mapping
        What it cost, by name of the count.
    error : str
        Why the point failed; empty if it did not.
    """

    index: int
    changes: Mapping[str, Any]
    figures: Figures | None
    effort: Mapping[str, int]
    error: str

    def row(self) -> dict[str, Any]:
        """The point as one flat row.

        Returns
        -------
        dict
            Swept values, every figure, ``effort_...`` counts and the error, by name.
        """
        found = self.figures
        return {
            **{name: _label(value) for name, value in self.changes.items()},
            **{
                _beside(self.changes, each.name): MISSING[each.kind] if found is None else getattr(found, each.name)
                for each in figures()
            },
            **{EFFORT + name: count for name, count in self.effort.items()},
            "error": self.error,
        }

    def __repr__(self) -> str:
        """Give the place, what was changed, and the figures or the error."""
        where = ", ".join(f"{name}={value!r}" for name, value in self.changes.items())
        return f"<Point {self.index} at {where}: {self.error or self.figures}>"

    def _repr_html_(self) -> str:
        from brinefront import notebook

        return notebook.point(self)


class PointStream:
    """The points of a sweep, one after the other; made by :func:`sweep_stream`.

    An iterator and a context manager; ``len`` is the number of points of the grid.

    Attributes
    ----------
    axes : dict of str to list
        The swept values by their dotted names, as plain numbers in the units of their fields.
    """

    def __init__(self, case: Case, axes: Mapping[str, Iterable[Any]], threads: int | None) -> None:
        self.axes = on_axes(case, axes)
        self._native = _core.PointStream(case, self.axes, threads)

    def __len__(self) -> int:
        return len(self._native)

    def __iter__(self) -> PointStream:
        return self

    def __next__(self) -> Point:
        index, (found, effort, error) = next(self._native)
        return Point(index, self._changes(index), None if found is None else Figures(**found), effort, error)

    def _changes(self, index: int) -> dict[str, Any]:
        """The swept values at a place in the grid, the last axis varying fastest."""
        chosen = {}
        for name, values in reversed(self.axes.items()):
            index, place = divmod(index, len(values))
            chosen[name] = values[place]
        return dict(reversed(chosen.items()))

    def __reduce__(self) -> NoReturn:
        raise TypeError("a PointStream is threads at work and cannot be copied or pickled; its points can")

    def close(self) -> None:
        """Stop the threads; no further point comes. Called by leaving ``with`` and by dropping the stream."""
        self._native.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def sweep_stream(case: Case, axes: Mapping[str, Iterable[Any]], *, threads: int | None = None) -> PointStream:
    """Run the cyclic steady state over a grid of cases and hand over each point as it is finished.

    Points come in the order of the grid, the last axis varying fastest, while the next ones are computed. Memory does not
    grow with the length of the grid: a window of points is held, and the threads wait for a slow reader.

    Parameters
    ----------
    case : Case
        Where everything that is not swept comes from.
    axes : mapping of str to iterable
        Values for each dotted name: ``{"regeneration.dose_g_per_l": [64.0, 96.0, 128.0]}``. Quantities with units are
        converted, and label the axis as plain numbers in its unit.
    threads : int, optional
        Threads to use, at least 1; all processors by default. The figures do not depend on it.

    Returns
    -------
    PointStream
        An iterator of :class:`Point`. Leaving ``with``, closing it or dropping it stops the threads; Ctrl-C does too.

    Raises
    ------
    InputError
        At once for a grid that is wrong as a whole; a point that fails has its ``error`` instead.

    Examples
    --------
    >>> import brinefront as bf
    >>> case = bf.default_case().replace({"cells": 10})
    >>> with bf.sweep_stream(case, {"regeneration.dose_g_per_l": [80.0, -1.0]}) as points:
    ...     for point in points:
    ...         print(point.changes, point.error or "done")
    {'regeneration.dose_g_per_l': 80.0} done
    {'regeneration.dose_g_per_l': -1.0} regeneration.dose_g_per_l = -1: must be a number from 1 to 2000 g of salt per litre of resin
    """
    return PointStream(case, axes, threads)


def _coordinate(values: list[Any]) -> list[Any]:
    """Values that can label an axis: all numbers, or else all texts."""
    labels = [_label(value) for value in values]
    same = len({isinstance(label, str) for label in labels}) <= 1
    return labels if same else [label if isinstance(label, str) else _shown(label) for label in labels]


def _label(value: Any) -> Any:
    """A number or a text as it is; anything else as JSON."""
    return value if isinstance(value, (int, float, str)) and not isinstance(value, bool) else _shown(value)


def _shown(value: Any) -> str:
    try:
        return json.dumps(value)
    except TypeError:
        return repr(value)
