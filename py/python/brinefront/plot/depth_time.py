"""The bed through one cycle as a map: loading in depth against volume."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.plot import style
from brinefront.plot.loading import flow_arrow
from brinefront.plot.passage import Passage, Span, loading_of, passage_of

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.axes import Axes
    from numpy.typing import NDArray

    from brinefront.results import Cycle

MOMENTS = 400
# Shares of the width: a regeneration of ten bed volumes would be a hair beside a run of a hundred.
REGENERATION, GAP, SERVICE = 0.42, 0.085, 0.355
ARROW, COLOUR_BAR = 0.05, 0.022
# Width of a letter, as a share of a panel: steps narrower than their name have it aslant.
LETTER = 0.0165
# A backwash stirs the bed: it has a before and an after, and nothing between is computed.
NOT_FOLLOWED: dict[str, Any] = {"facecolor": "white", "edgecolor": style.FAINT, "hatch": "////", "linewidth": 0.0}


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
    ion : str
        An ion's symbol, or "hardness" for the sum of the ions that count as hardness.

    Returns
    -------
    tuple of matplotlib axes
        The panels of regeneration and service; of service alone for a first run on new resin.

    Raises
    ------
    InputError
        For an ion that the bed does not hold.
    """
    passage = passage_of(cycle, MOMENTS)
    loading = loading_of(cycle, passage.bed, ion)
    with style.styled():
        host = style.axes_or_new(ax, (11.0, 5.6))
        host.axis("off")
        host.set_title(f"{_capital(ion)} on the resin through one cycle, {cycle.direction}", pad=44.0)
        parts = [(passage.regeneration, REGENERATION, "regeneration"), (passage.service, SERVICE, "service")]
        if not passage.regeneration:
            parts = [(passage.service, REGENERATION + GAP + SERVICE, "service")]
        panels: list[Axes] = []
        left = 0.0
        for spans, width, name in parts:
            panel = host.inset_axes((left, 0.0, width, 1.0), sharey=panels[0] if panels else None)
            mesh = _map(panel, passage, spans, loading, cycle)
            _name_steps(panel, spans)
            panel.set_xlabel(f"{name} [bed volumes]")
            panels.append(panel)
            left += width + GAP
        _stand_upright(panels, cycle)
        _arrows(panels, passage, cycle)
        bar = host.inset_axes((left - GAP + 2.0 * ARROW, 0.0, COLOUR_BAR, 1.0))
        host.figure.colorbar(mesh, cax=bar, label=f"{ion} on the resin [eq per litre of bed]")
        bar.grid(visible=False)
    return tuple(panels)


def _capital(word: str) -> str:
    return word[:1].upper() + word[1:]


def _map(ax: Axes, passage: Passage, spans: tuple[Span, ...], loading: NDArray[np.float64], cycle: Cycle) -> Any:
    """Every moment of these steps as a column of colour, from half way since the one before to half way to the next."""
    import numpy as np

    depth_edges = np.linspace(0.0, cycle.case.bed.depth_m, loading.shape[1] + 1)
    capacity = cycle.case.resin.capacity_eq_per_l
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


def _name_steps(ax: Axes, spans: tuple[Span, ...]) -> None:
    """The steps above the panel, and a line where one ends."""
    whole = spans[-1].end_bv - spans[0].start_bv
    for span in spans:
        width = span.end_bv - span.start_bv
        if span is not spans[0]:
            ax.axvline(span.start_bv, color="white", linewidth=2.4)
            ax.axvline(span.start_bv, color=style.INK, linewidth=1.0, linestyle=(0, (4, 2)))
        narrow = width < LETTER * (len(span.name) + 0.5) * whole
        ax.annotate(
            span.name,
            (0.5 * (span.start_bv + span.end_bv), 1.0),
            xycoords=("data", "axes fraction"),
            xytext=(0, 5),
            textcoords="offset points",
            ha="center" if not narrow else "left",
            va="bottom",
            rotation=0 if not narrow else 35,
            rotation_mode="anchor",
            fontsize=9.5,
            annotation_clip=False,
        )


def _stand_upright(panels: list[Axes], cycle: Cycle) -> None:
    """Depth downwards as in the vessel, where service flows down."""
    depth_m = cycle.case.bed.depth_m
    panels[0].set_ylim(*((depth_m, 0.0) if cycle.case.service.service_flow == "down" else (0.0, depth_m)))
    panels[0].set_ylabel("depth from the service inlet [m]")
    for panel in panels[1:]:
        panel.tick_params(labelleft=False)


def _arrows(panels: list[Axes], passage: Passage, cycle: Cycle) -> None:
    """The way of the brine beside the regeneration, and of service beside the run."""
    brines = [span for span in passage.regeneration if span.name == "brine"]
    if brines:
        colour = style.DIRECTIONS[cycle.direction]["color"]
        flow_arrow(panels[0], 1.0 + 0.5 * GAP / REGENERATION, "brine", brines[0].way == "down", colour)
    last = panels[-1]
    width = SERVICE if len(panels) > 1 else REGENERATION + GAP + SERVICE
    flow_arrow(last, 1.0 + 0.8 * ARROW / width, "service", passage.service[0].way == "down", style.INK)
