"""Colours, dashes and markers: what a thing looks like in every picture it is in.

Whatever is drawn together differs in colour (for colour-blind readers too), and in dash or marker, so that it can be told
apart in grey. `tests/python/pictures/test_palette.py` measures both.
"""

from __future__ import annotations

from typing import Any

INK = "#22303C"
# Words in the background, and lines there; the second is too light for words.
QUIET = "#5A6875"
FAINT = "#8896A3"
GRID = "#E3E8EC"
LIMIT = "#A3123A"
BAND = "#EFE3D3"

DIRECTIONS: dict[str, dict[str, Any]] = {
    "co-current": {"color": "#CC6A1E", "linestyle": (0, (6, 2)), "marker": "s"},
    "counter-current": {"color": "#12476B", "linestyle": "-", "marker": "o"},
}
# Further cycles of one direction: same colour, another dash and marker.
AGAIN: tuple[dict[str, Any], ...] = (
    {},
    {"linestyle": (0, (1, 1.5)), "marker": "D"},
    {"linestyle": (0, (4, 1.5, 1, 1.5)), "marker": "^"},
    {"linestyle": (0, (10, 2.5)), "marker": "v"},
)

# Each of the ten cations; found by a search for the largest least difference, the usual four near their former hues.
IONS: dict[str, dict[str, Any]] = {
    "Na": {"color": "#AA9500", "linestyle": (0, (5, 2)), "marker": "s"},
    "K": {"color": "#EA6A95", "linestyle": (0, (1, 1.4)), "marker": "D"},
    "NH4": {"color": "#9580FF", "linestyle": (0, (2.2, 1.6)), "marker": "P"},
    "H": {"color": "#55556A", "linestyle": (0, (1, 3.2)), "marker": "X"},
    "Mg": {"color": "#40806A", "linestyle": (0, (5, 1.5, 1, 1.5)), "marker": "^"},
    "Ca": {"color": "#2A0080", "linestyle": "-", "marker": "o"},
    "Sr": {"color": "#8040BF", "linestyle": (0, (5, 1.5, 1, 1.5, 1, 1.5)), "marker": "v"},
    "Ba": {"color": "#955515", "linestyle": (0, (10, 2.5)), "marker": "<"},
    "Fe": {"color": "#40152A", "linestyle": (0, (3, 4)), "marker": ">"},
    "Mn": {"color": "#2A2A00", "linestyle": (0, (8, 2, 2.5, 2)), "marker": "p"},
}
HARDNESS: dict[str, Any] = {"color": INK, "linestyle": "-", "marker": "o"}

# After which step a profile is a state of its own; widths in points, the end of service heaviest.
STEPS: dict[str, dict[str, Any]] = {
    "backwash": {"color": "#7C8792", "linestyle": (0, (1, 1.5)), "linewidth": 2.0},
    "reclaimed brine": {"color": "#72240B", "linestyle": (0, (3, 3)), "linewidth": 2.0},
    "brine": {"color": "#D2456E", "linestyle": (0, (6, 2)), "linewidth": 2.0},
    "standby": {"color": "#A88B2A", "linestyle": (0, (1, 3.2)), "linewidth": 2.0},
    "slow rinse": {"color": "#1C8FC0", "linestyle": (0, (5, 1.5, 1, 1.5)), "linewidth": 2.0},
    "fast rinse": {"color": "#4B1D78", "linestyle": (0, (3, 1)), "linewidth": 2.4},
    "service": {"color": INK, "linestyle": "-", "linewidth": 2.8},
}
# Dashes of a step that comes again.
STEP_AGAIN: tuple[Any, ...] = (None, (0, (10, 2.5)), (0, (2.2, 1.6)), (0, (3, 4)))

# A loading from none to full: lightness falls in even steps (of OKLab) and hue goes from sand by green to blue, so that the order is
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

# What equilibrium theory allows or shows, beside what the model gives.
THEORY: dict[str, Any] = {"color": QUIET, "linestyle": (0, (4, 1.5, 1, 1.5))}


def of_ion(ion: str) -> dict[str, Any]:
    """Colour, dash and marker of a cation, or of hardness."""
    return IONS.get(ion, HARDNESS)
