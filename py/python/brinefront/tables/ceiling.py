"""The salt efficiency that equilibrium allows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brinefront import _core
from brinefront.native.optional import need
from brinefront.units.quantities import numbers
from brinefront.words.figures import figure
from brinefront.words.labels import labelled

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd

    from brinefront._core import Case
    from brinefront.units.quantity import Number

__all__ = ["efficiency_ceiling"]


def efficiency_ceiling(case: Case, doses_g_per_l: Sequence[Number]) -> pd.DataFrame:
    """Give the largest salt efficiency that equilibrium allows, at each dose and in both directions.

    A bed in plug flow and in equilibrium everywhere is given its dose, one void volume that pushes the brine out, and
    service to the case's limit (17 mg/L as CaCO3 if it has none), at the cycle that repeats itself. With one divalent cation
    in the feed this is the limit itself; with several it is a bound above it, a few per cent high. Where that cycle is never
    soft, with hard brine water or at low doses co-current, there is no bound: its capacity of 0 says nothing of a bed with
    rinses, rates and mixing of its own, which may well be soft. Activity laws are left out.

    Parameters
    ----------
    case : Case
        Water, resin, salt, strength, brine water, backwash and limit are taken from it; the other direction is its mirror.
    doses_g_per_l : sequence of float or Quantity
        Pure salt per litre of resin [g/L].

    Returns
    -------
    pandas.DataFrame
        One row for each direction and dose: capacity [eq/L of bed], salt efficiency as a fraction of the salt's equivalents
        and in gr/lb, run length [BV], `stop_reason` ("never soft" where the water never meets the limit) and whether the
        cycle settled. Units are in ``attrs``.

    Raises
    ------
    InputError
        For a feed without hardness, or a dose out of limits.

    Examples
    --------
    >>> import brinefront as bf
    >>> ceiling = bf.efficiency_ceiling(bf.default_case(), [64.0, 96.0])
    >>> ceiling[["direction", "dose_g_per_l"]].values.tolist()
    [['co-current', 64.0], ['co-current', 96.0], ['counter-current', 64.0], ['counter-current', 96.0]]
    """
    need("pandas", "tables")
    import pandas as pd

    frame = pd.DataFrame(_core.efficiency_ceiling(case, numbers("doses_g_per_l", doses_g_per_l)))
    words = {"direction": (figure("direction").words, "")}
    return labelled(frame, "largest salt efficiency that equilibrium allows", case, words=words)
