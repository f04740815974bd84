"""What results are told apart by: texts that are members of an enumeration, so that nobody has to compare words."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing_extensions import Self

__all__ = [
    "ActivityLaw",
    "At",
    "BrineWater",
    "ConcentrationUnit",
    "Direction",
    "DisplayUnits",
    "FilmCorrelation",
    "FilmDiffusion",
    "Kinetics",
    "LeakageBound",
    "LiftedMixing",
    "Outcome",
    "Salt",
    "SelectivityBasis",
    "ServiceFlow",
    "StopReason",
]


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


class Direction(_Name):
    """Direction of the brine, relative to service: of a regeneration, a step, and as `cycle.direction`.

    A field takes a member or its text, and a member is equal to its text.

    Examples
    --------
    >>> import brinefront as bf
    >>> case = bf.default_case().replace({"cells": 10, "regeneration.direction": bf.Direction.CO_CURRENT})
    >>> case.regeneration.direction == bf.Direction.CO_CURRENT, str(bf.Direction.CO_CURRENT)
    (True, 'co-current')
    >>> case.cycle().direction is bf.Direction.CO_CURRENT
    True
    """

    CO_CURRENT = "co-current"
    COUNTER_CURRENT = "counter-current"


class At(_Name):
    """What :func:`compare` holds equal, or that it bounds a leakage; a text does as well.

    Examples
    --------
    >>> import brinefront as bf
    >>> bf.compare(bf.default_case().replace({"cells": 10}), bf.At.EQUAL_DOSE).at == bf.At.EQUAL_DOSE
    True
    """

    EQUAL_DOSE = "equal-dose"
    EQUAL_LEAKAGE = "equal-leakage"
    LEAKAGE = "leakage"


class Salt(_Name):
    """Salt of a regeneration, `regeneration.salt`; a text does as well."""

    SODIUM_CHLORIDE = "NaCl"
    POTASSIUM_CHLORIDE = "KCl"


class BrineWater(_Name):
    """Water that brine is made with or a step is fed with, such as `regeneration.brine_water`; a text does as well."""

    SOFT = "soft"
    FEED = "feed"


class ServiceFlow(_Name):
    """Way of the water in service, `service.service_flow`; a text does as well."""

    DOWN = "down"
    UP = "up"


class Kinetics(_Name):
    """How exchange is limited, `case.kinetics`; a text does as well."""

    EQUILIBRIUM = "equilibrium"
    LUMPED = "lumped"
    INTERDIFFUSION = "interdiffusion"
    RADIAL = "radial"


class ActivityLaw(_Name):
    """Law of activity coefficients, `case.activity`; a text does as well."""

    IDEAL = "ideal"
    DAVIES = "davies"
    PITZER = "pitzer"


class LiftedMixing(_Name):
    """How beads mix in a step that lifts the bed, `bed.lifted_mixing`; a text does as well."""

    NONE = "none"
    DISPERSION = "dispersion"
    FULL = "full"


class FilmCorrelation(_Name):
    """Correlation of the film, `rates.film_correlation`; a text does as well."""

    GNIELINSKI = "gnielinski"
    CARBERRY = "carberry"
    WILSON_GEANKOPLIS = "wilson-geankoplis"
    WAKAO = "wakao"


class FilmDiffusion(_Name):
    """How ions cross the film, `rates.film_diffusion`; a text does as well."""

    MEAN = "mean"
    BY_ION = "by-ion"


class SelectivityBasis(_Name):
    """Volume that a selectivity is counted on, `resin.selectivity_basis`; a text does as well."""

    BED = "bed"
    BEAD = "bead"


class ConcentrationUnit(_Name):
    """Unit of the concentrations of a water, `water.unit`; a text does as well."""

    MG_PER_L = "mg/L"
    MG_PER_L_CACO3 = "mg/L CaCO3"
    MMOL_PER_L = "mmol/L"
    MEQ_PER_L = "meq/L"


class DisplayUnits(_Name):
    """Units that are shown, `display.units` and :func:`set_display_units`; a text does as well."""

    METRIC = "metric"
    US = "us"
    BOTH = "both"


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
