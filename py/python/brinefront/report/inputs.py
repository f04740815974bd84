"""Every input of each case: its value, its unit, whether somebody gave it, and where a default comes from."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.native import fields
from brinefront.units import display
from brinefront.words import text

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from brinefront.native.protocols import Cycle

SECTIONS = {
    "": "Case and numerics",
    "water": "Water",
    "resin": "Resin",
    "bed": "Bed",
    "maldistribution": "Uneven flow",
    "rates": "Rates",
    "service": "Service",
    "regeneration": "Regeneration",
    "recipe": "Recipe",
    "site": "Site",
    "display": "Units shown",
}

GIVEN, DEFAULT, DEMO, MIRROR, FOUND, FOLLOWS = "given", "default", "built-in scenario", "mirror", "found", "computed"
ORIGINS = {
    GIVEN: "stands in the case file",
    DEFAULT: "nothing was said; the source is that of the value taken",
    DEMO: "invented for the demo: the value of the built-in scenario, no measurement",
    MIRROR: "set to compare a case with its mirror, the other direction with all else equal",
    FOUND: "found by the comparison at equal leakage",
    FOLLOWS: "follows from other inputs",
}
# What counts as given where there is no file.
GIVEN_IN_PYTHON = "differs from the default; a value that equals it counts as a default, also where it was said"

# A case without any value that may be left out.
LEAST = {
    "schema": 1,
    "water": {"ions": {"Ca": 80.0}},
    "bed": {"depth_m": 1.0, "diameter_m": 0.3},
    "service": {"flow_bv_per_h": 20.0, "volume_bv": 100.0},
    "regeneration": {"direction": "co-current", "dose_g_per_l": 80.0},
}


@dataclass(frozen=True)
class Row:
    """One input: its value in every case that has the same of it, with the strategies that do."""

    field: str
    words: str
    unit: str
    entries: tuple[Entry, ...]


@dataclass(frozen=True)
class Entry:
    """A value, where it comes from, and for which strategies by their places from 1 (none named: for all)."""

    value: str
    origin: str
    source: str
    of: tuple[int, ...]


@dataclass(frozen=True)
class Section:
    """The inputs of one part of a case, and the options of it that no case uses."""

    title: str
    rows: tuple[Row, ...]
    off: tuple[tuple[str, str, str], ...]
    """Field, words and what its absence means."""


@cache
def sources() -> dict[str, Any]:
    """What ``sources.json`` beside this file holds: laws with their sources, and what a source may be worth."""
    found: dict[str, Any] = json.loads(files(__package__).joinpath("sources.json").read_text(encoding="utf-8"))
    return found


def entry(field: str) -> dict[str, Any]:
    """What is known of a field by its dotted name, places of lists and ions standing for each other.

    Raises
    ------
    KeyError
        For a field that no case has.
    """
    return fields.every()[fields.pattern(field)]


def sections(cycles: Sequence[Cycle], said: Sequence[Mapping[str, Any]] | None, at: str) -> list[Section]:
    """The inputs of the cycles' cases, part by part.

    Parameters
    ----------
    cycles : sequence of Cycle
        What was compared.
    said : sequence of mapping, optional
        The fields that each case file gives, by their dotted names; none if there are no files. One file with two
        cycles is a case and its mirror.
    at : str
        What was held equal.
    """
    cases = [json.loads(cycle.case.to_json()) for cycle in cycles]
    values = [_flat(case) for case in cases]
    origins = [_Origins(place, cycles, values, said, at) for place in range(len(cycles))]
    found = []
    for prefix, title in SECTIONS.items():
        rows, off = [], []
        for field in _fields(prefix, values):
            if any(name.startswith(f"{field}.") for case in values for name in case):
                continue  # A list or a table by ion, whose parts have rows of their own.
            about = entry(field)
            unit = values[0].get(about["unit_of"], "") if "unit_of" in about else about.get("unit", "")
            how = display.in_chart(unit, field)
            entries = [_entry(field, about, cycle, origin, how) for cycle, origin in zip(cycles, origins, strict=True)]
            if all(each is None for each in entries):
                off.append((field, about["words"], about.get("off", "not used")))
                continue
            rows.append(Row(field, _words(field, about), how.unit, _merged(entries)))
        if rows or off:
            found.append(Section(title, tuple(rows), tuple(off)))
    return found


def laws(cycles: Sequence[Cycle]) -> list[tuple[str, str]]:
    """What the calculation of these cases rests on besides their inputs: each law with its source."""

    def acts(law: Mapping[str, Any]) -> bool:
        when = law.get("when", {})
        return any(all(_value(cycle.case, name) in wanted for name, wanted in when.items()) for cycle in cycles)

    return [(law["what"], _with_standing(law)) for law in sources()["laws"] if acts(law)]


class _Origins:
    """Where the values of one case come from."""

    def __init__(
        self,
        place: int,
        cycles: Sequence[Cycle],
        values: Sequence[Mapping[str, Any]],
        said: Sequence[Mapping[str, Any]] | None,
        at: str,
    ) -> None:
        self.values = values[place]
        self.at = at
        first = cycles[0].case
        mirror = place == 1 and len(cycles) == 2 and (len(said) == 1 if said else _is_mirror(cycles))
        self.mirrors = values[0] if mirror else None
        self.said = None if said is None else said[0 if mirror else place]
        # A case that calls itself the built-in scenario has its numbers from there, as far as it has the same.
        self.demo = _flat(json.loads(_core.default_case().to_json())) if first.name == _core.default_case().name else {}
        self.least = _flat(json.loads(_core.Case.from_json(json.dumps(LEAST)).to_json()))

    def of(self, field: str, value: Any) -> str:
        """The origin of a field's value."""
        if self.at == "equal-leakage" and field in ("regeneration.dose_g_per_l", "service.volume_bv"):
            return FOUND
        if self.mirrors is not None and self.values.get(field) != self.mirrors.get(field):
            return MIRROR
        if field not in self.values:
            return FOLLOWS if field.startswith("bed.") and entry(field).get("required") else DEFAULT
        if self.equals_default(field, value):
            return DEFAULT if self.said is None or field not in self.said else GIVEN
        return DEMO if self.demo.get(field, ...) == value else GIVEN

    def equals_default(self, field: str, value: Any) -> bool:
        """Whether a value is the one taken where none is given."""
        return not entry(field).get("required", False) and self.least.get(field) == value


