"""What reaches the drain for each cubic metre of soft water, ion by ion."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from brinefront.errors import InputError
from brinefront.pictures import palette, style
from brinefront.pictures.registry import Example, picture
from brinefront.units import display
from brinefront.words import text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes

    from brinefront.native.protocols import Cycle

# Anions are of two kinds here: what the salt brings, and what the feed had.
CHLORIDE: dict[str, Any] = {"facecolor": palette.GRID}
ANIONS: dict[str, Any] = {"facecolor": "white", "hatch": "////"}

HEIGHT = 0.62


@picture(
    Example(
        135,
        "drain",
        "What reaches the drain",
        "Most of it is the salt itself: what the dose brings leaves again, as its cation or exchanged for hardness, and all "
        "of its chloride. Masses are for a cubic metre of soft water that is left for use; beside each bar is the volume.",
        "both = bf.compare(case)\ndrawn = plot.drain(both.cycles)",
    ),
    of_sample=lambda draw, sample: draw([*sample.both.cycles, sample.case.cycle()]),
)
def drain(cycles: Cycle | Sequence[Cycle], ax: Axes | None = None) -> Axes:
    """Mass of each ion in the waste for a cubic metre of soft water left for use, a bar for each cycle.

    Parameters
    ----------
    cycles : Cycle or sequence of Cycle
        One cycle, or several, drawn from above in this order. One that delivers no soft water has no bar.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.

    Returns
    -------
    matplotlib.axes.Axes
        Masses [g per m3 of soft water, or lb per 1000 gal]; beside each bar the volume of what reaches the drain.

    Raises
    ------
    InputError
        For no cycle.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> case = bf.default_case().replace({"cells": 10})
    >>> axes = plot.drain(bf.compare([case]).cycles)
    """
    drawn = list(cycles) if isinstance(cycles, Iterable) else [cycles]
    if not drawn:
        raise InputError("cycles", "none", "give one cycle or more")
    with style.styled():
        ax = style.axes_or_new(ax, (8.6, 1.9 + 0.75 * len(drawn)))
        named: set[str] = set()
        mass, volume = display.in_chart("g/m3 of soft water"), display.in_chart("L/m3 of soft water")
        per = "m³" if mass.factor == 1.0 else "1000 gal"
        g, litre = (unit.unit.partition("/")[0] for unit in (mass, volume))
        for place, cycle in enumerate(drawn):
            m3, end = cycle.figure("soft_water_l", "m3"), 0.0
            if m3 <= 0.0 or not cycle.delivers_soft_water:
                ax.text(0.0, place, f"  {text.no_run(cycle)}", va="center", color=palette.QUIET)
                continue
            for name, mass_g in _parts(cycle).items():
                amount = mass.of(mass_g / m3)
                look: dict[str, Any] = {"edgecolor": palette.INK, "linewidth": style.pt(0.7)} | _look(name)
                label = name if name not in named else f"_{name}"
                ax.barh(place, amount, HEIGHT, left=end, label=label, **look)
                named.add(name)
                end += amount
            words = f"{volume.of(cycle.figure('waste_volume_l', 'L') / m3):.3g} {litre} per {per}"
            ax.annotate(words, (end, place), (style.pt(5.0), 0), textcoords="offset points", va="center")
        ax.set_yticks(range(len(drawn)), [name.replace(", ", "\n", 1) for name in style.labels(drawn)])
        ax.set_ylim(len(drawn) - 0.45, -0.55)
        ax.tick_params(axis="y", length=0)
        ax.grid(visible=False, axis="y")
        ax.margins(x=0.22 if mass.factor == 1.0 else 0.3)
        ax.set_xlim(left=0.0)
        ax.set_xlabel(f"to the drain [{g} per {per} of soft water]")
        ax.set_title("What reaches the drain")
        if named:
            style.legend_below(ax, 6, handlelength=1.6)
    return ax


def _parts(cycle: Cycle) -> dict[str, float]:
    """Masses of one regeneration [g]: the cations, chloride, and the feed's other anions together."""
    mass_g: dict[str, float] = cycle.waste()["mass_g"].to_dict()
    cations = {ion: mass for ion, mass in mass_g.items() if ion in palette.IONS}
    others = sum(mass for ion, mass in mass_g.items() if ion not in palette.IONS and ion != "Cl")
    return cations | {"Cl": mass_g.get("Cl", 0.0)} | ({"other anions": others} if others > 0.0 else {})


def _look(name: str) -> dict[str, Any]:
    if name in palette.IONS:
        return {"facecolor": palette.IONS[name]["color"]}
    return CHLORIDE if name == "Cl" else ANIONS
