"""The page of one viewer: controls where they act, drawings that follow them, and whoever computes in between."""

from __future__ import annotations

import asyncio
import time
from functools import partial
from typing import TYPE_CHECKING, Any

from brinefront.errors import BrinefrontError, InputError
from brinefront.live import drawing, styles, wording
from brinefront.live.answers import Answer, Refusal, answer, dose_curve
from brinefront.live.charts import DoseChart, LeakageChart
from brinefront.live.controls import Choice, Slider, directions, endings
from brinefront.live.feed import feed, following_dissolved_solids, sodium
from brinefront.live.latest import Latest, Superseded
from brinefront.live.settings import Settings, curve_key
from brinefront.native.optional import need
from brinefront.units import display

if TYPE_CHECKING:
    from collections.abc import Callable

    from brinefront._core import Case
    from brinefront.live.answers import DoseCurve

__all__ = ["View"]

# How long the controls must have rested before the processors are given to more than the quick look [s].
REST_S = 0.15
# Opacity of curves that belong to settings which have been left.
LEFT_BEHIND = 0.25

OTHER = {"co-current": "counter-current", "counter-current": "co-current"}


class View:
    """One bench: its settings, its widgets, its thread. `root` is what a page shows."""

    def __init__(self, case: Case) -> None:
        self.pn = need("panel", "live pages", "live")
        self.case = case
        self.service_down = case.service.service_flow == "down"
        self.settings = Settings.of(case)
        self.sodium_meq_per_l = sodium(case.water)
        self.following = False
        self.curves_of: Settings | None = None
        self.quick: Latest[Settings] = Latest(self._look)
        self.rest: Latest[Settings] = Latest(self._look_closely)
        self._hand_over = self._way_back()
        with display.shown_for(case):
            self._make()
            self.root = self._laid_out()
        self._show(answer(case, self.settings), full=False)
        # Once the page is there: what changes while it is on its way may not reach it.
        self.pn.state.onload(lambda: self.quick.submit(self.settings))

    # What is there, and where.

    def _make(self) -> None:
        self.plumbing, self.bed = (self._words("", "", styles=styles.place(0, 0)) for _ in range(2))
        self.tiles = self._words("", styles.TILES, sizing_mode="stretch_width")
        self.trouble = self._words("", styles.TROUBLE, sizing_mode="stretch_width")
        self.status = self._words("", styles.STATUS)
        self.dose_key = self._words("", styles.DOSE_KEY, sizing_mode="stretch_width")
        self.small_print = self._words("", styles.SMALL_PRINT, sizing_mode="stretch_width")
        self.leakage = LeakageChart(styles.LEAKAGE_HEIGHT)
        self.doses = DoseChart(self.case, styles.DOSE_HEIGHT)
        self.charts = [
            self.pn.pane.Bokeh(drawn, margin=0, sizing_mode="stretch_width")
            for drawn in (self.leakage.figure, *self.doses.figures)
        ]
        self.sliders = {
            name: Slider(self.case, self.settings, name, self._moved)
            for name in ("hardness", "solids", "flow", "bead", "dose", "strength")
        }
        both = directions(service_down=self.service_down)
        self.direction = Choice("direction", both, self.settings.direction, self._moved)
        self.metered = Choice("metered", endings(self.case), self.settings.metered, self._moved)
        self.quantity = Choice("quantity", {"capacity": 1, "efficiency": 2}, 1, self._turn_chart, upright=False)
        self._turn_chart("quantity", 1)

    def _words(self, words: str, sheet: str, **further: Any) -> Any:
        return self.pn.pane.HTML(words, margin=0, stylesheets=[sheet] if sheet else [], **further)

    def _box(self, title: str, *inside: Any) -> Any:
        """Controls in a frame, under a title."""
        parts = [
            part for each in inside for part in ([each.label, each.widget] if isinstance(each, Slider) else [each])
        ]
        heading = self._words(title, styles.BOX_TITLE)
        return self.pn.Column(heading, *parts, width=styles.BOX, margin=0, stylesheets=[styles.BOX_LOOK])

    def _laid_out(self) -> Any:
        pn, row = self.pn, {"margin": 0, "sizing_mode": "stretch_width"}
        head = pn.Row(self._words(wording.heading(self.case), styles.HEADING), self.status, styles=styles.HEAD, **row)
        dose_head = pn.Row(
            self._words("What the salt buys", styles.CHART_TITLE), self.quantity.widget, styles=styles.CHART_HEAD, **row
        )
        beside = pn.Column(
            self.trouble,
            self.tiles,
            self._words("Leakage through the run", styles.CHART_TITLE),
            self.charts[0],
            dose_head,
            self.dose_key,
            *self.charts[1:],
            styles=styles.BESIDE,
            **row,
        )
        bench_and_beside = pn.Row(self._bench(), beside, styles=styles.SIDE_BY_SIDE, **row)
        return pn.Column(head, bench_and_beside, self.small_print, styles=styles.PAGE, **row)

    def _bench(self) -> Any:
        s = self.sliders
        enters = 0 if self.service_down else 1
        feed_box = self._box("Hard water in", s["hardness"], s["solids"], s["flow"])
        feed_box.styles = styles.at_end(0, enters)
        product = self._box("Soft water out", self._words("the run ends", styles.LABEL), self.metered.widget)
        product.styles = styles.at_end(0, 1 - enters)
        sizes = self._words("bead sizes of the case", styles.LABEL)
        resin = self._box("Resin", sizes if self.case.resin.bead_sizes else s["bead"])
        resin.styles = styles.place(0, styles.RESIN_TOP[enters], styles.BOX)
        direction = self._box("Brine goes", self.direction.widget)
        direction.styles = styles.place(drawing.RIGHT, styles.DIRECTION_TOP, styles.BOX)
        key = self._words(
            wording.bed_key(), styles.KEY, styles=styles.place(drawing.RIGHT + 4, styles.KEY_TOP, styles.BOX)
        )
        self.brine_box = self._box("Brine in", s["dose"], s["strength"])
        self.waste_box = self._box("Spent brine out")
        boxes = (feed_box, resin, product, self.brine_box, self.waste_box, direction, key)
        return self.pn.Column(
            self.plumbing, self.bed, *boxes, width=drawing.WIDTH, height=drawing.HEIGHT, margin=0, styles=styles.BENCH
        )

    def _turn_chart(self, _: str, shown: int) -> None:
        for place in (1, 2):
            self.charts[place].visible = place == shown

    # What happens when a control moves.

    def _moved(self, name: str, value: Any) -> None:
        """A control was moved: by its viewer, or by this page to follow another."""
        self.settings = self.settings.moved(name, value)
        if name in self.sliders:
            self.sliders[name].say(value)
        if self.following:
            return
        if name == "hardness":
            self._let_solids_follow()
        elif name == "solids":
            self.sodium_meq_per_l = self._sodium_now()
        self.quick.submit(self.settings)

    def _let_solids_follow(self) -> None:
        """Another hardness brings other dissolved solids; the sodium stays as it is."""
        self.following = True
        try:
            solids = following_dissolved_solids(self.case, self.settings.hardness, self.sodium_meq_per_l)
            self.sliders["solids"].put(solids)
        finally:
            self.following = False

    def _sodium_now(self) -> float:
        try:
            return sodium(feed(self.case, self.settings.hardness, self.settings.solids))
        except InputError:
            return 0.0

    def _look(self, settings: Settings) -> None:
        """In a thread of its own: the quick look, seen through whatever comes."""
        found = answer(self.case, settings, self.quick.stop_if_closed)
        self._hand_over(partial(self._show, found, full=False))
        self.rest.submit(settings)

    def _look_closely(self, settings: Settings) -> None:
        """In another: once the controls rest, the curves and the case's own grid; given up as soon as one moves."""

        def still_wanted(*_: object) -> None:
            if self.rest.closed or settings is not self.settings:
                raise Superseded

        time.sleep(REST_S)
        still_wanted()
        key = curve_key(settings)
        try:
            if key != self.curves_of:
                self._hand_over(partial(self.doses.fade, LEFT_BEHIND))
                for direction in (settings.direction, OTHER[settings.direction]):
                    curve = dose_curve(self.case, settings, direction, still_wanted)
                    self._hand_over(partial(self._show_curve, curve, settings))
                self.curves_of = key
        except BrinefrontError:
            # The quick look has shown what is wrong.
            return
        full = answer(self.case, settings, still_wanted, full=True)
        if isinstance(full, Answer):
            self._hand_over(partial(self._show, full, full=True))

    def _way_back(self) -> Callable[[Callable[[], None]], Any]:
        """How the thread gets something done where the page lives: a session's document, or a notebook's loop."""
        document = self.pn.state.curdoc
        if document is not None and document.session_context is not None:
            document.on_session_destroyed(self._close)
            return lambda done: document.add_next_tick_callback(done)
        try:
            loop = asyncio.get_running_loop()
        except RuntimeError:
            return lambda done: done()
        return lambda done: loop.call_soon_threadsafe(done)

    def _close(self, _: Any) -> None:
        for worker in (self.quick, self.rest):
            worker.close()

    # What an answer changes.

    def _show(self, found: Answer | Refusal, *, full: bool) -> None:
        if full and found.settings is not self.settings:
            return
        with self.pn.io.hold(), display.shown_for(self.case):
            if isinstance(found, Answer):
                self._show_answer(found, full=full)
            else:
                self._show_refusal(found)
            self._lead_brine(found.settings.direction)
        self._push()

    def _show_answer(self, found: Answer, *, full: bool) -> None:
        self.trouble.object = wording.trouble(found.warnings)
        self.status.object = wording.status(found, full=full)
        self.tiles.object = wording.tiles(found)
        self.bed.object = drawing.bed(found)
        self.small_print.object = wording.small_print(found)
        self.leakage.draw(found)
        self.doses.draw(found)
        self.dose_key.object = wording.dose_key(found.cycle.case)

    def _show_refusal(self, found: Refusal) -> None:
        """Figures of other settings go; the cautions stay."""
        self.trouble.object = wording.trouble([found.words])
        self.status.object = wording.status(None, full=False)
        self.tiles.object = wording.tiles(None)
        self.bed.object = ""
        self.leakage.clear()
        self.doses.clear()
        self.dose_key.object = wording.dose_key(None)
        self.curves_of = None

    def _lead_brine(self, direction: str) -> None:
        """Brine enters at the end that the direction gives, and its controls are there."""
        enters = 0 if self.service_down == (direction == "co-current") else 1
        self.plumbing.object = drawing.plumbing(direction, service_down=self.service_down)
        self.brine_box.styles = styles.at_end(drawing.RIGHT, enters)
        self.waste_box.styles = styles.at_end(drawing.RIGHT, 1 - enters)

    def _show_curve(self, curve: DoseCurve, settings: Settings) -> None:
        if curve_key(settings) == curve_key(self.settings):
            self.doses.draw_curve(curve)
            self._push()

    def _push(self) -> None:
        """In a notebook charts are sent by hand; a served page does it by itself."""
        document = self.pn.state.curdoc
        if document is None or document.session_context is None:
            self.pn.io.push_notebook(*self.charts)
