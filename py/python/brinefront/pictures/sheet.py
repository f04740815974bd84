"""One page that answers a comparison."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, Any

from brinefront.native.optional import need
from brinefront.pictures import palette, style
from brinefront.pictures.leakage import leakage
from brinefront.pictures.loading import depth_words, depths, flow_arrow, on_resin, per_bed, profiles_of
from brinefront.pictures.registry import Example, picture
from brinefront.units import display
from brinefront.words import text
from brinefront.words.figures import as_shown, distinct

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from brinefront.native.protocols import Comparison, Cycle

# A4 landscape [in].
PAGE = (11.69, 8.27)
# Beds that fit side by side.
MOST_BEDS = 4
# Height of a line of warning, as a share of the page.
WARNED_LINE = 0.022
# Characters of a name that leaves no room for another beside it.
LONG_NAME = 32

# Words where the table is too narrow for the figure's own; the same figure in another unit has none again.
ROWS = {
    "salt_kg": "salt per regeneration",
    "run_length_l": "soft water per run",
    "capacity_eq_per_l": "operating capacity",
    "capacity_kgr_per_ft3": "",
    "salt_efficiency_gr_per_lb": "salt efficiency",
    "leakage_half_run_mg_per_l_caco3": "leakage at half run",
    "leakage_mean_mg_per_l_caco3": "mean leakage",
    "leakage_initial_mg_per_l_caco3": "that of the first bed volume",
    "waste_volume_l": "spent brine and rinse",
    "waste_chloride_mg_per_l": "its mean chloride",
    "sodium_product_mg_per_l": "sodium in soft water",
}


@picture(
    Example(
        10,
        "comparison_sheet",
        "Two strategies on one page",
        "The answer in a sentence, then why: the same salt leaves the hardness at the outlet of a co-current bed (dark, to the "
        "right) and at the inlet of a counter-current one. Light is what a service run adds.",
        "both = bf.compare(case)\ndrawn = both.sheet()",
    ),
    of_sample=lambda draw, sample: draw(sample.both),
)
def comparison_sheet(comparison: Comparison) -> Figure:
    """A page with the answer in a sentence, the leakage curves, the beds upright, key figures and the caution.

    Parameters
    ----------
    comparison : Comparison
        What :func:`brinefront.compare` returned; the beds of its first four strategies are drawn.

    Returns
    -------
    matplotlib.figure.Figure
        A4 landscape.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> page = plot.comparison_sheet(bf.compare(bf.default_case().replace({"cells": 10})))
    """
    need("matplotlib", "pictures")
    import matplotlib.pyplot as plt

    cycles = comparison.cycles
    beds = cycles[:MOST_BEDS]
    names = style.labels(cycles)
    with style.styled(page=True):
        page = plt.figure(figsize=PAGE)
        answer, size, end = _answer(comparison)
        _head(page, comparison, answer, size)
        # Room for a title below a long answer; names of more than two strategies are in three lines.
        warned = _warned(comparison)
        high = min(0.79, end - 0.04 - (WARNED_LINE * (warned.count("\n") + 1) if warned else 0.0))
        top = high if len(beds) < 3 else high - 0.03
        left = {"left": 0.075, "right": 0.515}
        _leakage(page.add_subplot(page.add_gridspec(1, 1, top=high, bottom=0.56, **left)[0, 0]), cycles, names)
        _figures(page.add_subplot(page.add_gridspec(1, 1, top=0.39, bottom=0.125, **left)[0, 0]), cycles, names)
        grid = page.add_gridspec(1, 1, left=0.60, right=0.94, top=top, bottom=0.19)
        # Room for the two arrows beside each bed, in widths of a bed.
        gap = 0.26 * len(beds)
        side = grid[0, 0].subgridspec(1, len(beds), wspace=gap)
        deepest = depths().of(max(cycle.case.bed.depth_m for cycle in beds))
        for place, (cycle, name) in enumerate(zip(beds, names, strict=False)):
            ax = page.add_subplot(side[0, place])
            _bed(ax, cycle, deepest, gap)
            colour = palette.DIRECTIONS[cycle.direction]["color"]
            ax.set_title(_stacked(name, 18 if len(beds) < 3 else 9), fontsize=13.5 - 1.0 * len(beds), color=colour)
            ax.tick_params(labelleft=place == 0)
            ax.set_ylabel(depth_words() if place == 0 else "")
        _bed_key(page, side)
        _foot(page, comparison)
        page.text(0.04, end, warned, fontsize=8.5, color=palette.LIMIT, fontweight="bold", va="top")
    return page


def _answer(comparison: Comparison) -> tuple[str, float, float]:
    """The answer in lines, its size of type, and where it ends: three lines in large type, or more in smaller."""
    answer = display.typeset(text.answer(comparison))
    size, width = (11.5, 118) if len(answer) <= 3 * 118 else (9.8, 142)
    lines = textwrap.wrap(answer, width, break_on_hyphens=False)
    return "\n".join(lines), size, 0.912 - len(lines) * 1.42 * size / (72.0 * PAGE[1])


def _head(page: Figure, comparison: Comparison, answer: str, size: float) -> None:
    names = dict.fromkeys(cycle.case.name or "Softener" for cycle in comparison.cycles)
    title = textwrap.shorten(", ".join(names), 60, placeholder=" ...")
    page.text(0.04, 0.945, style.as_written(title), fontsize=19, fontweight="bold", va="center")
    page.text(
        0.965,
        0.945,
        f"regeneration strategies compared {text.held_equal(comparison)}",
        fontsize=10.5,
        color=palette.QUIET,
        ha="right",
        va="center",
    )
    page.text(
        0.04,
        0.912,
        style.as_written(answer),
        fontsize=size,
        va="top",
        linespacing=1.35,
    )


def _leakage(ax: Axes, cycles: tuple[Cycle, ...], names: list[str]) -> None:
    """The leakage curves; what each leaks at half run is in the table, so that names alone are below them."""
    leakage(cycles, ax)
    # The axis is shorter here than the words are at full size.
    ax.yaxis.label.set_fontsize(9)
    handles, _ = ax.get_legend_handles_labels()
    style.legend_below(ax, 2 if max(map(len, names)) < LONG_NAME else 1, handles=handles, labels=names)


def _stacked(name: str, width: int) -> str:
    """A strategy's name in short lines."""
    lines = [textwrap.wrap(part, width, break_long_words=False) for part in name.split(", ")]
    return "\n".join(line for part in lines for line in part)


