"""Trade units in and out: grains, gallons, pounds, cubic feet, degrees of hardness; quantities with units.

>>> import brinefront as bf
>>> round(bf.units.convert(20.0, "gr/gal", "mg/L CaCO3"), 1)
342.4

Every argument that is a number may be a quantity of the package pint instead, of any registry:

>>> ureg = bf.units.registry()
>>> round(bf.Regeneration("co-current", 6 * ureg("lb/ft**3")).dose_g_per_l, 2)
96.11
"""

from brinefront._core import convert_unit as convert
from brinefront._core import unit_names as names
from brinefront.units.quantities import registry
from brinefront.units.quantity import Number, Quantity
from brinefront.units.trade import converted

__all__ = ["Number", "Quantity", "convert", "converted", "names", "registry"]
