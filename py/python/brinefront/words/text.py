"""Results in words: numbers, tables, summaries and the cautions that belong beside them."""

from __future__ import annotations

import math
import re
import textwrap
from typing import TYPE_CHECKING, Any

from brinefront.native.enumerations import LeakageBound, Outcome, StopReason
from brinefront.units import display
from brinefront.words.figures import EQ_BED, as_shown, distinct, in_units_shown, shown_in, with_errors

if TYPE_CHECKING:
    from collections.abc import Sequence

    from brinefront.native.protocols import Comparison, Cycle, Figures, Run
    from brinefront.native.sayings import DesignRule, Note, SiteTarget
    from brinefront.words.figures import Figure

# What a reader of a comparison asks first, in that order.
KEY_FIGURES = shown_in("key")

# Why a run or a step ended, where a reader's word is another than the name of the value.
ENDED_WORDS = {StopReason.THROUGHPUT: "meter"}

# Guidance for people on a diet of 500 mg sodium a day: US EPA, Drinking Water Advisory on Sodium, EPA 822-R-03-006.
SODIUM_RESTRICTED_MG_PER_L = 20.0
# Parametric value of Directive (EU) 2020/2184, Annex I, Part C, read second-hand.
SODIUM_EU_MG_PER_L = 200.0

# Susceptible people and water softened with potassium chloride: WHO (2009), Potassium in drinking-water (from memory).
POTASSIUM = (
    "Drinking: softened with potassium chloride, the water holds potassium in place of its hardness. People with kidney or "
    "heart disease, or on medicines that keep potassium, should ask a doctor before they drink it."
)

LOCAL_CODES = (
    "Local plumbing, discharge and drinking-water codes and licensed practice decide; "
    "this is a calculation, not a design approval."
)

# Below this a leakage is printed as less than it: channelling sets a floor in practice, and so does impure salt, and routine titration reads to about 1 mg/L (common practice, no source).
LEAKAGE_TOLD_MG_PER_L_CACO3 = 0.01

# The error of each figure, by its name; figures that are another one in other units have the error of that.
ERRORS = dict(with_errors()) | {
    "run_length_l": "run_length_error_fraction",
    "capacity_kgr_per_ft3": "capacity_error_fraction",
    "salt_efficiency_gr_per_lb": "capacity_error_fraction",
    "salt_efficiency_fraction": "capacity_error_fraction",
}
# From this share of a figure on its numerical error is shown beside it.
SHOWN_ERROR = 0.02

# The kind of the note on a run whose water is not soft, and what stands beside a figure that is called by soft water then.
NOT_SOFT = "not-soft"
NOT_SOFT_MARK = " (not soft)"
# The one leakage that there is without a run.
STARTS_AT = "leakage_initial_mg_per_l_caco3"
OF_SOFT_WATER = ("run_length_l", "sodium_product_mg_per_l")

# Why a run that has no length ended: whether it would be soft after a shorter one is for its outcome to say.
ABOVE_FROM_THE_START = "above its limit from the start"
# Weights of notes, from what is to be done to what has no consequence; the last is for a report alone.
WEIGHTS = ("acts", "know", "assumed")

# Characters in a line of prose, and of the head of a narrow column.
WIDTH = 96
HEAD_WIDTH = 11


