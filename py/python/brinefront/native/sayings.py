"""Lines of a report with the values that they were made of."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    from typing_extensions import Self

__all__ = ["Note", "SearchEnd"]


class _Line(str):
    """A line of text that has its kind and its numbers beside it."""

    __slots__ = ("_kind", "_values")

    _kind: str
    _values: dict[str, Any]

    def __new__(cls, words: str, kind: str, values: Mapping[str, Any]) -> Self:
        """Make one; results bring their own."""
        line = super().__new__(cls, words)
        line._kind, line._values = kind, dict(values)
        return line

    @property
    def kind(self) -> str:
        """What it is about, a name that stays where the words may change from one version to the next."""
        return self._kind

    @property
    def values(self) -> Mapping[str, Any]:
        """What the line was made of by name, units at the end of the names."""
        return MappingProxyType(self._values)

    def __reduce__(self) -> tuple[type[Self], tuple[str, str, dict[str, Any]]]:
        """Copy and pickle with the values."""
        return type(self), (str(self), self._kind, self._values)


class Note(_Line):
    """What figures should be read with, in a line: an assumption, a law outside its range, an effect to expect.

    A program asks for `kind` and `values`, not for words. `values` has the step that it is about, if it is about one.

    Notes on a cycle and on single runs: ``"chloride-assumed"``, ``"activity-temperature"``, ``"film-outside-range"``,
    ``"dispersion-outside-range"``, ``"hydraulics-outside-range"``, ``"lifted"``, ``"carried-away"``, ``"fingers"``,
    ``"dispersion-at-rest"``, ``"mixing-prevented"``, ``"mixing-coefficient"``, ``"salt-is-not-the-dose"``,
    ``"gypsum-supersaturated"``, ``"accuracy-missed"``. On a salt account: ``"customary-limit"``, ``"meter-set-aside"``,
    ``"share-blurred"``, ``"bed-with-effects"``.

    Examples
    --------
    >>> import brinefront as bf
    >>> cycle = bf.default_case().replace({"cells": 10, "bed.held_down": False}).cycle()
    >>> [note.values["step"] for note in cycle.notes if note.kind == "lifted"]
    ['brine', 'slow rinse']
    """

    __slots__ = ()


class SearchEnd(_Line):
    """How the search for a steady cycle ended, in a line.

    `values` has the cycles that were run and the change of the loading over the last, relative to capacity.

    Examples
    --------
    >>> import brinefront as bf
    >>> end = bf.default_case().replace({"cells": 10}).cycle().search_end
    >>> end.kind, sorted(end.values)
    ('settled', ['change', 'cycles'])
    """

    __slots__ = ()
