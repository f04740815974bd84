"""The bed upright: loading along the depth after each step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.pictures import palette, style
from brinefront.pictures.registry import Example, picture
from brinefront.units import display
from brinefront.words.figures import EQ_BED

if TYPE_CHECKING:
    from collections.abc import Sequence

    import xarray as xr
    from matplotlib.axes import Axes
    from matplotlib.text import Annotation, Text

    from brinefront.native.protocols import Cycle

# Room to the right of the total capacity, for its name.
BESIDE_CAPACITY = 1.09


@picture(
    Example(
        40,
        "loading",
        "The bed upright",
        "Service and brine enter at the top here. Follow the bed from the end of service (heavy) over backwash and brine to "
        "the rinse; the shaded part is what the next run puts back.",
        "cycle = case.mirrored().cycle()\ndrawn = plot.loading(cycle)",
    ),
    of_sample=lambda draw, sample: draw(sample.both.cycles[1]),
)
def loading(cycle: Cycle, ax: Axes | None = None, ion: str = "hardness") -> Axes:
    """Loading along the bed after each step; the bed is upright as in its vessel, with the directions of flow beside it.

    Parameters
    ----------
    cycle : Cycle
        A finished cycle.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.
    ion : str, default "hardness"
        An ion's symbol, or "hardness" for the sum of the ions that count as hardness.

    Returns
    -------
    matplotlib.axes.Axes
        The axes.

    Raises
    ------
    InputError
        For an ion that the bed does not hold.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> axes = plot.loading(bf.default_case().replace({"cells": 10}).cycle())
    """
    with style.styled():
        ax = style.axes_or_new(ax, (6.4, 6.8))
        depth, by_step = profiles_of(cycle, ion)
        named = [step for step, _ in by_step]
        for (_, profile), name, look in zip(by_step, numbered(named), _looks(named), strict=True):
            ax.plot(on_resin().of(profile), depths().of(depth), label=f"after {name}", **look)
        fill_run(ax, depth, by_step)
        stand_upright(ax, cycle)
        ax.set_xlabel(f"{ion} on the resin [{per_bed()}]")
        ax.set_title(f"Loading of the bed, {cycle.direction}")
        style.legend_below(ax, 3)
    return ax


def depths() -> display.Shown:
    """How depths [m] are drawn."""
    return display.in_chart("m")


def on_resin() -> display.Shown:
    """How loadings and capacities [eq/L of bed] are drawn."""
    return display.in_chart(EQ_BED)


def per_bed() -> str:
    """The unit of a loading on an axis."""
    unit = on_resin().unit
    return "eq per litre of bed" if unit == EQ_BED else style.unit_words(unit)


def depth_words(apart: str = " ") -> str:
    """What an axis of depths is called."""
    return f"depth from the{apart}service inlet [{depths().unit}]"


def cell_edges(bed: xr.Dataset) -> Any:
    """Edges of the cells of a dataset from the service inlet, as depths are drawn."""
    import numpy as np

    return depths().of(np.concatenate([[0.0], np.cumsum(bed["height_m"].to_numpy())]))


def profiles_of(cycle: Cycle, ion: str) -> tuple[Any, list[tuple[str, Any]]]:
    """Depth of the cells [m] and the loading after each step [eq/L of bed]."""
    data = cycle.profiles()
    wanted = [each for each in cycle.case.hardness_ions if each in data["ion"]] if ion == "hardness" else [ion]
    along = data["loading_eq_per_l"].sel(ion=wanted).sum("ion").to_numpy()
    return data["depth"].to_numpy(), list(zip(data["step"].to_numpy().tolist(), along, strict=True))


def numbered(steps: Sequence[str]) -> list[str]:
    """Names of steps, those that come again with their number."""
    seen: dict[str, int] = {}
    names = []
    for step in steps:
        seen[step] = seen.get(step, 0) + 1
        names.append(f"{step} {seen[step]}" if steps.count(step) > 1 else step)
    return names


def _looks(steps: Sequence[str]) -> list[dict[str, Any]]:
    """Colour, dash and width of each step; one that comes again has another dash."""
    looks = []
    for place, step in enumerate(steps):
        look = palette.STEPS[step]
        again = steps[:place].count(step)
        dash = palette.STEP_AGAIN[again % len(palette.STEP_AGAIN)] or look["linestyle"]
        looks.append(look | {"linestyle": dash, "linewidth": style.pt(look["linewidth"])})
    return looks


def fill_run(ax: Axes, depth: Any, by_step: list[tuple[str, Any]]) -> None:
    """Shade what one service run puts on the bed: between the loading before it and after it."""
    named = [step for step, _ in by_step]
    if "service" in named and len(named) > 1:
        after = named.index("service")
        before = by_step[after - 1][1]
        shown = on_resin()
        ends = (shown.of(before), shown.of(by_step[after][1]))
        ax.fill_betweenx(depths().of(depth), *ends, color=palette.FAINT, alpha=0.18, linewidth=0)


def stand_upright(ax: Axes, cycle: Cycle) -> None:
    """Depth downwards as in the vessel, total capacity marked, and an arrow for each flow."""
    depth = depths().of(cycle.case.bed.depth_m)
    capacity = on_resin().of(cycle.case.resin.aged_capacity_eq_per_l)
    down = cycle.case.service.service_flow == "down"
    ax.set_ylim(*((depth, 0.0) if down else (0.0, depth)))
    ax.set_xlim(0.0, capacity * BESIDE_CAPACITY)
    ax.axvline(capacity, color=palette.QUIET, linewidth=style.pt(1.1), linestyle=(0, (2, 2)))
    ax.annotate(
        f"total capacity {capacity:.3g}",
        (capacity, 0.5),
        xycoords=("data", "axes fraction"),
        xytext=(2, 0),
        textcoords="offset points",
        ha="left",
        va="center",
        rotation=90,
        fontsize="small",
        color=palette.QUIET,
    )
    ax.set_ylabel(depth_words())
    brine_down = down == (cycle.direction == "co-current")
    flow_arrow(ax, style.pt(0.055) + 1.0, "service", down, palette.INK)
    flow_arrow(ax, style.pt(0.145) + 1.0, "brine", brine_down, palette.DIRECTIONS[cycle.direction]["color"])


def flow_arrow(
    ax: Axes, across: float, word: str, down: bool, colour: str, *, head: float = 0.35
) -> tuple[Annotation, Text]:
    """An arrow beside the bed, in the direction its liquid flows through the vessel, and the word on it."""
    top, bottom = (across, 0.86), (across, 0.14)
    tail, tip = (top, bottom) if down else (bottom, top)
    look = {
        "arrowstyle": f"-|>,head_width={head},head_length={2.0 * head}",
        "color": colour,
        "linewidth": style.pt(2.0),
        "mutation_scale": style.pt(10.0),
        "shrinkA": 0,
        "shrinkB": 0,
    }
    arrow = ax.annotate(
        "", tip, tail, xycoords="axes fraction", textcoords="axes fraction", arrowprops=look, annotation_clip=False
    )
    label = ax.text(
        across,
        0.5,
        word,
        transform=ax.transAxes,
        rotation=90,
        ha="center",
        va="center",
        fontsize="small",
        color=colour,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 2.5},
    )
    return arrow, label
