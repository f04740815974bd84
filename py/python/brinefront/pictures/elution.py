"""The waste of one regeneration as it leaves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from brinefront.pictures import palette, style
from brinefront.pictures.registry import Example, picture
from brinefront.units import display

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from brinefront.native.protocols import Cycle

# Distance of markers along a curve, as a share of the picture.
MARKERS_APART = 0.2
# A step narrower than this share of the whole has its name upright, and names keep this distance.
NARROW = 0.13
NAMES_APART = 0.03


@picture(
    Example(
        90,
        "elution",
        "What leaves in a regeneration",
        "Hardness leaves ahead of the salt that drove it out. Sodium that leaves beside little hardness is salt that bought "
        "nothing: that is what reclaim and a slower brine are for.",
        "cycle = case.cycle()\ndrawn = plot.elution(cycle)",
    ),
    Example(
        100,
        "elution_many_ions",
        "A water with strontium, barium and potassium",
        "Six cations, told apart by dash and marker where colour fails. Strontium and barium load the resin and leave with "
        "calcium, though they count as hardness only if the case says so.",
        'ions = {"Ca": 80.0, "Mg": 24.0, "Na": 28.0, "K": 15.0, "Sr": 20.0, "Ba": 10.0, "HCO3": 280.0, "SO4": 55.0}\n'
        'selectivity = {"K": 1.5, "Mg": 1.66, "Ca": 2.6, "Sr": 3.3, "Ba": 5.8}\n'
        'case = case.replace({"water.ions": ions, "resin.selectivity": selectivity})\n'
        "cycle = case.cycle()\n"
        "drawn = plot.elution(cycle)",
    ),
    Example(
        150,
        "projected",
        "For a room",
        "The same picture inside `plot.projected()`: larger type and lines at the same size.",
        "cycle = case.mirrored().cycle()\nwith plot.projected():\n    drawn = plot.elution(cycle)",
    ),
    of_sample=lambda draw, sample: draw(sample.both.cycles[0]),
)
def elution(cycle: Cycle, ax: Axes | None = None) -> Axes:
    """Each ion in what leaves between two service runs, against the volume since the first step, the steps marked.

    Parameters
    ----------
    cycle : Cycle
        A finished cycle.
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
    >>> axes = plot.elution(bf.default_case().replace({"cells": 10}).cycle())
    """
    with style.styled():
        ax = style.axes_or_new(ax, (8.0, 4.8))
        curve = cycle.waste_curve()
        concentration = display.in_chart("eq/L")
        ions = [name for name in curve.columns if name not in ("bv", "step", "hardness_mg_per_l_caco3")]
        for place, ion in enumerate(ions):
            # Staggered, or markers of small ions would cover one another.
            every = (MARKERS_APART * place / len(ions), MARKERS_APART)
            ax.plot(curve["bv"], concentration.of(curve[ion]), label=ion, markevery=every, **palette.of_ion(ion))
        _steps(ax, cycle)
        ax.set_xlim(0.0, float(curve["bv"].iloc[-1]))
        ax.set_ylim(0.0, concentration.of(float(curve[ions].to_numpy().max())) * 1.3)
        ax.set_xlabel("volume since the first step [bed volumes]")
        ax.set_ylabel(f"concentration of what leaves [{concentration.unit}]")
        ax.set_title(f"Spent brine and rinse, {cycle.direction}")
        style.legend_below(ax, 6)
    return ax


def _steps(ax: Axes, cycle: Cycle) -> None:
    """Shade every other step and name each at its top; a narrow one is named upright, a rest is a line."""
    steps = cycle.steps()
    steps = steps[steps["step"] != "service"]
    whole = float(steps["volume_bv"].sum())
    start, last_name, shaded = 0.0, -1.0, True
    for step, volume in zip(steps["step"], steps["volume_bv"], strict=True):
        end = start + float(volume)
        if end == start:
            ax.axvline(start, color=palette.QUIET, linewidth=style.pt(1.1), linestyle=(0, (2, 2)), zorder=1)
        else:
            if shaded:
                ax.axvspan(start, end, color=palette.BAND, alpha=0.55, linewidth=0, zorder=0)
            shaded = not shaded
        narrow = end - start < NARROW * whole * style.pt(1.0)
        # No name runs into the one before it, nor over the left edge.
        middle = max((start + end) / 2, last_name + style.pt(NAMES_APART) * whole, style.pt(NAMES_APART) * whole / 2)
        last_name = middle if narrow else end - style.pt(NAMES_APART) * whole / 2
        ax.annotate(
            step,
            (middle, 0.985),
            xycoords=("data", "axes fraction"),
            ha="center",
            va="top",
            fontsize="small",
            rotation=90 if narrow else 0,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5} if end == start else None,
        )
        start = end
