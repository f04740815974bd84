"""Trade units in and out, against their definitions and the factors in handbooks."""

from __future__ import annotations

import brinefront as bf
import pytest

# Definitions, exact: international avoirdupois pound and grain, US gallon, foot.
MG_A_GRAIN = 64.79891
G_A_POUND = 453.59237
L_A_GALLON = 3.785411784
L_A_CUBIC_FOOT = 28.316846592
M2_A_SQUARE_FOOT = 0.09290304

EXACT = [
    ("gr/gal", "mg/L CaCO3", MG_A_GRAIN / L_A_GALLON),
    ("degree French", "mg/L CaCO3", 10.0),
    ("kgr/ft3", "g/L CaCO3", MG_A_GRAIN / L_A_CUBIC_FOOT),
    ("lb/ft3", "g/L", G_A_POUND / L_A_CUBIC_FOOT),
    ("gpm/ft3", "BV/h", 60.0 * L_A_GALLON / L_A_CUBIC_FOOT),
    ("gpm/ft2", "m/h", 60.0 * 1e-3 * L_A_GALLON / M2_A_SQUARE_FOOT),
]

# Handbook factors to five figures; those that pass through CaCO3 or CaO rest on the
# atomic weights C 12.011, O 15.999, Ca 40.078 (derived from them, not read).
HANDBOOK = [
    ("gr/gal", "mg/L CaCO3", 17.11806),
    ("gr/gal", "meq/L", 0.34207),
    ("degree French", "mg/L CaCO3", 10.0),
    ("degree French", "meq/L", 0.19983),
    ("degree German", "mg/L CaCO3", 17.848),
    ("degree German", "meq/L", 0.35665),
    ("meq/L", "mg/L CaCO3", 50.043),
    ("kgr/ft3", "g/L CaCO3", 2.28835),
    ("kgr/ft3", "eq/L", 0.045728),
    ("eq/L", "kgr/ft3", 21.8686),
    ("lb/ft3", "g/L", 16.01846),
    ("gpm/ft3", "BV/h", 8.02083),
    ("gpm/ft2", "m/h", 2.44475),
]
FIVE_FIGURES = 2e-5


@pytest.mark.parametrize(("source", "target", "factor"), EXACT)
def test_definition(source: str, target: str, factor: float) -> None:
    assert bf.units.convert(3.0, source, target) == pytest.approx(3.0 * factor, rel=1e-12)


@pytest.mark.parametrize(("source", "target", "factor"), HANDBOOK)
def test_handbook_factor(source: str, target: str, factor: float) -> None:
    assert bf.units.convert(1.0, source, target) == pytest.approx(factor, rel=FIVE_FIGURES)


@pytest.mark.parametrize(("source", "target", "factor"), HANDBOOK)
def test_there_and_back(source: str, target: str, factor: float) -> None:
    there = bf.units.convert(7.25, source, target)
    assert there != pytest.approx(7.25, rel=1e-3), f"no factor {factor} applied"
    assert bf.units.convert(there, target, source) == pytest.approx(7.25, rel=1e-12)


def test_rating_of_codes_in_si() -> None:
    """20 kgr/ft3 at 0.3 lb of salt per kgr is 0.9145 eq/L at 96.1 g/L.

    Source: Recommended Standards for Water Works, sec. 4.4.2 (seen in a summary); the
    SI figures are computed.
    """
    assert bf.units.convert(20.0, "kgr/ft3", "eq/L") == pytest.approx(0.9145, abs=1e-4)
    assert bf.units.convert(20.0 * 0.3, "lb/ft3", "g/L") == pytest.approx(96.1, abs=0.05)


@pytest.mark.parametrize(
    ("source", "target"),
    [("gr/gal", "BV/h"), ("gpm/ft2", "BV/h"), ("lb/ft3", "eq/L")],
)
def test_unlike_quantities_are_refused(source: str, target: str) -> None:
    """A flow is no hardness, and mass is no equivalents without a salt."""
    with pytest.raises(ValueError, match=source):
        bf.units.convert(1.0, source, target)


def test_unknown_unit_is_named() -> None:
    with pytest.raises(ValueError, match="furlong"):
        bf.units.convert(1.0, "furlong", "m/h")
