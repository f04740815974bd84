"""The points of a sweep, one by one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, NoReturn

from brinefront import _core
from brinefront.results.figures import Figures
from brinefront.tables.datasets import EFFORT
from brinefront.tables.sweeps import MISSING, beside, label
from brinefront.units.quantities import on_axes
from brinefront.words import notebook
from brinefront.words.figures import cell, figures, of_record

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from typing_extensions import Self

    from brinefront._core import Case

__all__ = ["Point", "PointStream", "sweep_stream"]


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
            **{name: label(value) for name, value in self.changes.items()},
            **{
                beside(self.changes, each.name): MISSING[each.kind]
                if found is None
                else cell(getattr(found, each.name))
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
        return Point(index, self._changes(index), None if found is None else Figures(**of_record(found)), effort, error)

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
