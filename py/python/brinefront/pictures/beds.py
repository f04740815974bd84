"""Small beds side by side: one for each step of each strategy, every ion on the resin stacked from the wall."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher
from typing import TYPE_CHECKING, Any

from brinefront.errors import InputError
from brinefront.pictures import palette, style
from brinefront.pictures.loading import cell_edges, depth_words, depths, on_resin, per_bed
from brinefront.pictures.registry import Example, picture

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from matplotlib.axes import Axes

    from brinefront.native.protocols import Cycle

# Inches of a bed and of the space around all of them.
BED = (1.65, 2.9)
AROUND = (1.2, 1.5)
# Monovalent ions are what a bed is regenerated with: they are in the background.
BAND_ALPHA = {True: 0.9, False: 0.35}


@picture(
    Example(
        50,
        "bed_profiles",
        "Every step of both strategies",
        "Bands of calcium, magnesium and sodium from the wall, the arrow beside each bed its flow. Look at the end that "
        "service leaves by, at the bottom: clean after a counter-current brine, loaded after a co-current one.",
        "both = bf.compare(case)\ndrawn = plot.bed_profiles(both.cycles)",
    ),
    Example(
        60,
        "bed_profiles_recipe",
        "A recipe of one's own",
        "Brine in two halves with a rest between them, and nothing else changed: while nothing flows the beads and the liquid "
        "around them settle, and the second half begins where the first had stopped.",
        "recipe = bf.Recipe([bf.Brine(share=0.5), bf.Standby(20), bf.Brine(), bf.SlowRinse(), bf.FastRinse()])\n"
        'both = bf.compare([case.replace({"recipe": recipe, "name": "brine in two halves"}), case])\n'
        "drawn = plot.bed_profiles(both.cycles)",
    ),
    of_sample=lambda draw, sample: draw(sample.both.cycles),
)
def bed_profiles(cycles: Cycle | Sequence[Cycle], ion: str | None = None, axes: Any = None) -> np.ndarray:
    """Loading of the bed after each step, a column for each step and a row for each strategy.

    Every ion has a band as wide as its loading, stacked from the wall: those that count as hardness first, a line along
    their edge, the salt's last. Each bed is upright as in its vessel, an arrow beside it for the flow of its step. A strategy
    without a step has no bed in its column.

    Parameters
    ----------
    cycles : Cycle or sequence of Cycle
        One or more finished cycles.
    ion : str, optional
        One ion's symbol, or "hardness", to draw alone; every ion by default.
    axes : array of matplotlib axes, optional
        Where to draw, strategies by steps; a new figure by default.

    Returns
    -------
    numpy.ndarray
        The axes, strategies by steps.

    Raises
    ------
    InputError
        For an ion that no bed holds, or axes of another shape.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> plot.bed_profiles(bf.default_case().replace({"cells": 10}).cycle()).shape
    (1, 4)
    """
    import numpy as np

    shown = list(cycles) if isinstance(cycles, Iterable) else [cycles]
    steps = _columns(shown)
    shape = (len(shown), len(steps))
    with style.styled():
        own = axes is None
        if own:
            import matplotlib.pyplot as plt

            size = (AROUND[0] + BED[0] * shape[1], AROUND[1] + BED[1] * shape[0])
            figure, axes = plt.subplots(*shape, figsize=size, layout=_spaced(), sharex=True, squeeze=False)
            title = "The bed after each step of a cycle"
            figure.suptitle(title, x=0.01, ha="left", fontsize="large", fontweight="bold")
        panels = np.asarray(axes, dtype=object)
        if panels.size != shape[0] * shape[1]:
            raise InputError("axes", panels.size, f"must be {shape[0]} x {shape[1]}: strategies by steps")
        panels = panels.reshape(shape)
        bands: dict[str, Any] = {}
        for row, cycle, name in zip(panels, shown, style.labels(shown), strict=True):
            _row(row, cycle, steps, ion, bands)
            _strategy(row[-1], name, cycle.direction)
        deepest = depths().of(max(cycle.case.bed.depth_m for cycle in shown))
        widest = on_resin().of(max(cycle.case.resin.aged_capacity_eq_per_l for cycle in shown))
        for row, cycle in zip(panels, shown, strict=True):
            down = cycle.case.service.service_flow == "down"
            for ax in row:
                ax.set_ylim(*((deepest, 0.0) if down else (0.0, deepest)))
                ax.set_xlim(0.0, widest)
        _words(panels, steps, ion)
        names = sorted(bands, key=list(palette.IONS).index) if ion is None else list(bands)
        if own:
            style.figure_legend(panels[0, 0].figure, [bands[name] for name in names], names, 10)
        else:
            style.legend_below(panels[-1, 0], 10, handles=[bands[name] for name in names], labels=names)
    return panels


def _spaced() -> Any:
    """A layout with room between beds for the arrows."""
    from matplotlib.layout_engine import ConstrainedLayoutEngine

    return ConstrainedLayoutEngine(wspace=style.pt(0.14))


def _columns(cycles: Sequence[Cycle]) -> list[str]:
    """The steps of all cycles in one order that keeps each cycle's own."""
    merged: list[str] = []
    for cycle in cycles:
        steps = _steps(cycle)
        both = []
        for _, a, b, c, d in SequenceMatcher(None, merged, steps, autojunk=False).get_opcodes():
            same = merged[a:b] == steps[c:d]
            both += merged[a:b] if same else merged[a:b] + steps[c:d]
        merged = both
    return merged


