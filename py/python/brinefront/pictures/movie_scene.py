"""What a movie shows: the bed, the liquid in it, the way of the flow, and what leaves; everything drawn once and then moved."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from brinefront.pictures import palette, style
from brinefront.pictures.loading import depth_words, depths, flow_arrow, on_resin, per_bed
from brinefront.pictures.passage import Passage, Span, ions_of, loading_of
from brinefront.units import convert, display
from brinefront.words import text
from brinefront.words.figures import MG_CACO3

if TYPE_CHECKING:
    import numpy as np
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.lines import Line2D
    from matplotlib.patches import Polygon
    from numpy.typing import NDArray

    from brinefront.native.protocols import Cycle

SIZE_INCHES = (8.0, 5.0)
HARDNESS = "#26818B"
SALT = "#E6CC7A"
RESIN = "#F6F1E6"


class Scene:
    """A figure that shows one moment of a cycle after another."""

    def __init__(self, cycle: Cycle, passage: Passage) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
        from matplotlib.layout_engine import ConstrainedLayoutEngine

        self.passage = passage
        bed = passage.bed
        self.figure = Figure(
            figsize=SIZE_INCHES, dpi=90.0, layout=ConstrainedLayoutEngine(rect=(0.0, 0.0, 1.0, 0.87), wspace=0.04)
        )
        canvas: Any = FigureCanvasAgg(self.figure)
        grid = self.figure.add_gridspec(2, 4, width_ratios=(1.25, 0.8, 0.22, 2.3))
        self.resin = self.figure.add_subplot(grid[:, 0])
        self.liquid = self.figure.add_subplot(grid[:, 1], sharey=self.resin)
        regeneration, service = (self.figure.add_subplot(grid[row, 3]) for row in (0, 1))

        self._depth = depths().of(bed["depth"].to_numpy())
        self._loading = on_resin().of(loading_of(cycle, bed, "hardness"))
        self._normality = bed["liquid_eq_per_l"].sum("ion").to_numpy()
        hard = ions_of(cycle, bed, "hardness")
        self._hard_liquid = bed["liquid_eq_per_l"].sel(ion=hard).sum("ion").to_numpy()
        self.effluent_mg_per_l_caco3 = _as_caco3(bed["effluent_eq_per_l"].sel(ion=hard).sum("ion", skipna=False))

        depth = depths().of(cycle.case.bed.depth_m)
        self._ends = (0.0, depth)
        capacity = on_resin().of(cycle.case.resin.capacity_eq_per_l)
        self.resin.set_ylim(*((depth, 0.0) if cycle.case.service.service_flow == "down" else (0.0, depth)))
        self.resin.set_xlim(0.0, capacity)
        self.resin.set_facecolor(RESIN)
        self.resin.set_xlabel(f"hardness on the resin\n[{per_bed()}]")
        self.resin.set_ylabel(depth_words())
        self.liquid.set_xlim(0.0, 1.05 * float(self._normality.max()))
        self.liquid.set_xlabel(f"in the liquid\n[{display.in_chart('eq/L').unit}]")
        self.liquid.tick_params(labelleft=False)
        self._on_resin = _filled(self.resin, HARDNESS)
        self._salt = _filled(self.liquid, SALT)
        self._hardness = _filled(self.liquid, HARDNESS)
        self.liquid.legend(
            [self._salt, self._hardness],
            ["salt", "hardness"],
            loc="upper center",
            bbox_to_anchor=(0.5, 1.13),
            ncols=2,
            fontsize=8.5,
            handlelength=1.0,
            columnspacing=0.9,
            handletextpad=0.4,
        )
        self._arrows = {
            way: flow_arrow(self.liquid, 1.22, "", way == "down", palette.INK, head=0.45) for way in ("down", "up")
        }
        self._curves: list[_Curve] = []
        limit = cycle.case.service.limit_mg_per_l_caco3
        leaves = self.effluent_mg_per_l_caco3
        brine = palette.DIRECTIONS[cycle.direction]["color"]
        if passage.regeneration:
            self._curves.append(
                _Curve(regeneration, passage, passage.regeneration, leaves, "regeneration", brine, None)
            )
        else:
            regeneration.set_axis_off()
        self._curves.append(_Curve(service, passage, passage.service, leaves, "service", HARDNESS, limit))
        if limit is not None:
            service.axhline(limit, color=palette.LIMIT, linewidth=1.1, linestyle=(0, (2, 2)), zorder=1)
            where: dict[str, Any] = {"xycoords": ("axes fraction", "data"), "textcoords": "offset points"}
            words = f"limit {limit:.4g}"
            service.annotate(words, (0.0, limit), xytext=(4, -3), va="top", fontsize=8.5, color=palette.LIMIT, **where)

        self._step = self.figure.text(0.015, 0.975, "", fontsize=17, fontweight="bold", va="top")
        self.figure.text(0.015, 0.895, _strategy(cycle), fontsize=9, va="top", color=palette.QUIET)
        self._clock = self.figure.text(0.27, 0.967, "", fontsize=11, va="top")
        self._leaving = self.figure.text(0.985, 0.967, "", fontsize=11, va="top", ha="right")
        self.changing: list[Artist] = [
            self._on_resin,
            self._salt,
            self._hardness,
            *(artist for arrow in self._arrows.values() for artist in arrow),
            *(line for curve in self._curves for line in (curve.line, curve.dot)),
            self._step,
            self._clock,
            self._leaving,
        ]
        # Once laid out it stays as it is, whatever the words.
        self.show(0)
        canvas.draw()
        self.figure.set_layout_engine("none")

    def show(self, moment: int) -> None:
        """Move everything to one moment."""
        span = self.passage.span_of(moment)
        self._on_resin.set_xy(self._outline(self._loading[moment]))
        self._salt.set_xy(self._outline(self._normality[moment]))
        self._hardness.set_xy(self._outline(self._hard_liquid[moment]))
        for way, (arrow, word) in self._arrows.items():
            arrow.set_visible(span.way == way)
            word.set_visible(span.way == way or (span.way == "none" and way == "down"))
            word.set_text("no flow" if span.way == "none" else span.name)
        for curve in self._curves:
            curve.show(moment)
        self._step.set_text(span.name)
        self._clock.set_text(self._time_and_volume(moment, span))
        leaves = self.effluent_mg_per_l_caco3[moment]
        self._leaving.set_text(
            "nothing leaves" if math.isnan(leaves) else f"leaving: {_short(leaves)} {style.unit_words(MG_CACO3)}"
        )

    def _outline(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """A profile as the edge of an area, carried on to the ends of the bed."""
        import numpy as np

        top, bottom = self._ends
        along = np.concatenate([[0.0, values[0]], values, [values[-1], 0.0]])
        return np.column_stack([along, np.concatenate([[top, top], self._depth, [bottom, bottom]])])

    def _time_and_volume(self, moment: int, span: Span) -> str:
        bed = self.passage.bed
        minutes = float(bed["minutes"][moment] - bed["minutes"][span.moments.start])
        volume = float(bed["bv"][moment] - bed["bv"][span.moments.start])
        whole = span.end_bv - span.start_bv
        clock = f"{int(minutes) // 60} h {int(minutes) % 60:02d} min"
        return clock if whole == 0.0 else f"{clock}   {volume:.{_digits(whole)}f} of {whole:.{_digits(whole)}f} BV"


class _Curve:
    """The hardness of what leaves in some steps, drawn as far as the movie has come."""

    def __init__(
        self,
        ax: Axes,
        passage: Passage,
        spans: tuple[Span, ...],
        effluent: NDArray[np.float64],
        name: str,
        colour: str,
        limit: float | None,
    ) -> None:
        import numpy as np

        self._first, self._stop = spans[0].moments.start, spans[-1].moments.stop
        # Steps are apart: where one ends and the next begins, what leaves may jump. A backwash is not followed.
        bv, values, moments = [], [], []
        all_bv = passage.bed["bv"].to_numpy()
        for span in spans:
            of = span.moments
            bv += [*(span.start_bv + all_bv[of] - all_bv[of.start]), np.nan]
            values += [*(effluent[of] if span.name != "backwash" else np.full(of.stop - of.start, np.nan)), np.nan]
            moments += [*range(of.start, of.stop), of.stop - 1]
        self.bv, self.values, self._moments = np.array(bv), np.array(values), np.array(moments)
        (self._all,) = ax.plot(self.bv, self.values, color=palette.GRID, linewidth=1.6)
        self.line: Line2D
        self.dot: Line2D
        (self.line,) = ax.plot([], [], color=colour, linewidth=2.2)
        (self.dot,) = ax.plot([], [], color=colour, marker="o", markersize=6, markeredgecolor="white")
        ax.set_xlim(0.0, spans[-1].end_bv)
        high = max([0.0, *self.values[np.isfinite(self.values)]])
        ax.set_ylim(0.0, 1.12 * max(high, limit or 0.0) or 1.0)
        ax.set_xlabel(f"{name} [bed volumes]")
        ax.set_ylabel(f"hardness leaving\n[{style.unit_words(MG_CACO3)}]", fontsize=9.5)

    def show(self, moment: int) -> None:
        """Draw as far as a moment."""
        shown = self._moments <= moment
        self.line.set_data(self.bv[shown], self.values[shown])
        here = self._moments == moment
        self.dot.set_data(self.bv[here][:1], self.values[here][:1])


def _filled(ax: Axes, colour: str) -> Polygon:
    (area,) = ax.fill([0.0], [0.0], facecolor=colour, edgecolor=palette.INK, linewidth=1.2)
    return area


def _as_caco3(eq_per_l: Any) -> NDArray[np.float64]:
    found: NDArray[np.float64] = eq_per_l.to_numpy() * convert(1.0, "eq/L", "mg/L CaCO3")
    return found


def _digits(whole: float) -> int:
    return 2 if whole < 10.0 else 1


def _short(value: float) -> str:
    """Three figures that count; what no titration reads is not given digits."""
    floor = text.LEAKAGE_TOLD_MG_PER_L_CACO3
    return f"less than {floor:g}" if value < floor else f"{float(f'{value:.3g}'):,g}"


def _strategy(cycle: Cycle) -> str:
    name = f"{style.as_written(cycle.case.name)}, " if cycle.case.name else ""
    return f"{name}{cycle.direction}, {text.dose_of(cycle.dose_g_per_l)}"
