"""The words of the page: labels of the controls, figures in large type, small print, keys to the drawings."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from brinefront.live import drawing
from brinefront.live.charts import BAND_EDGE
from brinefront.live.settings import CELLS
from brinefront.pictures import palette
from brinefront.pictures.efficiency import published_opacity, published_words
from brinefront.tables.published import outside_of_published
from brinefront.units import convert, display
from brinefront.words import text
from brinefront.words.figures import as_shown

if TYPE_CHECKING:
    from brinefront._core import Case
    from brinefront.live.answers import Answer
    from brinefront.live.settings import Control

__all__ = ["bed_key", "dose_key", "heading", "label", "small_print", "status", "tiles", "trouble"]

# Figures in large type: words where the figure's own are long, and under it another figure in its own words and unit.
TILES = (
    ("run_length_bv", "run length", "run_length_l", "{} {} of soft water"),
    ("leakage_half_run_mg_per_l_caco3", "leakage, half run", "leakage_mean_mg_per_l_caco3", "mean {} as CaCO₃"),
    ("capacity_kgr_per_ft3", "operating capacity", "capacity_eq_per_l", "{} {}"),
    ("salt_efficiency_gr_per_lb", "salt efficiency", "salt_efficiency_fraction", "{} {}"),
    ("salt_kg", "salt per cycle", "waste_volume_l", "{} {} spent brine and rinse"),
    ("sodium_product_mg_per_l", "sodium in soft water", "sodium_added_mg_per_l", "{} of it added"),
)

# Measured by `benches/live.py --accuracy` on the built-in case, over 270 settings.
ACCURACY = (
    f"While a control moves, figures and curves are a quick look on {CELLS} cells. Against 100 cells its run length "
    "and capacity are within 0.6 %; a half-run leakage above 0.1 mg/L is within 2 % in nine cases of ten and within "
    "half of itself in all, and one below it within 0.06 mg/L. When the controls rest, the case's own grid takes over, "
    "but for the curves of the doses."
)


def label(control: Control, value: float) -> str:
    """A control's words over its value, in its own unit and in another that the trade uses, or in the one of the two chosen."""
    words, own = control.words, f"{value:.{control.decimals}f}"
    units = display.display_units()
    trade = text.number(convert(value, *control.crossing)) if control.other_unit else ""
    if units == display.US:
        name, _, unit = words.rpartition(", ")
        how = display.in_chart(unit)
        words = f"{name}, {control.other_unit or how.unit}"
        own = trade or (own if how.factor == 1.0 else text.number(how.of(value)))
    beside = f" <i>{trade} {control.other_unit}</i>" if trade and units == display.BOTH else ""
    return f"<span>{display.typeset(words)}</span><br><b>{own}</b>{beside}"


def heading(case: Case) -> str:
    """The page's name, and whose bed it is."""
    of = f"{html.escape(case.name)} · " if case.name else ""
    volume, depth = display.in_chart("L"), display.in_chart("m")
    size = (
        f"{volume.of(case.bed.volume_l):.0f} {volume.unit} of resin, {depth.of(case.bed.depth_m):.4g} {depth.unit} deep"
    )
    return f"<b>A bed and its water</b><span>{of}{size}</span>"


def status(found: Answer | None, *, full: bool) -> str:
    """How far the figures are worked out."""
    if found is None:
        return "no figures"
    cells = found.cycle.cells
    return f"worked out on {cells} cells" if full else f"quick look on {cells} cells &hellip;"


def tiles(found: Answer | None) -> str:
    """The key figures in large type; a dash where there is none, as in a run that was never soft."""
    shown = []
    for name, words, other, beside in TILES:
        known = found is not None and (found.soft or name == "salt_kg")
        value = text.shown(found.cycle, name) if found is not None and known else "–"
        each, under = as_shown(name), as_shown(other)
        further = ""
        if found is not None and known and under.label != each.label:
            hard = other in text.OF_SOFT_WATER and text.is_hard(found.cycle)
            value_beside = text.shown(found.cycle, other).removesuffix(text.NOT_SOFT_MARK)
            further = ("{} {}, not soft" if hard else beside).format(value_beside, under.unit)
        unit = display.typeset(each.unit.removesuffix(" as CaCO3"))
        shown.append(
            f'<div data-name="{name}" title="{each.label}"><span>{words}</span><b>{html.escape(value)}</b> '
            f"<i>{unit}</i><small>{html.escape(display.typeset(further))}</small></div>"
        )
    return f'<div class="tiles">{"".join(shown)}</div>'


def trouble(lines: list[str]) -> str:
    """Why there are no figures, where there are none."""
    return "".join(f"<p>{html.escape(line[0].upper() + line[1:])}</p>" for line in lines)


def small_print(found: Answer) -> str:
    """Cautions first; then what the figures should be read with."""
    notes = [f"{note[0].upper()}{note[1:]}." for note in text.notes([found.cycle])]
    published = " ".join(published_words(found.cycle.case).splitlines())
    lines = [
        *text.cautions([found.cycle]),
        *notes,
        ACCURACY,
        f"{published[0].upper()}{published[1:]}. The curves are the model's, each run ending at its limit.",
    ]
    return "".join(f"<p>{html.escape(line)}</p>" for line in lines)


def bed_key() -> str:
    """What the areas on the bed are."""
    areas = (
        (drawing.REMAINS, "left by the brine"),
        (drawing.TAKEN, "put on by the run"),
        (drawing.SODIUM_FORM, "still sodium form"),
    )
    return "<b>Hardness on the resin</b>" + "".join(
        f'<p><i style="background:{colour}"></i>{words}</p>' for colour, words in areas
    )


def dose_key(case: Case | None) -> str:
    """What the lines and the band of the dose chart are; of a case, with why the band does not hold for it."""
    outside = [] if case is None else outside_of_published(case)
    opacity = 1.0 if case is None else published_opacity(case)
    co, counter = (palette.DIRECTIONS[each]["color"] for each in ("co-current", "counter-current"))
    keys = (
        (f"border-top: 4px dashed {co}", "co-current"),
        (f"border-top: 4px solid {counter}", "counter-current"),
        (f"border-top: 3px dotted {palette.INK}", "stoichiometric"),
        (
            f"height: 10px; background: {palette.BAND}; border: solid {BAND_EDGE}; border-width: 2px 0; opacity: {opacity:g}",
            "published, co-current",
        ),
    )
    reason = f"<small>not for these settings: {html.escape(', '.join(outside))}</small>" if outside else ""
    return "".join(f'<span><i style="{look}"></i>{words}</span>' for look, words in keys) + reason
