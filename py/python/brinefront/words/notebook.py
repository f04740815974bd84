"""Results as a notebook shows them: small tables with their units, warnings ahead, cautions below.

Plain HTML with its style in it: no script, no part fetched. Text and lines take the page's own colour, so that they
read on light and dark pages alike.
"""

from __future__ import annotations

import math
from html import escape
from typing import TYPE_CHECKING, Any

from brinefront.native.enumerations import StopReason
from brinefront.units import display
from brinefront.words import text
from brinefront.words.figures import EQ_BED, as_shown, distinct, figure

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from brinefront.native.protocols import Comparison, Cycle, Figures, LongTable, Point, Run, SaltAccount, Waves

STYLE = """
.brinefront { overflow-x: auto; font-size: 13px; line-height: 1.45; color: inherit; }
.brinefront p, .brinefront ul { max-width: 60em; }
.brinefront p { margin: 0 0 .5em; }
.brinefront .title { font-size: 1.1em; font-weight: 600; margin-bottom: .4em; }
.brinefront table { border-collapse: collapse; border: 0; margin: .3em 0 .7em; font-size: inherit; background: none; }
.brinefront table tr, .brinefront table tr:nth-child(odd) { background: none; }
.brinefront table th, .brinefront table td { border: 0; padding: .18em 1.1em .18em 0; text-align: right;
  vertical-align: top; background: none; color: inherit; }
.brinefront table thead th { font-weight: 600; white-space: normal; border-bottom: 1.5px solid currentColor; }
.brinefront table tbody tr > * { border-bottom: 1px solid rgba(128, 128, 128, .3); }
.brinefront table tbody tr.sum > * { border-top: 1.5px solid currentColor; font-weight: 600; }
.brinefront table .words, .brinefront table .prose { text-align: left; }
.brinefront table .prose { min-width: 16em; }
.brinefront table td { font-variant-numeric: tabular-nums; }
.brinefront table td.words, .brinefront table td.number { white-space: nowrap; }
.brinefront .unit { opacity: .75; }
.brinefront .warning { border-left: 4px solid #D64545; background: rgba(214, 69, 69, .12); padding: .35em .7em; }
.brinefront .warning b { text-transform: uppercase; letter-spacing: .03em; }
.brinefront details { margin: .2em 0; font-size: .93em; }
.brinefront summary { font-weight: 600; cursor: pointer; }
.brinefront ul { margin: .2em 0 .5em; padding-left: 1.3em; }
.brinefront li { margin: .1em 0; }
"""

# Rows that a long table shows of itself at most.
SHOWN_ROWS = 8


@display.as_asked
def cycle(found: Cycle) -> str:
    """Key figures of a cycle, with its notes and cautions."""
    title = f"{found.case.name or 'Cycle'}: {found.direction}"
    return _page(title, _warnings(text.warnings([found])), _key_figures([found], ["value"]), *_remarks([found]))


@display.as_asked
def comparison(found: Comparison) -> str:
    """The answer, and the key figures of the strategies beside each other."""
    title = f"Strategies at {found.at.replace('-', ' ')}"
    table = _key_figures(found.cycles, text.labels(found.cycles))
    return _page(
        title, _paragraph(text.answer(found)), _warnings(text.warnings(found.cycles)), table, *_remarks(found.cycles)
    )


def figures_table(found: Figures) -> str:
    """Key figures of a cycle."""
    return _page(f"Cycle, {found.direction}", *_alone(found))


def point(found: Point) -> str:
    """What was changed at a point of a sweep, and what came of it."""
    changes = ", ".join(f"{name} = {value}" for name, value in found.changes.items())
    title = f"Point {found.index}: {changes}"
    if found.figures is None:
        return _page(title, _warnings([found.error]))
    return _page(title, *_alone(found.figures))


