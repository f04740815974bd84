"""Pictures of finished runs: each takes a result and optional axes, draws its data and returns the axes."""

from brinefront.plot.beds import bed_profiles
from brinefront.plot.depth_time import depth_time
from brinefront.plot.efficiency import brine_efficiency
from brinefront.plot.elution import elution
from brinefront.plot.leakage import leakage
from brinefront.plot.loading import loading
from brinefront.plot.movie import Movie, movie
from brinefront.plot.salinity import leakage_and_salinity
from brinefront.plot.salt_account import salt_account
from brinefront.plot.sheet import comparison_sheet
from brinefront.plot.style import projected
from brinefront.plot.waves import waves

__all__ = [
    "Movie",
    "bed_profiles",
    "brine_efficiency",
    "comparison_sheet",
    "depth_time",
    "elution",
    "leakage",
    "leakage_and_salinity",
    "loading",
    "movie",
    "projected",
    "salt_account",
    "waves",
]
