"""Pictures of finished runs: each takes a result and optional axes, draws its data and returns the axes."""

from brinefront.plot.efficiency import brine_efficiency
from brinefront.plot.elution import elution
from brinefront.plot.leakage import leakage
from brinefront.plot.loading import loading
from brinefront.plot.salt_account import salt_account
from brinefront.plot.sheet import comparison_sheet
from brinefront.plot.waves import waves

__all__ = ["brine_efficiency", "comparison_sheet", "elution", "leakage", "loading", "salt_account", "waves"]
