"""Leakage through the service run."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from brinefront import text
from brinefront.plot import style

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from brinefront.results import Cycle

HALF_RUN = "leakage_half_run_mg_per_l_caco3"

# A range of leakages wider than this is read on a logarithmic axis.
LOG_ABOVE_RATIO = 20.0
# The feed's hardness is drawn where the curves come within this fraction of it.
FEED_WITHIN = 0.3


def leakage(cycles: Cycle | Sequence[Cycle], ax: Axes | None = None) -> Axes:
    """Hardness of the delivered water against throughput, half run marked, with the limit that ends the run.

    Parameters
    ----------
    cycles : Cycle or sequence of Cycle
        One or more cycles of the same feed.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.
    """
    shown = [cycles] if not hasattr(cycles, "__iter__") else list(cycles)
    with style.styled():
        ax = style.axes_or_new(ax, (8.0, 4.6))
        lowest, highest = np.inf, 0.0
        for cycle, name, look in zip(shown, text.labels(shown), style.of_cycles(shown), strict=True):
            curve = cycle.leakage()
            hardness = curve["hardness_mg_per_l_caco3"].to_numpy()
            half = getattr(cycle, HALF_RUN)
            known = np.isfinite(half) and cycle.run_length_bv > 0.0
            words = f"{name}: {text.shown(cycle, HALF_RUN)} mg/L at half run" if known else name
            ax.plot(curve["bv"], hardness, label=words, **style.line_only(look))
            if known:
                mark = {"color": look["color"], "marker": look["marker"], "markersize": 8, "markeredgecolor": "white"}
                ax.plot([cycle.run_length_bv / 2], [half], linestyle="none", zorder=5, **mark)
            positive = hardness[hardness > 0.0]
            if positive.size:
                lowest, highest = min(lowest, positive.min()), max(highest, positive.max())
        marked = _limits(ax, shown, highest)
        _scale(ax, lowest, max([highest, *marked]) or 1.0, entries=len(shown))
        ax.set_xlim(left=0.0)
        ax.set_xlabel("throughput [bed volumes]")
        ax.set_ylabel("hardness leakage [mg/L as CaCO3]")
        ax.set_title("Leakage through the run")
        ax.legend(loc="upper left", fontsize=9.5)
    return ax


def _scale(ax: Axes, lowest: float, highest: float, *, entries: int) -> None:
    """A logarithmic or a linear axis, with room above the curves for the legend."""
    room = 1.0 / (1.0 - 0.08 - 0.09 * entries)
    if highest > LOG_ABOVE_RATIO * lowest:
        low, high = np.log10(lowest / 2.0), np.log10(highest)
        style.log_y(ax, 10.0**low, 10.0 ** (low + (high - low) * room))
        told = text.LEAKAGE_TOLD_MG_PER_L_CACO3
        if low < np.log10(told / 2.0):
            ax.axhspan(10.0**low, told, color=style.FAINT, alpha=0.10, linewidth=0, zorder=0)
            ax.annotate(
                "less than an analysis can tell",
                (1.0, told),
                xycoords=("axes fraction", "data"),
                xytext=(-3, -3),
                textcoords="offset points",
                ha="right",
                va="top",
                fontsize=8.5,
                color=style.FAINT,
            )
    else:
        ax.set_ylim(0.0, highest * room)


def _limits(ax: Axes, cycles: Sequence[Cycle], highest: float) -> list[float]:
    """Mark the leakage limit, and the feed where the curves come near it; the values marked."""
    limits = [cycle.case.service.limit_mg_per_l_caco3 for cycle in cycles]
    marks = [(limit, "limit", style.LIMIT) for limit in limits if limit is not None]
    marks += [
        (cycle.feed_hardness_mg_per_l_caco3, "feed", style.FAINT)
        for cycle in cycles
        if highest > FEED_WITHIN * cycle.feed_hardness_mg_per_l_caco3
    ]
    for value, word, colour in dict.fromkeys(marks):
        ax.axhline(value, color=colour, linewidth=1.1, linestyle=(0, (2, 2)), zorder=1)
        ax.annotate(
            f"{word} {value:.4g}",
            (1.0, value),
            xycoords=("axes fraction", "data"),
            xytext=(-3, 3),
            textcoords="offset points",
            ha="right",
            va="bottom",
            fontsize=9,
            color=colour,
        )
    return [value for value, _, _ in marks]
