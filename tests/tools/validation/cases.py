"""Cases that several checks share."""

from __future__ import annotations

from typing import Any

import brinefront as bf
from registry import Size

# Exact: 453.59237 g a pound over 28.316846592 L a cubic foot.
G_PER_L_A_LB_PER_FT3 = 453.59237 / 28.316846592
# Salt in a litre of 10 % brine at 20 C [g] (Poradnik fizykochemiczny, WNT 1974, seen); it only sets a flow.
NACL_IN_BRINE_G_PER_L = 107.07
# Every dose is fed over half an hour: brine takes 30 to 60 min (M. L. Davis 2010, p. 8-19, seen).
BRINE_H = 0.5


def rated(size: Size, dose_lb_per_ft3: float, direction: str = "co-current", **changes: Any) -> bf.Case:
    """Give the built-in softener as ratings are taken: 20 C, to 17 mg/L whatever the throughput.

    Parameters
    ----------
    size
        Sets the cells.
    dose_lb_per_ft3
        Salt.
    direction
        Of the brine; the bed is turned over by a backwash if co-current.
    changes
        More fields by dotted name with two underscores for the dot (``water__temperature_c``).
    """
    dose = dose_lb_per_ft3 * G_PER_L_A_LB_PER_FT3
    case = bf.default_case().replace(
        {
            "cells": size.cells,
            "water.temperature_c": 20.0,
            "regeneration.direction": direction,
            "regeneration.dose_g_per_l": dose,
            "regeneration.flow_bv_per_h": dose / NACL_IN_BRINE_G_PER_L / BRINE_H,
            "service.limit_mg_per_l_caco3": 17.0,
            "service.volume_bv": None,
        }
    )
    return case.replace({name.replace("__", "."): value for name, value in changes.items()}) if changes else case


def steady(case: bf.Case) -> bf.Cycle:
    """Run a case to its cycle, which must settle."""
    cycle = case.cycle()
    if not cycle.settled:
        raise RuntimeError(f"does not settle: {cycle.search_end}")
    return cycle