@display.as_asked
def run(found: Run) -> str:
    """Volume, hardness at the end, loading and ledger of a run."""
    effluent, loading, how = found.effluent(), found.loading(), display.in_chart(EQ_BED)
    rows = [
        ("volume passed", "BV", text.number(float(effluent["bv"].iloc[-1]))),
        ("hardness at the end", "mg/L as CaCO3", text.number(float(effluent["hardness_mg_per_l_caco3"].iloc[-1]))),
        *(
            (f"mean loading, {ion}", how.unit, text.number(how.of(value)))
            for ion, value in loading.attrs["mean"].items()
        ),
        ("numerical error of the effluent", "of what left", text.number(found.effluent_error_fraction)),
        ("numerical error of the loading", "of capacity", text.number(found.loading_error_fraction)),
        (figure("ledger_error").words, figure("ledger_error").unit, text.number(found.ledger_error)),
    ]
    return _page(
        "One run from a given loading",
        _named(rows, ["value"]),
        _list("Read with this", text.told(found.notes)),
    )


@display.as_asked
def account(found: SaltAccount) -> str:
    """The shares of the salt, summing to the dose."""
    _, *heads = (head.replace("+-", "±") for head in text.account_heads())
    *rows, total = found.rows()
    off = [f"Off in this case: {', '.join(found.without)}"] if found.without else []
    return _page(
        "Where the salt went",
        _paragraph(found.sentence()),
        _warnings(map(display.said, found.warnings)),
        _table(["share", *heads], rows, prose=5, total=total),
        _list("Read with this", [*map(display.said, found.notes), *off]),
    )


@display.as_asked
def waves(found: Waves) -> str:
    """The numbers that decide the waves, and the steps of the cycle."""
    rows = [
        ("normality of the feed", "eq/L", found.feed_normality_eq_per_l),
        ("normality of the brine", "eq/L", found.brine_normality_eq_per_l),
        ("normality at which selectivity reverses", "eq/L", found.reversal_eq_per_l),
        ("separation factor in the feed", "", found.separation_factor_feed),
        ("separation factor in the brine", "", found.separation_factor_brine),
        ("run length", "BV", found.run_length_bv),
        ("operating capacity", "eq/L of bed", found.capacity_eq_per_l),
        ("salt efficiency", "of stoichiometric", found.salt_efficiency_fraction),
    ]
    steps = found.steps()
    words, units = steps.attrs["long_names"], steps.attrs["units"]
    names = ["volume_bv", "normality_eq_per_l", "divalent_fraction", "kept_eq_per_l"]
    shown = {name: display.in_chart(units[name]) for name in names}
    heads = [
        "step",
        "flow",
        *(words[name] + (f" [{shown[name].unit}]" if units[name] != "1" else "") for name in names),
    ]
    cells = [
        [row["step"], _way(row), *(text.number(shown[name].of(row[name])) for name in names)]
        for row in steps.to_dict("records")
    ]
    unsteady = []
    if found.stop_reason == StopReason.NEVER_SOFT:
        unsteady.append("never soft: the leakage was above the limit as service started")
    if not found.settled:
        unsteady.append("the cycle does not repeat itself")
    return _page(
        f"Waves of equilibrium theory: {found.direction}",
        _warnings(unsteady),
        _named([_in_units_shown(*row) for row in rows], ["value"]),
        _table(heads, cells, words=(0, 1)),
        _paragraph("Equilibrium theory: no rates, no dispersion, the hardness ions as one; not what a bed delivers."),
    )


def _in_units_shown(words: str, unit: str, value: float) -> tuple[str, str, str]:
    how = display.in_chart(unit)
    return words, how.unit, text.number(how.of(value))