def _steps(cycle: Cycle) -> list[str]:
    steps: list[str] = cycle.profiles()["step"].to_numpy().tolist()
    return steps


def _places(own: Sequence[str], columns: Sequence[str]) -> list[int | None]:
    """Which of a cycle's steps is in each column."""
    found: list[int | None] = []
    for column in columns:
        placed = sum(place is not None for place in found)
        found.append(placed if placed < len(own) and own[placed] == column else None)
    return found


def _row(row: Any, cycle: Cycle, steps: Sequence[str], ion: str | None, bands: dict[str, Any]) -> None:
    """One strategy: the beds after its steps, and a gap where it has no such step."""
    import numpy as np

    data = cycle.profiles()
    held = data["ion"].to_numpy().tolist()
    hardness = [each for each in cycle.case.hardness_ions if each in held]
    if ion is not None and ion not in (*held, "hardness"):
        raise InputError("ion", ion, f"must be hardness or one of {', '.join(held)}")
    edges = cell_edges(data)
    ways = cycle.steps()["way"].tolist()
    for ax, step, place in zip(row, steps, _places(_steps(cycle), steps), strict=True):
        if place is None:
            ax.axis("off")
            ax.text(0.5, 0.5, f"no {step}", transform=ax.transAxes, ha="center", fontsize="small", color=palette.QUIET)
            continue
        loading = data["loading_eq_per_l"].isel(step=place)
        if ion is None:
            # The strongest held at the wall, as far as hardness goes.
            order = [*reversed(hardness), *(each for each in reversed(held) if each not in hardness)]
        else:
            order = hardness if ion == "hardness" else [ion]
        # The hardness ends with the last of its ions.
        hard = [each for each in order if each in hardness] if ion in (None, "hardness") else []
        edge = hard[-1] if hard else None
        start = np.zeros(data.sizes["depth"])
        for each in order:
            end = start + on_resin().of(loading.sel(ion=each).to_numpy())
            look = {"color": palette.of_ion(each)["color"], "alpha": BAND_ALPHA[each in hardness or ion is not None]}
            band = ax.stairs(
                end, edges, baseline=start, orientation="horizontal", fill=True, linewidth=0, label=each, **look
            )
            bands.setdefault(each, band)
            start = end
            if each == edge:
                ax.stairs(
                    end, edges, baseline=None, orientation="horizontal", color=palette.INK, linewidth=style.pt(1.4)
                )
        _flow(ax, ways[place])
        for side in ("top", "right"):
            ax.spines[side].set_visible(True)
        ax.grid(visible=False)


def _flow(ax: Axes, way: str) -> None:
    """An arrow beside the bed, the way its step's liquid goes; none for a rest."""
    if way == "none":
        return
    tail, head = ((1.09, 0.8), (1.09, 0.2)) if way == "down" else ((1.09, 0.2), (1.09, 0.8))
    arrow = {"arrowstyle": "-|>,head_width=0.3,head_length=0.6", "color": palette.INK, "linewidth": style.pt(1.6)}
    arrow |= {"mutation_scale": style.pt(10.0), "shrinkA": 0, "shrinkB": 0}
    both = {"xycoords": "axes fraction", "textcoords": "axes fraction"}
    ax.annotate("", head, tail, arrowprops=arrow, annotation_clip=False, **both)


def _strategy(ax: Axes, name: str, direction: str) -> None:
    """The strategy's name, upright at the end of its row."""
    ax.annotate(
        name.replace(", ", "\n"),
        (1.0, 0.5),
        xycoords="axes fraction",
        xytext=(style.pt(22.0), 0),
        textcoords="offset points",
        rotation=270,
        ha="left",
        va="center",
        fontweight="bold",
        color=palette.DIRECTIONS[direction]["color"],
        annotation_clip=False,
    )


def _words(panels: Any, steps: Sequence[str], ion: str | None) -> None:
    """Step names on top, depth to the left, loading below."""
    for ax, step in zip(panels[0], steps, strict=True):
        ax.set_title(f"after\n{step}", fontsize="medium", fontweight="normal", loc="center")
    for row in panels:
        first = next(ax for ax in row if ax.axison)
        first.set_ylabel(depth_words("\n"))
        for ax in row:
            ax.tick_params(labelleft=ax is first)
    for ax in panels[-1]:
        ax.tick_params(labelbottom=True)
    what = "each ion" if ion is None else ion
    drawn = [ax for ax in panels[-1] if ax.axison]
    middle = drawn[(len(drawn) - 1) // 2]
    middle.set_xlabel(f"{what} on the resin [{per_bed()}]")
