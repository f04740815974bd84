"""Strategies side by side."""

from __future__ import annotations

import math
import re
from dataclasses import asdict, dataclass
from numbers import Real
from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.errors import InputError
from brinefront.files.export import save
from brinefront.native.enumerations import LeakageBound
from brinefront.native.optional import need
from brinefront.results.long_table import long_table
from brinefront.tables.datasets import comparison_tree
from brinefront.units import display
from brinefront.units.quantities import in_case, is_quantity
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
    from brinefront.units.quantity import Number

    Progress = Callable[[int, int, int, float], object]

__all__ = ["Comparison", "LeakageTarget", "compare"]


@dataclass(frozen=True, eq=False, repr=False)
class Comparison:
    """Strategies side by side, with the answer in one sentence; what :func:`compare` returns.

    Attributes
    ----------
    cycles : tuple of Cycle
        The steady cycle of each strategy, in the order given.
    at : str
        What was held equal: "equal-dose" or "equal-leakage", or "leakage" where one was bounded.
    sentence : str
        The answer.
    effort : mapping of str to int
        What all of it cost: at equal leakage every dose that was tried, not the cycles shown alone.
    target : LeakageTarget or None
        The leakage that was asked for, if one was.
    bounds : tuple of LeakageBound
        What bounds each strategy at that leakage; empty without a target.
    at_accepted : Comparison or None
        The least salt of each strategy at the mean leakage that the site accepts, if that was asked for.
    sentence_us : str
        The sentence in the units of the trade in the United States.
    """

    cycles: tuple[Cycle, ...]
    at: str
    sentence: str
    effort: Mapping[str, int]
    target: LeakageTarget | None = None
    bounds: tuple[LeakageBound, ...] = ()
    at_accepted: Comparison | None = None
    sentence_us: str = ""

    @property
    def answer(self) -> str:
        """The sentence, and that of the same strategies at the leakage that the site accepts, if it was asked for.

        In the units of :func:`set_display_units`, or of the case.
        """
        us = display.units_for(self) == display.US
        sentence = self.sentence_us if us else self.sentence
        if self.at_accepted is None:
            return sentence
        # What both assume is said once.
        said, further = SENTENCE.split(sentence), self.at_accepted.sentence_us if us else self.at_accepted.sentence
        return " ".join([sentence, *(each for each in SENTENCE.split(further) if each not in said)])

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
            name: pd.Series([text.read_of(cycle, each.name, digits) for each in shown], dtype=object)
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
            The sentence, a table with a column for each strategy, what the site asks, and warnings.
        """
        asked = "\n".join(text.wrapped(f"Site: {target}.", indent="  ") for target in text.targets(self.cycles))
        parts = [
            text.wrapped(text.answer(self)),
            text.key_table(self.cycles),
            asked,
            *text.unmet(self),
            *text.warnings(self.cycles),
        ]
        return "\n\n".join(part for part in parts if part)

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
            ``{"cases": [...], "at": ..., "sentence": ..., "effort": {...}}``, each case with every figure; at a leakage,
            ``target`` and ``bounds`` too, and ``at_accepted`` where that was asked for.
        """
        asked = {} if self.target is None else {"target": asdict(self.target), "bounds": [str(b) for b in self.bounds]}
        return {
            "cases": [cycle.to_dict() for cycle in self.cycles],
            "at": self.at,
            **asked,
            "sentence": self.sentence,
            **({} if self.at_accepted is None else {"at_accepted": self.at_accepted.to_dict()}),
            "effort": dict(self.effort),
        }

    def __repr__(self) -> str:
        return f"<Comparison at {self.at} of {', '.join(text.labels(self.cycles))}>"

    def _repr_html_(self) -> str:
        return notebook.comparison(self)


# Between two sentences.
SENTENCE = re.compile(r"(?<=\.) (?=[A-Z])")
# Arguments of `compare` that bound a leakage, and what the library calls each.
MEASURES = {"mean": "mean", "half_run": "half-run", "end": "end", "max": "max"}


@dataclass(frozen=True)
class LeakageTarget:
    """The leakage that a comparison at a leakage was asked for.

    Attributes
    ----------
    measure : {"mean", "half-run", "end", "max"}
        Which leakage of the run.
    mg_per_l_caco3 : float
        The most it may be [mg/L as CaCO3].
    run_bv : float or None
        The run that every strategy had to deliver [BV]; None if it was free.
    """

    measure: str
    mg_per_l_caco3: float
    run_bv: float | None


