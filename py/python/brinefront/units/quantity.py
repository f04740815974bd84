"""What a number may be: plain, or with a unit of its own."""

from __future__ import annotations

from typing import Any, Protocol, TypeAlias

__all__ = ["Number", "Quantity"]


class Quantity(Protocol):
    """A number with a unit, as the package pint makes them: ``3 * ureg.foot``, of any registry."""

    @property
    def magnitude(self) -> Any:
        """The number."""

    @property
    def units(self) -> Any:
        """Its unit."""


Number: TypeAlias = "float | Quantity"
"""A plain number in the unit that the argument's name carries, or a quantity that converts into it."""