def _bed_key(page: Figure, side: Any) -> None:
    """What the horizontal axis of the beds and their two tones mean, once for all of them."""
    place = side.get_topmost_subplotspec().get_position(page)
    middle = (place.x0 + place.x1) / 2.0
    page.text(middle, place.y0 - 0.052, f"hardness on the resin [{per_bed()}]", ha="center", fontsize=10)
    page.text(
        middle,
        place.y0 - 0.08,
        "dark: after regeneration, light: added by the service run",
        ha="center",
        fontsize=9,
        color=palette.QUIET,
    )


def _bed(ax: Axes, cycle: Cycle, deepest: float, gap: float) -> None:
    """One bed: loading as service starts and as it ends, filled from the wall, the flows beside it."""
    import numpy as np

    depth, by_step = profiles_of(cycle, "hardness")
    ends = by_step[-1][1]
    starts = by_step[-2][1] if len(by_step) > 1 else ends
    # From wall to wall: the outer halves of the first and the last cell are as their middles are.
    depth = np.concatenate([[0.0], depth, [cycle.case.bed.depth_m]])
    starts, ends = (on_resin().of(np.pad(profile, 1, mode="edge")) for profile in (starts, ends))
    depth = depths().of(depth)
    colour = palette.DIRECTIONS[cycle.direction]["color"]
    ax.fill_betweenx(depth, 0.0, ends, color=colour, alpha=0.20, linewidth=0)
    ax.fill_betweenx(depth, 0.0, starts, color=colour, alpha=0.55, linewidth=0)
    ax.plot(ends, depth, color=colour, linewidth=1.4)
    ax.plot(starts, depth, color=colour, linewidth=2.6)
    down = cycle.case.service.service_flow == "down"
    ax.set_xlim(0.0, on_resin().of(cycle.case.resin.capacity_eq_per_l))
    ax.set_ylim(*((deepest, 0.0) if down else (0.0, deepest)))
    for side in ("top", "right"):
        ax.spines[side].set_visible(True)
    ax.grid(visible=False)
    flow_arrow(ax, 1.0 + 0.20 * gap, "service", down, palette.INK)
    flow_arrow(ax, 1.0 + 0.50 * gap, "brine", down == (cycle.direction == "co-current"), colour)


