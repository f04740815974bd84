"""How pictures look: one set of settings, three sizes of type, legends below, axes that name their unit.

Colours and dashes are in :mod:`brinefront.pictures.palette`. Type is "large" for titles, the usual size, or "small"; sizes in
points go through :func:`pt`, so that :func:`projected` enlarges all of them at once.
"""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

from brinefront.native.optional import need
from brinefront.pictures.palette import AGAIN, DEPTH, DIRECTIONS, GRID, INK
from brinefront.units import display
from brinefront.words import text

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from matplotlib.axes import Axes
    from matplotlib.colors import Colormap
    from matplotlib.figure import Figure
    from matplotlib.legend import Legend

    from brinefront.native.protocols import Cycle

# Type and lines of a slide against those of a page: small type is then a thirtieth of the height of a picture or more.
PROJECTED = 1.45

_scale: ContextVar[float] = ContextVar("scale", default=1.0)

RC: dict[Any, Any] = {
    "font.family": "sans-serif",
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.titlesize": "large",
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.titlecolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": GRID,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "lines.solid_capstyle": "round",
    "legend.frameon": False,
    "legend.fontsize": "small",
    "legend.handlelength": 4.4,
    "figure.facecolor": "white",
    "savefig.facecolor": "white",
    "savefig.dpi": 160,
}
# In points, for a page.
SIZES: dict[Any, float] = {
    "font.size": 10.5,
    "axes.linewidth": 0.9,
    "grid.linewidth": 0.8,
    "lines.linewidth": 2.2,
    "lines.markersize": 6.0,
    "xtick.major.width": 0.8,
    "ytick.major.width": 0.8,
}


@contextmanager
def projected() -> Iterator[None]:
    """Draw for a room: type and lines of every picture drawn inside are larger, sizes of figures are not.

    The comparison sheet is a page and stays one.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> cycle = bf.default_case().replace({"cells": 10}).cycle()
    >>> with plot.projected():
    ...     axes = plot.leakage(cycle)
    """
    token = _scale.set(PROJECTED)
    try:
        yield
    finally:
        _scale.reset(token)


@contextmanager
def styled(*, page: bool = False) -> Iterator[None]:
    """Draw in the package's style, leaving the caller's settings alone; a `page` is never enlarged."""
    need("matplotlib", "pictures")
    import matplotlib as mpl

    token = _scale.set(1.0 if page else _scale.get())
    try:
        with mpl.rc_context({**RC, **{name: pt(points) for name, points in SIZES.items()}}):
            yield
    finally:
        _scale.reset(token)


def pt(points: float) -> float:
    """Points on a page as points of what is being drawn."""
    return points * _scale.get()


def unit_words(unit: str) -> str:
    """A unit as it stands on an axis, its powers and indices set as such."""
    return display.typeset(unit)


def axes_or_new(ax: Axes | None, size: tuple[float, float]) -> Axes:
    """The caller's axes, or new ones on a figure of `size` inches."""
    if ax is not None:
        return ax
    import matplotlib.pyplot as plt

    _, new = plt.subplots(figsize=size, layout="constrained")
    return new


def legend_below(ax: Axes, columns: int, **more: Any) -> Legend:
    """A legend under the axes, from their left edge, below the label of the horizontal axis.

    It has so many columns on a page, and fewer where type is larger.
    """
    from matplotlib.transforms import ScaledTranslation

    below = ScaledTranslation(0.0, -pt(42.0) / 72.0, ax.figure.dpi_scale_trans)
    placed = {"loc": "upper left", "bbox_to_anchor": (0.0, 0.0), "bbox_transform": ax.transAxes + below}
    spaced = {
        "ncols": max(1, round(columns / _scale.get())),
        "columnspacing": 1.6,
        "borderaxespad": 0.0,
        "borderpad": 0.0,
    }
    return ax.legend(**(placed | spaced | more))


def figure_legend(figure: Figure, handles: Sequence[Any], labels: Sequence[str], columns: int, words: str = "") -> None:
    """A legend under all axes of a figure, with a line of words above it."""
    titled: dict[str, Any] = {"title": words, "title_fontsize": "small", "alignment": "left"} if words else {}
    figure.legend(handles, labels, loc="outside lower left", ncols=columns, columnspacing=1.6, **titled)


def log_y(ax: Axes, low: float, high: float) -> None:
    """A logarithmic vertical axis from `low` to `high` with plain numbers on it, at 1, 2 and 5 or at decades."""
    from matplotlib.ticker import LogLocator, NullFormatter

    ax.set_yscale("log")
    ax.set_ylim(low, high)
    subdivisions = (1.0, 2.0, 5.0) if high < 300.0 * low else (1.0,)
    ax.yaxis.set_major_locator(LogLocator(subs=subdivisions, numticks=12))
    ax.yaxis.set_major_formatter(lambda value, _: f"{value:g}")
    ax.yaxis.set_minor_formatter(NullFormatter())


def depth_colours() -> Colormap:
    """The colour map of a loading."""
    from matplotlib.colors import LinearSegmentedColormap

    return LinearSegmentedColormap.from_list("brinefront depth", DEPTH)


def as_written(words: str) -> str:
    """A text that holds names as a picture shows it letter by letter: between two dollar signs stands no mathematics."""
    return words.replace("$", r"\$")


def labels(cycles: Sequence[Cycle]) -> list[str]:
    """A short name for each cycle, all different, as a picture shows it."""
    return [as_written(label) for label in text.labels(cycles)]


def of_cycles(cycles: Sequence[Cycle]) -> list[dict[str, Any]]:
    """Colour, dash and marker of each cycle."""
    seen: dict[str, int] = {}
    found = []
    for cycle in cycles:
        place = seen.setdefault(cycle.direction, 0)
        seen[cycle.direction] += 1
        found.append(DIRECTIONS[cycle.direction] | AGAIN[place % len(AGAIN)])
    return found


def line_only(look: dict[str, Any]) -> dict[str, Any]:
    """A look without its marker."""
    return {key: value for key, value in look.items() if key != "marker"}
