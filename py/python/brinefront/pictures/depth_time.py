"""The bed through one cycle as a map: loading in depth against volume."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.pictures import palette, style
from brinefront.pictures.loading import cell_edges, depth_words, depths, flow_arrow, on_resin, per_bed
from brinefront.pictures.passage import Passage, Span, loading_of, passage_of
from brinefront.pictures.registry import Example, picture

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from brinefront.native.protocols import Cycle

MOMENTS = 400
# Shares of the width: a regeneration of ten bed volumes would be a hair beside a run of a hundred.
REGENERATION, GAP, SERVICE = 0.42, 0.085, 0.355
ARROW, COLOUR_BAR = 0.05, 0.022
# Names of steps [points]: their size, the width of a letter, and how far apart upright ones are.
NAME, LETTER, APART = 9.5, 5.2, 12.0
# From the map to the foot of a name, level or upright.
LEVEL, UPRIGHT = 5.0, 14.0
POINTS_PER_INCH = 72.0
# What a layout engine makes of the margins that axes have before it lays them out.
LAID_OUT = 1.15
# A backwash stirs the bed: it has a before and an after, and no moment between is computed.
NOT_FOLLOWED: dict[str, Any] = {"facecolor": "white", "edgecolor": palette.FAINT, "hatch": "////", "linewidth": 0.0}


@picture(
    Example(
        70,
        "depth_time",
        "The bed through a whole cycle",
        "Depth downwards, volume to the right, the regeneration with a width of its own. Brine clears the bed from the end it "
        "enters by; the run's front then goes down through what was left, and leakage is the colour of the lowest row.",
        "cycle = case.mirrored().cycle()\ndrawn = plot.depth_time(cycle)",
    ),
    of_sample=lambda draw, sample: draw(sample.both.cycles[1]),
)
def depth_time(cycle: Cycle, ax: Axes | None = None, ion: str = "hardness") -> tuple[Axes, ...]:
    """Loading along the bed through a whole cycle; the regeneration has a width of its own, beside the service run.

    Every column of the map is one moment of :meth:`brinefront.Cycle.through_time`, every row a cell. A backwash is hatched:
    what the bed is like within it is not computed. The cycle is run again for it.

    Parameters
    ----------
    cycle : Cycle
        A finished cycle.
    ax : matplotlib axes, optional
        Where to draw: its place is taken by the panels, itself it disappears; a new figure by default.
    ion : str, default "hardness"
        An ion's symbol, or "hardness" for the sum of the ions that count as hardness.

    Returns
    -------
    tuple of matplotlib axes
        The panels of regeneration and service; of service alone for a first run on new resin.

    Raises
    ------
    InputError
        For an ion that the bed does not hold.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> regeneration, service = plot.depth_time(bf.default_case().replace({"cells": 10}).cycle())
    """
    passage = passage_of(cycle, MOMENTS)
    loading = on_resin().of(loading_of(cycle, passage.bed, ion))
    with style.styled():
        host = style.axes_or_new(ax, (11.0, 5.6))
        host.axis("off")
        parts = [(passage.regeneration, REGENERATION, "regeneration"), (passage.service, SERVICE, "service")]
        if not passage.regeneration:
            parts = [(passage.service, REGENERATION + GAP + SERVICE, "service")]
        panels: list[Axes] = []
        left, above = 0.0, 0.0
        for spans, width, name in parts:
            panel = host.inset_axes((left, 0.0, width, 1.0), sharey=panels[0] if panels else None)
            mesh = _map(panel, passage, spans, loading, cycle)
            above = max(above, _name_steps(panel, spans, width * _width_points(host)))
            panel.set_xlabel(f"{name} [bed volumes]")
            panels.append(panel)
            left += width + GAP
        host.set_title(f"{_capital(ion)} on the resin through one cycle, {cycle.direction}", pad=above + 12.0)
        _stand_upright(panels, cycle)
        _arrows(panels, passage, cycle)
        bar = host.inset_axes((left - GAP + 2.0 * ARROW, 0.0, COLOUR_BAR, 1.0))
        host.figure.colorbar(mesh, cax=bar, label=f"{ion} on the resin [{per_bed()}]")
        bar.grid(visible=False)
    return tuple(panels)


def _width_points(ax: Axes) -> float:
    """Width of axes [points], as far as it is known before they are laid out."""
    figure: Any = ax.get_figure(root=True)
    laid_out = LAID_OUT if figure.get_layout_engine() is not None else 1.0
    return float(laid_out * ax.get_position().width * figure.get_size_inches()[0] * POINTS_PER_INCH)


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]


def _map(ax: Axes, passage: Passage, spans: tuple[Span, ...], loading: NDArray[np.float64], cycle: Cycle) -> Any:
    """Every moment of these steps as a column of colour, from half way since the one before to half way to the next."""
    import numpy as np

    depth_edges = cell_edges(passage.bed)
    capacity = on_resin().of(cycle.case.resin.capacity_eq_per_l)
    mesh = None
    for span in spans:
        if span.name == "backwash":
            ax.axvspan(span.start_bv, span.end_bv, **NOT_FOLLOWED)
        elif span.end_bv > span.start_bv:
            bv = passage.bed["bv"].to_numpy()[span.moments]
            at = span.start_bv + (bv - bv[0])
            edges = np.concatenate([at[:1], 0.5 * (at[1:] + at[:-1]), at[-1:]])
            mesh = ax.pcolormesh(
                edges,
                depth_edges,
                loading[span.moments].T,
                cmap=style.depth_colours(),
                vmin=0.0,
                vmax=capacity,
                # Without it, viewers of vector graphics show seams between the cells.
                rasterized=True,
            )
    ax.grid(visible=False)
    ax.set_xlim(spans[0].start_bv, spans[-1].end_bv)
    return mesh


def _name_steps(ax: Axes, spans: tuple[Span, ...], width_points: float) -> float:
    """The steps above the panel, upright where they are narrower than their names, and a line where one ends.

    Returns the height of the names [points].
    """
    per_bv = width_points / (spans[-1].end_bv - spans[0].start_bv)
    letter, apart = style.pt(LETTER), style.pt(APART)
    above = LEVEL + style.pt(NAME)
    # Where the last upright name is [points].
    taken = -apart
    for span in spans:
        if span is not spans[0]:
            ax.axvline(span.start_bv, color="white", linewidth=style.pt(2.4))
            ax.axvline(span.start_bv, color=palette.INK, linewidth=style.pt(1.0), linestyle=(0, (4, 2)))
        middle = 0.5 * (span.start_bv + span.end_bv)
        words: dict[str, Any] = {
            "xycoords": ("data", "axes fraction"),
            "textcoords": "offset points",
            "fontsize": style.pt(NAME),
            "ha": "center",
            "va": "bottom",
            "annotation_clip": False,
        }
        if per_bv * (span.end_bv - span.start_bv) > letter * len(span.name):
            ax.annotate(span.name, (middle, 1.0), xytext=(0.0, LEVEL), **words)
            continue
        at = per_bv * (middle - spans[0].start_bv)
        taken = max(at, taken + apart)
        above = max(above, UPRIGHT + letter * len(span.name))
        leader = {"arrowstyle": "-", "color": palette.FAINT, "linewidth": 0.8, "shrinkA": 0.0, "shrinkB": 0.0}
        where = (taken - at, UPRIGHT)
        ax.annotate(span.name, (middle, 1.0), xytext=where, rotation=90, arrowprops=leader, **words)
    return above


def _stand_upright(panels: list[Axes], cycle: Cycle) -> None:
    """Depth downwards as in the vessel, where service flows down."""
    depth = depths().of(cycle.case.bed.depth_m)
    panels[0].set_ylim(*((depth, 0.0) if cycle.case.service.service_flow == "down" else (0.0, depth)))
    panels[0].set_ylabel(depth_words())
    for panel in panels[1:]:
        panel.tick_params(labelleft=False)


def _arrows(panels: list[Axes], passage: Passage, cycle: Cycle) -> None:
    """The way of the brine beside the regeneration, and of service beside the run."""
    brines = [span for span in passage.regeneration if span.name == "brine"]
    if brines:
        colour = palette.DIRECTIONS[cycle.direction]["color"]
        flow_arrow(panels[0], 1.0 + 0.5 * GAP / REGENERATION, "brine", brines[0].way == "down", colour)
    last = panels[-1]
    width = SERVICE if len(panels) > 1 else REGENERATION + GAP + SERVICE
    flow_arrow(last, 1.0 + 0.8 * ARROW / width, "service", passage.service[0].way == "down", palette.INK)
