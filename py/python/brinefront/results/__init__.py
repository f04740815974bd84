"""What users hold: finished cycles and runs, comparisons, points of sweeps, salt accounts, waves, long tables.

The classes are the top of the house: their methods call down into the rooms that make tables, phrase, draw and write, and
no room below imports one. Rooms below that take one name its protocol in :mod:`brinefront.native.protocols`.
"""

from brinefront.results.comparison import Comparison, LeakageTarget, compare
from brinefront.results.cycle import Cycle
from brinefront.results.figures import Figures
from brinefront.results.long_table import LongTable, long_table
from brinefront.results.points import Point, PointStream, sweep_stream
from brinefront.results.run import Run
from brinefront.results.salt_account import SaltAccount, SaltShare
from brinefront.results.waves import Waves, waves

__all__ = [
    "Comparison",
    "Cycle",
    "Figures",
    "LeakageTarget",
    "LongTable",
    "Point",
    "PointStream",
    "Run",
    "SaltAccount",
    "SaltShare",
    "Waves",
    "compare",
    "long_table",
    "sweep_stream",
    "waves",
]
