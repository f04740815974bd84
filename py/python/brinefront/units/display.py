"""The units that numbers are shown in: metric, those of the trade in the United States, or both.

One choice for every table, picture and report. Names of figures, data frames and JSON keep their units whatever it is. It is the
choice of :func:`set_display_units`, else what the case at hand says in its ``display.units``, else ``"both"``: metric, with the
trade's figures beside them in tables; charts are metric then, one system a chart.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, wraps
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

from brinefront._core import convert_unit
from brinefront.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from brinefront.native.sayings import Sentence

__all__ = [
    "BOTH",
    "CHOICES",
    "METRIC",
    "US",
    "Shown",
    "as_asked",
    "display_units",
    "in_chart",
    "in_table",
    "said",
    "set_display_units",
    "shown_for",
    "typeset",
    "units_for",
    "using",
]

METRIC, US, BOTH = CHOICES = ("metric", "us", "both")

Given = ParamSpec("Given")
Result = TypeVar("Result")
Line = TypeVar("Line", bound="Sentence")


@dataclass(frozen=True)
class Shown:
    """How a number is shown: multiplied by `factor`, `offset` added, in `unit`."""

    unit: str
    factor: float = 1.0
    offset: float = 0.0

    def of(self, value: Any) -> Any:
        """A number, or an array of them, in the unit shown."""
        # Not even a product with 1: what is shown as it is stays the same object.
        return value if (self.factor, self.offset) == (1.0, 0.0) else value * self.factor + self.offset


class _Choice:
    """What :func:`set_display_units` has set, for all threads; None where each case may say."""

    units: str | None = None


# What a caller further up asks for, where no choice is set: the case that is being shown.
_asked: ContextVar[str] = ContextVar("asked", default=BOTH)


def set_display_units(units: str | None) -> None:
    """Choose the units of every table, picture and report from now on.

    Parameters
    ----------
    units : {"metric", "us", "both"} or None
        ``"metric"`` or ``"us"`` alone, or ``"both"``: metric, with the trade's figures beside them in tables. None gives the
        choice back to each case's ``display.units``.

    Raises
    ------
    InputError
        For another word.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.set_display_units("us")
    >>> bf.display_units()
    'us'
    >>> bf.set_display_units(None)
    """
    _Choice.units = None if units is None else _checked(units)


def display_units() -> str:
    """Give the units that numbers are shown in where no case says anything else.

    Returns
    -------
    str
        ``"metric"``, ``"us"`` or ``"both"``.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.display_units()
    'both'
    """
    return _asked.get() if _Choice.units is None else _Choice.units


@contextmanager
def using(units: str | None) -> Iterator[None]:
    """Show numbers in these units inside, as :func:`set_display_units` would; None changes no choice."""
    before = _Choice.units
    if units is not None:
        set_display_units(units)
    try:
        yield
    finally:
        _Choice.units = before


def _checked(units: str) -> str:
    if units not in CHOICES:
        raise InputError("units", str(units), f"must be one of {', '.join(CHOICES)}")
    return units


def units_for(found: Any) -> str:
    """The units in which a result, a case or several of them are shown."""
    return _Choice.units or _said_by(found) or _asked.get()


@contextmanager
def shown_for(found: Any) -> Iterator[None]:
    """Show numbers inside in the units of a result, a case or several of them."""
    token = _asked.set(_said_by(found) or _asked.get())
    try:
        yield
    finally:
        _asked.reset(token)


def as_asked(show: Callable[Given, Result]) -> Callable[Given, Result]:
    """Make a function show numbers in the units that the case of its first argument says, where no choice is set."""

    @wraps(show)
    def asked(*given: Given.args, **named: Given.kwargs) -> Result:
        with shown_for(given[0] if given else next(iter(named.values()), None)):
            return show(*given, **named)

    return asked


def _said_by(found: Any) -> str | None:
    """What the first case of a result says, if it says anything."""
    if isinstance(found, Iterable) and not isinstance(found, (str, bytes, dict)):
        return next((_said_by(each) for each in found), None) if isinstance(found, (list, tuple)) else None
    cycles = getattr(found, "cycles", None)
    if isinstance(cycles, tuple):
        return _said_by(cycles)
    case = getattr(found, "case", found)
    units = getattr(getattr(case, "display", None), "units", None)
    return units if isinstance(units, str) else None


# What a unit of a table is in the other system: the unit as `convert` knows it, the other, and how the other is written.
# Bed volumes, per cent, hours, mg/L (the trade's ppm) and meq/L (a laboratory's) are of both.
_IN_US: dict[str, tuple[str, str, str]] = {
    "g/L of resin": ("g/L", "lb/ft3", "lb/ft3 of resin"),
    "eq/L of bed": ("eq/L bed", "kgr/ft3", "kgr/ft3"),
    "L": ("L", "gal", "gal"),
    "L of resin": ("L", "ft3", "ft3"),
    "m3": ("m3", "gal", "gal"),
    "m3/day": ("m3/day", "gal/day", "gal/day"),
    "m3/week": ("m3/week", "gal/week", "gal/week"),
    "kg": ("kg", "lb", "lb"),
    "kg/week": ("kg/week", "lb/week", "lb/week"),
    "g": ("g", "lb", "lb"),
    "g as CaCO3": ("g", "lb", "lb as CaCO3"),
    "kg/m3": ("kg/m3", "lb/ft3", "lb/ft3"),
    "m": ("m", "in", "in"),
    "mm": ("mm", "in", "in"),
    "m/h": ("m/h", "gpm/ft2", "gpm/ft2"),
    "BV/h": ("BV/h", "gpm/ft3", "gpm/ft3"),
    "kPa": ("kPa", "psi", "psi"),
    # A figure for the feed alone: leakages are below one grain a gallon, and the trade has them in ppm.
    "mg/L as CaCO3, feed": ("mg/L CaCO3", "gr/gal", "gr/gal as CaCO3"),
}
_IN_METRIC: dict[str, tuple[str, str, str]] = {
    "kgr/ft3": ("kgr/ft3", "eq/L bed", "eq/L of bed"),
    "gr/lb": ("gr/lb", "eq/kg", "eq/kg of salt"),
}
# The same number under another name.
_CALLED_IN_US = {"eq/L": "N", "mPa s": "cP"}
# Names whose unit alone does not say what they are.
_OF_ITS_OWN = {
    "salt_kg_per_m3": "kg/m3 of soft water",
    "feed_hardness_mg_per_l_caco3": "mg/L as CaCO3, feed",
    # Water is counted in gallons, resin in cubic feet.
    "bed.volume_l": "L of resin",
}


def in_table(unit: str, name: str = "") -> Shown:
    """How a number of a table is shown; with ``"both"`` as it is.

    Parameters
    ----------
    unit : str
        As figures, columns and fields have it: ``"g/L of resin"``.
    name : str, optional
        The name of the figure or column, by which a feed's hardness is told from a leakage.
    """
    return _shown(display_units(), unit, name)


def in_chart(unit: str, name: str = "") -> Shown:
    """How a number of a chart is shown: in one system, with ``"both"`` the metric one."""
    return _shown(METRIC if display_units() == BOTH else display_units(), unit, name)


@cache
def _shown(units: str, unit: str, name: str) -> Shown:
    if units == BOTH:
        return Shown(unit)
    meant = _OF_ITS_OWN.get(name, unit)
    found = (_IN_US if units == US else _IN_METRIC).get(meant)
    if found is not None:
        source, target, words = found
        return Shown(words, convert_unit(1.0, source, target))
    if units == US:
        return _composed(meant) or Shown(_CALLED_IN_US.get(unit, unit))
    return Shown(unit)


def _composed(unit: str) -> Shown | None:
    """Units of the trade that are made of two, and degrees."""
    per_1000_gal = 1000.0 / convert_unit(1.0, "m3", "gal")
    match unit:
        case "kg/m3 of soft water":
            return Shown("lb/1000 gal", convert_unit(1.0, "kg", "lb") * per_1000_gal)
        case "g/m3 of soft water":
            return Shown("lb/1000 gal", convert_unit(1.0, "g", "lb") * per_1000_gal)
        case "L/m3 of soft water":
            return Shown("gal/1000 gal", convert_unit(1.0, "L", "gal") * per_1000_gal)
        case "m2/s":
            return Shown("ft2/s", convert_unit(1.0, "m", "ft") ** 2)
        case "C" | "degC":
            return Shown("F", 1.8, 32.0)
    return None


def said(line: Line) -> Line:
    """A line that the library has made in each system, in the units shown; it is metric with both."""
    return line.us if display_units() == US else line


_TYPESET = {"+-": "±", "CaCO3": "CaCO₃", "ft3": "ft³", "ft2": "ft²", "m3": "m³", "m2": "m²"}


def typeset(words: str) -> str:
    """Words with their powers and indices as a picture or a page has them: ft³, CaCO₃."""
    return re.sub(r"\+-|CaCO3|\b(?:ft|m)[23]\b", lambda found: _TYPESET[found[0]], words)
