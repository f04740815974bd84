"""Modules that have moved: their names stay importable for one version, and old pickles readable, with a warning."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any
from warnings import warn

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["moved"]


def moved(former: str, *homes: str) -> Callable[[str], Any]:
    """Give the ``__getattr__`` of a module whose names are in `homes` now; the first one that has a name gives it."""

    def find(name: str) -> Any:
        if name.startswith("__"):
            raise AttributeError(f"module {former!r} has no attribute {name!r}")
        for home in homes:
            found = getattr(import_module(home), name, None)
            if found is not None and not isinstance(found, ModuleType):
                warn(f"{former}.{name} is now {home}.{name}", DeprecationWarning, stacklevel=2)
                return found
        raise AttributeError(f"module {former!r} has no attribute {name!r}")

    return find
