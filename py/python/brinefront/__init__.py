"""Finite-volume simulation of ion-exchange softening: loading, regeneration, leakage, salt efficiency and waste.

>>> import brinefront as bf
>>> both = bf.compare(bf.default_case())
>>> print(both.sentence)  # doctest: +SKIP

A run releases the interpreter: threads compute side by side, to the same bits as one after the other. A free-threaded Python
turns its lock on when it loads brinefront, and says so in a ``RuntimeWarning``: nothing here has been tested without it.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from brinefront import units
from brinefront._core import (
    VERSION as __version__,
)
from brinefront._core import (
    Backwash,
    Bed,
    Brine,
    Case,
    FastRinse,
    Maldistribution,
    Rates,
    Recipe,
    Regeneration,
    Resin,
    Service,
    Site,
    SlowRinse,
    Standby,
    Water,
    default_case,
    equilibrium,
    ions,
    selectivity_sets,
)
from brinefront.errors import (
    BrinefrontError,
    CaseFileAccessError,
    CaseFileError,
    CaseFileNotFoundError,
    InputError,
    MissingPackageError,
    SolverError,
)
from brinefront.export import read, save
from brinefront.hydraulics import hydraulics
from brinefront.long_table import LongTable, long_table, sweep_table
from brinefront.results import Cycle, Run
from brinefront.salt_account import SaltAccount, SaltShare
from brinefront.study import Comparison, Point, PointStream, compare, sweep, sweep_stream
from brinefront.theory import Waves, efficiency_ceiling, waves

if TYPE_CHECKING:
    from brinefront import live as live
    from brinefront import plot as plot

__all__ = [
    "Backwash",
    "Bed",
    "Brine",
    "BrinefrontError",
    "Case",
    "CaseFileAccessError",
    "CaseFileError",
    "CaseFileNotFoundError",
    "Comparison",
    "Cycle",
    "FastRinse",
    "InputError",
    "LongTable",
    "Maldistribution",
    "MissingPackageError",
    "Point",
    "PointStream",
    "Rates",
    "Recipe",
    "Regeneration",
    "Resin",
    "Run",
    "SaltAccount",
    "SaltShare",
    "Service",
    "Site",
    "SlowRinse",
    "SolverError",
    "Standby",
    "Water",
    "Waves",
    "__version__",
    "compare",
    "default_case",
    "efficiency_ceiling",
    "equilibrium",
    "hydraulics",
    "ions",
    "long_table",
    "read",
    "save",
    "selectivity_sets",
    "sweep",
    "sweep_stream",
    "sweep_table",
    "units",
    "waves",
]


def __getattr__(name: str) -> Any:
    """Pictures and the live page, imported when first asked for."""
    if name in ("live", "plot"):
        return import_module(f"brinefront.{name}")
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
