"""The figures of a cycle as users hold them: in the unit that is asked for, and as a table in a notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from brinefront.errors import InputError
from brinefront.units.quantities import quantity
from brinefront.units.trade import change, unit_of
from brinefront.words import figures, notebook

if TYPE_CHECKING:
    import pint

__all__ = ["Figures"]


class Figures(figures.Figures):
    """The figures of one cycle, each as an attribute, to be had in other units; a notebook shows the key ones."""

    def figure(self, name: str, unit: str) -> float:
        """Give a figure in another unit.

        Parameters
        ----------
        name : str
            Name of a figure, such as ``"capacity_eq_per_l"``.
        unit : str
            One of :func:`brinefront.units.names` that measures the same thing: ``"kgr/ft3"``. Bed volumes become
            litres, gallons, cubic feet or cubic metres by the volume of the cycle's bed.

        Returns
        -------
        float
            The figure in that unit.

        Raises
        ------
        InputError
            For a name that is no figure, a figure without a unit, or a unit of something else.

        Examples
        --------
        >>> import brinefront as bf
        >>> cycle = bf.default_case().replace({"cells": 10}).cycle()
        >>> cycle.figure("capacity_kgr_per_ft3", "kgr/ft3") == cycle.capacity_kgr_per_ft3
        True
        """
        value = self._asked(name)
        if isinstance(value, (str, bool)):
            raise InputError(name, str(value), "is no number and has no unit")
        return float(change(name, unit_of(name, ""), unit, self._bed_volume_l())(value))

    def quantity(self, name: str) -> pint.Quantity[Any]:
        """Give a figure as a quantity with its unit, of :func:`brinefront.units.registry`.

        Parameters
        ----------
        name : str
            Name of a figure, such as ``"capacity_eq_per_l"``.

        Returns
        -------
        pint.Quantity
            The number with its unit.

        Raises
        ------
        InputError
            For a name that is no figure, or a figure that is no number.
        MissingPackageError
            Without pint.
        """
        return quantity(name, self._asked(name))

    def _asked(self, name: str) -> Any:
        known = self.figures()
        if name not in known:
            raise InputError("name", name, "is no figure of a cycle; `figures()` has their names")
        return known[name]

    def _bed_volume_l(self) -> float | None:
        """Volume of the bed [L], where it is known."""
        return None

    def _repr_html_(self) -> str:
        return notebook.figures_table(self)
