"""The bed through one cycle, as a dataset."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.native.optional import need
from brinefront.words.figures import EQ_BED
from brinefront.words.labels import about, attributes

if TYPE_CHECKING:
    from collections.abc import Callable

    import xarray as xr

    from brinefront._core import Case

__all__ = ["through_time"]


def through_time(
    case: Case,
    from_new_resin: int | None,
    moments: int,
    progress: Callable[[int, int, int, float], object] | None,
) -> xr.Dataset:
    """The steady cycle of a case, or the last of `from_new_resin` cycles in a row: see :meth:`brinefront.Cycle.through_time`."""
    need("xarray", "datasets")
    import xarray as xr

    table: dict[str, Any] = _core.through_time(case, from_new_resin, moments, progress)
    words = {
        "loading_eq_per_l": attributes("loading_eq_per_l", "loading of the resin", EQ_BED),
        "liquid_eq_per_l": attributes("liquid_eq_per_l", "liquid between the beads", "eq/L"),
        "effluent_eq_per_l": attributes("effluent_eq_per_l", "liquid that leaves the vessel", "eq/L"),
    }
    dims = {name: ("moment", "ion") if name == "effluent_eq_per_l" else ("moment", "depth", "ion") for name in words}
    found: xr.Dataset = xr.Dataset(
        {name: (dims[name], table[name], attrs) for name, attrs in words.items()},
        coords={
            "step": ("moment", list(table["step"]), {"long_name": "step under way"}),
            "bv": ("moment", table["bv"], attributes("bv", "volume since the cycle's first step began")),
            "minutes": ("moment", table["minutes"], attributes("minutes", "time since the cycle's first step began")),
            "depth": ("depth", table["depth_m"], attributes("depth_m")),
            "height_m": ("depth", table["height_m"], attributes("height_m")),
            "ion": ("ion", list(table["ions"]), {"long_name": "ion"}),
        },
        attrs=about("the bed through one cycle", f"{len(table['step'])} moments of a cycle", case),
    )
    return found
