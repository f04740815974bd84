"""Lines of a report with the values that they were made of."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Mapping

    from typing_extensions import Self

__all__ = ["DesignRule", "Note", "SearchEnd", "Sentence", "SiteTarget"]


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

    def __reduce__(self) -> tuple[type[Self], tuple[Any, ...]]:
        """Copy and pickle with the values."""
        return type(self), (str(self), self._kind, self._values)


class Sentence(_Line):
    """A line with amounts, in metric units as a text; the library has made it in those of the trade too."""

    __slots__ = ("_us",)

    _us: str

    def __new__(cls, words: str, kind: str, values: Mapping[str, Any], us: str = "") -> Self:
        """Make one; results bring their own."""
        line = super().__new__(cls, words, kind, values)
        line._us = us or str(words)
        return line

    @property
    def us(self) -> Self:
        """The same line in the units of the trade in the United States."""
        made_by, (_, *others) = self.__reduce__()
        return made_by(self._us, *others)

    def __reduce__(self) -> tuple[type[Self], tuple[Any, ...]]:
        """Copy and pickle with the other system and the values."""
        made_by, given = super().__reduce__()
        return made_by, (*given, self._us)


class Note(Sentence):
    """What figures should be read with, in a line: an assumption, a law outside its range, an effect to expect.

    A program asks for `kind` and `values`, not for words. `values` has the step that it is about, if it is about one.

    Notes on a cycle and on single runs: ``"chloride-assumed"``, ``"activity-temperature"``, ``"film-outside-range"``,
    ``"dispersion-outside-range"``, ``"hydraulics-outside-range"``, ``"lifted"``, ``"carried-away"``, ``"fingers"``,
    ``"dispersion-at-rest"``, ``"mixing-prevented"``, ``"mixing-coefficient"``, ``"not-soft"``, ``"first-water-hard"``, ``"error-unknown"``,
    ``"salt-is-not-the-dose"``,
    ``"fouling"``, ``"no-regeneration-before"``, ``"gypsum-supersaturated"``, ``"accuracy-missed"``. On a salt account: ``"customary-limit"``, ``"meter-set-aside"``,
    ``"share-blurred"``, ``"bed-with-effects"``.

    Examples
    --------
    >>> import brinefront as bf
    >>> cycle = bf.default_case().replace({"cells": 10, "bed.held_down": False}).cycle()
    >>> [note.values["step"] for note in cycle.notes if note.kind == "lifted"]
    ['brine', 'slow rinse']
    >>> sorted({note.weight for note in cycle.notes})
    ['acts', 'assumed']
    """

    __slots__ = ("_weight",)

    _weight: str

    def __new__(cls, words: str, kind: str, values: Mapping[str, Any], weight: str, us: str = "") -> Self:
        """Make one; results bring their own."""
        note = super().__new__(cls, words, kind, values, us)
        note._weight = weight
        return note

    @property
    def weight(self) -> str:
        """What it costs to leave it out.

        ``"acts"``: something is to be done before the figures are used; ``"know"``: the figures are to be read with it;
        ``"assumed"``: it has no consequence, and is not shown beside the figures.
        """
        return self._weight

    def __reduce__(self) -> tuple[type[Self], tuple[Any, ...]]:
        """Copy and pickle with weight, the other system and the values."""
        made_by, (words, kind, values, us) = super().__reduce__()
        return made_by, (words, kind, values, self._weight, us)


class DesignRule(_Line):
    """A rule of design and what the cycle came to, in a line.

    `kind` is what the rule is about; `values` has ``found``, ``low`` and ``high`` in ``unit`` (None where there is no such
    bound), ``inside`` and ``source``.

    Examples
    --------
    >>> import brinefront as bf
    >>> cycle = bf.default_case().replace({"cells": 10}).cycle()
    >>> [rule.kind for rule in cycle.design_rules if not rule.inside]
    ['service velocity', 'brine time', 'fast rinse']
    """

    __slots__ = ()

    @property
    def inside(self) -> bool:
        """Whether what was found is within what the rule allows."""
        return bool(self.values["inside"])


class SiteTarget(_Line):
    """A target of the site and what the cycle came to, in a line.

    `kind` is ``"salt budget"``, ``"accepted leakage"`` or ``"water use"``; `values` has ``found`` and ``asked`` in
    ``unit``, ``met``, ``error`` (the numerical error of what was found; None if it is not known) and ``within_error``,
    whether the margin is smaller than that.

    Examples
    --------
    >>> import brinefront as bf
    >>> cycle = bf.default_case().replace({"cells": 10}).cycle()
    >>> [(target.kind, target.met) for target in cycle.site_targets]
    [('salt budget', True), ('accepted leakage', True), ('water use', True)]
    """

    __slots__ = ()

    @property
    def met(self) -> bool:
        """Whether it is met."""
        return bool(self.values["met"])


class SearchEnd(Sentence):
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
