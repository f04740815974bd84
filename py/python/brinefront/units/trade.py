"""Columns and variables of tables in trade units, by their names."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar, cast

from brinefront._core import convert_unit
from brinefront._core import unit_names as names
from brinefront.errors import InputError
from brinefront.units.conversion import converts
from brinefront.units.fields import of_name
from brinefront.units.quantities import numbers

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from brinefront.units.quantity import Number

__all__ = ["change", "converted", "unit_of"]

Table = TypeVar("Table")

# Units whose words in a table are not their name.
WORDS = {"mg/L CaCO3": "mg/L as CaCO3", "eq/L bed": "eq/L of bed", "g/L CaCO3": "g/L as CaCO3"}
_NAMES = {words: name for name, words in WORDS.items()}
# A name that is its unit alone, and what it is then called.
_CALLED = {"bv": "throughput", "minutes": "duration", "hours": "duration"}
# What bed volumes and flows in them are in litres, once the bed is known.
_BY_BED = {"BV": "L", "BV/h": "L/h"}


def converted(table: Table, units: Mapping[str, str], *, bed_volume_l: Number | None = None) -> Table:
    """Give a copy of a table with columns in other units, each renamed to say so.

    Parameters
    ----------
    table : pandas.DataFrame or xarray.Dataset
        A table of this package, units in ``attrs``.
    units : mapping
        Unit for each column or variable, as :func:`brinefront.units.names` has it:
        ``{"hardness_mg_per_l_caco3": "gr/gal", "bv": "gal"}``. Coordinates can be named too.
    bed_volume_l : float or Quantity, optional
        Volume of the bed [L], by which bed volumes become litres, gallons, cubic feet or cubic metres.

    Returns
    -------
    pandas.DataFrame or xarray.Dataset
        Columns in their order, named after the new unit (``hardness_gr_per_gal``, ``throughput_gal``), ``attrs`` too.

    Raises
    ------
    InputError
        For a column that is not there, has no unit or no numbers, for a unit of something else, and for a new name that
        the table has already.

    Examples
    --------
    >>> import brinefront as bf
    >>> cycle = bf.default_case().replace({"cells": 10}).cycle()
    >>> wanted = {"bv": "gal", "hardness_mg_per_l_caco3": "gr/gal"}
    >>> curve = bf.units.converted(cycle.leakage(), wanted, bed_volume_l=cycle.case.bed.volume_l)
    >>> list(curve.columns)
    ['throughput_gal', 'Na', 'Mg', 'Ca', 'hardness_gr_per_gal']
    """
    [bed] = [None] if bed_volume_l is None else numbers("bed_volume_l", [bed_volume_l])
    found: Any = table
    if hasattr(table, "data_vars"):
        for name, unit in units.items():
            found = _dataset(found, name, unit, bed)
    elif hasattr(table, "columns") and hasattr(table, "attrs"):
        for name, unit in units.items():
            found = _frame(found, name, unit, bed)
    else:
        raise InputError("table", type(table).__name__, "must be a pandas.DataFrame or an xarray.Dataset")
    if not units:
        found = found.copy()
    return cast("Table", found)


def _frame(frame: Any, name: str, unit: str, bed: float | None) -> Any:
    stated = dict(frame.attrs.get("units", {}))
    _there("column", name, list(frame.columns))
    source = unit_of(name, stated.get(name, ""))
    turned = change(name, source, unit, bed)
    new = _renamed(name, source, unit, list(frame.columns))
    found = frame.copy()
    found[name] = turned(_numbers(name, frame[name]))
    found.columns = [new if column == name else column for column in frame.columns]
    stated = {
        new if key == name else key: WORDS.get(unit, unit) if key == name else words for key, words in stated.items()
    }
    found.attrs = {**frame.attrs, "units": stated | {new: WORDS.get(unit, unit)}}
    return found


def _dataset(dataset: Any, name: str, unit: str, bed: float | None) -> Any:
    _there("variable", name, list(dataset.variables))
    variable = dataset[name]
    source = unit_of(name, variable.attrs.get("units", ""))
    turned = change(name, source, unit, bed)
    new = _renamed(name, source, unit, [*dataset.variables, *dataset.dims])
    attrs = {**variable.attrs, "units": WORDS.get(unit, unit)}
    data = (variable.dims, turned(_numbers(name, variable.data)), attrs)
    found = dataset.assign_coords({name: data}) if name in dataset.coords else dataset.assign({name: data})
    return found.rename({name: new})


def _there(what: str, name: str, known: list[Any]) -> None:
    if name not in known:
        raise InputError("units", name, f"the table has no such {what}; it has {', '.join(map(str, known))}")


def _numbers(name: str, values: Any) -> Any:
    if values.dtype.kind not in "iuf":
        raise InputError("units", name, "does not hold numbers")
    return values


def unit_of(name: str, stated: str) -> str:
    """The unit of a column or a figure: that of its name, else the one in its table."""
    known = of_name(name.rpartition(".")[2])
    if known is not None and known.trade is not None:
        return known.trade
    unit = _NAMES.get(stated, stated)
    if known is None and unit in names():
        return unit
    own = stated or (known.quantity if known is not None else "")
    there = f"it is in {own}, which" if own else "it has no unit that"
    raise InputError("units", name, f"{there} does not convert into trade units")


def change(name: str, source: str, unit: str, bed_volume_l: float | None) -> Callable[[Any], Any]:
    """How values of a column are turned into another unit."""
    if converts(source, unit):
        return lambda values: values * convert_unit(1.0, source, unit)
    by_bed = _BY_BED.get(source)
    if by_bed is not None and converts(by_bed, unit):
        if bed_volume_l is None:
            limits = f"{name} is in {source}, which is {unit} only of a bed: give bed_volume_l"
            raise InputError("unit", unit, limits)
        return lambda values: values * convert_unit(bed_volume_l, by_bed, unit)
    possible = [each for each in names() if converts(source, each) or (by_bed and converts(by_bed, each))]
    raise InputError("unit", unit, f"{name} is in {WORDS.get(source, source)}; it converts into {', '.join(possible)}")


def _renamed(name: str, source: str, unit: str, taken: list[Any]) -> str:
    """A name with its ending, the unit, exchanged."""
    path, dot, last = name.rpartition(".")
    known = of_name(last)
    suffix = _slug(source) if known is None else known.suffix
    stem = _CALLED.get(last, "") if last == suffix else last.removesuffix(f"_{suffix}")
    new = f"{path}{dot}{stem}{'_' if stem else ''}{_slug(unit)}"
    if new != name and new in taken:
        raise InputError("units", name, f"the table already has {new}")
    return new


def _slug(unit: str) -> str:
    """A unit as the end of a name: ``gr_per_gal``."""
    return unit.removesuffix(" bed").replace("/", "_per_").replace(" ", "_").lower()
