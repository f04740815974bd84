"""Quantities with units, in and out: the one room that knows pint, which is loaded where a quantity is met."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from math import isclose
from typing import TYPE_CHECKING, Any, cast

from brinefront._core import convert_concentration, convert_unit, ions
from brinefront.errors import InputError
from brinefront.native.optional import need
from brinefront.units.conversion import converts
from brinefront.units.fields import DIMENSIONLESS, TRADE_UNITS, FieldUnit, of_field, of_name

if TYPE_CHECKING:
    import pint

    from brinefront._core import Case
    from brinefront.units.quantity import Number

__all__ = ["in_case", "in_field", "in_unit", "is_quantity", "numbers", "of_ion", "on_axes", "quantity", "registry"]

ION_FIELD = "water.ions."
ANALYSIS = {
    "mg_ion/L": ("mg_ion/L", "mg/L"),
    "mg/L": ("mg/L", "mg/L"),
    "mol/L": ("mmol/L",) * 2,
    "eq/L": ("meq/L",) * 2,
}
"""How each kind of concentration enters an analysis: its unit in the registry, and in the analysis."""

# Moles of what is known to be divalent: the one trade unit that a molar quantity can be.
_DIVALENT = ("mmol/L divalent", "mmol/L")

_AS_WHAT = (
    "as CaCO3 or as the ion? Write mg_CaCO3/L, gpg, french_degree, german_degree or eq/L for hardness, "
    "kgr_CaCO3/ft**3 or eq/L for a capacity; a plain mass does not say"
)
_CHARGE = "equivalents are moles times charge: write eq/L (1 mol/L of a divalent ion is 2 eq/L)"
_BY_THE_BED = "a volume of water is so many bed volumes only of a bed: divide by the bed's volume"
_BY_THE_DEPTH = "a velocity is so many bed volumes an hour only of a bed: divide by the bed's depth"
_NO_DIFFERENCE = "a difference of temperatures is not a temperature"
_OF_AN_ION = (
    "must be a concentration of the ion: mg_ion/L, mg_CaCO3/L, mmol/L or meq/L, or a unit that converts to one of them"
)
_ION_AS_WHAT = (
    "as CaCO3 or as the ion? Write mg_CaCO3/L, gr_CaCO3/gal or gpg, or mg_ion/L: a plain mass of an ion of hardness, grains "
    "and parts per million do not say"
)

# Our units as the registry spells them, where it reads their names otherwise or not at all.
_SPELLED = (
    (re.compile(r"(?<![A-Za-z_])((?:mm|cm|m|ft|in))([23])(?![\d])"), r"\1**\2"),
    (re.compile(r"(?<![A-Za-z_])in(?![A-Za-z_])"), "inch"),
    (re.compile(r"\b(k?gr|[mk]?g)\s*/\s*([\w*]+)\s+(?:as\s+)?(CaCO3|ion)\b"), r"\1_\3/\2"),
    (re.compile(r"\bdegree (French|German)\b"), lambda found: f"{found[1].lower()}_degree"),
    (re.compile(r"\bmmol\s*/\s*L divalent\b"), "mmol_divalent/L"),
    (re.compile(r"\beq\s*/\s*L bed\b"), "eq/L"),
)


# Lists in lists, at most: a case has no more than four.
_MOST_NESTED = 16


@cache
def registry() -> pint.UnitRegistry[Any]:
    """Give pint's registry with the units of the trade; always the same one.

    Beside what pint knows (grains, pounds, US gallons, feet, percent) it has

    - ``eq``, equivalents: an amount of charge with a dimension of its own, since moles do not say a charge;
    - ``g_CaCO3``, ``gr_CaCO3`` (with prefixes: ``mg_CaCO3``, ``kgr_CaCO3``): grams and grains as calcium carbonate, which
      are equivalents;
    - ``gpg``, ``french_degree``, ``german_degree``: hardness, in equivalents per volume;
    - ``BV``, bed volumes: a dimension of its own, since a bed's volume belongs to a bed;
    - ``gpm``, US gallons a minute;
    - ``g_ion`` (``mg_ion``), grams of the ion itself, for the ions of hardness, whose plain ``mg/L`` may be as CaCO3.

    It takes the names of :func:`names` too: ``ft3``, ``lb/ft3``, ``gpm/ft2``, ``mg/L CaCO3`` or ``mg/L as CaCO3``,
    ``degree French``. Bare grains are a mass here, in ``gr/gal`` and ``kgr/ft3``, and are refused wherever they could be
    grains as CaCO3, which :func:`convert` reads them as.

    Quantities of any other registry of pint are accepted as arguments too. To have ``pint.Quantity`` and pickled
    quantities know these units, call ``pint.set_application_registry(brinefront.units.registry())``.

    Returns
    -------
    pint.UnitRegistry
        The registry.

    Raises
    ------
    MissingPackageError
        Without pint.

    Examples
    --------
    >>> import brinefront as bf
    >>> ureg = bf.units.registry()
    >>> round(ureg("1 kgr_CaCO3/ft**3").m_as("eq/L"), 6)
    0.045728
    >>> round(bf.Bed(depth_m=3 * ureg.foot, diameter_m=400 * ureg.mm).depth_m, 4)
    0.9144
    """
    found: pint.UnitRegistry[Any] = need("pint", "quantities", "units").UnitRegistry(preprocessors=[_spelled_here])
    a_grain_eq = convert_unit(1.0, "gr/gal", "eq/L") * convert_unit(1.0, "gal", "L")
    for line in (
        "equivalent = [equivalents] = eq",
        f"gram_CaCO3 = {convert_unit(1.0, 'g/L CaCO3', 'eq/L')!r} equivalent = g_CaCO3",
        f"grain_CaCO3 = {a_grain_eq!r} equivalent = gr_CaCO3",
        f"grain_per_gallon = {convert_unit(1.0, 'gr/gal', 'eq/L')!r} equivalent / liter = gpg",
        f"french_degree = {convert_unit(1.0, 'degree French', 'eq/L')!r} equivalent / liter",
        f"german_degree = {convert_unit(1.0, 'degree German', 'eq/L')!r} equivalent / liter",
        "bed_volume = [bed_volume] = BV",
        "gallon_per_minute = gallon / minute = gpm",
        "gram_ion = [mass_of_an_ion] = g_ion",
        f"mole_divalent = {1e3 * convert_unit(1.0, 'mmol/L divalent', 'eq/L')!r} equivalent = mol_divalent",
    ):
        found.define(line)
    return found


def _spelled_here(unit: str) -> str:
    """A unit in the registry's spelling."""
    for pattern, written in _SPELLED:
        unit = pattern.sub(written, unit)
    return unit


