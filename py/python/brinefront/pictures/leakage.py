"""Leakage through the service run."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import numpy as np

from brinefront.native.enumerations import StopReason
from brinefront.pictures import palette, style
from brinefront.pictures.registry import Example, picture
from brinefront.words import text
from brinefront.words.figures import MG_CACO3

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from brinefront.native.protocols import Cycle

HALF_RUN = "leakage_half_run_mg_per_l_caco3"

# A range of leakages wider than this is read on a logarithmic axis.
LOG_ABOVE_RATIO = 20.0
# The feed's hardness is drawn where the curves come within this fraction of it.
FEED_WITHIN = 0.3
# Height of what no analysis distinguishes from none, in decades of the axis above it.
FLOOR_DECADES = 0.7


@picture(
    Example(
        20,
        "leakage",
        "Leakage through the run",
        "Run to the limit, both end within a bed volume or two of each other. Their leakage until then differs a "
        "hundredfold and more: compare the markers at half run, not the ends.",
        'case = case.replace({"service.volume_bv": None})\nboth = bf.compare(case)\ndrawn = plot.leakage(both.cycles)',
    ),
    Example(
        30,
        "leakage_at_equal_leakage",
        "The salt each needs for the same water",
        "At equal leakage the directions differ in salt. The counter-current curve climbs at the end because less salt leaves "
        "less room before the limit.",
        'both = bf.compare(case, at="equal-leakage")\ndrawn = plot.leakage(both.cycles)',
    ),
    of_sample=lambda draw, sample: draw(sample.both.cycles),
)
def leakage(cycles: Cycle | Sequence[Cycle], ax: Axes | None = None) -> Axes:
    """Hardness of the delivered water against throughput, half run marked, with the limit that ends the run.

    Below what an analysis can tell from none, the vertical axis is linear down to 0.

    Parameters
    ----------
    cycles : Cycle or sequence of Cycle
        One or more cycles of the same feed.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.

    Returns
    -------
    matplotlib.axes.Axes
        The axes.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> axes = plot.leakage(bf.default_case().replace({"cells": 10}).cycle())
    """
    shown = list(cycles) if isinstance(cycles, Iterable) else [cycles]
    with style.styled():
        ax = style.axes_or_new(ax, (8.0, 4.6 + 0.18 * len(shown)))
        lowest, highest = np.inf, 0.0
        for cycle, name, look in zip(shown, style.labels(shown), style.of_cycles(shown), strict=True):
            curve = cycle.leakage()
            hardness = curve["hardness_mg_per_l_caco3"].to_numpy()
            half = getattr(cycle, HALF_RUN)
            soft = cycle.stop_reason != StopReason.NEVER_SOFT and np.isfinite(half) and cycle.run_length_bv > 0.0
            words = f"{text.shown(cycle, HALF_RUN)} mg/L at half run" if soft else text.no_run(cycle)
            ax.plot(curve["bv"], hardness, label=f"{name}: {words}", **style.line_only(look))
            mark = {"color": look["color"], "markersize": style.pt(8.0), "linestyle": "none", "zorder": 5}
            if soft:
                marker = {"marker": look["marker"], "markeredgecolor": "white"}
                ax.plot([cycle.run_length_bv / 2], [half], **(mark | marker))
            elif hardness.size:
                cross = {"marker": "x", "markeredgewidth": style.pt(2.2), "clip_on": False}
                ax.plot([curve["bv"].iloc[-1]], [hardness[-1]], **(mark | cross))
            positive = hardness[hardness > 0.0]
            if positive.size:
                lowest, highest = min(lowest, positive.min()), max(highest, positive.max())
        marked = _limits(ax, shown, highest)
        leakage_scale(ax, lowest, max([highest, *marked]) or 1.0)
        ax.set_xlim(left=0.0)
        ax.set_xlabel("throughput [bed volumes]")
        ax.set_ylabel(f"hardness leakage [{style.unit_words(MG_CACO3)}]")
        ax.set_title("Leakage through the run")
        style.legend_below(ax, 1)
    return ax


def leakage_scale(ax: Axes, lowest: float, highest: float) -> None:
    """An axis for leakages: linear, logarithmic, or logarithmic down to what an analysis can tell and linear to 0."""
    floor = text.LEAKAGE_TOLD_MG_PER_L_CACO3
    if lowest >= floor:
        if highest > LOG_ABOVE_RATIO * lowest:
            style.log_y(ax, lowest / 1.6, highest * 1.8)
        else:
            ax.set_ylim(0.0, highest * 1.15)
        return
    top = max(highest, 2.0 * floor) * 2.5
    ax.set_yscale("symlog", linthresh=floor, linscale=FLOOR_DECADES)
    ax.set_yticks([0.0, *10.0 ** np.arange(np.log10(floor), np.log10(top))])
    ax.set_yticks([], minor=True)
    ax.set_ylim(-0.06 * floor, top)
    ax.yaxis.set_major_formatter(lambda value, _: f"{value:g}")
    ax.axhspan(-floor, floor, color=palette.FAINT, alpha=0.12, linewidth=0, zorder=0)
    # Curves that are next to zero run along the lower edge of it, others begin at its upper one.
    at, side, off = (floor, "top", -2) if lowest < floor / 3.0 else (0.0, "bottom", 0)
    where: dict[str, Any] = {"xycoords": ("axes fraction", "data"), "xytext": (-3, off), "textcoords": "offset points"}
    words = "too little to measure"
    ax.annotate(words, (1.0, at), ha="right", va=side, fontsize="small", color=palette.QUIET, **where)


def _limits(ax: Axes, cycles: Sequence[Cycle], highest: float) -> list[float]:
    """Mark the leakage limit, and the feed where the curves come near it; the values marked."""
    limits = [cycle.case.service.limit_mg_per_l_caco3 for cycle in cycles]
    marks = [(limit, "limit", palette.LIMIT) for limit in limits if limit is not None]
    marks += [
        (cycle.feed_hardness_mg_per_l_caco3, "feed", palette.QUIET)
        for cycle in cycles
        if highest > FEED_WITHIN * cycle.feed_hardness_mg_per_l_caco3
    ]
    for value, word, colour in dict.fromkeys(marks):
        ax.axhline(value, color=colour, linewidth=style.pt(1.1), linestyle=(0, (2, 2)), zorder=1)
        ax.annotate(
            f"{word} {value:.4g}",
            (1.0, value),
            xycoords=("axes fraction", "data"),
            xytext=(-3, 3),
            textcoords="offset points",
            ha="right",
            va="bottom",
            fontsize="small",
            color=colour,
        )
    return [value for value, _, _ in marks]