def _figures(ax: Axes, cycles: tuple[Cycle, ...], names: list[str]) -> None:
    """A small table: words and unit to the left, a column for each strategy."""
    ax.axis("off")
    columns = [0.42 + 0.58 * (place + 1) / len(cycles) for place in range(len(cycles))]
    rows = [(ROWS[name], _unit(name), [text.shown(cycle, name) for cycle in cycles]) for name in distinct(ROWS)]
    # What the site asks stands below what is found.
    targets = text.target_rows(cycles)
    signs = {"at most": "\N{LESS-THAN OR EQUAL TO}", "at least": "\N{GREATER-THAN OR EQUAL TO}"}
    for kind, asked, unit, values in targets:
        bound, _, amount = asked.rpartition(" ")
        rows.append((f"{kind} {signs.get(bound, bound)} {amount}", unit, values))
    step = 1.0 / (len(rows) + 1)
    size = 9.5 if not targets else 8.5
    for across, name, cycle in zip(columns, names, cycles, strict=True):
        look: dict[str, Any] = {"ha": "right", "va": "bottom", "fontweight": "bold"}
        look["fontsize"] = 9.5 if len(cycles) < 3 else 8.5
        ax.text(
            across,
            0.98,
            _stacked(name, 18 if len(cycles) < 3 else 9),
            transform=ax.transAxes,
            color=palette.DIRECTIONS[cycle.direction]["color"],
            **look,
        )
    for place, (words, unit, values) in enumerate(rows, start=1):
        up = 1.0 - place * step
        ax.text(0.0, up, words, transform=ax.transAxes, va="center", fontsize=size)
        quiet: dict[str, Any] = {"fontsize": size - 0.5, "color": palette.QUIET}
        ax.text(
            0.43,
            up,
            display.typeset(unit.replace(" as CaCO3", "")),
            transform=ax.transAxes,
            ha="right",
            va="center",
            **quiet,
        )
        for across, value in zip(columns, values, strict=True):
            colour = palette.LIMIT if "missed" in value else palette.INK
            shown = display.typeset(value)
            ax.text(across, up, shown, transform=ax.transAxes, ha="right", va="center", fontsize=size, color=colour)
        if words or place == 1:
            ax.plot(
                [0.0, 1.0],
                [up + step / 2] * 2,
                transform=ax.transAxes,
                color=palette.GRID,
                linewidth=0.8,
                clip_on=False,
            )
    ax.set_xlim(0.0, 1.0)
    ax.set_ylim(0.0, 1.0)


def _unit(name: str) -> str:
    """The unit of a figure; of what else it is the foot of the page tells."""
    return display.typeset(as_shown(name).unit.removesuffix(" of bed").removesuffix(" as CaCO3"))


def _warned(comparison: Comparison) -> str:
    """What a reader must know before using the figures, in lines; empty where there is nothing."""
    warned = " ".join([*text.unmet(comparison), *text.warnings(comparison.cycles)])
    return style.as_written(textwrap.fill(display.typeset(warned), 150, break_on_hyphens=False))


def _foot(page: Figure, comparison: Comparison) -> None:
    hardness = "Leakage is hardness as CaCO₃. "
    caution = textwrap.fill(
        hardness + text.cautions(comparison.cycles)[0] + " " + text.LOCAL_CODES, 165, break_on_hyphens=False
    )
    page.text(0.04, 0.052, caution, fontsize=8, color=palette.QUIET, va="center", linespacing=1.35)
