"""The two charts beside the bed, and the data that they draw."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.live.drawing import SANS
from brinefront.live.settings import CONTROLS
from brinefront.native.optional import need
from brinefront.pictures import palette
from brinefront.pictures.efficiency import (
    axis_words,
    best_efficiency,
    panel_figures,
    published_band,
    published_opacity,
)
from brinefront.pictures.salt_account import per_resin
from brinefront.units import display
from brinefront.words import text
from brinefront.words.figures import EQ_BED, MG_CACO3

if TYPE_CHECKING:
    from brinefront._core import Case
    from brinefront.live.answers import Answer, DoseCurve

__all__ = ["DoseChart", "LeakageChart"]

DASH = {"co-current": [10, 5], "counter-current": "solid"}
MARK = {"co-current": "square", "counter-current": "circle"}

# The band is pale; its edges are what a projector shows of it.
BAND_EDGE = "#B08D57"

# The lowest leakage drawn [mg/L as CaCO3]: one that an analysis cannot tell is a line along the foot of the chart.
FLOOR = text.LEAKAGE_TOLD_MG_PER_L_CACO3
FOOT = 0.45 * FLOOR
LEVELS = (0.1, 1.0, 10.0, 100.0)

# Where the throughput axis may end [BV]; it stays until a run needs another.
REACHES_BV = (50.0, 100.0, 200.0, 400.0, 800.0, 1600.0, 3200.0, 6400.0)


def _figure(across: str, up: str, **further: Any) -> Any:
    plotting = need("bokeh.plotting", "live pages", "live")
    drawn = plotting.figure(
        x_axis_label=across,
        y_axis_label=up,
        sizing_mode="stretch_width",
        min_width=280,
        toolbar_location=None,
        tools="",
        background_fill_color="white",
        border_fill_color="white",
        outline_line_color=None,
        min_border_right=16,
        **further,
    )
    for axis in drawn.axis:
        axis.update(
            axis_label_text_font=SANS,
            axis_label_text_font_size="15px",
            axis_label_text_font_style="normal",
            axis_label_text_color=palette.INK,
            major_label_text_font=SANS,
            major_label_text_font_size="15px",
            major_label_text_color=palette.INK,
            axis_line_color=palette.INK,
            major_tick_line_color=palette.INK,
            minor_tick_line_color=None,
        )
    drawn.xaxis.ticker.desired_num_ticks = 5
    drawn.grid.grid_line_color = palette.GRID
    return drawn


class LeakageChart:
    """Hardness of the delivered water through the run, on axes that stay where they are from move to move."""

    def __init__(self, height: int) -> None:
        models = need("bokeh.models", "live pages", "live")
        self.reach = models.Range1d(0.0, REACHES_BV[2])
        self.figure = _figure(
            "throughput [bed volumes]",
            display.typeset(MG_CACO3),
            height=height,
            y_axis_type="log",
            x_range=self.reach,
            y_range=models.Range1d(0.2 * FLOOR, 700.0),
        )
        self.figure.yaxis.ticker = models.FixedTicker(ticks=[FOOT, *LEVELS])
        self.figure.yaxis.major_label_overrides = {FOOT: f"< {FLOOR:g}", **{level: f"{level:g}" for level in LEVELS}}
        self.figure.add_layout(
            models.BoxAnnotation(
                top=FLOOR, fill_color=palette.FAINT, fill_alpha=0.18, line_color=None, level="underlay"
            )
        )
        self.curve = models.ColumnDataSource({"bv": [], "drawn": []}, name="leakage")
        self.half = models.ColumnDataSource({"bv": [], "drawn": []}, name="half run")
        self.line = self.figure.line("bv", "drawn", source=self.curve, line_width=4)
        self.dot = self.figure.scatter("bv", "drawn", source=self.half, size=15, line_color="white", line_width=2)
        self.limit = models.Span(
            location=17.0, dimension="width", line_color=palette.LIMIT, line_width=2, line_dash=[6, 4]
        )
        self.limit_words = models.Label(
            x=6, x_units="screen", y=17.0, y_offset=2, text="", text_font=SANS, text_color=palette.LIMIT,
            text_font_size="14px",
        )  # fmt: skip
        self.figure.add_layout(self.limit)
        self.figure.add_layout(self.limit_words)

    def draw(self, answer: Answer) -> None:
        """Show the run of an answer; of one that was never soft, what left in its trial of service."""
        cycle, look = answer.cycle, palette.DIRECTIONS[answer.cycle.direction]
        self.curve.data = {"bv": answer.throughput_bv, "drawn": answer.leakage_mg_per_l_caco3.clip(min=FOOT)}
        half = cycle.leakage_half_run_mg_per_l_caco3
        self.half.data = (
            {"bv": [cycle.run_length_bv / 2.0], "drawn": [max(half, FOOT)]} if answer.soft else {"bv": [], "drawn": []}
        )
        self.line.glyph.update(line_color=look["color"], line_dash=DASH[cycle.direction])
        self.dot.glyph.update(fill_color=look["color"], marker=MARK[cycle.direction])
        limit = cycle.case.service.limit_mg_per_l_caco3
        for mark in (self.limit, self.limit_words):
            mark.visible = limit is not None
        if limit is not None:
            self.limit.location = self.limit_words.y = limit
            self.limit_words.text = f"limit {limit:g}"
        reach = _reach(float(answer.throughput_bv[-1]), self.reach.end)
        if reach != self.reach.end:
            self.reach.end = reach

    def clear(self) -> None:
        """Clear the chart: no answer belongs to these settings."""
        self.curve.data = {"bv": [], "drawn": []}
        self.half.data = {"bv": [], "drawn": []}


def _reach(run_bv: float, now: float) -> float:
    """Where the axis ends: as it is while the run fills between a quarter and all of it."""
    if 0.25 * now <= run_bv <= 0.98 * now:
        return now
    return next((each for each in REACHES_BV if run_bv <= 0.9 * each), REACHES_BV[-1]) if run_bv > 1.0 else now


class DoseChart:
    """What a dose buys, as capacity or as efficiency: both directions, stoichiometry, published figures, and now."""

    def __init__(self, case: Case, height: int) -> None:
        models = need("bokeh.models", "live pages", "live")
        self.now = models.ColumnDataSource({"dose": [], "capacity": [], "efficiency": []}, name="now")
        self.curves = {
            direction: models.ColumnDataSource({"dose": [], "capacity": [], "efficiency": []}, name=direction)
            for direction in ("co-current", "counter-current")
        }
        # As the units are when the page is made, so they stay.
        self.salt, self.bed = display.in_chart("g/L of resin"), display.in_chart(EQ_BED)
        self.most = best_efficiency(case.regeneration)
        self.dots: list[Any] = []
        self.lines: list[tuple[str, Any]] = []
        self.band: list[Any] = []
        doses = models.Range1d(0.0, self.salt.of(max(270.0, 1.04 * case.regeneration.dose_g_per_l)))
        words = [display.typeset(axis_words(each)) for each in panel_figures()]
        self.figures = [
            self._panel(case, models, doses, height, *panel)
            for panel in zip(("capacity", "efficiency"), words, strict=False)
        ]

    def _panel(self, case: Case, models: Any, doses: Any, height: int, name: str, words: str) -> Any:
        g_per_l = doses.end / self.salt.factor
        stoichiometric = {
            "capacity": self.bed.of(g_per_l / case.regeneration.salt_g_per_eq),
            "efficiency": self.most,
        }
        total = self.bed.of(case.resin.capacity_eq_per_l)
        top = {"capacity": 1.04 * total, "efficiency": 1.12 * stoichiometric["efficiency"]}[name]
        drawn = _figure(
            f"salt dose [{per_resin()}]", words, height=height, x_range=doses,
            y_range=models.Range1d(0.0, top),
        )  # fmt: skip
        dose, low, high = published_band(case.regeneration)[name]
        self.band.append(drawn.varea(dose, low, high, fill_color=palette.BAND))
        self.band += [drawn.line(dose, edge, line_color=BAND_EDGE, line_width=2) for edge in (low, high)]
        foot = 0.0 if name == "capacity" else stoichiometric[name]
        drawn.line(
            [0.0, doses.end], [foot, stoichiometric[name]], line_color=palette.INK, line_width=2.5, line_dash=[3, 5],
        )  # fmt: skip
        for direction, source in self.curves.items():
            look = {"line_color": palette.DIRECTIONS[direction]["color"], "line_dash": DASH[direction]}
            self.lines.append((direction, drawn.line("dose", name, source=source, line_width=4, **look)))
        self.dots.append(
            drawn.scatter(
                "dose", name, source=self.now, size=19, line_color="white", line_width=3, fill_color=palette.INK
            )
        )
        return drawn

    def draw(self, answer: Answer) -> None:
        """Show where an answer is, and how far the published figures hold for it; one that was never soft is not shown."""
        cycle, settings = answer.cycle, answer.settings
        opacity = published_opacity(cycle.case)
        for part in self.band:
            part.visible = True
            part.glyph.update(**{name: opacity for name in ("fill_alpha", "line_alpha") if hasattr(part.glyph, name)})
        for dot in self.dots:
            dot.glyph.update(fill_color=palette.DIRECTIONS[cycle.direction]["color"], marker=MARK[cycle.direction])
        self.now.data = {
            **{name: [getattr(settings, name)] for name in CONTROLS if hasattr(settings, name)},
            "dose": [self.salt.of(cycle.dose_g_per_l)],
            "capacity": [self.bed.of(cycle.capacity_eq_per_l)],
            "efficiency": [cycle.salt_efficiency_fraction * self.most],
        }

    def fade(self, opacity: float) -> None:
        """Show that the curves belong to settings that have been left."""
        for _, line in self.lines:
            line.glyph.line_alpha = opacity

    def draw_curve(self, curve: DoseCurve) -> None:
        """Show what the doses buy in one direction, at full strength."""
        for direction, line in self.lines:
            if direction == curve.direction:
                line.glyph.line_alpha = 1.0
        self.curves[curve.direction].data = {
            "dose": self.salt.of(curve.dose_g_per_l),
            "capacity": self.bed.of(curve.capacity_eq_per_l),
            "efficiency": curve.salt_efficiency_fraction * self.most,
        }

    def clear(self) -> None:
        """Show no point, no curve and no published figures: they would belong to other settings."""
        empty: dict[str, list[float]] = {"dose": [], "capacity": [], "efficiency": []}
        self.now.data = dict(empty)
        for source in self.curves.values():
            source.data = dict(empty)
        for part in self.band:
            part.visible = False