def is_quantity(value: Any) -> bool:
    """Has a value a magnitude and units?"""
    return hasattr(value, "magnitude") and hasattr(value, "units")


def in_field(field: str, given: Any, *, bed_volume_l: float | None = None) -> float:
    """Give a quantity in the unit of a field.

    Parameters
    ----------
    field : str
        Dotted name, which carries the unit.
    given : Quantity
        Of any registry of pint. Bed volumes may be given as volume of water per volume of bed (``gal/ft**3``, or without
        a unit), flows in them as one over a time (``gpm/ft**3``).
    bed_volume_l : float, optional
        Where the bed is known: volumes and flows of water are divided by it.

    Raises
    ------
    InputError
        For another dimension, an array, or a field that takes no number.
    MissingPackageError
        Without pint.
    """
    unit = of_field(field)
    if unit is None:
        raise InputError(field, _text(given), "takes no quantity: give it under the field's own name, which has a unit")
    if unit.ion is not None:
        return of_ion(field, unit.ion, given, unit.quantity)
    limits = _limits(unit)
    found = _own(field, given, limits)
    if unit.quantity == "degC" and any(part.startswith("delta_") for part in found._units):
        raise InputError(field, _text(given), f"{limits}; {_NO_DIFFERENCE}")
    for target, bed in _ways(unit, bed_volume_l):
        if found.is_compatible_with(target):
            number = float(found.m_as(target)) / bed
            return int(number) if unit.counts and number.is_integer() else number
    raise InputError(field, _text(given), "; ".join([limits, *_hints(unit, found)]))


