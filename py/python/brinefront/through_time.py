"""The bed through one cycle, as a dataset."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront import _core

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
    import xarray as xr

    table: dict[str, Any] = _core.through_time(case, from_new_resin, moments, progress)
    profile = ("moment", "depth", "ion")
    return xr.Dataset(
        {
            "loading_eq_per_l": (
                profile,
                table["loading_eq_per_l"],
                {"long_name": "loading of the resin", "units": "eq/L of bed"},
            ),
            "liquid_eq_per_l": (
                profile,
                table["liquid_eq_per_l"],
                {"long_name": "liquid between the beads", "units": "eq/L"},
            ),
            "effluent_eq_per_l": (
                ("moment", "ion"),
                table["effluent_eq_per_l"],
                {"long_name": "liquid that leaves the vessel", "units": "eq/L"},
            ),
        },
        coords={
            "step": ("moment", list(table["step"]), {"long_name": "step under way"}),
            "bv": ("moment", table["bv"], {"long_name": "volume since the cycle's first step began", "units": "BV"}),
            "minutes": ("moment", table["minutes"], {"long_name": "time since then", "units": "min"}),
            "depth": ("depth", table["depth_m"], {"long_name": "depth from the service inlet", "units": "m"}),
            "ion": ("ion", list(table["ions"])),
        },
    )