def compare(
    cases: Case | Sequence[Case],
    at: str = "equal-dose",
    *,
    mean: Number | str | None = None,
    half_run: Number | str | None = None,
    end: Number | str | None = None,
    max: Number | str | None = None,
    run_bv: Number | None = None,
    run: str | None = None,
    at_accepted: bool = False,
    progress: Progress | None = None,
) -> Comparison:
    """Compare strategies.

    Parameters
    ----------
    cases : Case or sequence of Case
        One case is set against its mirror, the other direction with all else equal; several are compared as given.
    at : {"equal-dose", "equal-leakage", "leakage"}, default "equal-dose"
        At equal leakage each strategy gets the salt it needs for the same half-run leakage and run length. At a leakage
        each gets the dose and the run that need least salt for their soft water, with a leakage within the one given.
    mean, half_run, end, max : float, Quantity or str, optional
        The most that the leakage may be [mg/L as CaCO3], or a text with its unit, ``"0.5 gr/gal"``, with ``at="leakage"``:
        exactly one of the mean over delivered water, that at half run, that as service ends, and the highest.
    run_bv : float or Quantity, optional
        With ``at="leakage"``, the run that each strategy must deliver [BV]; free unless given. A free run takes the dose
        from 48 to 640 g/L, a held one from 10 to 640 g/L.
    run : str, optional
        The same as a text with its unit: ``"10000 gal"``, where the beds of all cases are of one size.
    at_accepted : bool, default False
        Find the least salt at the mean leakage that the site of the first case accepts besides: what direction is worth at
        equal salt is leakage, at equal leakage it is salt. See ``at_accepted`` of the comparison.
    progress : callable, optional
        Called with ``(done, total, cycle, residual)`` at most ten times a second.

    Returns
    -------
    Comparison
        The steady cycles, a case before its mirror, and the answer in words; at a leakage, what bounds each.

    Raises
    ------
    InputError
        For no case, a case without hardness or whose limit is not below it, an equal leakage that no dose brings, or a
        leakage that is missing, given twice, or not below the feed's hardness.
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
    bounds_given = {"mean": mean, "half_run": half_run, "end": end, "max": max}
    asked = {name: value for name, value in bounds_given.items() if value is not None}
    runs = {name: value for name, value in (("run_bv", run_bv), ("run", run)) if value is not None}
    if at != "leakage":
        for name, value in {**asked, **runs}.items():
            raise InputError(name, str(value), 'goes with at="leakage" alone')
        second = None
        if at_accepted:
            accepted = accepted_leakage(given)
            if accepted is None:
                raise InputError(
                    "at_accepted", at_accepted, "needs site.accepted_leakage_mg_per_l_caco3 in the first case"
                )
            second = compare(given, "leakage", mean=accepted, progress=progress)
        cycles, sentence, sentence_us, _, effort = _core.compare(given, at, progress)
        return Comparison(tuple(cycles), at, sentence, effort, at_accepted=second, sentence_us=sentence_us)
    if len(asked) != 1:
        raise InputError("at", at, f"needs one of mean, half_run, end and max, not {len(asked)} of them")
    if len(runs) > 1:
        raise InputError("run", str(run), "is given twice: also as run_bv")
    if run is not None and not isinstance(run, str):
        raise InputError("run", repr(run)[:40], "must be a text with its unit, or run_bv a plain number")
    [(name, bound)] = asked.items()
    most = _number_of(given, "service.limit_mg_per_l_caco3", name, bound)
    held = next((_number_of(given, "service.volume_bv", name, value) for name, value in runs.items()), None)
    target = LeakageTarget(MEASURES[name], most, held)
    cycles, sentence, sentence_us, bounds, effort = _core.compare_at_leakage(
        given, target.measure, most, held, progress
    )
    bound_by = tuple(LeakageBound(bound) for bound in bounds)
    return Comparison(tuple(cycles), at, sentence, effort, target, bound_by, sentence_us=sentence_us)


def _number_of(cases: Sequence[Case], field: str, name: str, value: Any) -> float:
    """A plain number, or what a text with its unit or a quantity is in the unit of a field, by the beds of the cases."""
    if isinstance(value, str):
        return _core.in_cases(cases, field, name, value)
    if is_quantity(value) and cases:
        found = {in_case(case, (), field, value) for case in cases}
        if not math.isclose(min(found), math.fsum(found) / len(found), rel_tol=1e-9):
            raise InputError(name, str(value), "is another number in each of the beds: give a plain number")
        return found.pop()
    # The interpreter would take True for 1.
    if isinstance(value, bool) or not isinstance(value, Real):
        raise InputError(name, repr(value)[:40], "must be a plain number, or a text with its unit")
    return float(value)


def accepted_leakage(cases: Sequence[Case]) -> float | None:
    """The mean leakage that the site of the first case accepts [mg/L as CaCO3], if it says so."""
    site = cases[0].site if cases else None
    return None if site is None else site.accepted_leakage_mg_per_l_caco3