def number(value: Any, digits: int = 3) -> str:
    """A number as a reader wants it: a few significant digits, no exponent where none is needed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (str, int)):
        return str(value)
    if value is None or not math.isfinite(value):
        return "-"
    size = abs(value)
    if size >= 10**digits:
        return f"{value:,.0f}".replace(",", " ")
    if size == 0.0:
        return "0"
    if size < 1e-3:
        return f"{value:.1e}"
    return f"{value:.{max(0, digits - 1 - math.floor(math.log10(size)))}f}"


def fixed(value: float, digits: int, *, signed: bool = False) -> str:
    """A number with so many digits behind the point, a dash for none; `signed` has a plus too, and zero has no sign."""
    if not math.isfinite(value):
        return "-"
    # Adding a plain zero takes the sign off a minus one.
    rounded = round(value, digits) + 0.0
    return f"{rounded:{'+' if signed and rounded else ''}.{digits}f}"


def as_written(value: float, digits: int = 5) -> str:
    """A number as people write it: a few significant digits, no zeros at the end, no exponent for a large one."""
    return f"{value:.{digits}g}" if abs(value) < 10.0**digits else f"{value:.0f}"


def shown(cycle: Figures, name: str) -> str:
    """A cycle's figure as a reader wants it; a leakage too low to be distinguished from none as less than a limit."""
    value = getattr(cycle, name)
    if name == "stop_reason" and value == StopReason.NEVER_SOFT:
        return ABOVE_FROM_THE_START
    if cycle.stop_reason == StopReason.NEVER_SOFT and name.startswith("leakage_") and name != STARTS_AT:
        # Service was only tried, for a while that is no run, on a bed that has no steady cycle.
        return number(None)
    if name.startswith("leakage_") and 0.0 <= value < LEAKAGE_TOLD_MG_PER_L_CACO3:
        return f"< {LEAKAGE_TOLD_MG_PER_L_CACO3:g}"
    if name == "stop_reason":
        return ended(value)
    mark = NOT_SOFT_MARK if name in OF_SOFT_WATER and is_hard(cycle) else ""
    return number(in_units_shown(name, value)) + error_beside(cycle, name) + mark


def is_hard(cycle: Figures) -> bool:
    """Whether a run delivers water, and that is not soft."""
    return not cycle.delivers_soft_water and cycle.stop_reason != StopReason.NEVER_SOFT


def error_beside(cycle: Figures, name: str) -> str:
    """The numerical error of a figure as it stands beside it, where it is too large to be left out."""
    fraction = getattr(cycle, ERRORS.get(name, ""), math.nan)
    if not fraction > SHOWN_ERROR:
        return ""
    error = fraction * abs(in_units_shown(name, getattr(cycle, name)))
    return f" +- {number(error, 2 if f'{error:e}' < '2' else 1)}"


def ended(reason: str) -> str:
    """Why a run or a step ended, in a reader's word."""
    return next((words for value, words in ENDED_WORDS.items() if value == reason), str(reason))


def dose(g_per_l: float) -> str:
    """A salt dose with its unit, as a short name has it: ``96 g/L``."""
    how = display.in_chart("g/L of resin")
    return f"{how.of(g_per_l):.4g} {how.unit.removesuffix(' of resin')}"


def dose_of(g_per_l: float, salt: str = "salt") -> str:
    """A salt dose in words: ``96.0 g of NaCl per litre of resin``."""
    how = display.in_chart("g/L of resin")
    mass, volume = ("lb", "ft3") if how.unit.startswith("lb") else ("g", "litre")
    return f"{number(how.of(g_per_l))} {mass} of {salt} per {volume} of resin"


def read_of(cycle: Figures, name: str, digits: int | None) -> Any:
    """A cycle's figure as a cell of a table to be read: as :func:`read` has it, and marked where it is not what it is called."""
    found = read(name, getattr(cycle, name), digits)
    return f"{found}{NOT_SOFT_MARK}" if name in OF_SOFT_WATER and is_hard(cycle) else found


def read(name: str, value: Any, digits: int | None) -> Any:
    """A figure as a cell of a table to be read: in the units shown, rounded to so many significant digits, unless None."""
    if isinstance(value, str):
        return ended(value) if name == "stop_reason" else str(value)
    found = in_units_shown(name, value)
    if digits is None or not isinstance(found, float) or not math.isfinite(found):
        return found
    return float(f"{found:.{digits}g}")


def wrapped(words: str, *, indent: str = "") -> str:
    """A paragraph in lines, the later ones set in by `indent`."""
    return textwrap.fill(words, WIDTH, subsequent_indent=indent, break_on_hyphens=False)


def rule(title: str) -> str:
    """A heading."""
    return f"{title}\n{'-' * len(title)}"


def stacked(head: str) -> str:
    """The head of a narrow column in several lines: a dotted name after its dots, words between them, the unit below."""
    if "." in head.partition(" ")[0]:
        return head.replace(".", ".\n")
    words, bracket, unit = head.partition(" [")
    return "\n".join([*textwrap.wrap(words, HEAD_WIDTH, break_long_words=False), *([f"[{unit}"] if bracket else [])])


