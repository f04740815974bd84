"""The table (Markdown and CSV) and the plots of a validation run."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from matplotlib.figure import Figure as Canvas
from registry import Check, Figure, Plot

COLUMNS = ("topic", "figure", "unit", "ours", "theirs", "low", "high", "verdict", "sure", "source", "reason")


@dataclass(frozen=True)
class Done:
    """A check that has run."""

    check: Check
    figures: list[Figure]
    plots: list[Plot]
    seconds: float


def write(done: Sequence[Done], out: Path) -> None:
    """Write ``validation.md``, ``validation.csv`` and a PNG for each plot into a folder."""
    out.mkdir(parents=True, exist_ok=True)
    _csv(done, out / "validation.csv")
    (out / "validation.md").write_text(_markdown(done))
    for one in done:
        for plot in one.plots:
            _draw(plot, out / f"{plot.name}.png")


def _csv(done: Sequence[Done], path: Path) -> None:
    with path.open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(COLUMNS)
        for one in done:
            for f in one.figures:
                writer.writerow(
                    [one.check.topic, f.what, f.unit, f.ours, f.theirs, f.low, f.high, f.verdict]
                    + [f.source.sure, f.source.text, f.reason]
                )


def _markdown(done: Sequence[Done]) -> str:
    figures = [f for one in done for f in one.figures]
    agree = sum(f.agrees for f in figures)
    lines = [
        "# Validation",
        "",
        f"{len(figures)} figures from outside: {agree} agree, {len(figures) - agree} differ.",
        (
            "How sure a source is: seen (read), seen in part (only part of it, or a weak page), derived (arithmetic from "
            "cited inputs), computed (a closed form or a library), common practice (no source), from memory (not read again)."
        ),
    ]
    for topic in dict.fromkeys(one.check.topic for one in done):
        lines += ["", f"## {topic}"]
        for one in (one for one in done if one.check.topic == topic):
            lines += ["", one.check.doc, "", "| figure | ours | theirs | | source |", "|---|---|---|---|---|"]
            lines += [_row(f) for f in one.figures]
            lines += _reasons([f for f in one.figures if not f.agrees])
            lines += [line for plot in one.plots for line in ("", f"![{plot.title}]({plot.name}.png)")]
    return "\n".join(lines) + "\n"


def _reasons(differ: Sequence[Figure]) -> list[str]:
    lines: list[str] = []
    for reason in dict.fromkeys(f.reason for f in differ):
        whats = "; ".join(f.what for f in differ if f.reason == reason)
        lines += ["", f"- {whats}: {reason or 'unexplained'}"]
    return lines


def _row(f: Figure) -> str:
    unit = f" {f.unit}" if f.unit else ""
    verdict = f.verdict if f.agrees else f"**{f.verdict}**"
    return f"| {f.what} | {f.ours:.5g}{unit} | {f.theirs} | {verdict} | {f.source.text} ({f.source.sure}) |"


def _draw(plot: Plot, path: Path) -> None:
    canvas = Canvas(figsize=(6.4, 4.2), layout="constrained")
    ax = canvas.subplots()
    if plot.band is not None:
        x, low, high = plot.band
        ax.fill_between(x, low, high, alpha=0.2, color="tab:gray", label=plot.band_label)
    for series in plot.series:
        style = {"marker": "o", "linestyle": "none"} if series.points else {"linestyle": "-"}
        ax.plot(series.x, series.y, label=series.label, **style)
    if plot.log:
        ax.set_xscale("log")
        ax.set_yscale("log")
    ax.set(title=plot.title, xlabel=plot.x_label, ylabel=plot.y_label)
    ax.legend()
    ax.grid(visible=True, alpha=0.3)
    canvas.savefig(path, dpi=120)
