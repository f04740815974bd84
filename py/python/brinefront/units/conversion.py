"""Which units measure the same thing."""

from __future__ import annotations

from brinefront._core import convert_unit
from brinefront.errors import InputError

__all__ = ["converts"]


def converts(source: str, target: str) -> bool:
    """Do two units measure the same thing?"""
    try:
        convert_unit(1.0, source, target)
    except InputError:
        return False
    return True
