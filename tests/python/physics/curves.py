"""Read single figures off an effluent curve, alike for package and reference."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def volume_at(bv: ArrayLike, value: ArrayLike, level: float, *, rising: bool) -> float:
    """Give the first volume [BV] at which a curve crosses a level upward or downward.

    Straight lines between the points; no such crossing is an error.
    """
    volume = np.asarray(bv, dtype=float)
    height = (np.asarray(value, dtype=float) - level) * (1.0 if rising else -1.0)
    crossings = np.flatnonzero((height[:-1] < 0.0) & (height[1:] >= 0.0))
    if crossings.size == 0:
        raise ValueError(f"the curve never crosses {level}")
    at = crossings[0]
    share = height[at] / (height[at] - height[at + 1])
    return float(volume[at] + share * (volume[at + 1] - volume[at]))


def peak(bv: ArrayLike, value: ArrayLike) -> tuple[float, float]:
    """Give volume [BV] and height of a curve's maximum, which must lie inside it.

    The parabola through the highest point and its neighbours, so that the spacing of
    the points does not limit the place.
    """
    volume = np.asarray(bv, dtype=float)
    height = np.asarray(value, dtype=float)
    top = int(height.argmax())
    if top in (0, height.size - 1):
        raise ValueError("the maximum lies at an end of the curve")
    near = slice(top - 1, top + 2)
    curvature, slope, at_top = np.polyfit(volume[near] - volume[top], height[near], 2)
    shift = -slope / (2.0 * curvature)
    return float(volume[top] + shift), float(at_top + 0.5 * slope * shift)


def stoichiometric_volume(bv: ArrayLike, value: ArrayLike, full: float) -> float:
    """Give the volume [BV] of the sharp front that holds back as much as this curve.

    The integral of 1 - value/full over the run, which must end at `full`.
    """
    held_back = 1.0 - np.asarray(value, dtype=float) / full
    return float(np.trapezoid(held_back, np.asarray(bv, dtype=float)))
