"""Finite-volume simulation of ion-exchange softening: loading, regeneration, leakage, salt efficiency and waste.

>>> import brinefront as bf
>>> both = bf.compare(bf.default_case())
>>> print(both.sentence)  # doctest: +SKIP

A run releases the interpreter: threads compute side by side, to the same bits as one after the other. A free-threaded Python
turns its lock on when it loads brinefront, with a ``RuntimeWarning``: the package has not been tested without it.
"""

from __future__ import annotations

# Before anything that takes its time to load.
from brinefront.native import stopping  # isort: skip

stopping.while_loading()

from importlib import import_module
from typing import TYPE_CHECKING

from brinefront import units
from brinefront._core import (
    VERSION as __version__,
)
from brinefront._core import (
    Backwash,
    Bed,
    Brine,
    Case,
    Display,
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
    diffusivity_sets,
    equilibrium,
    ions,
    selectivity_sets,
)
from brinefront.errors import (
    BrinefrontError,
    CaseFileAccessError,
    CaseFileError,
    CaseFileNotFoundError,
    FileError,
    InputError,
    MissingPackageError,
    SolverError,
)
from brinefront.files.export import read, save
from brinefront.native.enumerations import (
    ActivityLaw,
    At,
    BrineWater,
    ConcentrationUnit,
    Direction,
    DisplayUnits,
    FilmCorrelation,
    FilmDiffusion,
    Kinetics,
    LeakageBound,
    LiftedMixing,
    Outcome,
    Salt,
    SelectivityBasis,
    ServiceFlow,
    StopReason,
)
from brinefront.native.sayings import DesignRule, Note, SearchEnd, SiteTarget
from brinefront.results import (
    Comparison,
    Cycle,
    LeakageTarget,
    LongTable,
    Point,
    PointStream,
    Run,
    SaltAccount,
    SaltShare,
    Waves,
    compare,
    long_table,
    sweep_stream,
    waves,
)
from brinefront.tables.ceiling import efficiency_ceiling
from brinefront.tables.hydraulics import hydraulics
from brinefront.tables.long_table import sweep_table
from brinefront.tables.sweeps import sweep
from brinefront.units.display import display_units, set_display_units

if TYPE_CHECKING:
    from types import ModuleType

    from brinefront import live, plot, report

__all__ = [
    "ActivityLaw",
    "At",
    "Backwash",
    "Bed",
    "Brine",
    "BrineWater",
    "BrinefrontError",
    "Case",
    "CaseFileAccessError",
    "CaseFileError",
    "CaseFileNotFoundError",
    "Comparison",
    "ConcentrationUnit",
    "Cycle",
    "DesignRule",
    "Direction",
    "Display",
    "DisplayUnits",
    "FastRinse",
    "FileError",
    "FilmCorrelation",
    "FilmDiffusion",
    "InputError",
    "Kinetics",
    "LeakageBound",
    "LeakageTarget",
    "LiftedMixing",
    "LongTable",
    "Maldistribution",
    "MissingPackageError",
    "Note",
    "Outcome",
    "Point",
    "PointStream",
    "Rates",
    "Recipe",
    "Regeneration",
    "Resin",
    "Run",
    "Salt",
    "SaltAccount",
    "SaltShare",
    "SearchEnd",
    "SelectivityBasis",
    "Service",
    "ServiceFlow",
    "Site",
    "SiteTarget",
    "SlowRinse",
    "SolverError",
    "Standby",
    "StopReason",
    "Water",
    "Waves",
    "__version__",
    "compare",
    "default_case",
    "diffusivity_sets",
    "display_units",
    "efficiency_ceiling",
    "equilibrium",
    "hydraulics",
    "ions",
    "live",
    "long_table",
    "plot",
    "read",
    "report",
    "save",
    "selectivity_sets",
    "set_display_units",
    "sweep",
    "sweep_stream",
    "sweep_table",
    "units",
    "waves",
]

# Modules that need heavier packages, loaded when first named.
_LATER = ("live", "plot", "report")


def __getattr__(name: str) -> ModuleType:
    if name in _LATER:
        return import_module(f"brinefront.{name}")
    raise AttributeError(f"module 'brinefront' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *_LATER})
