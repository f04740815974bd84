"""What is said of a case's fields: the records of the native half by their dotted names."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from brinefront import _core

__all__ = ["every", "pattern", "record"]


@cache
def every() -> dict[str, dict[str, Any]]:
    """Every record by its name, facts that are not there left out; of a name that several steps have, the first."""
    found: dict[str, dict[str, Any]] = {}
    for each in _core.fields():
        facts = {key: value for key, value in each.items() if value is not None}
        facts["choices"] = {choice["name"]: choice for choice in each["choices"] if choice["source"]}
        found.setdefault(each["name"], facts)
    return found


def pattern(field: str) -> str:
    """The name that a field's record goes by: `*` for its ion or its place in a list; the field itself if there is none."""
    known = every()
    return (
        field if field in known else next((name for name in known if "*" in name and _shape(name).match(field)), field)
    )


def record(field: str) -> dict[str, Any] | None:
    """The record of a field by its dotted name; None if there is none."""
    return every().get(pattern(field))


@cache
def _shape(name: str) -> re.Pattern[str]:
    """What matches a name with places or ions where the record has `*`."""
    return re.compile(re.escape(name).replace(r"\*", "[^.]+") + "$")
