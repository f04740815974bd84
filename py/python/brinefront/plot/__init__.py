"""Pictures of finished runs: each takes a result and optional axes, draws its data and returns the axes."""

from brinefront.plot.beds import bed_profiles
from brinefront.plot.efficiency import brine_efficiency
from brinefront.plot.elution import elution
from brinefront.plot.leakage import leakage
from brinefront.plot.loading import loading
from brinefront.plot.salinity import leakage_and_salinity
from brinefront.plot.salt_account import salt_account
from brinefront.plot.sheet import comparison_sheet
from brinefront.plot.style import projected
from brinefront.plot.waves import waves

__all__ = [
    "bed_profiles",
    "brine_efficiency",
    "comparison_sheet",
    "elution",
    "leakage",
    "leakage_and_salinity",
    "loading",
    "projected",
    "salt_account",
    "waves",
]
