"""A bed as installed against what is published: impure salt, a lifted bed, age."""

from __future__ import annotations

from collections.abc import Iterator

import brinefront as bf
from cases import rated, steady
from registry import Figure, Plot, Size, Source, band, check, near

FLOOR = Source("equilibrium of the outlet layer with the brine, and of the water with that layer", "derived")
LIFTED = Source("C. F. Michaud (2010): an expanded bed gives lower capacity", "seen")
AGEING = Source("UFC 3-240-13FN (2005), section 2-2.5.1.4.1: 5 % a year is normal", "seen")
CA_G_PER_EQ, CACL2_G_PER_EQ, NACL_G_PER_EQ = 20.039, 55.492, 58.443


@check("Salt")
def floor_of_impure_salt(size: Size) -> Iterator[Figure | Plot]:
    """Leakage of a counter-current bed that so much impure brine has passed that nothing else decides it."""
    water = bf.Water({"Na": 4.0, "Ca": 6.0}, unit="meq/L")
    resin = bf.Resin(2.0, {"Ca": 4.0})
    for share, floor in ((0.01, 0.03), (0.02, 0.06), (0.05, 0.15)):
        beside = share / (1.0 - share) / NACL_G_PER_EQ
        percent = 100.0 * beside * CA_G_PER_EQ / (1.0 + beside * CACL2_G_PER_EQ)
        regeneration = bf.Regeneration(
            "counter-current", 600.0, strength_percent=10.0, salt_impurities_percent={"Ca": percent}, fast_rinse_bv=0.0
        )
        service = bf.Service(20.0, volume_bv=40.0)
        bed = bf.Bed(0.9, 0.3, held_down=True)
        case = bf.Case(water, resin, bed, service, regeneration, cells=size.cells, kinetics="equilibrium")
        yield near(
            f"floor at 10 meq/L with {100.0 * share:.0f} % of the brine's equivalents hard",
            "mg/L as CaCO3",
            steady(case).leakage_half_run_mg_per_l_caco3,
            floor,
            0.2 * floor + 0.005,
            FLOOR,
            reason="beads take up calcium of the brine that the rinse thins in the void: up to a tenth more in the last layer",
        )


@check("Operation")
def a_lifted_bed(size: Size) -> Iterator[Figure | Plot]:
    """Capacity of a counter-current bed that its brine lifts and mixes, over that of one held down."""
    held = steady(rated(size, 6.0, "counter-current"))
    lifted = steady(rated(size, 6.0, "counter-current", bed__held_down=False, bed__lifted_mixing="full"))
    ratio = lifted.capacity_eq_per_l / held.capacity_eq_per_l
    yield band("capacity of the lifted bed over the held one", "", ratio, 0.0, 1.0, LIFTED, said="below 1")


@check("Capacity")
def a_year_of_ageing(size: Size) -> Iterator[Figure | Plot]:
    """Capacity lost in a year of service."""
    new, old = (steady(rated(size, 10.0, resin__age_years=years)) for years in (0.0, 1.0))
    yield near(
        "capacity lost in a year",
        "%",
        100.0 * (1.0 - old.capacity_eq_per_l / new.capacity_eq_per_l),
        5.0,
        2.5,
        AGEING,
        reason="the 5 % are taken from the total capacity; the same salt regenerates what is left better",
    )
