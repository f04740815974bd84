"""Strategies side by side."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.files.export import save
from brinefront.native.optional import need
from brinefront.results.long_table import long_table
from brinefront.tables.datasets import comparison_tree
from brinefront.units import display
from brinefront.words import notebook, text
from brinefront.words.figures import as_shown, distinct, figures

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from os import PathLike

    import pandas as pd
    import xarray as xr
    from matplotlib.figure import Figure

    from brinefront._core import Case
    from brinefront.results.cycle import Cycle
    from brinefront.results.long_table import LongTable

    Progress = Callable[[int, int, int, float], object]

__all__ = ["Comparison", "compare"]


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

    @display.as_asked
    def table(self, digits: int | None = 5) -> pd.DataFrame:
        """Every figure that a strategy has, in words with its unit, to be read; in the units of :func:`set_display_units`.

        Parameters
        ----------
        digits : int or None, default 5
            Significant digits of the numbers; None for all that there are.

        Returns
        -------
        pandas.DataFrame
            One row for each figure, one column for each strategy; ``attrs`` are by row.
        """
        need("pandas", "tables")
        import pandas as pd

        names = [each.name for each in figures() if each.name != "direction" and self._has(each.name)]
        shown = [as_shown(name) for name in distinct(names)]
        columns = {
            name: pd.Series([text.read(each.name, getattr(cycle, each.name), digits) for each in shown], dtype=object)
            for name, cycle in zip(text.labels(self.cycles), self.cycles, strict=True)
        }
        frame = pd.DataFrame(columns)
        frame.index = pd.Index([each.label for each in shown], name="figure")
        frame.attrs["title"] = f"strategies at {self.at.replace('-', ' ')}"
        frame.attrs["case"] = "; ".join(dict.fromkeys(cycle.case.name or "" for cycle in self.cycles))
        # By row: here figures are below each other.
        frame.attrs["units"] = {each.label: each.unit for each in shown}
        frame.attrs["long_names"] = {each.label: each.words for each in shown}
        return frame

    def _has(self, name: str) -> bool:
        """Whether any of the strategies has a figure."""
        return any(isinstance(each, str) or math.isfinite(each) for each in (getattr(c, name) for c in self.cycles))

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
        return comparison_tree(self)

    def long_table(self) -> LongTable:
        """Every figure, curve, step and profile of every strategy.

        Returns
        -------
        LongTable
            One row for each value, ``strategy`` ahead of the columns of :meth:`Cycle.long_table`.
        """
        return long_table(self.to_xarray())

    def save(self, path: str | PathLike[str]) -> None:
        """Write the comparison to a file, as :func:`brinefront.save` does.

        Parameters
        ----------
        path : str or path
            Its suffix names the format: ``.csv``, ``.parquet``, ``.nc`` or ``.zarr``.
        """
        save(self, path)

    @display.as_asked
    def summary(self) -> str:
        """The sentence and the key figures, as text.

        Returns
        -------
        str
            The sentence, a table with a column for each strategy, and warnings.
        """
        return "\n\n".join(
            [text.wrapped(text.sentence(self)), text.key_table(self.cycles), *text.warnings(self.cycles)]
        )

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
