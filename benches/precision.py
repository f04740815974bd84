"""Draw what ``cargo bench --bench precision -- --json FILE`` wrote: error against time, four beds, an earlier state beside today's.

``.venv/bin/python benches/precision.py TODAY.json [EARLIER.json] --out PICTURE.png``
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any

import matplotlib.pyplot as plt

Points = list[dict[str, Any]]

# The larger error of two, by what an engineer reads: a leakage, and what the salt buys.
FIGURES = {
    "leakage at half run or mean": ("leakage_mean_error", "leakage_half_run_error"),
    "run length or capacity": ("run_length_error", "capacity_error"),
}


def main() -> None:
    """Read, draw, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("today", type=Path)
    parser.add_argument("earlier", type=Path, nargs="?")
    parser.add_argument("--out", type=Path, required=True)
    given = parser.parse_args()
    series = {"today": json.loads(given.today.read_text())}
    if given.earlier is not None:
        series["before"] = json.loads(given.earlier.read_text())
    cases = list(dict.fromkeys(point["case"] for point in series["today"]))
    figure, axes = plt.subplots(len(FIGURES), len(cases), figsize=(3.2 * len(cases), 6.4), sharex="col", sharey="row")
    for row, (words, names) in zip(axes, FIGURES.items(), strict=True):
        for ax, case in zip(row, cases, strict=True):
            for name, points in series.items():
                draw(ax, [point for point in points if point["case"] == case], names, name)
            ax.set(xscale="log", yscale="log")
            ax.grid(alpha=0.3)
        row[0].set_ylabel(f"error of {words} [%]")
    for ax, case in zip(axes[0], cases, strict=True):
        ax.set_title(case)
    for ax in axes[-1]:
        ax.set_xlabel("time of a steady cycle [s]")
    axes[0][0].legend(frameon=False)
    figure.tight_layout()
    figure.savefig(given.out, dpi=110)


def draw(ax: plt.Axes, points: Points, names: tuple[str, ...], name: str) -> None:
    """One line over the grids that were given, one mark for the grid that the accuracy asks for."""
    style = {"today": ("#0b6e8f", "o"), "before": ("#b0753a", "s")}[name]

    def of(some: Points) -> tuple[list[float], list[float]]:
        return [p["took_s"] for p in some], [100 * max(p[n] for n in names) for p in some]

    given = [p for p in points if not p["cells"].startswith("auto")]
    found = [p for p in points if p["cells"].startswith("auto")]
    ax.plot(*of(given), color=style[0], marker=style[1], markersize=4, label=f"{name}, 25 to 400 cells")
    ax.plot(*of(found), color=style[0], marker="*", markersize=13, linestyle="", label=f"{name}, cells found")


if __name__ == "__main__":
    main()
