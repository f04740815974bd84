"""Which unit a name carries: the one place that knows the meaning of `_bv_per_h` or `_mg_per_l_caco3`."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["DIMENSIONLESS", "TRADE_UNITS", "FieldUnit", "of_field", "of_name"]


@dataclass(frozen=True)
class FieldUnit:
    """The unit of every name that is, or ends in, `suffix`.

    Attributes
    ----------
    suffix : str
        What the name ends in.
    quantity : str
        The unit as the registry of :func:`brinefront.units.registry` reads it.
    trade : str or None
        The unit as :func:`brinefront.units.convert` knows it, if it does.
    ion : str or None
        The ion that a concentration is of, where the name has it.
    counts : bool
        Is it a count, a whole number?
    """

    suffix: str
    quantity: str
    trade: str | None = None
    ion: str | None = None
    counts: bool = False


DIMENSIONLESS = "dimensionless"

_UNITS = (
    FieldUnit("mg_per_l_caco3", "mg_CaCO3/L", "mg/L CaCO3"),
    FieldUnit("g_caco3", "g_CaCO3"),
    FieldUnit("until_chloride_mg_per_l", "mg/L", "mg/L", ion="Cl"),
    FieldUnit("mg_per_l", "mg/L", "mg/L"),
    FieldUnit("g_per_l", "g/L", "g/L"),
    FieldUnit("eq_per_l", "eq/L", "eq/L"),
    FieldUnit("kgr_per_ft3", "kgr_CaCO3/ft**3", "kgr/ft3"),
    FieldUnit("gr_per_lb", "gr_CaCO3/lb", "gr/lb"),
    FieldUnit("kg_per_m3", "kg/m**3", "kg/m3"),
    FieldUnit("bv", "BV", "BV"),
    FieldUnit("bv_per_h", "BV/h", "BV/h"),
    FieldUnit("m_per_h", "m/h", "m/h"),
    FieldUnit("m2_per_s", "m**2/s"),
    FieldUnit("per_s", "1/s"),
    FieldUnit("per_week", "1/week"),
    FieldUnit("m3_per_day", "m**3/day", "m3/day"),
    FieldUnit("m3_per_week", "m**3/week", "m3/week"),
    FieldUnit("kg_per_week", "kg/week", "kg/week"),
    FieldUnit("kj_per_mol", "kJ/mol"),
    FieldUnit("percent", "percent"),
    FieldUnit("percent_per_year", "percent/year"),
    FieldUnit("l", "L", "L"),
    FieldUnit("m", "m", "m"),
    FieldUnit("mm", "mm", "mm"),
    FieldUnit("g", "g", "g"),
    FieldUnit("kg", "kg", "kg"),
    FieldUnit("min", "min", "min"),
    FieldUnit("minutes", "min", "min"),
    FieldUnit("hours", "h", "h"),
    FieldUnit("years", "year"),
    FieldUnit("c", "degC"),
    FieldUnit("kpa", "kPa", "kPa"),
    FieldUnit("mpa_s", "mPa*s"),
    # Shares and coefficients; counts.
    *(
        FieldUnit(name, DIMENSIONLESS)
        for name in (
            *("fraction", "share", "mixing", "spread", "correlation", "selectivity", "from_loading"),
            *("tolerance", "accuracy", "error", "residual", "distance"),
        )
    ),
    *(
        FieldUnit(name, DIMENSIONLESS, counts=True)
        for name in ("tubes", "cells", "shells", "threads", "levels", "n", "cycles_run")
    ),
)
TRADE_UNITS = tuple((unit, unit.trade) for unit in _UNITS if unit.trade is not None)
_BY_SUFFIX = {unit.suffix: unit for unit in _UNITS}


def of_name(name: str) -> FieldUnit | None:
    """The unit of one name, by the longest of its endings that is known; None if none is."""
    words = name.split("_")
    return next(
        (_BY_SUFFIX[end] for end in ("_".join(words[k:]) for k in range(len(words))) if end in _BY_SUFFIX), None
    )


def of_field(field: str) -> FieldUnit | None:
    """The unit of a dotted field; ions and places within a mapping or a list have that of the whole.

    >>> from brinefront.units.fields import of_field
    >>> fields = ("recipe.1.flow_bv_per_h", "resin.bead_diffusivity_m2_per_s.Ca")
    >>> [unit and unit.quantity for unit in map(of_field, fields)]
    ['BV/h', 'm**2/s']
    """
    named = next((unit for part in reversed(field.split(".")) if (unit := of_name(part))), None)
    return named if named is not None else _of_record(field)


def _of_record(field: str) -> FieldUnit | None:
    """A number without a unit in its name is a bare one: a share, a coefficient or a count."""
    from brinefront.native import fields

    found = fields.record(field)
    kind = found["kind"] if found else ""
    return FieldUnit(field, DIMENSIONLESS, counts=kind == "whole") if kind in ("number", "whole") else None
