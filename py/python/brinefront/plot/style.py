"""How pictures look: one palette, one set of line styles, axes that say their unit.

The two directions keep their colour, dash and marker in every picture, so that they can be told apart in grey and by a
colour-blind reader (they differ in lightness as well as in hue).
"""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from matplotlib.axes import Axes
    from matplotlib.colors import Colormap

    from brinefront.results import Cycle

INK = "#22303C"
FAINT = "#8896A3"
GRID = "#E3E8EC"
LIMIT = "#A3123A"
BAND = "#EFE3D3"

DIRECTIONS: dict[str, dict[str, Any]] = {
    "co-current": {"color": "#D9772B", "linestyle": (0, (6, 2)), "marker": "s"},
    "counter-current": {"color": "#12476B", "linestyle": "-", "marker": "o"},
}
# Further cycles of one direction: same colour, another dash and marker.
AGAIN: list[dict[str, Any]] = [
    {},
    {"linestyle": (0, (1, 1.5)), "marker": "D"},
    {"linestyle": (0, (4, 1.5, 1, 1.5)), "marker": "^"},
]

IONS: dict[str, dict[str, Any]] = {
    "Na": {"color": "#C2A02F", "linestyle": (0, (5, 2))},
    "Ca": {"color": "#5A2E86", "linestyle": "-"},
    "Mg": {"color": "#2B9A7A", "linestyle": (0, (4, 1.5, 1, 1.5))},
    "K": {"color": "#B8486A", "linestyle": (0, (1, 1.5))},
    "hardness": {"color": INK, "linestyle": "-"},
}
# From none to full: lightness falls in even steps (of OKLab) and hue goes from sand by green to blue, so that the order is
# read in grey and by a colour-blind reader alike.
DEPTH = (
    "#FBF5E6",
    "#DDEBD7",
    "#C2E0C9",
    "#A8D4BB",
    "#8DC8B1",
    "#72BBA8",
    "#59AE9F",
    "#459F97",
    "#359090",
    "#26818B",
    "#1B7185",
    "#15617E",
    "#125174",
    "#124367",
    "#143557",
    "#162846",
    "#161B33",
)

OTHER_ION: dict[str, Any] = {"color": FAINT, "linestyle": (0, (2, 2))}

RC: dict[Any, Any] = {
    "font.family": "sans-serif",
    "font.size": 10.5,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "axes.titlesize": 12.0,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.titlecolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.9,
    "axes.grid": True,
    "axes.axisbelow": True,
    "grid.color": GRID,
    "grid.linewidth": 0.8,
    "text.color": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "lines.linewidth": 2.2,
    "lines.solid_capstyle": "round",
    "legend.frameon": False,
    "legend.handlelength": 3.0,
    "figure.facecolor": "white",
    "savefig.facecolor": "white",
    "savefig.dpi": 160,
}


@contextmanager
def styled() -> Iterator[None]:
    """Draw in the package's style, leaving the caller's settings alone."""
    import matplotlib as mpl

    with mpl.rc_context(RC):
        yield


def axes_or_new(ax: Axes | None, size: tuple[float, float]) -> Axes:
    """The caller's axes, or new ones on a figure of `size` inches."""
    if ax is not None:
        return ax
    import matplotlib.pyplot as plt

    _, new = plt.subplots(figsize=size, layout="constrained")
    return new


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


def of_ion(ion: str) -> dict[str, Any]:
    """Colour and dash of an ion."""
    return IONS.get(ion, OTHER_ION)