def long_table(found: LongTable) -> str:
    """Some rows of a long table, from its first to its last."""
    count = min(SHOWN_ROWS, len(found))
    places = [round(row * (len(found) - 1) / max(count - 1, 1)) for row in range(count)]
    columns = {name: found[name][places] for name in found.columns}
    rows = [[_cell(column[row]) for column in columns.values()] for row in range(count)]
    words = [place for place, column in enumerate(columns.values()) if column.dtype == object]
    title = str(found.attrs.get("title", "table"))
    more = f"; {count} of them here" if count < len(found) else ""
    return _page(
        title[:1].upper() + title[1:], _table(list(columns), rows, words=words), _paragraph(f"{len(found)} rows{more}.")
    )


def _way(step: dict[str, Any]) -> str:
    if step["volume_bv"] == 0.0:
        return "none"
    return "with service" if step["with_service"] else "against service"


def _cell(value: Any) -> str:
    """A cell of a long table; empty for null."""
    if value is None or (isinstance(value, float) and math.isnan(value)):
        return ""
    return str(value) if isinstance(value, str) else text.number(float(value), 4)


def _unsteady(found: Figures) -> list[str]:
    """What figures without their cycle must be read with."""
    if (words := text.above_limit(found)) is not None:
        return [": ".join(words)]
    if text.is_hard(found):
        return [text.no_run(found)]
    return (
        []
        if found.settled
        else [f"not settled: {display.said(found.search_end)}; these figures belong to no steady cycle"]
    )


def _alone(found: Figures) -> list[str]:
    """Figures without their cycle."""
    cautions = _list("Before you act on this", text.cautions([found]))
    return [_warnings(_unsteady(found)), _key_figures([found], ["value"]), cautions]


def _remarks(cycles: Sequence[Cycle]) -> list[str]:
    """Notes and cautions of cycles, as every report has them."""
    return [
        _list("What the site asks", text.targets(cycles)),
        _list("Read with this", text.notes(cycles)),
        _list("Before you act on this", text.cautions(cycles)),
    ]


def _key_figures(found: Sequence[Figures], heads: Sequence[str]) -> str:
    named = [as_shown(name) for name in distinct(text.known_figures(found))]
    return _named([(each.words, each.unit, *(text.shown(one, each.name) for one in found)) for each in named], heads)


def _named(rows: Iterable[Sequence[str]], heads: Sequence[str]) -> str:
    """Rows of words, unit and values."""
    return _table(["", "unit", *heads], rows, words=(0, 1), units=1)


def _table(
    heads: Sequence[str],
    rows: Iterable[Sequence[str]],
    words: Sequence[int] = (0,),
    units: int | None = None,
    prose: int | None = None,
    total: Sequence[str] | None = None,
) -> str:
    kinds = ["words" if place in words else "number" for place in range(len(heads))]
    for place, kind in ((units, "words unit"), (prose, "prose")):
        if place is not None:
            kinds[place] = kind

    def line(cells: Sequence[str], tag: str) -> str:
        return "".join(f'<{tag} class="{kind}">{escape(cell)}</{tag}>' for cell, kind in zip(cells, kinds, strict=True))

    body = "".join(f"<tr>{line(cells, 'td')}</tr>" for cells in rows)
    if total is not None:
        body += f'<tr class="sum">{line(total, "td")}</tr>'
    return f"<table><thead><tr>{line(heads, 'th')}</tr></thead><tbody>{body}</tbody></table>"


def _warnings(words: Iterable[str]) -> str:
    return "".join(f'<p class="warning" role="alert"><b>Warning</b> {escape(line)}</p>' for line in words)


def _paragraph(words: str) -> str:
    return f"<p>{escape(words)}</p>"


def _list(title: str, words: Iterable[str]) -> str:
    """Points under a heading that can be folded away, or no text at all."""
    points = "".join(f"<li>{escape(line)}</li>" for line in words)
    return f"<details open><summary>{escape(title)}</summary><ul>{points}</ul></details>" if points else ""


def _page(title: str, *parts: str) -> str:
    return f'<div class="brinefront"><style>{STYLE}</style><p class="title">{escape(title)}</p>{display.typeset("".join(parts))}</div>'
