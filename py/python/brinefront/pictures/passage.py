"""The bed through one cycle, cut into its steps: what the map and the movie share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from brinefront.errors import InputError

if TYPE_CHECKING:
    import numpy as np
    import xarray as xr
    from numpy.typing import NDArray

    from brinefront.native.protocols import Cycle

__all__ = ["Passage", "Span", "ions_of", "loading_of", "passage_of"]


@dataclass(frozen=True)
class Span:
    """One step of a cycle; a service with a rest in it is three."""

    name: str
    way: str
    """`up`, `down` or `none`."""
    moments: slice
    start_bv: float
    """Since the regeneration or the service that it belongs to began."""
    end_bv: float


@dataclass(frozen=True)
class Passage:
    """The steps of a cycle at its moments."""

    bed: xr.Dataset
    regeneration: tuple[Span, ...]
    """Empty for a first service run on new resin."""
    service: tuple[Span, ...]
    service_from_bv: float
    """Volume of the regeneration."""

    @property
    def spans(self) -> tuple[Span, ...]:
        """All of them, in their order."""
        return self.regeneration + self.service

    def span_of(self, moment: int) -> Span:
        """The step that a moment belongs to."""
        return next(span for span in self.spans if span.moments.start <= moment < span.moments.stop)


def passage_of(cycle: Cycle, moments: int) -> Passage:
    """Record a cycle and cut it into its steps.

    Raises
    ------
    InputError
        As :meth:`brinefront.Cycle.through_time`.
    """
    import numpy as np

    bed = cycle.through_time(moments)
    bv, minutes, names = bed["bv"].to_numpy(), bed["minutes"].to_numpy(), bed["step"].to_numpy()
    # A step ends and the next begins at one time, which no other two moments share.
    starts = [0, *(np.flatnonzero(np.diff(minutes) == 0.0) + 1).tolist()]
    stops = [*starts[1:], len(bv)]
    rows = cycle.steps()["way"].tolist()
    before_service = len(rows) - 1
    service_from = bv[starts[before_service]]

    def span(place: int) -> Span:
        start, stop = starts[place], stops[place]
        zero = service_from if place >= before_service else 0.0
        name = str(names[start])
        way = "none" if name == "standby" else rows[min(place, before_service)]
        return Span(name, way, slice(start, stop), float(bv[start] - zero), float(bv[stop - 1] - zero))

    spans = [span(place) for place in range(len(starts))]
    return Passage(bed, tuple(spans[:before_service]), tuple(spans[before_service:]), float(service_from))


def ions_of(cycle: Cycle, bed: xr.Dataset, ion: str) -> list[str]:
    """The ions that a name means.

    Raises
    ------
    InputError
        For an ion that the bed does not hold.
    """
    held = bed["ion"].to_numpy().tolist()
    if ion == "hardness":
        return [each for each in cycle.case.hardness_ions if each in held]
    if ion not in held:
        raise InputError("ion", ion, f'must be "hardness" or one of {", ".join(held)}')
    return [ion]


def loading_of(cycle: Cycle, bed: xr.Dataset, ion: str) -> NDArray[np.float64]:
    """Loading of an ion or of the hardness, moment x depth [eq/L of bed]."""
    found: NDArray[np.float64] = bed["loading_eq_per_l"].sel(ion=ions_of(cycle, bed, ion)).sum("ion").to_numpy()
    return found
