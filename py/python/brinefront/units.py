"""Trade units in and out: grains, gallons, pounds, cubic feet, degrees of hardness.

>>> import brinefront as bf
>>> round(bf.units.convert(20.0, "gr/gal", "mg/L CaCO3"), 1)
342.4
"""

from brinefront._core import convert_unit as convert
from brinefront._core import unit_names as names

__all__ = ["convert", "names"]
