"""The figures of one cycle: every number that a finished run is known by, with its words and its unit.

Names, words, units and kinds are those of the library's record, which has them from the fields themselves.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, make_dataclass, replace
from typing import TYPE_CHECKING, Any, TypeVar

from brinefront import _core
from brinefront.native.enumerations import Direction, Outcome, StopReason
from brinefront.native.handover import of_native
from brinefront.units import display

__all__ = [
    "Figure",
    "Figures",
    "as_shown",
    "cell",
    "distinct",
    "figure",
    "figures",
    "in_units_shown",
    "of_record",
    "shown_in",
    "with_errors",
    "with_figures",
]

Presented = TypeVar("Presented", bound=type)

MG_CACO3 = "mg/L as CaCO3"
EQ_BED = "eq/L of bed"


# Figures whose text is a member of an enumeration.
ENUMERATIONS: Mapping[str, Callable[[Any], Any]] = {
    "direction": Direction,
    "outcome": Outcome,
    "stop_reason": StopReason,
}

# What a kind of the record is in Python.
KINDS: Mapping[str, type] = {"number": float, "whole": int, "flag": bool, "text": str}


@dataclass(frozen=True)
class Figure:
    """One figure's name, words and unit; `kind` is "float", "int", "bool" or "str"."""

    name: str
    words: str
    unit: str
    kind: str

    @property
    def label(self) -> str:
        """Words and unit, as a table or an axis shows them."""
        return f"{self.words} [{self.unit}]" if self.unit else self.words


_RECORDS = {record["name"]: record for record in _core.figures()}
_FIGURES = {
    name: Figure(name, record["words"], record["unit"], KINDS[record["kind"]].__name__)
    for name, record in _RECORDS.items()
}

if TYPE_CHECKING:
    from brinefront._core import _Figures as _Values
else:
    _Values = make_dataclass(
        "_Values",
        [
            (each.name, each.kind, field(metadata={"words": each.words, "unit": each.unit}))
            for each in _FIGURES.values()
        ],
        namespace={"__module__": __name__, "__doc__": "The figures as fields, out of the record of the library."},
        frozen=True,
        kw_only=True,
        eq=False,
        repr=False,
    )


class Figures(_Values):
    """The results of a cycle that are one value each. Volumes are of packed bed; hardness is as CaCO3.

    A figure that does not exist, such as one a week where no site is known, is nan.
    """

    def figures(self) -> dict[str, Any]:
        """Every figure by its name.

        Returns
        -------
        dict of str to object
            Numbers, texts and a truth value; a figure that does not exist is nan.
        """
        return {each.name: cell(getattr(self, each.name)) for each in figures()}

    def __repr__(self) -> str:
        return f"<Figures {self.direction}, {self.dose_g_per_l:g} g/L: {self.run_length_bv:.4g} BV>"


def cell(value: Any) -> Any:
    """A figure as a cell of a table: a text alone, where the figure has values beside it."""
    return str(value) if isinstance(value, str) else value


def figures() -> Iterator[Figure]:
    """The figures in their order."""
    yield from _FIGURES.values()


def shown_in(table: str) -> tuple[str, ...]:
    """The names of the figures that a table shows, in its order: "key", "sweep" or "search"."""
    places = {name: record["tables"][table] for name, record in _RECORDS.items() if table in record["tables"]}
    return tuple(sorted(places, key=places.__getitem__))


def with_errors() -> tuple[tuple[str, str], ...]:
    """The names of the figures whose numerical error is known, each with that of the error."""
    return tuple((record["error_of"], name) for name, record in _RECORDS.items() if record["error_of"])


def of_record(found: Mapping[str, Any]) -> dict[str, Any]:
    """The figures out of the record that the library hands over: nan where one does not exist, members of enumerations."""
    return {name: ENUMERATIONS.get(name, _same)(value) for name, value in of_native(found).items()}


def _same(value: Any) -> Any:
    return value


def with_figures(presented: Presented) -> Presented:
    """Write every figure with its words and unit into the attributes at the end of a class's docstring."""
    # Without docstrings (``-OO``) a dataclass has its signature in their place.
    if presented.__doc__ and "Attributes\n" in presented.__doc__:
        lines = (f"\n{each.name} : {each.kind}\n    {_capital(each.label)}." for each in figures())
        presented.__doc__ = inspect.cleandoc(presented.__doc__) + "".join(lines) + "\n"
    return presented


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def figure(name: str) -> Figure:
    """One figure by its name."""
    return _FIGURES[name]


def as_shown(name: str) -> Figure:
    """One figure by its name, with the unit in which a table shows it."""
    found = _FIGURES[name]
    return replace(found, unit=display.in_table(found.unit, name).unit)


def in_units_shown(name: str, value: Any) -> Any:
    """The value of a figure in the unit in which a table shows it; what is no number stays as it is."""
    found = _FIGURES[name]
    return display.in_table(found.unit, name).of(value) if found.kind == "float" else value


def distinct(names: Iterable[str]) -> list[str]:
    """The figures that a table shows, of those that become the same in the units shown the first."""
    by_label: dict[str, str] = {}
    for name in names:
        by_label.setdefault(as_shown(name).label, name)
    return list(by_label.values())
