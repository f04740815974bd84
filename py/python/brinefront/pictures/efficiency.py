"""Brine efficiency: what each dose of salt buys, in both directions."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.native.enumerations import Outcome, StopReason
from brinefront.pictures import palette, style
from brinefront.pictures.leakage import leakage_scale
from brinefront.pictures.loading import on_resin
from brinefront.pictures.registry import Example, picture
from brinefront.pictures.salt_account import per_resin
from brinefront.tables.ceiling import efficiency_ceiling
from brinefront.tables.published import co_current_capacity, conditions, outside_of_published
from brinefront.tables.sweeps import sweep
from brinefront.units import convert, display
from brinefront.units.quantities import numbers
from brinefront.words.figures import Figure, figure

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    import xarray as xr
    from matplotlib.axes import Axes

    from brinefront._core import Case, Regeneration
    from brinefront.units.quantity import Number

DOSES_G_PER_L = (40.0, 56.0, 72.0, 88.0, 104.0, 128.0, 160.0, 200.0, 240.0)

# A run that has no limit of its own ends at one grain a gallon, the household test's end point.
LIMIT_MG_PER_L_CACO3 = 17.0

# Doses of the line of what equilibrium allows, between those of the curves.
CEILING_POINTS = 60

# How much is left of the band's colour where its conditions do not hold.
FADED = 0.3
# Of a figure, and of what its legend needs [in].
SIZE, LEGEND = (13.0, 5.6), 0.66

TITLES = ("Operating capacity", "Salt efficiency", "Leakage at half run")
LEAKAGE = "leakage_half_run_mg_per_l_caco3"


@picture(
    Example(
        110,
        "brine_efficiency",
        "What each dose of salt buys",
        "Capacity bends over and efficiency falls: the second half of the salt buys little, in either direction. Leakage is "
        "where the direction counts. The band is published practice, its sources in words.",
        "doses = [48, 64, 80, 96, 128, 160, 200, 240]\ndrawn = plot.brine_efficiency(case, doses, ceiling=True)",
    ),
    of_sample=lambda draw, sample: draw(
        sample.case, [share * sample.case.regeneration.dose_g_per_l for share in (1.0, 2.0)], ceiling=True
    ),
)
def brine_efficiency(
    case: Case, doses: Sequence[Number] | None = None, axes: Sequence[Axes] | None = None, *, ceiling: bool = False
) -> np.ndarray:
    """Capacity, salt efficiency and half-run leakage against dose, co-current and counter-current.

    The runs end on the leakage limit, never on a metered volume, which would fix the capacity whatever the dose.

    Parameters
    ----------
    case : Case
        Either direction; its mirror is the other.
    doses : sequence of float or Quantity, optional
        Salt doses [g per litre of resin], 1 to 2000; nine from 40 to 240 by default.
    axes : sequence of three matplotlib axes, optional
        Where to draw; a new figure by default.
    ceiling : bool, default False
        Draw what equilibrium allows (:func:`brinefront.efficiency_ceiling`) beside stoichiometry.

    Returns
    -------
    numpy.ndarray
        The three axes.

    Examples
    --------
    >>> import brinefront as bf
    >>> from brinefront import plot
    >>> axes = plot.brine_efficiency(bf.default_case().replace({"cells": 10}), [64.0, 128.0])
    >>> axes.shape
    (3,)
    """
    import numpy as np

    given = sorted(DOSES_G_PER_L if doses is None else numbers("doses_g_per_l", doses))
    runs = dose_sweeps(case, given)
    shown, salt = panel_figures(), display.in_chart("g/L of resin")
    across = [salt.of(dose) for dose in given]
    with style.styled():
        own = axes is None
        if axes is None:
            import matplotlib.pyplot as plt

            _, axes = plt.subplots(1, 3, figsize=SIZE, layout=_above_legend())
        panels = np.asarray(axes, dtype=object).ravel()
        for ax, each, title in zip(panels, shown, TITLES, strict=True):
            for place, (direction, found) in enumerate(runs.items()):
                # Dashes over the unbroken line, or they would be hidden where the two run together.
                look = palette.DIRECTIONS[direction] | {"zorder": 3.0 - 0.1 * place}
                soft = found[each.name].where(found["stop_reason"] != StopReason.NEVER_SOFT)
                ax.plot(across, soft, label=direction, markeredgecolor="white", **look)
            ax.set_xlim(0.0, 1.04 * across[-1])
            ax.set_xlabel(f"salt dose [{per_resin()}]")
            ax.set_ylabel(style.unit_words(axis_words(each)))
            ax.set_title(title)
        _references(panels, case, given)
        if ceiling:
            _ceiling(panels, shown, case, given[0], given[-1])
        for ax in panels[:2]:
            ax.set_ylim(bottom=0.0)
        leakage_scale(panels[2], *panels[2].dataLim.intervaly)
        _legends(panels, runs, below=own)
    return panels


def panel_figures() -> tuple[Figure, Figure, Figure]:
    """What the three panels show: capacity and efficiency in one system of units, and leakage."""
    metric = on_resin().factor == 1.0
    names = (
        ("capacity_eq_per_l", "salt_efficiency_fraction")
        if metric
        else ("capacity_kgr_per_ft3", "salt_efficiency_gr_per_lb")
    )
    capacity, efficiency = map(figure, names)
    return capacity, efficiency, figure(LEAKAGE)


def axis_words(each: Figure) -> str:
    """What the axis of a panel is called."""
    return f"{'hardness leakage' if each.name == LEAKAGE else each.words} [{each.unit}]"


def _above_legend() -> Any:
    """A layout that leaves the lower edge of the figure to the legend."""
    from matplotlib.layout_engine import ConstrainedLayoutEngine

    low = style.pt(LEGEND) / SIZE[1]
    return ConstrainedLayoutEngine(rect=(0.0, low, 1.0, 1.0 - low))


def dose_sweeps(case: Case, doses: Sequence[float]) -> dict[str, xr.Dataset]:
    """The dose sweep of a case and of its mirror, by direction, each run ending on its leakage limit."""
    both = to_limit(case)
    return {
        direction: sweep(both[direction], {"regeneration.dose_g_per_l": list(doses)})
        for direction in ("co-current", "counter-current")
    }


def to_limit(case: Case) -> dict[str, Case]:
    """The case and its mirror by direction, their runs ending on the leakage limit and never on a metered volume."""
    limit = case.service.limit_mg_per_l_caco3
    ended = case.replace({"service.volume_bv": None, "service.limit_mg_per_l_caco3": limit or LIMIT_MG_PER_L_CACO3})
    return {each.regeneration.direction: each for each in (ended, ended.mirrored())}


def _references(panels: Any, case: Case, doses: Sequence[float]) -> None:
    """The stoichiometric line and the published band, on capacity and on efficiency alike; outside its conditions faded."""
    regeneration = case.regeneration
    capacity, efficiency, _ = panels
    bed, salt = on_resin(), display.in_chart("g/L of resin")
    # One equivalent of salt for each equivalent of hardness is all that it could do.
    g_per_salt, most = regeneration.salt_g_per_eq, best_efficiency(regeneration)
    words = "stoichiometric" if most == 1.0 else f"stoichiometric, {most:.0f} gr/lb of {regeneration.salt}"
    top = capacity.get_ylim()[1] * 1.25
    look = {"color": palette.INK, "linewidth": style.pt(1.2), "linestyle": (0, (2, 2)), "zorder": 1}
    capacity.plot([0.0, salt.of(doses[-1])], [0.0, bed.of(doses[-1] / g_per_salt)], label=words, **look)
    capacity.set_ylim(0.0, top)
    efficiency.axhline(most, **look)
    published = published_band(regeneration)
    band = {"color": palette.BAND, "linewidth": 0, "zorder": 0, "alpha": published_opacity(case)}
    capacity.fill_between(*published["capacity"], label=published_words(case), **band)
    efficiency.fill_between(*published["efficiency"], **band)


def best_efficiency(regeneration: Regeneration) -> float:
    """The salt efficiency of one equivalent of hardness for one of salt, in the units of the chart."""
    return 1.0 if on_resin().factor == 1.0 else _most_gr_per_lb(regeneration)


def _most_gr_per_lb(regeneration: Regeneration) -> float:
    return convert(1.0 / regeneration.salt_g_per_eq, "eq/L bed", "gr/ft3") / convert(1.0, "g/L", "lb/ft3")


def published_words(case: Case) -> str:
    """What the published band is, in lines; a case that it does not hold for adds why."""
    held, outside = conditions(), outside_of_published(case)
    low, high = held.strength_percent
    words = (
        f"published co-current figures, several sources ({low:g} to {high:g} % brine,\n"
        f"feed below {held.most_dissolved_solids_mg_per_l:g} mg/L of dissolved solids, "
        f"end point {held.limit_mg_per_l_caco3:g} mg/L)"
    )
    return words + (f"\nnot for this case: {', '.join(outside)}" if outside else "")


def published_opacity(case: Case) -> float:
    """How strongly the published band is drawn for a case: faded where it does not hold for it."""
    return FADED if outside_of_published(case) else 1.0


def published_band(regeneration: Regeneration) -> dict[str, tuple[list[float], list[float], list[float]]]:
    """Published co-current figures in the units of the chart: dose, lowest and highest capacity, and efficiency."""
    bed, salt = on_resin(), display.in_chart("g/L of resin")
    share = best_efficiency(regeneration) / _most_gr_per_lb(regeneration)
    published = co_current_capacity()
    dose = [salt.of(convert(pounds, "lb/ft3", "g/L")) for pounds in published]
    capacity = [[bed.of(convert(pair[end], "kgr/ft3", "eq/L")) for pair in published.values()] for end in (0, 1)]
    # A thousand grains are a kilograin.
    efficiency = [[1000.0 * pair[end] / pounds * share for pounds, pair in published.items()] for end in (0, 1)]
    return {"capacity": (dose, capacity[0], capacity[1]), "efficiency": (dose, efficiency[0], efficiency[1])}


def _ceiling(panels: Any, shown: Sequence[Figure], case: Case, lowest: float, highest: float) -> None:
    """What equilibrium allows, on capacity and on efficiency alike: the better of the two directions."""
    import numpy as np

    found = efficiency_ceiling(case, np.linspace(lowest, highest, CEILING_POINTS).tolist())
    best = found[found["stop_reason"] != StopReason.NEVER_SOFT].groupby("dose_g_per_l").max(numeric_only=True)
    look = palette.THEORY | {"linewidth": style.pt(1.8), "zorder": 1}
    capacity = on_resin().of(best["capacity_eq_per_l"])
    doses = display.in_chart("g/L of resin").of(best.index)
    panels[0].plot(doses, capacity, label="what equilibrium allows", **look)
    panels[1].plot(doses, best[shown[1].name], **look)


def _legends(panels: Any, runs: dict[str, xr.Dataset], *, below: bool) -> None:
    """One legend, below the figure or else where no curve goes; and the doses that gave no soft water and so no point."""
    handles, labels = panels[0].get_legend_handles_labels()
    if below:
        # The figure's and not a panel's, which it is wider than; and a notebook crops to what belongs to the layout.
        placed = {"loc": "lower left", "bbox_to_anchor": (0.005, 0.01)}
        panels[1].figure.legend(handles, labels, ncols=3, columnspacing=1.6, borderpad=0.0, **placed)
    else:
        panels[1].legend(handles, labels, loc="lower left")
    hard = []
    salt = display.in_chart("g/L of resin")
    unit = salt.unit.removesuffix(" of resin")
    for direction, found in runs.items():
        without_run = found["stop_reason"] == StopReason.NEVER_SOFT
        for outcome, words in ((Outcome.NEVER_SOFT, "never soft"), (Outcome.CANNOT_RECOVER, "cannot recover a run")):
            doses = found["regeneration.dose_g_per_l"].where(without_run & (found["outcome"] == outcome), drop=True)
            at = ", ".join(f"{salt.of(dose):.4g}" for dose in doses.values)
            hard += [f"{direction} {words} at {at} {unit}"] if doses.size else []
    if hard:
        panels[2].text(
            0.98, 0.98, "\n".join(hard), transform=panels[2].transAxes, fontsize="small", va="top", ha="right"
        )
