"""The widgets: sliders with their labels, and choices."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.live import styles, wording
from brinefront.live.settings import CONTROLS
from brinefront.native.optional import need
from brinefront.pictures.efficiency import LIMIT_MG_PER_L_CACO3
from brinefront.units import display

if TYPE_CHECKING:
    from collections.abc import Callable

    from brinefront._core import Case
    from brinefront.live.settings import Control, Settings

    Moved = Callable[[str, Any], None]

__all__ = ["Choice", "Slider", "directions", "endings"]


class Slider:
    """A slider under its words and its value; `widget` and `label` are put on the page one under the other."""

    def __init__(self, case: Case, settings: Settings, name: str, moved: Moved) -> None:
        pn = need("panel", "live pages", "live")
        self.case = case
        self.control = _control(case, name)
        value = getattr(settings, name)
        self.widget = pn.widgets.FloatSlider(
            start=min(self.control.start, value),
            end=max(self.control.end, value),
            step=self.control.step,
            value=value,
            show_value=False,
            width=styles.BOX - 28,
            height=24,
            margin=(0, 3, 4, 3),
            stylesheets=[styles.SLIDER],
            tags=[name],
        )
        self.label = pn.pane.HTML("", margin=0, stylesheets=[styles.LABEL])
        self.say(value)
        self.widget.param.watch(lambda event: moved(name, event.new), "value")

    def say(self, value: float) -> None:
        """Show a value in words."""
        with display.shown_for(self.case):
            self.label.object = wording.label(self.control, value)

    def put(self, value: float) -> None:
        """Move the slider, further than it went if need be."""
        self.widget.end = max(self.widget.end, value)
        self.widget.value = value


def _control(case: Case, name: str) -> Control:
    by_normality = name == "strength" and case.regeneration.normality_eq_per_l is not None
    return CONTROLS["normality" if by_normality else name]


class Choice:
    """One of a few, as buttons that keep down."""

    def __init__(self, name: str, options: dict[str, Any], value: Any, moved: Moved, *, upright: bool = True) -> None:
        pn = need("panel", "live pages", "live")
        self.widget = pn.widgets.RadioButtonGroup(
            options=options,
            value=value,
            orientation="vertical" if upright else "horizontal",
            margin=0,
            stylesheets=[styles.CHOICE],
            tags=[name],
            **({"width": styles.BOX - 22} if upright else {}),
        )
        self.widget.param.watch(lambda event: moved(name, event.new), "value")


def directions(*, service_down: bool) -> dict[str, str]:
    """Both directions of the brine, with the arrow of the one that it takes through the vessel."""
    with_service, against = ("↓", "↑") if service_down else ("↑", "↓")
    return {f"{against} counter-current": "counter-current", f"{with_service} co-current": "co-current"}


def endings(case: Case) -> dict[str, bool]:
    """What may end a run, by whether it is the meter."""
    service = case.service
    found = {f"at {service.limit_mg_per_l_caco3 or LIMIT_MG_PER_L_CACO3:g} mg/L leakage": False}
    if service.volume_bv is not None:
        found[f"at the meter, {service.volume_bv:g} BV"] = True
    return found