def table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns set apart by space: the first to the left, the others to the right, under a line; heads may be stacked."""
    stacks = [head.split("\n") for head in heads]
    high = max(map(len, stacks))
    # The last line of each stands on the line below them.
    lines = list(zip(*([""] * (high - len(stack)) + stack for stack in stacks), strict=True))
    widths = [max(len(row[column]) for row in [*lines, *rows]) for column in range(len(heads))]

    def line(cells: Sequence[str]) -> str:
        first, *others = [(cell, width) for cell, width in zip(cells, widths, strict=True)]
        return "   ".join([first[0].ljust(first[1]), *(cell.rjust(width) for cell, width in others)]).rstrip()

    return "\n".join([*map(line, lines), line(["-" * width for width in widths]), *map(line, rows)])


def held_equal(found: Comparison) -> str:
    """What a comparison holds equal, in words; strategies that were given with doses of their own have none in common."""
    if found.at == "equal-leakage":
        return "at equal leakage"
    if found.target is not None:
        run = "" if found.target.run_bv is None else f" over {number(found.target.run_bv)} BV"
        return (
            f"by the least salt for {number(found.target.mg_per_l_caco3)} mg/L as CaCO3 ({found.target.measure}){run}"
        )
    doses = [cycle.dose_g_per_l for cycle in found.cycles]
    one = math.isclose(min(doses), max(doses), rel_tol=1e-9)
    return "at equal salt dose" if one else "each at its own salt dose"


def labels(cycles: Sequence[Cycle], *, for_machines: bool = False) -> list[str]:
    """A short name for each cycle, all different: the direction, with the salt where salts differ, then the dose, then the case's name,
    then a number.

    For machines the dose is in g/L whatever is shown.
    """

    def short_dose(g_per_l: float) -> str:
        return f"{g_per_l:.4g} g/L" if for_machines else dose(g_per_l)

    salts = [str(cycle.case.regeneration.salt) for cycle in cycles]
    # What tells strategies apart is never left out, even if a direction would.
    first = [
        cycle.direction if len(set(salts)) == 1 else f"{cycle.direction}, {salt}"
        for cycle, salt in zip(cycles, salts, strict=True)
    ]
    named = [
        (begins, short_dose(cycle.dose_g_per_l), cycle.case.name or "")
        for begins, cycle in zip(first, cycles, strict=True)
    ]
    for depth in (1, 2, 3):
        short = [", ".join(part for part in parts[:depth] if part) for parts in named]
        if len(set(short)) == len(short):
            return short
    return [f"{place}: {name}" for place, name in enumerate(short, start=1)]


def heads(cycles: Sequence[Cycle]) -> list[str]:
    """Names for the heads of a table: figures of a cycle that did not settle say so."""
    named = zip(labels(cycles), cycles, strict=True)
    return [name if cycle.settled or above_limit(cycle) else f"{name} (not settled)" for name, cycle in named]


@display.as_asked
def key_rows(cycles: Sequence[Figures]) -> list[tuple[Figure, list[str]]]:
    """The key figures that any of the cycles has, and each as a reader wants it, one for each cycle."""
    names = distinct(known_figures(cycles))
    return [(as_shown(name), [shown(cycle, name) for cycle in cycles]) for name in names]


@display.as_asked
def key_table(cycles: Sequence[Cycle]) -> str:
    """The key figures, one column for each strategy."""
    return table(["", *heads(cycles)], [[each.label, *values] for each, values in key_rows(cycles)])


def known_figures(cycles: Sequence[Figures]) -> list[str]:
    """The key figures that any of the cycles has: those a week need a site, others a purity, a rest, a tank."""

    def has(cycle: Figures, name: str) -> bool:
        value = getattr(cycle, name)
        return isinstance(value, str) or math.isfinite(value)

    return [name for name in KEY_FIGURES if any(has(cycle, name) for cycle in cycles)]


@display.as_asked
def cycle_summary(cycle: Cycle) -> str:
    """A cycle's key figures, one a line, and what the search for the steady cycle did."""
    salt = dose_of(cycle.dose_g_per_l, cycle.case.regeneration.salt)
    title = f"{cycle.case.name or 'Cycle'}: {cycle.direction}, {salt}"
    clause = cycle.assumed_of_the_bed
    hard = [display.said(note) for note in cycle.notes if note.kind == NOT_SOFT]
    assumed = [wrapped(f"{line[0].upper()}{line[1:]}.") for line in [clause, *hard] if line]
    rows = key_rows([cycle])[1:]
    width = max(len(each.label) for each, _ in rows)
    lines = [f"{each.label.ljust(width)}   {value}" for each, (value,) in rows]
    closing = f"{display.said(cycle.search_end)} (mass balance closed to {number(cycle.ledger_error)} of what entered)"
    asked = [wrapped(f"Site: {target}.", indent="  ") for target in targets([cycle])]
    read_with = [wrapped(f"Note: {note}.", indent="  ") for note in notes([cycle]) if note not in hard]
    return "\n".join([rule(title), *assumed, *lines, closing, *asked, *read_with, *warnings([cycle])])


