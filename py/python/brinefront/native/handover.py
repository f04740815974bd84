"""The one place where the compiled library calls upwards: finished work as plain records becomes what users hold.

The library knows a kind of record and its data, and this function; each class registers for the kind it is made of. So the
library names no class, and no room below the classes imports one.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from brinefront.native.sayings import DesignRule, Note, SearchEnd, SiteTarget

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

__all__ = [
    "design_rule",
    "finished",
    "made_of",
    "maker",
    "note",
    "of_native",
    "search_end",
    "site_target",
]

Kind: TypeAlias = Literal["cycle", "run", "salt account"]
"""What the library finishes: one cycle, one loading or elution, one salt account."""

_makers: dict[str, Callable[[dict[str, Any]], object]] = {}


def made_of(kind: Kind, make: Callable[[dict[str, Any]], object]) -> None:
    """Register what turns the records of a kind into an object."""
    _makers[kind] = make


def finished(kind: Kind, records: dict[str, Any]) -> object:
    """Turn finished work into the object that presents it; called by the library.

    Parameters
    ----------
    kind : {"cycle", "run", "salt account"}
        What was finished.
    records : dict
        Its case, figures and notes, and its tables as columns; arrays are handed over without a copy.
    """
    return maker(kind)(records)


def note(words: str, record: dict[str, Any], weight: str, us: str) -> Note:
    """A line of a report in metric and in the trade's units, its weight and its record; called by the library."""
    return Note(words, *_by_kind(record, "kind"), weight, us)


def search_end(words: str, record: dict[str, Any], us: str) -> SearchEnd:
    """How a search ended, in metric and in the trade's units, with its record; called by the library."""
    return SearchEnd(words, *_by_kind(record, "kind"), us)


def design_rule(words: str, record: dict[str, Any]) -> DesignRule:
    """A rule of design and what the cycle came to, with the record of the line; called by the library."""
    return DesignRule(words, *_by_kind(record, "rule"))


def site_target(words: str, record: dict[str, Any]) -> SiteTarget:
    """A target of the site and what the cycle came to, with the record of the line; called by the library."""
    return SiteTarget(words, *_by_kind(record, "target"))


def _by_kind(record: dict[str, Any], key: str) -> tuple[str, dict[str, Any]]:
    """What a record is about, and the rest of it."""
    return record[key], {name: value for name, value in record.items() if name != key}


def maker(kind: Kind) -> Callable[[dict[str, Any]], object]:
    """What turns the records of a kind into an object; a class registers when `brinefront` is imported."""
    return _makers[kind]


def of_native(record: Mapping[str, Any]) -> dict[str, Any]:
    """A record of a result by name; a number that does not exist is None in the library and nan here, others are as they are."""
    return {name: math.nan if value is None else value for name, value in record.items()}