def of_ion(field: str, symbol: str, given: Any, unit: str) -> float:
    """Give the concentration of an ion in the unit of an analysis, or in ``"eq/L"``.

    The ion is known, so its mass, moles, equivalents and mass as calcium carbonate per volume are all accepted. An ion of
    hardness may be counted by its own mass or as calcium carbonate: a plain mass is refused, and so are bare grains, which
    elsewhere are grains as calcium carbonate.
    """
    found = _own(field, given, _OF_AN_ION)
    is_mass, is_part = found.is_compatible_with("mg/L"), found.is_compatible_with(DIMENSIONLESS)
    in_grains = any(name.endswith("grain") for name in given._units)
    if (is_mass and (in_grains or symbol in _hardness())) or (is_part and symbol in _hardness()):
        raise InputError(field, _text(given), _ION_AS_WHAT)
    for target, (registered, source) in ANALYSIS.items():
        if found.is_compatible_with(target):
            wanted = "meq/L" if unit == "eq/L" else unit
            value = convert_concentration(symbol, float(found.m_as(registered)), source, wanted)
            return convert_unit(value, wanted, unit) if unit == "eq/L" else value
    raise InputError(field, _text(given), _OF_AN_ION)


@cache
def _hardness() -> frozenset[str]:
    """The ions that may count as hardness: divalent cations."""
    return frozenset(each["symbol"] for each in ions() if each["charge"] == 2)


def in_case(case: Case, changed: Iterable[str], field: str, given: Any) -> float:
    """Give a quantity in the unit of a field of `case`, in which the fields `changed` change with it.

    Its bed is known unless it changes, and so is the unit of its water's analysis.
    """
    names = set(changed)
    if field.startswith(ION_FIELD):
        if names & {"water", "water.unit"}:
            raise InputError(
                field, _text(given), "the unit of the analysis changes with it: give a number in that unit"
            )
        return of_ion(field, field.removeprefix(ION_FIELD), given, case.water.unit)
    stays = not any(name.partition(".")[0] == "bed" for name in names)
    return in_field(field, given, bed_volume_l=case.bed.volume_l if stays else None)


def on_axes(case: Case, axes: Mapping[str, Iterable[Any]]) -> dict[str, list[Any]]:
    """Give the values of a grid's axes with every quantity in its field's unit."""

    def plain(field: str, value: Any, depth: int = 0) -> Any:
        if is_quantity(value):
            return in_case(case, axes, field, value)
        if depth > _MOST_NESTED:
            raise InputError(field, "a list or a dict", f"is nested deeper than {_MOST_NESTED} levels, or holds itself")
        if isinstance(value, Mapping):
            return {key: plain(f"{field}.{key}", item, depth + 1) for key, item in value.items()}
        if isinstance(value, (list, tuple)):
            items = [plain(f"{field}.{place}", item, depth + 1) for place, item in enumerate(value)]
            return items if isinstance(value, list) else tuple(items)
        return value

    for name, values in axes.items():
        # A text would be read letter by letter.
        if isinstance(values, (str, bytes, Mapping)) or not isinstance(values, Iterable):
            raise InputError(name, str(values), "must be a list of values, also where it is one")
    return {name: [plain(name, value) for value in values] for name, values in axes.items()}


def numbers(field: str, values: Iterable[Number], case: Case | None = None) -> list[float]:
    """Give plain numbers, those with units in the unit of `field`; a `case` lends its bed."""

    def plain(value: Any) -> Any:
        if type(value).__name__ in ("bool", "bool_"):
            raise InputError(field, str(value), "must be a number, not True or False")
        if not is_quantity(value):
            return value
        return in_field(field, value) if case is None else in_case(case, (), field, value)

    return [float(plain(value)) for value in values]


