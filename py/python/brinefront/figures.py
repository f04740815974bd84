"""Former place of the figures of a cycle; it goes with the next version."""

from brinefront.native.former import moved

__getattr__ = moved(__name__, "brinefront.results", "brinefront.words.figures")
