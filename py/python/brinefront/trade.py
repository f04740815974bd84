"""Results in trade units, by name: single figures, and the columns and variables of tables."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar, cast

from brinefront._core import convert_unit
from brinefront._core import unit_names as names
from brinefront.errors import InputError
from brinefront.field_units import of_name

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    import pint

    from brinefront.quantity import Number

__all__ = ["InTradeUnits", "converted", "converts"]

Table = TypeVar("Table")

# Units whose words in a table are not their name.
WORDS = {"mg/L CaCO3": "mg/L as CaCO3", "eq/L bed": "eq/L of bed", "g/L CaCO3": "g/L as CaCO3"}
_NAMES = {words: name for name, words in WORDS.items()}
# A name that is nothing but its unit, and what it is then called.
_CALLED = {"bv": "throughput", "minutes": "duration", "hours": "duration"}
# What bed volumes and flows in them are in litres, once the bed is known.
_BY_BED = {"BV": "L", "BV/h": "L/h"}


class InTradeUnits:
    """What a set of figures can be asked for in another unit."""

    def figure(self, name: str, unit: str) -> float:
        """Give a figure in another unit.

        Parameters
        ----------
        name : str
            Name of a figure, such as ``"capacity_eq_per_l"``.
        unit : str
            One of :func:`brinefront.units.names` that measures the same thing: ``"kgr/ft3"``. Bed volumes become
            litres, gallons, cubic feet or cubic metres by the volume of the cycle's bed.

        Returns
        -------
        float
            The figure in that unit.

        Raises
        ------
        InputError
            For a name that is no figure, a figure without a unit, or a unit of something else.

        Examples
        --------
        >>> import brinefront as bf
        >>> cycle = bf.default_case().replace({"cells": 10}).cycle()
        >>> cycle.figure("capacity_kgr_per_ft3", "kgr/ft3") == cycle.capacity_kgr_per_ft3
        True
        """
        value = self._asked(name)
        if isinstance(value, (str, bool)):
            raise InputError(name, str(value), "is no number and has no unit")
        return float(_to(name, _source(name, ""), unit, self._bed_volume_l())(value))

    def quantity(self, name: str) -> pint.Quantity[Any]:
        """Give a figure as a quantity with its unit, of :func:`brinefront.units.registry`.

        Parameters
        ----------
        name : str
            Name of a figure, such as ``"capacity_eq_per_l"``.

        Returns
        -------
        pint.Quantity
            The number with its unit.

        Raises
        ------
        InputError
            For a name that is no figure, or a figure that is no number.
        MissingPackageError
            Without pint.
        """
        from brinefront.quantities import quantity

        return quantity(name, self._asked(name))

    def _asked(self, name: str) -> Any:
        from brinefront.figures import figures

        if name not in {each.name for each in figures()}:
            raise InputError("name", name, "is no figure of a cycle; brinefront.figures.figures() has their names")
        return getattr(self, name)

    def _bed_volume_l(self) -> float | None:
        """Volume of the bed [L], where it is known."""
        return None


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
    from brinefront.quantities import numbers

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


def converts(source: str, target: str) -> bool:
    """Do two units measure the same thing?"""
    try:
        convert_unit(1.0, source, target)
    except InputError:
        return False
    return True


def _frame(frame: Any, name: str, unit: str, bed: float | None) -> Any:
    said = dict(frame.attrs.get("units", {}))
    _there("column", name, list(frame.columns))
    source = _source(name, said.get(name, ""))
    change = _to(name, source, unit, bed)
    new = _renamed(name, source, unit, list(frame.columns))
    found = frame.copy()
    found[name] = change(_numbers(name, frame[name]))
    found.columns = [new if column == name else column for column in frame.columns]
    said = {new if key == name else key: WORDS.get(unit, unit) if key == name else words for key, words in said.items()}
    found.attrs = {**frame.attrs, "units": said | {new: WORDS.get(unit, unit)}}
    return found


def _dataset(dataset: Any, name: str, unit: str, bed: float | None) -> Any:
    _there("variable", name, list(dataset.variables))
    variable = dataset[name]
    source = _source(name, variable.attrs.get("units", ""))
    change = _to(name, source, unit, bed)
    new = _renamed(name, source, unit, [*dataset.variables, *dataset.dims])
    attrs = {**variable.attrs, "units": WORDS.get(unit, unit)}
    data = (variable.dims, change(_numbers(name, variable.data)), attrs)
    found = dataset.assign_coords({name: data}) if name in dataset.coords else dataset.assign({name: data})
    return found.rename({name: new})


def _there(what: str, name: str, known: list[Any]) -> None:
    if name not in known:
        raise InputError("units", name, f"the table has no such {what}; it has {', '.join(map(str, known))}")


def _numbers(name: str, values: Any) -> Any:
    if values.dtype.kind not in "iuf":
        raise InputError("units", name, "does not hold numbers")
    return values


def _source(name: str, said: str) -> str:
    """The unit of a column or a figure: that of its name, else the one that its table says."""
    known = of_name(name.rpartition(".")[2])
    if known is not None and known.trade is not None:
        return known.trade
    unit = _NAMES.get(said, said)
    if known is None and unit in names():
        return unit
    own = said or (known.quantity if known is not None else "")
    there = f"it is in {own}, which" if own else "it has no unit that"
    raise InputError("units", name, f"{there} does not convert into trade units")


def _to(name: str, source: str, unit: str, bed_volume_l: float | None) -> Callable[[Any], Any]:
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
    """A name with the end that says its unit exchanged."""
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