def _is_mirror(cycles: Sequence[Cycle]) -> bool:
    first, second = (cycle.case.replace({"regeneration.dose_g_per_l": 100.0}) for cycle in cycles)
    return second == first.mirrored()


def _fields(prefix: str, values: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """The fields of a part in the order of their records; of lists and tables by ion, what the cases have."""
    if prefix == "recipe":
        # Step by step, not field by field.
        order = list(fields.every())
        steps = {name for case in values for name in case if name.startswith("recipe.")}
        yield from sorted(steps, key=lambda name: (int(name.split(".")[1]), order.index(fields.pattern(name))))
        if steps:
            return
    for field in fields.every():
        if (field.partition(".")[0] if "." in field or field == "recipe" else "") != prefix:
            continue
        if "*" not in field:
            yield field
            continue
        yield from dict.fromkeys(name for case in values for name in case if fields.pattern(name) == field)


# Fields that may name a published set, and the sets there are.
_SETS = {
    "resin.selectivity": _core.selectivity_sets,
    "resin.bead_diffusivity_m2_per_s": _core.diffusivity_sets,
}


def _entry(
    field: str, about: Mapping[str, Any], cycle: Cycle, origins: _Origins, how: display.Shown
) -> tuple[str, str, str] | None:
    """Value in the units shown, origin and source of a field in one case; none if it is off or not there."""
    value = origins.values.get(field, _value(cycle.case, field))
    origin = origins.of(field, value)
    if value is None and "unset" in about and not _idle(about, cycle, origins.values):
        return _taken(about["unset"], how), DEFAULT, _with_standing(about)
    if value is None or (origin == DEFAULT and "off" in about):
        return None
    law = (
        _set(_SETS[field](), value)
        if field in _SETS
        else about.get("choices", {}).get(value if isinstance(value, str) else "")
    )
    source = [_with_standing(law)] if law else []
    if origin == DEFAULT:
        source.append(("Default: " if law else "") + _with_standing(about))
    elif origin == GIVEN and origins.equals_default(field, value):
        source.append(f"Equals the default. {_with_standing(about)}")
    return _shown(value, how) + _in_this_bed(about.get("unit", ""), value, cycle), origin, " ".join(source)


def _in_this_bed(unit: str, value: Any, cycle: Cycle) -> str:
    """What an amount by the bed is in this one, in brackets, as a technician of the trade gives it: gallons, pounds."""
    if display.display_units() != display.US or isinstance(value, bool) or not isinstance(value, (int, float)):
        return ""
    bed = cycle.case.bed
    amounts = {
        "BV": (bed.volume_l, "L", "gal"),
        "BV/h": (bed.volume_l, "L/h", "gpm"),
        "m/h": (bed.volume_l / bed.depth_m, "L/h", "gpm"),
        "g/L of resin": (bed.volume_l, "g", "lb"),
    }
    if unit not in amounts:
        return ""
    by_the_bed, source, shown = amounts[unit]
    return f" ({_rounded(_core.convert_unit(value * by_the_bed, source, shown))} {shown})"


def _taken(unset: str, how: display.Shown) -> str:
    """What is taken where nothing is said: a number in the units shown, or words."""
    try:
        value = float(unset)
    except ValueError:
        return unset
    return unset if how.of(value) == value else _shown(value, how)


def _idle(about: Mapping[str, Any], cycle: Cycle, values: Mapping[str, Any]) -> bool:
    """Whether another input takes the place of one that was not given, or nothing asks for it."""
    unless = about.get("unless")
    if unless is not None and any(name.startswith(unless) for name in values):
        return True
    return about.get("acts") == "where there is a backwash" and "backwash" not in set(cycle.steps()["step"])


def _words(field: str, about: Mapping[str, Any]) -> str:
    """What an input is called, with its ion or its place in a list, counted from 1."""
    words: str = about["words"]
    _, *parts = field.split(".")
    places = [int(part) + 1 for part in parts if part.isdigit()]
    if places:
        return f"step {places[0]}: {words}" if field.startswith("recipe.") else f"{places[0]}: {words}"
    return f"{words}, {parts[-1]}" if field not in fields.every() else words


def _merged(entries: Sequence[tuple[str, str, str] | None]) -> tuple[Entry, ...]:
    """The same entry once, with the strategies that have it; those without one are left out."""
    of: dict[tuple[str, str, str], list[int]] = {}
    for place, each in enumerate(entries, start=1):
        if each is not None:
            of.setdefault(each, []).append(place)
    return tuple(Entry(*each, () if len(having) == len(entries) else tuple(having)) for each, having in of.items())


def _with_standing(about: Mapping[str, Any]) -> str:
    """A source with what it is worth, where it is not simply published."""
    source, standing = about.get("source", ""), about.get("standing", "")
    acts = f" Acts {about['acts']}." if "acts" in about else ""
    return f"{source}{acts}" if standing in ("", "published", "definition") else f"{source}{acts} [{standing}]"


def _set(sets: Sequence[Mapping[str, Any]], name: Any) -> dict[str, str] | None:
    """A published set, with the source that its own file names."""
    for each in sets:
        if each["name"] == name:
            return {"source": f"{each['source']} ({each['read']}). Holds for {each['validity']}."}
    return None


def _flat(tree: Any, prefix: str = "") -> dict[str, Any]:
    """The leaves of a case's tree by their dotted names; the hardness ions are one."""
    if isinstance(tree, dict):
        parts = [(str(name), part) for name, part in tree.items() if name != "schema"]
    elif isinstance(tree, list) and prefix != "hardness_ions":
        parts = [(str(place), part) for place, part in enumerate(tree)]
    else:
        return {prefix: tree}
    found: dict[str, Any] = {}
    for name, part in parts:
        found |= _flat(part, f"{prefix}.{name}" if prefix else name)
    return found


def said_in(tree: Mapping[str, Any]) -> dict[str, Any]:
    """What a case file gives, by dotted names."""
    return _flat(tree)


def _value(case: Any, field: str) -> Any:
    """The value that a case has for a field, none if there is none."""
    found = case
    for part in field.split("."):
        found = getattr(found, part, None)
    return found


def _shown(value: Any, how: display.Shown) -> str:
    """A value as people write it; every digit of it is in the case file at the end of the report."""
    if isinstance(value, (list, tuple)):
        return ", ".join(map(str, value))
    if isinstance(value, float) or (how.factor != 1.0 and isinstance(value, int) and not isinstance(value, bool)):
        shown = how.of(value)
        return text.as_written(shown) if shown == value else _rounded(shown)
    return text.number(value)


def _rounded(value: float) -> str:
    """A number that was converted, in four figures and without an exponent for a large one."""
    return text.as_written(float(f"{value:.4g}"))
