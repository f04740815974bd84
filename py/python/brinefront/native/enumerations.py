"""What results are told apart by: texts that are members of an enumeration, so that nobody has to compare words."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing_extensions import Self

__all__ = ["LeakageBound", "Outcome", "StopReason"]


class _Name(str, Enum):
    """A text that is one of a few."""

    def __new__(cls, value: str) -> Self:
        """The member of a text."""
        member = str.__new__(cls, value)
        member._value_ = value
        return member

    def __str__(self) -> str:
        """Give the text alone."""
        return str(self.value)

    def __repr__(self) -> str:
        """Give the text as it is shown everywhere else."""
        return repr(self.value)


class Outcome(_Name):
    """What a cycle came to, as `cycle.outcome`; a member is the text that tables show.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.default_case().replace({"cells": 10}).cycle().outcome is bf.Outcome.SETTLED
    True
    """

    NEVER_SOFT = "never soft"
    CANNOT_RECOVER = "cannot recover"
    SETTLED = "settled"
    UNSETTLED = "unsettled"
    FROM_NEW_RESIN = "from new resin"


class StopReason(_Name):
    """Why service, or another step, ended, as `cycle.stop_reason`; a member is the text that tables show.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.default_case().replace({"cells": 10}).cycle().stop_reason is bf.StopReason.THROUGHPUT
    True
    """

    THROUGHPUT = "throughput"
    TIME = "time"
    LEAKAGE_LIMIT = "leakage limit"
    NEVER_SOFT = "never soft"
    RINSED = "rinsed"


class LeakageBound(_Name):
    """What keeps a strategy from needing less salt at a leakage, as in `comparison.bounds`.

    Examples
    --------
    >>> import brinefront as bf
    >>> case = bf.default_case().replace({"cells": 10})
    >>> bf.LeakageBound.NOT_MET in bf.compare(case, at="leakage", mean=5.0).bounds
    False
    """

    LEAKAGE = "leakage"
    LIMIT = "limit"
    UNSTEADY = "unsteady"
    LEAST_DOSE = "least-dose"
    MOST_DOSE = "most-dose"
    RUN = "run"
    NOT_MET = "not-met"