@display.as_asked
def run_summary(run: Run) -> str:
    """A single run's volume, mean loading and ledger."""
    loading = run.loading().attrs["mean"]
    how = display.in_chart(EQ_BED)
    bed = ", ".join(f"{ion} {number(how.of(value))}" for ion, value in loading.items())
    effluent = run.effluent()
    return "\n".join(
        [
            f"volume passed        {number(float(effluent['bv'].iloc[-1]))} BV",
            f"hardness at the end  {number(float(effluent['hardness_mg_per_l_caco3'].iloc[-1]))} mg/L as CaCO3",
            f"mean loading         {bed} {how.unit}",
            f"mass balance error   {number(run.ledger_error)} of what entered",
        ]
    )


def warnings(cycles: Sequence[Cycle]) -> list[str]:
    """What a reader must know before using the figures: a run that was never soft, a cycle that did not settle."""
    found = []
    for name, cycle in zip(labels(cycles), cycles, strict=True):
        if (words := above_limit(cycle)) is not None:
            kind, reason = words
            found.append(f"{kind.upper()} ({name}): {reason}.")
        elif not cycle.settled:
            found.append(
                f"NOT SETTLED ({name}): {display.said(cycle.search_end)}; these figures belong to no steady cycle."
            )
    return found


def unmet(found: Comparison) -> list[str]:
    """Strategies that do not meet the leakage or the run that was asked for."""
    words = {
        LeakageBound.NOT_MET: "no dose and no run has that leakage; the figures are those of the case as given",
        LeakageBound.RUN: "no dose delivers that run; the figures are those of the run that needs least salt",
    }
    named = zip(labels(found.cycles), found.bounds, strict=False)
    return [f"NOT MET ({name}): {words[bound]}." for name, bound in named if bound in words]


def above_limit(cycle: Figures) -> tuple[str, str] | None:
    """What became of a run that is above its limit from the start, as a kind and its reason; none for any other."""
    if cycle.stop_reason != StopReason.NEVER_SOFT:
        return None
    start = f"service begins at {number(cycle.leakage_initial_mg_per_l_caco3)} mg/L as CaCO3, above the limit"
    if cycle.outcome == Outcome.CANNOT_RECOVER:
        longest = number(cycle.longest_metered_bv)
        return (
            "cannot recover",
            f"after such a run {start}; metered at up to {longest} BV it settles below{_soft_from(cycle)}",
        )
    if cycle.outcome == Outcome.NEVER_SOFT:
        return (
            "never soft",
            f"{start}, even after runs as short as the regeneration has waste{_soft_from(cycle)}; there is no run to count",
        )
    return "above the limit", f"{start}; there is no run to count"


def no_run(cycle: Figures) -> str:
    """In a few words, why a cycle has no run, or none of soft water."""
    if is_hard(cycle):
        return f"no soft water, a mean of {shown(cycle, 'leakage_mean_mg_per_l_caco3')} mg/L as CaCO3"
    if cycle.outcome == Outcome.CANNOT_RECOVER:
        return f"{cycle.outcome}, soft metered at up to {number(cycle.longest_metered_bv)} BV"
    return str(cycle.outcome)


