"""The tables of a report: the numbers of a comparison as a reader wants them, trade units beside metric ones."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.errors import InputError
from brinefront.units import convert, display
from brinefront.words import text
from brinefront.words.figures import as_shown, figure, shown_in, with_errors

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import pandas as pd

    from brinefront._core import Water
    from brinefront.native.protocols import Comparison, Cycle, SaltAccount
    from brinefront.native.sayings import DesignRule

# The trade's unit beside a metric one: source and target for `convert`, and how the target is written.
TRADE = {
    "g/L of resin": ("g/L", "lb/ft3", "lb/ft3 of resin"),
    "mg/L as CaCO3": ("mg/L CaCO3", "gr/gal", "gr/US gal"),
    "L": ("L", "gal", "US gal"),
}

# The feed's hardness has a unit of its own in the trade.
FEED = "feed_hardness_mg_per_l_caco3"

# Rows of a table that is not divided between pages.
SHORT = 18

# Figures whose numerical error is known, each with it.
ERRORS = with_errors()
ERROR_WORDS = (
    "The error is that of the grid: from a coarser grid's figures and first-order convergence, or the order seen "
    "on three grids; not known where no coarser grid was run. Judge leakages by the larger of their two; a "
    f"leakage below {text.LEAKAGE_TOLD_MG_PER_L_CACO3:g} mg/L counts as that much. It says nothing of how well the "
    "model fits a bed."
)
LEDGER_WORDS = (
    "The mass balance sets what entered and left over a whole cycle against what the bed gained, ion by ion; its error "
    "is that of the ion that closes worst, as a share of the equivalents that entered. The residual is the "
    "largest change of loading over the last cycle."
)
RULE_WORDS = (
    "Rules are bands that sources give, rounded in SI units, and no limits of the calculation; a source says how far it was "
    "read. Of several steps of a kind the fastest counts, and their volumes and times together."
)
TARGET_WORDS = (
    "The salt of a week and the water of a day are reckoned from the soft water left for use: the run, less the soft water "
    "that the regeneration takes. The water of a day is what one vessel can give, run and regeneration in turn, at most "
    "three regenerations a day."
)
SEARCH = shown_in("search")
# Counts of a comparison's effort, in words.
EFFORT_WORDS = {"cycles": "cycles of service and regeneration", "steps": "time steps", "sweeps": "sweeps over the bed"}

STEPS = ("step", "direction", "volume_bv", "volume_l", "minutes", "flow_bv_per_h", "inlet_normality_eq_per_l", "ended")
STEP_WORDS = {
    "step": "step",
    "direction": "direction",
    "volume_bv": "volume",
    "volume_l": "volume",
    "minutes": "time",
    "flow_bv_per_h": "flow",
    "inlet_normality_eq_per_l": "normality that enters",
    "ended": "ended by",
}
HYDRAULICS = (
    "step",
    "liquid",
    "way",
    "velocity_m_per_h",
    "bed",
    "pressure_drop_kpa",
    "onset_m_per_h",
    "expansion_percent",
    "front",
    "front_critical_m_per_h",
)
HYDRAULICS_WORDS = {
    "step": "step",
    "liquid": "liquid",
    "way": "way",
    "velocity_m_per_h": "velocity",
    "bed": "bed",
    "pressure_drop_kpa": "pressure drop",
    "onset_m_per_h": "lifts a bed from",
    "expansion_percent": "expansion",
    "front": "front",
    "front_critical_m_per_h": "front changes at",
}


@dataclass(frozen=True)
class Table:
    """A table with a name of its own; the first cell of a group of rows heads all of them."""

    key: str
    caption: str
    heads: tuple[str, ...]
    groups: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]
    """A head, and the cells after it in one or more rows."""
    align: str
    """One letter a column: l or r."""
    over: tuple[tuple[str, int], ...] = ()
    """Heads over several columns each, above the others; the first column has none."""
    notes: tuple[str, ...] = ()
    foot: int = 0
    """How many groups at the end are sums."""

    @property
    def fits_a_page(self) -> bool:
        """Whether it is short enough to be kept on one page."""
        return sum(len(rows) for _, rows in self.groups) <= SHORT


def key_figures(found: Comparison) -> Table:
    """The figures a reader asks for first, in the units chosen; each in metric and in trade units where both are."""
    cycles = found.cycles
    rows = []
    for each, values in text.key_rows(cycles):
        rows.append((each.words, (each.unit, *values)))
        if each.unit in TRADE and display.display_units() == display.BOTH:
            trade = tuple(_trade(cycle, each.name, each.unit) for cycle in cycles)
            rows.append((each.words, (TRADE[each.unit][2], *trade)))
    groups = tuple((words, tuple(cells for _, cells in same)) for words, same in groupby(rows, key=lambda row: row[0]))
    heads = ("figure", "unit", *text.labels(cycles))
    caption = "Key figures of one cycle" + (" at steady state" if not text.warnings(cycles) else "")
    return Table("key-figures", caption, heads, groups, "ll" + "r" * len(cycles))


def waters(cycles: Sequence[Cycle]) -> Iterator[Table]:
    """The analysis of each water with its charge balance; the same water of several cases once."""
    names = text.labels(cycles)
    distinct: list[tuple[Water, list[str]]] = []
    for cycle, name in zip(cycles, names, strict=True):
        same = next((of for water, of in distinct if water == cycle.case.water), None)
        if same is None:
            distinct.append((cycle.case.water, [name]))
        else:
            same.append(name)
    for place, (water, of) in enumerate(distinct, start=1):
        whose = "of all cases" if len(distinct) == 1 else f"of {'; '.join(of)}"
        how = display.in_chart("C")
        yield _water(water, f"water-{place}", f"Feed water {whose}, {how.of(water.temperature_c):g} {how.unit}")


def _water(water: Water, key: str, caption: str) -> Table:
    cations: list[tuple[str, tuple[tuple[str, ...], ...]]] = []
    anions: list[tuple[str, tuple[tuple[str, ...], ...]]] = []
    sums = {True: [0.0, 0.0], False: [0.0, 0.0]}
    balanced = water.eq_per_l
    for ion in (*water.ions, *(name for name in balanced if name not in water.ions)):
        given = water.ions.get(ion)
        as_given, is_cation = equivalents(ion, given, water.unit)
        used = balanced.get(ion, 0.0)
        sums[is_cation][0] += as_given
        sums[is_cation][1] += used
        cells = (
            "-" if given is None else text.as_written(given),
            _meq(as_given) if given is not None else "-",
            _meq(used),
            text.number(convert(used, "eq/L", "mg/L CaCO3")),
        )
        (cations if is_cation else anions).append((ion, (cells,)))
    total = [
        (f"sum of {what}", (("", *map(_meq, sums[which]), ""),))
        for what, which in (("cations", True), ("anions", False))
    ]
    heads = ("ion", f"as given [{water.unit}]", "as given [meq/L]", "balanced [meq/L]", "balanced [mg/L as CaCO3]")
    return Table(key, caption, heads, (*cations, *anions, *total), "lrrrr", notes=(_balance(water, sums),), foot=2)


def _balance(water: Water, sums: dict[bool, list[float]]) -> str:
    """What the analysis was out by, and what closed it."""
    cations, anions = sums[True][0], sums[False][0]
    how = display.in_chart(figure(FEED).unit, FEED)
    hardness = f"Hardness {text.number(how.of(water.hardness_mg_per_l_caco3))} {how.unit} (Ca and Mg)."
    if water.chloride_assumed:
        return f"No anion was given: chloride takes the balance. {hardness}"
    percent = 100.0 * abs(cations - anions) / (cations + anions)
    off = f"As given, cations and anions differ by {percent:.2f} % of their sum"
    closed = f"{water.balance} closes the balance" if water.balance else "the anions are stretched to meet the cations"
    return f"{off}; {closed}. {hardness}"


def equivalents(ion: str, value: float | None, unit: str) -> tuple[float, bool]:
    """An ion's concentration [eq/L] and whether it is a cation: read off a water of it and a salt's other half."""
    amount = value or 1.0
    try:
        eq, is_cation = _core.Water({ion: amount}, unit, balance="Na").eq_per_l[ion], False
    except InputError:
        eq, is_cation = _core.Water({ion: amount}, unit, balance="Cl").eq_per_l[ion], True
    return (eq if value else 0.0), is_cation


def steps(cycle: Cycle, name: str, place: int) -> tuple[Table, Table]:
    """The steps as they were run, and what their flow does to the bed."""
    rows, flows = cycle.steps(), cycle.hydraulics()
    ran = _frame(f"steps-{place}", f"Steps as run, {name}", rows, STEPS, STEP_WORDS, dict(rows.attrs["units"]))
    known = set(map(display.said, cycle.notes))
    notes = tuple(dict.fromkeys(note for notes in flows["notes"] for note in notes if note not in known))
    units = dict(flows.attrs["units"])
    caption = f"What the flow does to the bed, {name}"
    return ran, _frame(f"hydraulics-{place}", caption, flows, HYDRAULICS, HYDRAULICS_WORDS, units, notes)


def _frame(
    key: str,
    caption: str,
    frame: pd.DataFrame,
    columns: Sequence[str],
    words: dict[str, str],
    units: dict[str, str],
    notes: tuple[str, ...] = (),
) -> Table:
    shown = {name: display.in_chart(units[name], name) for name in columns if name in units}
    heads = tuple(f"{words[name]} [{shown[name].unit}]" if name in units else words[name] for name in columns)

    def cell(name: str, value: Any) -> str:
        if isinstance(value, str):
            return text.ended(value)
        return text.number(shown[name].of(value) if name in shown and value is not None else value)

    groups = tuple(
        (str(row[0]), (tuple(cell(name, value) for name, value in zip(columns[1:], row[1:], strict=True)),))
        for row in frame[list(columns)].itertuples(index=False, name=None)
    )
    return Table(key, caption, heads, groups, "".join("r" if name in units else "l" for name in columns), notes=notes)


def waste(found: Comparison) -> Table:
    """What reaches the drain in one regeneration, by ion."""
    cycles = found.cycles
    tables = [cycle.waste() for cycle in cycles]
    mass, as_caco3, volume = (display.in_chart(unit) for unit in ("g", "g as CaCO3", "L"))
    # The water with most ions first, so that those of a salt are in their place.
    ions = list(dict.fromkeys(ion for table in sorted(tables, key=len, reverse=True) for ion in table.index))

    def cells(table: pd.DataFrame, ion: str) -> tuple[str, str]:
        if ion not in table.index:
            return "-", "-"
        return text.number(table.loc[ion, "composite_mg_per_l"]), text.number(mass.of(table.loc[ion, "mass_g"]))

    groups = [(ion, (tuple(cell for table in tables for cell in cells(table, ion)),)) for ion in ions]
    notes = tuple(
        f"{name}: {text.number(volume.of(table.attrs['volume_l']))} {volume.unit} "
        f"({text.number(table.attrs['volume_bv'])} BV) of spent brine and rinse, "
        f"chloride at most {text.number(table.attrs['peak_chloride_mg_per_l'])} mg/L; hardness "
        f"{text.number(as_caco3.of(cycle.waste_hardness_g_caco3))} {as_caco3.unit}."
        for name, table, cycle in zip(text.labels(cycles), tables, cycles, strict=True)
    )
    return Table(
        "waste-by-ion",
        "Spent brine and rinse of one regeneration: mean concentration and mass of each ion",
        ("ion", *("mean [mg/L]", f"mass [{mass.unit}]") * len(cycles)),
        tuple(groups),
        "l" + "rr" * len(cycles),
        over=tuple((name, 2) for name in text.labels(cycles)),
        notes=notes,
    )


def design_rules(found: Comparison) -> Table:
    """The rules of design, what each strategy came to, and where the rule stands."""
    cycles = found.cycles
    by_rule = [{rule.kind: rule for rule in cycle.design_rules} for cycle in cycles]
    kinds = list(dict.fromkeys(rule.kind for cycle in cycles for rule in cycle.design_rules))

    def cell(rule: DesignRule | None, how: display.Shown) -> str:
        if rule is None:
            return "-"
        return f"{text.number(how.of(rule.values['found']))}, {'inside' if rule.inside else 'outside'}"

    groups = []
    for kind in kinds:
        mine = [rules.get(kind) for rules in by_rule]
        first = next(rule for rule in mine if rule is not None)
        values = first.values
        how = display.in_table(values["unit"])
        allowed = _allowed(values["low"], values["high"], how)
        groups.append((kind, ((allowed, how.unit, *(cell(rule, how) for rule in mine), text.rule_source(first)),)))
    heads = ("rule", "allowed", "unit", *text.labels(cycles), "source")
    align = "lrl" + "r" * len(cycles) + "l"
    return Table("design-rules", "Rules of design", heads, tuple(groups), align, notes=(RULE_WORDS,))


def _allowed(low: float | None, high: float | None, how: display.Shown) -> str:
    ends = [None if end is None else f"{how.of(end):.4g}" for end in (low, high)]
    if None in ends:
        return f"at most {ends[1]}" if low is None else f"at least {ends[0]}"
    return f"{ends[0]} to {ends[1]}"


def site_targets(found: Comparison) -> Table | None:
    """What the sites ask and whether each strategy gives it; none without a site."""
    cycles = found.cycles
    groups = text.target_rows(cycles)
    if not groups:
        return None
    heads = ("target", "asked", "unit", *text.labels(cycles))
    rows = tuple((kind, ((asked, unit, *cells),)) for kind, asked, unit, cells in groups)
    return Table("site-targets", "What the site asks", heads, rows, "lrl" + "r" * len(cycles), notes=(TARGET_WORDS,))


def numerical_errors(found: Comparison) -> Table:
    """The main figures with what the grid may have put them off by."""
    cycles = found.cycles

    def cells(cycle: Cycle, name: str, error: str) -> tuple[str, str]:
        fraction = getattr(cycle, error)
        return text.shown(cycle, name), text.number(100.0 * fraction, 2) if math.isfinite(fraction) else "not known"

    groups = tuple(
        (
            figure(name).words,
            ((as_shown(name).unit, *(cell for cycle in cycles for cell in cells(cycle, name, error))),),
        )
        for name, error in ERRORS
    )
    return Table(
        "numerical-error",
        "Main figures and their estimated numerical error",
        ("figure", "unit", *("value", "error [%]") * len(cycles)),
        groups,
        "ll" + "rr" * len(cycles),
        over=(("", 1), *((name, 2) for name in text.labels(cycles))),
        notes=(ERROR_WORDS,),
    )


def search(found: Comparison) -> Table:
    """Ledger, residual of the steady cycle, grid, tolerance and effort of each strategy."""
    cycles = found.cycles
    rows: list[tuple[str, tuple[tuple[str, ...], ...]]] = []
    for name in SEARCH:
        each = figure(name)
        rows.append((each.words, ((each.unit, *(text.shown(cycle, name) for cycle in cycles)),)))
    given = {
        "cells along the bed": ("", *(str(cycle.cells) for cycle in cycles)),
        "error allowed in one time step": ("of capacity", *(text.number(cycle.case.tolerance) for cycle in cycles)),
        "kinetics": ("", *(cycle.case.kinetics for cycle in cycles)),
        "activity coefficients": ("", *(cycle.case.activity for cycle in cycles)),
    }
    rows += [(words, (cells,)) for words, cells in given.items()]
    rows += [
        (words, (("", *(_count(cycle.effort[count]) for cycle in cycles)),)) for count, words in EFFORT_WORDS.items()
    ]
    spent = ", ".join(f"{_count(found.effort[count])} {words}" for count, words in EFFORT_WORDS.items())
    named = zip(text.labels(cycles), cycles, strict=True)
    outcomes = [f"{name}: {display.said(cycle.search_end)}." for name, cycle in named]
    return Table(
        "ledger",
        "Mass balance, steady cycle, grid and effort",
        ("", "unit", *text.labels(cycles)),
        tuple(rows),
        "ll" + "r" * len(cycles),
        notes=(LEDGER_WORDS, f"All runs of the comparison together: {spent}.", *outcomes),
    )


def account(found: SaltAccount, name: str, place: int) -> Table:
    """Where the salt went, as shares of the dose."""
    groups = tuple((row[0], (tuple(row[1:]),)) for row in found.rows())
    heads = ("share", *(head.replace("+-", "\N{PLUS-MINUS SIGN}") for head in text.account_heads()[1:]))
    notes = tuple(found.remarks())
    return Table(f"account-{place}", f"Where the salt went, {name}", heads, groups, "lrrrrl", notes=notes, foot=1)


def _trade(cycle: Cycle, name: str, unit: str) -> str:
    """A figure in the trade's unit; a leakage too low to be distinguished from none stays so."""
    source, target, _ = TRADE[unit]
    shown = text.shown(cycle, name)
    if shown.startswith("<"):
        return f"< {convert(text.LEAKAGE_TOLD_MG_PER_L_CACO3, source, target):.1g}"
    value = getattr(cycle, name)
    return text.number(convert(value, source, target)) if math.isfinite(value) else "-"


def _count(value: int) -> str:
    return f"{value:,}".replace(",", " ")


def _meq(value: float) -> str:
    return f"{convert(value, 'eq/L', 'meq/L'):.4f}"
