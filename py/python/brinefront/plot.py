"""Pictures of finished runs: each takes a result and optional axes, draws its data and returns the axes.

``palette``, ``style`` and ``leakage_scale`` are for charts of one's own that should match.
"""

# Written by `py/pictures.py` from what the files of `pictures` register.
from brinefront.pictures import palette as palette  # noqa: PLC0414 (exported, and no picture)
from brinefront.pictures import style as style  # noqa: PLC0414 (exported, and no picture)
from brinefront.pictures.beds import bed_profiles
from brinefront.pictures.depth_time import depth_time
from brinefront.pictures.drain import drain
from brinefront.pictures.efficiency import brine_efficiency
from brinefront.pictures.elution import elution
from brinefront.pictures.leakage import leakage
from brinefront.pictures.leakage import leakage_scale as leakage_scale  # noqa: PLC0414 (exported, and no picture)
from brinefront.pictures.loading import loading
from brinefront.pictures.movie import Movie, movie
from brinefront.pictures.salinity import leakage_and_salinity
from brinefront.pictures.salt_account import salt_account
from brinefront.pictures.sheet import comparison_sheet
from brinefront.pictures.style import projected
from brinefront.pictures.waves import waves

__all__ = [
    "Movie",
    "bed_profiles",
    "brine_efficiency",
    "comparison_sheet",
    "depth_time",
    "drain",
    "elution",
    "leakage",
    "leakage_and_salinity",
    "loading",
    "movie",
    "projected",
    "salt_account",
    "waves",
]
