"""Former place of equilibrium theory; it goes with the next version."""

from brinefront.native.former import moved

__getattr__ = moved(__name__, "brinefront.results", "brinefront.tables.ceiling")