def _soft_from(cycle: Figures) -> str:
    """The dose that would do, if one was found."""
    dose = cycle.soft_from_dose_g_per_l
    return f"; with {dose_of(dose)} it would" if math.isfinite(dose) else ""


@display.as_asked
def notes(cycles: Sequence[Cycle], *, every: bool = False) -> list[str]:
    """What the figures should be read with, what is to be done first, then what is outside the rules of design.

    Notes without consequence are left out unless `every` is true, and then come last.
    """
    ranks = WEIGHTS if every else WEIGHTS[:-1]
    found = {
        rank: _each_once(
            cycles, [[display.said(note) for note in cycle.notes if note.weight == rank] for cycle in cycles]
        )
        for rank in ranks
    }
    first, *others = ranks
    return [*found[first], *outside(cycles), *(note for rank in others for note in found[rank])]


def told(notes: Sequence[Note]) -> list[str]:
    """The notes that have a consequence, as lines."""
    return [display.said(note) for note in notes if note.weight != WEIGHTS[-1]]


def outside(cycles: Sequence[Cycle]) -> list[str]:
    """The rules of design that the cycles are outside of, in lines."""
    return _each_once(cycles, [[rule_line(rule) for rule in cycle.design_rules if not rule.inside] for cycle in cycles])


def rule_line(rule: DesignRule) -> str:
    """A rule of design in the units shown."""
    values = rule.values
    how = display.in_table(values["unit"])
    if display.display_units() == display.BOTH:
        return str(rule)
    low, high = (None if values[end] is None else number(how.of(values[end])) for end in ("low", "high"))
    allowed = f"at most {high}" if low is None else f"at least {low}" if high is None else f"{low} to {high}"
    found = f"{number(how.of(values['found']))} {how.unit}"
    judged = "inside" if rule.inside else "outside"
    return f"{rule.kind}: {judged} the rule of design: {found}, {allowed} ({rule_source(rule)})"


def rule_source(rule: DesignRule) -> str:
    """Who says a rule, and of what; amounts in the units of that source only where units of both systems are shown."""
    source = str(rule.values["source"])
    if display.display_units() == display.BOTH:
        return source
    of, _, who = source.partition(";")[0].rpartition(": ")
    of = re.sub(r"^(?:about )?[\d.]+(?: to [\d.]+)? [^\s,]+,? ?", "", of)
    return f"{of}: {who}" if of else who


def target_line(target: SiteTarget) -> str:
    """What a site asks, and whether it is met, in the units shown."""
    values = target.values
    how = display.in_table(values["unit"])
    if how.unit == values["unit"]:
        return str(target)
    if values["found"] is None:
        asked = number(how.of(values["asked"]))
        return f"{target.kind}: missed: no soft water is delivered ({asked} {how.unit} asked)"
    found, asked = (number(how.of(values[name])) for name in ("found", "asked"))
    near = ", within the numerical error" if values["within_error"] else ""
    came_to = (
        f"one vessel gives {found} {how.unit} at most, {asked} used"
        if target.kind == "water use"
        else f"{found} {how.unit}, at most {asked} allowed"
    )
    return f"{target.kind}: {'met' if target.met else 'missed'}{near}: {came_to}"


@display.as_asked
def targets(cycles: Sequence[Cycle]) -> list[str]:
    """What the site asks and whether it is met, in lines, target by target."""
    kinds = dict.fromkeys(target.kind for cycle in cycles for target in cycle.site_targets)
    return [
        line
        for kind in kinds
        for line in _each_once(
            cycles, [[target_line(each) for each in cycle.site_targets if each.kind == kind] for cycle in cycles]
        )
    ]


def target_rows(cycles: Sequence[Cycle]) -> list[tuple[str, str, str, list[str]]]:
    """A row for each target that a site has: its name, what is asked, its unit, and what each cycle came to.

    Sites that ask for different amounts have a row each.
    """
    asked = {(target.kind, target.values["asked"]): target for cycle in cycles for target in cycle.site_targets}
    rows = []
    for (kind, amount), target in asked.items():
        sign = "at least" if kind == "water use" else "at most"
        how = display.in_chart(target.values["unit"])
        mine = [_came_to(cycle, kind, amount, how) for cycle in cycles]
        rows.append((kind, f"{sign} {number(how.of(amount))}", how.unit, mine))
    return rows


