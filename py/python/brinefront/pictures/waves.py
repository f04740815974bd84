"""The waves of a cycle in depth and throughput: equilibrium theory, service beside regeneration."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.pictures import palette, style
from brinefront.pictures.loading import depth_words, depths, flow_arrow
from brinefront.pictures.registry import Example, picture
from brinefront.units import display

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    import pandas as pd
    from matplotlib.axes import Axes

    from brinefront.native.protocols import Waves

# Fans are drawn as lines of equal loading at these shares of the feed's.
LEVELS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
# Light for regenerated, dark for loaded: one hue, distinguished by lightness alone.
RESIN_COLOURS = ("#FFFFFF", "#DCE1E6", "#A3AEB8", "#66757F")
FAN = palette.INK
# The salt's: where it is strong, and where it has gone.
CONCENTRATION = "#AA9500"
SHOCK = palette.INK
# A shock over less than this part of the resin's fraction is drawn as a fan's line is.
SHOCK_FROM = 0.03


@picture(
    Example(
        140,
        "waves",
        "Waves of equilibrium theory",
        "Service is a shock that goes down the bed, regeneration a fan: in brine selectivity is nearly lost, and hardness "
        "leaves over a long stretch. The dashed lines are where the salt arrives and where it has gone.",
        "waves = bf.waves(case)\ndrawn = plot.waves(waves)",
    ),
    of_sample=lambda draw, sample: draw(sample.waves),
)
def waves(found: Waves, axes: Sequence[Axes] | None = None) -> np.ndarray:
    """Where shocks, fans and changes of normality are, in service and in regeneration; the bed is upright as in its vessel.

    Parameters
    ----------
    found : Waves
        From :func:`brinefront.waves`.
    axes : sequence of two matplotlib axes, optional
        Service and regeneration; a new figure by default.

    Returns
    -------
    numpy.ndarray
        The two axes.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> service, regeneration = plot.waves(bf.waves(bf.default_case()))
    """
    import numpy as np

    steps = found.steps()
    service = len(steps) - 1
    regeneration = [row for row in range(service) if steps["volume_bv"][row] > 0.0 and steps["step"][row] != "backwash"]
    down = found.case.service.service_flow == "down"
    with style.styled():
        own = axes is None
        if axes is None:
            import matplotlib.pyplot as plt

            _, axes = plt.subplots(1, 2, figsize=(12.6, 5.9), layout="constrained", sharey=True)
        panels = np.asarray(axes, dtype=object).ravel()
        shade = _panel(panels[0], found, [service])
        _panel(panels[1], found, regeneration)
        depth = depths().of(found.case.bed.depth_m)
        panels[0].set_ylim(*((depth, 0.0) if down else (0.0, depth)))
        panels[1].set_ylim(*((depth, 0.0) if down else (0.0, depth)))
        panels[0].set_ylabel(depth_words())
        panels[0].set_xlabel("throughput of service [bed volumes]")
        panels[1].set_xlabel("volume since the brine began [bed volumes]")
        panels[0].set_title(f"Service: {_end(found)}", pad=style.pt(34.0))
        panels[1].set_title(f"Regeneration, {found.direction}", pad=style.pt(34.0))
        _flows(panels, found, down)
        _legend(panels, shade, _words(found) if own else "")
    return panels


def _panel(ax: Axes, found: Waves, rows: list[int]) -> Any:
    """Draw some steps one after the other; the shading of the first."""
    import numpy as np
    from matplotlib.collections import LineCollection
    from matplotlib.colors import LinearSegmentedColormap

    colours = LinearSegmentedColormap.from_list("loading", RESIN_COLOURS)
    steps, lines = found.steps(), found.lines()
    depth = found.case.bed.depth_m
    z = (np.arange(240) + 0.5) * depth / 240
    start, shade = 0.0, None
    for place, row in enumerate(rows):
        volume = float(steps["volume_bv"][row])
        bv = (np.arange(320) + 0.5) * volume / 320
        resin = found.resin_fraction(row, bv.tolist(), z.tolist())
        shade = ax.imshow(
            resin.T,
            extent=(start, start + volume, depths().of(depth), 0.0),
            aspect="auto",
            origin="upper",
            cmap=colours,
            vmin=0.0,
            vmax=1.0,
            interpolation="nearest",
            zorder=0,
        )
        own = lines[lines["step"] == row]
        low = np.minimum(own["resin_behind"], own["resin_ahead"])
        high = np.maximum(own["resin_behind"], own["resin_ahead"])
        shocks = (own["kind"] == "shock") & (high - low >= SHOCK_FROM)
        spans = np.zeros(len(own), dtype=bool)
        for level in LEVELS:
            value = level * found.feed_resin_fraction
            spans |= ((low <= value) & (value < high)).to_numpy()
        looks: tuple[tuple[pd.DataFrame, dict[str, Any]], ...] = (
            (own[spans & ~shocks & (own["kind"] != "concentration")], {"colors": FAN, "linewidths": style.pt(0.9)}),
            (
                own[own["kind"] == "concentration"],
                {"colors": CONCENTRATION, "linewidths": style.pt(2.4), "linestyles": (0, (5, 2))},
            ),
            (own[shocks], {"colors": SHOCK, "linewidths": style.pt(3.2)}),
        )
        for pieces, look in looks:
            ends = pieces[["from_bv", "from_depth_m", "to_bv", "to_depth_m"]].to_numpy().reshape(-1, 2, 2)
            ends = ends * np.array([1.0, depths().factor])
            chains = _chained(ends + np.array([start, 0.0]), pieces["wave"].to_numpy())
            ax.add_collection(LineCollection(chains, capstyle="round", **look))
        if len(rows) > 1:
            _name(ax, str(steps["step"][row]), float(steps["normality_eq_per_l"][row]), start, volume, found, rows)
            if place:
                ax.axvline(start, color=palette.INK, linewidth=style.pt(0.9), zorder=3)
        start += volume
    ax.set_xlim(0.0, start)
    ax.grid(visible=False)
    return shade


def _chained(ends: np.ndarray, numbers: np.ndarray) -> list[np.ndarray]:
    """Pieces that follow one another as one line, so that dashes run on."""
    import numpy as np

    chains: list[list[Any]] = []
    last = None
    for piece, number in zip(ends, numbers, strict=True):
        if chains and number == last and np.allclose(chains[-1][-1], piece[0], atol=1e-9):
            chains[-1].append(piece[1])
        else:
            chains.append([piece[0], piece[1]])
        last = number
    return [np.array(chain) for chain in chains]


def _name(ax: Axes, step: str, normality: float, start: float, volume: float, found: Waves, rows: list[int]) -> None:
    """A step's name above it, with the normality that enters; a narrow one has its name alone."""
    steps = found.steps()
    whole = sum(float(steps["volume_bv"][row]) for row in rows)
    words = f"{step}\n{normality:.3g} {display.in_chart('eq/L').unit}" if volume > 0.13 * whole else step
    ax.annotate(
        words,
        (start + volume / 2, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(0, 3),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize="small",
        annotation_clip=False,
    )


def _end(found: Waves) -> str:
    if found.stop_reason == "never soft":
        return "never soft"
    metered = "metered" if found.stop_reason == "throughput" else "to the limit"
    return f"{found.run_length_bv:.4g} BV, {metered}"


def _words(found: Waves) -> str:
    """Normalities and reversal, in two lines."""
    unit = display.in_chart("eq/L").unit
    return (
        "Equilibrium theory, divalent cations as one. "
        f"Selectivity reverses at N = K Q = {found.reversal_eq_per_l:.3g} {unit};\nseparation factor of hardness "
        f"{found.separation_factor_feed:.3g} in the feed ({found.feed_normality_eq_per_l:.3g} {unit}), "
        f"{found.separation_factor_brine:.3g} in the brine ({found.brine_normality_eq_per_l:.3g} {unit})."
    )


def _flows(panels: Any, found: Waves, down: bool) -> None:
    """An arrow for the service flow, and one for the brine."""
    brine_down = down == (found.direction == "co-current")
    flow_arrow(panels[0], 1.0 + style.pt(0.035), "service", down, palette.INK)
    flow_arrow(panels[1], 1.0 + style.pt(0.035), "brine", brine_down, palette.DIRECTIONS[found.direction]["color"])


def _legend(panels: Any, shade: Any, words: str) -> None:
    from matplotlib.lines import Line2D

    marks = [
        Line2D([], [], color=SHOCK, linewidth=style.pt(3.2), label="shock"),
        Line2D([], [], color=FAN, linewidth=style.pt(0.9), label="fan, at every tenth of the loading"),
        Line2D(
            [], [], color=CONCENTRATION, linewidth=style.pt(2.4), linestyle=(0, (5, 2)), label="change of normality"
        ),
    ]
    if words:
        style.figure_legend(panels[0].figure, marks, [str(mark.get_label()) for mark in marks], 3, words)
    else:
        style.legend_below(panels[0], 2, handles=marks)
    if shade is not None:
        bar = panels[1].figure.colorbar(shade, ax=list(panels), pad=0.045, aspect=32, fraction=0.03)
        bar.set_label("divalent fraction of the resin")
        bar.outline.set_visible(False)
