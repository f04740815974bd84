"""The bed upright: loading along the depth after each step."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.plot import style

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.text import Annotation, Text

    from brinefront.results import Cycle

# After which step a profile is a state of its own, and how it is drawn: from faint to full as the cycle goes on.
STEP_LOOKS: dict[str, dict[str, Any]] = {
    "backwash": {"color": "#9AA7B2", "linestyle": (0, (1, 1.5)), "linewidth": 1.8},
    "brine": {"color": "#B8486A", "linestyle": (0, (6, 2)), "linewidth": 1.8},
    "slow rinse": {"color": "#2B9A7A", "linestyle": (0, (4, 1.5, 1, 1.5)), "linewidth": 1.8},
    "fast rinse": {"color": "#5A2E86", "linestyle": (0, (3, 1)), "linewidth": 2.4},
    "service": {"color": "#22303C", "linestyle": "-", "linewidth": 2.8},
}
OTHER_STEP: dict[str, Any] = {"color": style.FAINT, "linestyle": (0, (1, 3)), "linewidth": 1.8}


def loading(cycle: Cycle, ax: Axes | None = None, ion: str = "hardness") -> Axes:
    """Loading along the bed after each step; the bed stands as in its vessel, with the directions of flow beside it.

    Parameters
    ----------
    cycle : Cycle
        A finished cycle.
    ax : matplotlib axes, optional
        Where to draw; a new figure by default.
    ion : str
        An ion's symbol, or "hardness" for the sum of the ions that count as hardness.
    """
    with style.styled():
        ax = style.axes_or_new(ax, (6.4, 6.6))
        depth, by_step = profiles_of(cycle, ion)
        for step, profile in by_step:
            ax.plot(profile, depth, label=f"after {step}", **STEP_LOOKS.get(step, OTHER_STEP))
        fill_run(ax, depth, by_step)
        stand_upright(ax, cycle)
        ax.set_xlabel(f"{ion} on the resin [eq per litre of bed]")
        ax.set_title(f"Loading of the bed, {cycle.direction}")
        ax.legend(loc="upper left", bbox_to_anchor=(-0.02, -0.1), ncols=3, fontsize=9, columnspacing=1.2)
    return ax


def profiles_of(cycle: Cycle, ion: str) -> tuple[Any, list[tuple[str, Any]]]:
    """Depth of the cells [m] and the loading after each step [eq/L of bed]."""
    data = cycle.profiles()
    wanted = [each for each in cycle.case.hardness_ions if each in data["ion"]] if ion == "hardness" else [ion]
    along = data["loading_eq_per_l"].sel(ion=wanted).sum("ion").to_numpy()
    return data["depth"].to_numpy(), list(zip(data["step"].to_numpy().tolist(), along, strict=True))


def fill_run(ax: Axes, depth: Any, by_step: list[tuple[str, Any]]) -> None:
    """Shade what one service run puts on the bed: between the loading before it and after it."""
    named = [step for step, _ in by_step]
    if "service" in named and len(named) > 1:
        after = named.index("service")
        before = by_step[after - 1][1]
        ax.fill_betweenx(depth, before, by_step[after][1], color=style.FAINT, alpha=0.18, linewidth=0)


def stand_upright(ax: Axes, cycle: Cycle) -> None:
    """Depth downwards as in the vessel, total capacity marked, and an arrow for each flow."""
    depth_m = cycle.case.bed.depth_m
    capacity = cycle.case.resin.capacity_eq_per_l
    down = cycle.case.service.service_flow == "down"
    ax.set_ylim(*((depth_m, 0.0) if down else (0.0, depth_m)))
    ax.set_xlim(0.0, capacity * 1.04)
    ax.axvline(capacity, color=style.FAINT, linewidth=1.1, linestyle=(0, (2, 2)))
    ax.annotate(
        f"total capacity {capacity:g}",
        (capacity, 1.0),
        xycoords=("data", "axes fraction"),
        xytext=(0, 2),
        textcoords="offset points",
        ha="center",
        va="bottom",
        fontsize=8.5,
        color=style.FAINT,
    )
    ax.set_ylabel("depth from the service inlet [m]")
    brine_down = down == (cycle.direction == "co-current")
    flow_arrow(ax, 1.05, "service", down, style.INK)
    flow_arrow(ax, 1.14, "brine", brine_down, style.DIRECTIONS[cycle.direction]["color"])


def flow_arrow(
    ax: Axes, across: float, word: str, down: bool, colour: str, *, head: float = 0.35
) -> tuple[Annotation, Text]:
    """An arrow beside the bed, in the direction its liquid flows through the vessel, and the word on it."""
    top, bottom = (across, 0.86), (across, 0.14)
    tail, tip = (top, bottom) if down else (bottom, top)
    look = {
        "arrowstyle": f"-|>,head_width={head},head_length={2.0 * head}",
        "color": colour,
        "linewidth": 2.0,
        "shrinkA": 0,
        "shrinkB": 0,
    }
    arrow = ax.annotate(
        "", tip, tail, xycoords="axes fraction", textcoords="axes fraction", arrowprops=look, annotation_clip=False
    )
    said = ax.text(
        across,
        0.5,
        word,
        transform=ax.transAxes,
        rotation=90,
        ha="center",
        va="center",
        fontsize=9.5,
        color=colour,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 2.5},
    )
    return arrow, said
