"""What a check is: a function that yields figures and plots, registered by :func:`check`."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

# How sure a source is, from the strongest to the weakest.
Sure = Literal["seen", "seen in part", "derived", "computed", "common practice", "from memory"]


@dataclass(frozen=True)
class Size:
    """How much work a check may do."""

    quick: bool

    @property
    def cells(self) -> int:
        """Cells along a bed."""
        return 40 if self.quick else 100

    def thin(self, values: Sequence[float]) -> list[float]:
        """Every second value of a quick run, ends included; all of a full one."""
        return [*values[:-1:2], values[-1]] if self.quick else list(values)


@dataclass(frozen=True)
class Source:
    """Where an outside figure comes from, and how sure that is."""

    text: str
    sure: Sure


@dataclass(frozen=True)
class Figure:
    """One figure of ours beside one of theirs.

    Parameters
    ----------
    what
        The figure, in words.
    unit
        Its unit, empty for a plain number.
    ours
        What the package computes.
    low, high
        What the source allows: a value with the tolerance that its digits or its spread give, or a band.
    theirs
        The figure as the source has it, in its own words or digits.
    source
        Where it comes from.
    reason
        Why the two differ, where they do. A difference without a reason fails the run.
    """

    what: str
    unit: str
    ours: float
    low: float
    high: float
    theirs: str
    source: Source
    reason: str = ""

    @property
    def agrees(self) -> bool:
        """Whether ours lies within what the source allows."""
        return math.isfinite(self.ours) and self.low <= self.ours <= self.high

    @property
    def verdict(self) -> str:
        """One word: agrees, differs (a reason is stated) or unexplained."""
        return "agrees" if self.agrees else "differs" if self.reason else "unexplained"


def near(
    what: str, unit: str, ours: float, theirs: float, tolerance: float, source: Source, *, reason: str = ""
) -> Figure:
    """Give a figure that a source has as one value, with an absolute tolerance in its unit."""
    said = f"{theirs:.6g} +- {tolerance:.2g}"
    return Figure(what, unit, ours, theirs - tolerance, theirs + tolerance, said, source, reason)


def band(
    what: str, unit: str, ours: float, low: float, high: float, source: Source, *, said: str = "", reason: str = ""
) -> Figure:
    """Give a figure that a source has as a range."""
    return Figure(what, unit, ours, low, high, said or f"{low:.4g} to {high:.4g}", source, reason)


@dataclass(frozen=True)
class Series:
    """One line, or one set of points, of a plot."""

    label: str
    x: Sequence[float]
    y: Sequence[float]
    points: bool = False


@dataclass(frozen=True)
class Plot:
    """Ours and theirs over one axis; a band is drawn between two rows of values."""

    name: str
    title: str
    x_label: str
    y_label: str
    series: Sequence[Series]
    band: tuple[Sequence[float], Sequence[float], Sequence[float]] | None = None
    band_label: str = ""
    log: bool = False


Body = Callable[[Size], Iterator[Figure | Plot]]


@dataclass(frozen=True)
class Check:
    """A registered check."""

    topic: str
    name: str
    doc: str
    body: Body


@dataclass
class Registry:
    """The checks in the order they were registered."""

    checks: list[Check] = field(default_factory=list)

    def check(self, topic: str) -> Callable[[Body], Body]:
        """Register the decorated function under a topic."""

        def register(body: Body) -> Body:
            self.checks.append(Check(topic, body.__name__, (body.__doc__ or "").strip().splitlines()[0], body))
            return body

        return register


registry = Registry()
check = registry.check