def in_unit(source: str, given: Any) -> float:
    """Give a quantity in a unit that :func:`brinefront.units.convert` knows."""
    limits = f"must be a number in {source}, or a quantity that converts to it"
    found = _own("value", given, limits)
    if source == _DIVALENT[0] and found.is_compatible_with(_DIVALENT[1]):
        return float(found.m_as(_DIVALENT[1]))
    for unit, name in TRADE_UNITS:
        for target, _ in _ways(unit, None):
            if found.is_compatible_with(target) and converts(name, source):
                return convert_unit(float(found.m_as(target)), name, source)
    # This raises for a source that is not known.
    convert_unit(1.0, source, source)
    raise InputError("value", _text(given), limits)


def quantity(name: str, value: Any) -> pint.Quantity[Any]:
    """Give a figure as a quantity of :func:`registry`, in the unit that its name carries."""
    unit = of_name(name)
    if unit is None or isinstance(value, (str, bool)):
        raise InputError(name, str(value), "is no number with a unit")
    made: pint.Quantity[Any] = registry().Quantity(value, unit.quantity)
    return made


def _own(field: str, given: Any, limits: str) -> Any:
    """A quantity of any registry as one of ours, its magnitude one float."""
    pint = need("pint", "quantities", "units")
    if not isinstance(given, pint.Quantity):
        raise InputError(field, _text(given), f"{limits}, as a plain number or a quantity of pint")
    if getattr(given.magnitude, "ndim", 0) != 0:
        raise InputError(field, _text(given), f"{limits}, one number and not an array")
    try:
        number = float(given.magnitude)
    except (TypeError, ValueError) as error:
        raise InputError(field, _text(given), f"{limits}, with a magnitude that is a number") from error
    try:
        return registry().Quantity(number, given.units) if given._REGISTRY is registry() else _adopted(number, given)
    except pint.PintError as error:
        raise InputError(field, _text(given), f"{limits}; {error}") from error


def _adopted(number: float, given: Any) -> Any:
    """A quantity of another registry: by the name of its unit if that means the same here, else by its root units."""
    pint, own = need("pint", "quantities", "units"), cast("Any", registry())
    factor, root = given._REGISTRY.get_root_units(given._units)
    try:
        unit = own.Unit(_spelled(given._units))
        own_factor, own_root = own.get_root_units(unit)
        if own_root == own.Unit(_spelled(root._units)) and isclose(own_factor, factor, rel_tol=1e-12):
            return own.Quantity(number, unit)
    except pint.UndefinedUnitError:
        pass
    return own.Quantity(float(given.to_root_units().magnitude), _spelled(root._units))


def _spelled(parts: Mapping[str, Any]) -> str:
    """Units as any registry reads them, whatever format its owner has set."""
    return " * ".join(f"{name} ** {float(power)!r}" for name, power in parts.items()) or DIMENSIONLESS


def _ways(unit: FieldUnit, bed_volume_l: float | None) -> list[tuple[str, float]]:
    """Units in which a field takes a quantity, and the litres of bed that it is then divided by."""
    own = (unit.quantity, 1.0)
    alike = {"BV": (DIMENSIONLESS, "L"), "BV/h": ("1/h", "L/h")}
    if unit.quantity not in alike:
        return [own]
    ratio, volume = alike[unit.quantity]
    return [own, (ratio, 1.0)] if bed_volume_l is None else [own, (ratio, 1.0), (volume, bed_volume_l)]


def _limits(unit: FieldUnit) -> str:
    if unit.quantity == DIMENSIONLESS:
        return "must be a plain number, or a quantity without dimension"
    return f"must be a number in {unit.quantity}, or a quantity that converts to it"


def _hints(unit: FieldUnit, found: Any) -> list[str]:
    """What whoever gave a quantity of another dimension may have meant."""
    hints = {
        "eq/L": {"mol/L": _CHARGE, "g/L": _AS_WHAT, DIMENSIONLESS: _AS_WHAT},
        "mg_CaCO3/L": {"mol/L": _CHARGE, "g/L": _AS_WHAT, DIMENSIONLESS: _AS_WHAT},
        "BV": {"L": _BY_THE_BED},
        "BV/h": {"L/h": _BY_THE_BED, "m/h": _BY_THE_DEPTH},
    }
    return [hint for given, hint in hints.get(unit.quantity, {}).items() if found.is_compatible_with(given)]


def _text(given: Any) -> str:
    return " ".join(str(given).split())
