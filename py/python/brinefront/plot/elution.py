"""The waste of one regeneration as it leaves."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from brinefront.plot import style

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.axes import Axes

    from brinefront.results import Cycle


def elution(cycle: Cycle, ax: Axes | None = None) -> Axes:
    """Each ion in what leaves between two service runs, against the volume since the first step, the steps marked.

    Parameters
    ----------
    cycle : Cycle
        A finished cycle.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.
    """
    with style.styled():
        ax = style.axes_or_new(ax, (8.0, 4.6))
        curve = cycle.waste_curve()
        ions = [name for name in curve.columns if name not in ("bv", "step", "hardness_mg_per_l_caco3")]
        for ion in ions:
            ax.plot(curve["bv"], curve[ion], label=ion, **style.of_ion(ion))
        _steps(ax, curve)
        ax.set_xlim(0.0, float(curve["bv"].iloc[-1]))
        ax.set_ylim(0.0, float(curve[ions].to_numpy().max()) * 1.18)
        ax.set_xlabel("volume since the first step [bed volumes]")
        ax.set_ylabel("concentration of the waste [eq/L]")
        ax.set_title(f"What leaves the bed in a regeneration, {cycle.direction}")
        ax.legend(loc="center right")
    return ax


def _steps(ax: Axes, curve: pd.DataFrame) -> None:
    """Shade every other step and name each at its top; a narrow one is named upright."""
    whole = float(curve["bv"].iloc[-1])
    start = 0.0
    for place, (step, rows) in enumerate(groupby(zip(curve["step"], curve["bv"], strict=True), key=lambda row: row[0])):
        end = max(bv for _, bv in rows)
        if place % 2 == 0:
            ax.axvspan(start, end, color=style.BAND, alpha=0.55, linewidth=0, zorder=0)
        narrow = end - start < 0.09 * whole
        ax.annotate(
            step,
            ((start + end) / 2, 0.985),
            xycoords=("data", "axes fraction"),
            ha="center",
            va="top",
            fontsize=9,
            color=style.INK,
            rotation=90 if narrow else 0,
        )
        start = end
