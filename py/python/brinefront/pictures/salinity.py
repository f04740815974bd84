"""Leakage against the dissolved solids of the feed, its hardness held."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront._core import Water, ions
from brinefront.errors import InputError
from brinefront.native.enumerations import Outcome, StopReason
from brinefront.pictures import palette, style
from brinefront.pictures.efficiency import to_limit
from brinefront.pictures.leakage import leakage_scale
from brinefront.pictures.registry import Example, picture
from brinefront.tables.sweeps import sweep
from brinefront.units import convert, display
from brinefront.words.figures import MG_CACO3, figure

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from brinefront._core import Case

ADDED_MG_PER_L = (0.0, 120.0, 250.0, 400.0, 600.0, 1000.0, 1600.0, 2500.0, 4000.0)
FEED = "feed_hardness_mg_per_l_caco3"
HALF_RUN = "leakage_half_run_mg_per_l_caco3"
# A uniform bed leaks the same from its first drop to its front: so much is enough, in so many cells [BV].
UNIFORM_BV, UNIFORM_CELLS = 0.2, 5


@picture(
    Example(
        120,
        "leakage_and_salinity",
        "The same hardness in saltier water",
        "A uniform bed leaks with the square of the normality. The co-current bed follows it, and soon cannot meet "
        "the limit at this dose; the counter-current one has two decades to spare.",
        "added = [0, 120, 250, 400, 600, 1000, 2000, 4000]\ndrawn = plot.leakage_and_salinity(case, added)",
    ),
    of_sample=lambda draw, sample: draw(sample.case, [0.0, 400.0, 2000.0]),
)
def leakage_and_salinity(case: Case, added_mg_per_l: Sequence[float] | None = None, ax: Axes | None = None) -> Axes:
    """Leakage at half run against the dissolved solids of the feed, in both directions, at the feed's own hardness.

    Sodium chloride is added to the feed; calcium, magnesium and all else stay. Beside the model's two curves is what a
    uniform bed would leak that is loaded throughout as the co-current bed's outlet layer is when service begins, in
    equilibrium: along it leakage rises with the square of the normality, since hardness is divalent and sodium is not.
    The runs end on the leakage limit, as those of :func:`brine_efficiency` do.

    Parameters
    ----------
    case : Case
        Either direction; its mirror is the other.
    added_mg_per_l : sequence of float, optional
        Sodium chloride added to the feed [mg/L], two amounts or more from 0; nine from 0 to 4000 by default.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.

    Returns
    -------
    matplotlib.axes.Axes
        Half-run leakage [mg/L as CaCO3] against dissolved solids [mg/L].

    Raises
    ------
    InputError
        For less than two amounts, or a negative one.

    Notes
    -----
    The square follows from mass action, y/x (x1/y1)^2 (N/Q) = K: at a fixed loading and little hardness in the liquid
    x N = y N^2 / (K Q y1^2).

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> axes = plot.leakage_and_salinity(bf.default_case().replace({"cells": 10}), [0.0, 1000.0])
    """
    import numpy as np

    added = sorted({float(each) for each in (ADDED_MG_PER_L if added_mg_per_l is None else added_mg_per_l)})
    if len(added) < 2 or added[0] < 0.0:
        raise InputError("added_mg_per_l", str(added), "must be two amounts or more, from 0 mg/L")
    waters = [salted(case.water, each) for each in added]
    solids = np.array([water.dissolved_solids_mg_per_l for water in waters])
    normality = np.array([water.normality_eq_per_l for water in waters])
    both = to_limit(case)
    with style.styled():
        ax = style.axes_or_new(ax, (8.0, 5.6))
        never: list[str] = []
        drawn: list[list[float]] = []
        for direction in ("counter-current", "co-current"):
            found = sweep(both[direction], {"water": waters})
            hard = (found["stop_reason"] == StopReason.NEVER_SOFT).to_numpy()
            soft = np.where(hard, np.nan, found[HALF_RUN].to_numpy())
            ax.plot(solids, soft, label=direction, markeredgecolor="white", **palette.DIRECTIONS[direction])
            for outcome, words in (
                (Outcome.NEVER_SOFT, "never soft"),
                (Outcome.CANNOT_RECOVER, "cannot recover a run"),
            ):
                at = solids[hard & (found["outcome"] == outcome).to_numpy()]
                never += [f"{direction} {words} from {at[0]:.0f} mg/L"] if at.size else []
            drawn.append(soft.tolist())
        guide = uniform_bed(both["co-current"], waters)
        words = "uniform bed as the co-current outlet: normality squared"
        ax.plot(solids, guide, label=words, linewidth=style.pt(1.8), zorder=1, **palette.THEORY)
        drawn.append(guide)
        leakage_scale(ax, float(np.nanmin(drawn)), float(np.nanmax(drawn)))
        _solids_axis(ax, solids, normality)
        ax.set_ylabel(f"leakage at half run [{style.unit_words(MG_CACO3)}]")
        ax.set_title("Leakage and the salinity of the feed", pad=style.pt(10.0))
        how = display.in_chart(figure(FEED).unit, FEED)
        held = (
            f"NaCl added, hardness held at {how.of(case.feed_hardness_mg_per_l_caco3):.3g} {style.unit_words(how.unit)}"
        )
        key = {"title_fontsize": "small", "alignment": "left"}
        style.legend_below(ax, 1, title="\n".join([held, *never]), **key)
    return ax


def salted(water: Water, added_mg_per_l: float) -> Water:
    """A water with so much sodium chloride added."""
    salt = {ion["symbol"]: ion["g_per_eq"] for ion in ions() if ion["symbol"] in ("Na", "Cl")}
    milli = {ion: convert(eq, "eq/L", "meq/L") for ion, eq in water.eq_per_l.items()}
    for ion in salt:
        # Milligrams by grams an equivalent are milliequivalents.
        milli[ion] = milli.get(ion, 0.0) + added_mg_per_l / sum(salt.values())
    return Water(milli, "meq/L", temperature_c=water.temperature_c, balance=water.balance or "Cl")


def uniform_bed(case: Case, waters: Sequence[Water]) -> list[float]:
    """What leaves a bed that is loaded throughout as this case's outlet is when service begins [mg/L as CaCO3]."""
    data = case.cycle().profiles()
    names = data["step"].to_numpy().tolist()
    outlet = data["loading_eq_per_l"].isel(step=names.index("service") - 1, depth=-1)
    whole = float(outlet.sum())
    loading = {str(ion): float(outlet.sel(ion=ion)) / whole for ion in outlet["ion"].to_numpy()}
    beds = (case.replace({"water": water, "cells": UNIFORM_CELLS}) for water in waters)
    runs = (bed.load(from_loading=loading, volume_bv=UNIFORM_BV) for bed in beds)
    return [float(run.effluent()["hardness_mg_per_l_caco3"].iloc[0]) for run in runs]


def _solids_axis(ax: Axes, solids: Any, normality: Any) -> None:
    """Dissolved solids below and normality above, both logarithmic: adding one salt, each is linear in the other."""
    from matplotlib.ticker import LogLocator, NullFormatter

    eq_per_mg = (normality[-1] - normality[0]) / (solids[-1] - solids[0])
    ax.set_xscale("log")
    ax.set_xlim(solids[0] / 1.08, solids[-1] * 1.08)
    top = ax.secondary_xaxis(
        "top",
        functions=(
            lambda mg: normality[0] + (mg - solids[0]) * eq_per_mg,
            lambda eq: solids[0] + (eq - normality[0]) / eq_per_mg,
        ),
    )
    for axis in (ax.xaxis, top.xaxis):
        axis.set_major_locator(LogLocator(subs=(1.0, 2.0, 5.0)))
        axis.set_major_formatter(lambda value, _: f"{value:g}")
        axis.set_minor_formatter(NullFormatter())
    ax.set_xlabel("dissolved solids of the feed [mg/L]")
    top.set_xlabel(f"normality of the feed [{display.in_chart('eq/L').unit}]")