def _came_to(cycle: Cycle, kind: str, amount: float, how: display.Shown) -> str:
    """What a cycle came to of a target, and whether that meets it."""
    for target in cycle.site_targets:
        if (target.kind, target.values["asked"]) == (kind, amount):
            near = " (within error)" if target.values["within_error"] else ""
            found = target.values["found"]
            low = kind == "accepted leakage" and found is not None and found < LEAKAGE_TOLD_MG_PER_L_CACO3
            amount_found = (
                f"< {LEAKAGE_TOLD_MG_PER_L_CACO3:g}" if low else number(None if found is None else how.of(found))
            )
            return f"{amount_found}, {'met' if target.met else 'missed'}{near}"
    return "-"


def _each_once(cycles: Sequence[Cycle], lines: Sequence[Sequence[str]]) -> list[str]:
    """The lines of all cycles, each once, and which strategies it is about where it is not about all."""
    names = labels(cycles)
    about: dict[str, list[str]] = {}
    for name, mine in zip(names, lines, strict=True):
        for line in dict.fromkeys(mine):
            about.setdefault(line, []).append(name)
    return [line if len(of) == len(names) else f"{line} ({', '.join(of)})" for line, of in about.items()]


def cautions(cycles: Sequence[Figures]) -> list[str]:
    """What the figures do not decide, for the water and the waste of these cycles."""
    sodium = _highest(cycles, "sodium_product_mg_per_l")
    product = f"The softened water holds {number(sodium)} mg/L of sodium. " if math.isfinite(sodium) else ""
    chloride = _highest(cycles, "waste_chloride_mg_per_l")
    drained = f"Spent brine and rinse average {number(chloride)} mg/L of chloride. "
    waste = drained if math.isfinite(chloride) else ""
    return [
        (
            f"Drinking: {product}US EPA guidance is {SODIUM_RESTRICTED_MG_PER_L:.0f} mg/L for people "
            f"on a sodium-restricted diet; the EU limit is {SODIUM_EU_MG_PER_L:.0f} mg/L. "
            "Keep a hard cold tap where people drink."
        ),
        *([POTASSIUM] if any(_by_potassium(cycle) for cycle in cycles) else []),
        "Corrosion: softening does not make water less corrosive to lead, copper or steel; check the pipework first.",
        f"Drain: {waste}Brine harms soil, septic systems and treatment plants; ask before it goes to ground or sewer.",
        (
            "Boilers: soft is not demineralised; the limits for hardness and dissolved solids are the boiler maker's "
            "and the insurer's."
        ),
        "Pressure: vessels, brine tanks and by-passes under pressure belong in licensed hands.",
        LOCAL_CODES,
    ]


def _by_potassium(cycle: Figures) -> bool:
    case = getattr(cycle, "case", None)
    return case is not None and str(case.regeneration.salt) == "KCl"


@display.as_asked
def answer(found: Comparison) -> str:
    """The answer of a comparison in the units shown."""
    return found.answer


def account_heads() -> tuple[str, ...]:
    """The columns of a salt account."""
    how, capacity = display.in_chart("g/L of resin"), display.in_chart(EQ_BED)
    short = how.unit.removesuffix(" of resin")
    return (
        "",
        how.unit,
        "% of dose",
        f"+- {short}",
        f"capacity, {capacity.unit.removesuffix(' of bed')}",
        "what it is",
    )


def _highest(cycles: Sequence[Figures], name: str) -> float:
    """The highest of a figure over the cycles that have it, else nan."""
    return max(filter(math.isfinite, (getattr(cycle, name) for cycle in cycles)), default=math.nan)


def without_nan(value: Any) -> Any:
    """The same data with every number that is not finite as None: JSON has no other word for it."""
    if isinstance(value, dict):
        return {key: without_nan(item) for key, item in value.items()}
    if isinstance(value, (list, tuple)):
        return [without_nan(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
