"""What the model answers to the settings: a cycle with its curves or the words of a refusal, and the doses around it."""

from __future__ import annotations

import logging
from dataclasses import dataclass
from typing import TYPE_CHECKING

from brinefront.errors import BrinefrontError
from brinefront.live.latest import Superseded
from brinefront.live.settings import case_of, dose_cases
from brinefront.native.enumerations import StopReason
from brinefront.pictures.loading import profiles_of
from brinefront.tables.sweeps import sweep
from brinefront.words import text

if TYPE_CHECKING:
    from collections.abc import Callable

    import numpy as np

    from brinefront._core import Case
    from brinefront.live.settings import Settings
    from brinefront.native.protocols import Cycle

    Progress = Callable[[int, int, int, float], object]

__all__ = ["DOSES_G_PER_L", "Answer", "DoseCurve", "Refusal", "answer", "dose_curve"]

# Doses of the efficiency curves: closer where they bend, and not one more than is needed to see it.
DOSES_G_PER_L = (24.0, 40.0, 60.0, 80.0, 110.0, 150.0, 200.0, 260.0)


@dataclass(frozen=True, eq=False)
class Answer:
    """A finished cycle and what the bench draws of it."""

    settings: Settings
    cycle: Cycle
    depth_m: np.ndarray
    """Of the cells, from the service inlet [m]."""
    regenerated_eq_per_l: np.ndarray
    """Hardness on the resin before service, along the depth [eq/L of bed]."""
    exhausted_eq_per_l: np.ndarray
    """Hardness on the resin after service [eq/L of bed]."""
    throughput_bv: np.ndarray
    leakage_mg_per_l_caco3: np.ndarray
    """Hardness of what service delivered, at each throughput."""

    @property
    def soft(self) -> bool:
        """Whether there is a run to speak of."""
        return self.cycle.stop_reason != StopReason.NEVER_SOFT

    @property
    def warnings(self) -> list[str]:
        """What must be known before the figures are used."""
        return text.warnings([self.cycle])


@dataclass(frozen=True)
class Refusal:
    """Settings that no answer belongs to, and why."""

    settings: Settings
    words: str


@dataclass(frozen=True, eq=False)
class DoseCurve:
    """Capacity and efficiency against dose in one direction; nan where a dose gave no soft water or no answer."""

    direction: str
    dose_g_per_l: np.ndarray
    capacity_eq_per_l: np.ndarray
    salt_efficiency_fraction: np.ndarray


def answer(case: Case, settings: Settings, progress: Progress | None = None, *, full: bool = False) -> Answer | Refusal:
    """Run `case` with these settings, coarsely or on its own grid; what cannot be run is refused in words."""
    try:
        return _drawn(settings, case_of(case, settings, full=full).cycle(progress=progress))
    except BrinefrontError as error:
        return Refusal(settings, str(error))
    except Superseded:
        raise
    except Exception:
        # A page in front of a class goes on; what went wrong is in the log of whoever started it.
        logging.getLogger(__name__).exception("no answer to %s", settings)
        return Refusal(settings, "These settings found a fault in the program; its log has the details.")


def _drawn(settings: Settings, cycle: Cycle) -> Answer:
    depth, by_step = profiles_of(cycle, "hardness")
    after = [step for step, _ in by_step].index("service")
    leakage = cycle.leakage()
    return Answer(
        settings=settings,
        cycle=cycle,
        depth_m=depth,
        regenerated_eq_per_l=by_step[after - 1][1],
        exhausted_eq_per_l=by_step[after][1],
        throughput_bv=leakage["bv"].to_numpy(),
        leakage_mg_per_l_caco3=leakage["hardness_mg_per_l_caco3"].to_numpy(),
    )


def dose_curve(case: Case, settings: Settings, direction: str, progress: Progress | None = None) -> DoseCurve:
    """Sweep the doses in one direction on all processors, each run ending on its leakage limit.

    Raises
    ------
    BrinefrontError
        If the settings as a whole are refused.
    """
    import numpy as np

    found = sweep(
        dose_cases(case, settings)[direction], {"regeneration.dose_g_per_l": list(DOSES_G_PER_L)}, progress=progress
    )
    soft = (found["stop_reason"] != "never soft") & (found["error"] == "")
    capacity, efficiency = (
        found[name].where(soft).to_numpy() for name in ("capacity_eq_per_l", "salt_efficiency_fraction")
    )
    return DoseCurve(direction, np.asarray(DOSES_G_PER_L), capacity, efficiency)
