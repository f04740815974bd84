"""The waves of a cycle by equilibrium theory."""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from typing import TYPE_CHECKING, Any

from brinefront import _core
from brinefront.native.optional import need
from brinefront.units.quantities import numbers
from brinefront.words import notebook
from brinefront.words.labels import labelled

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    import pandas as pd

    from brinefront._core import Case
    from brinefront.units.quantity import Number

__all__ = ["Waves", "waves"]


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Waves:
    """The waves of one cycle of equilibrium theory; made by :func:`waves`.

    The divalent cations are one, with the mean of their selectivity weighted by their equivalents in the feed; the
    monovalent ones are the salt's.

    Attributes
    ----------
    case : Case
        The case that it is of.
    direction : str
        Direction of the brine.
    selectivity : float
        K of the divalents together against the salt's cation, per litre of bed.
    capacity_total_eq_per_l : float
        Q [eq/L of bed].
    reversal_eq_per_l : float
        K Q, the normality at which selectivity reverses [eq/L].
    feed_normality_eq_per_l : float
        Normality of the feed [eq/L].
    feed_divalent_fraction : float
        Divalent fraction of the feed, of its equivalents.
    feed_resin_fraction : float
        Divalent fraction of resin in equilibrium with the feed.
    brine_normality_eq_per_l : float
        Normality of the brine [eq/L].
    eluted_divalent_fraction : float
        Divalent fraction of the first brine that leaves a loaded bed.
    separation_factor_feed, separation_factor_brine : float
        Separation factor of the divalents between resin and liquid, at the feed's normality and at the brine's.
    front_bv : float
        Throughput of the feed's shock through a bed without hardness [BV].
    run_length_bv : float
        Length of the run [BV].
    stop_reason : str
        Why service ended.
    capacity_eq_per_l : float
        Hardness removed in service [eq/L of bed].
    salt_efficiency_fraction : float
        The same over the equivalents of the salt.
    resin_fraction_at_service : float
        Mean divalent fraction of the resin when service begins.
    resin_fraction_after : float
        The same when it ends.
    feed_hardness_mg_per_l_caco3 : float
        Hardness of the feed [mg/L as CaCO3].
    settled : bool
        Whether the cycle repeats itself.
    cycles_run : int
        Cycles until it did.
    """

    case: Case
    direction: str
    selectivity: float
    capacity_total_eq_per_l: float
    reversal_eq_per_l: float
    feed_normality_eq_per_l: float
    feed_divalent_fraction: float
    feed_resin_fraction: float
    brine_normality_eq_per_l: float
    eluted_divalent_fraction: float
    separation_factor_feed: float
    separation_factor_brine: float
    front_bv: float
    run_length_bv: float
    stop_reason: str
    capacity_eq_per_l: float
    salt_efficiency_fraction: float
    resin_fraction_at_service: float
    resin_fraction_after: float
    feed_hardness_mg_per_l_caco3: float
    settled: bool
    cycles_run: int
    _steps: list[dict[str, Any]] = field(repr=False)
    _pieces: list[dict[str, Any]] = field(repr=False)

    def steps(self) -> pd.DataFrame:
        """Give direction, volume, what entered and what the bed kept, step by step.

        Returns
        -------
        pandas.DataFrame
            One row for each step, service last; units in ``attrs``.
        """
        need("pandas", "tables")
        import pandas as pd

        return labelled(pd.DataFrame(self._steps), "steps of a cycle of equilibrium theory", self.case)

    def lines(self) -> pd.DataFrame:
        """Straight pieces of the paths of all waves, in depth from the service inlet and throughput of their step.

        Returns
        -------
        pandas.DataFrame
            One row for each piece. ``kind`` is "shock", "concentration" (a change of normality) or "fan" (one level of
            a wave that spreads or closes up); pieces of one wave of a step share the number ``wave``. ``..._behind`` is
            upstream, ``..._ahead`` downstream; fractions are those of the divalent cations. Units are in ``attrs``.
        """
        need("pandas", "tables")
        import pandas as pd

        frame = pd.DataFrame(self._pieces)
        return labelled(frame, "waves of equilibrium theory", self.case, words={"step": ("row of the step", "")})

    def resin_fraction(self, step: int, bv: Iterable[Number], depth_m: Iterable[Number]) -> np.ndarray:
        """Divalent fraction of the resin in a step.

        Parameters
        ----------
        step : int
            Row of :meth:`steps`.
        bv : sequence of float or Quantity
            Throughputs of the step [BV].
        depth_m : sequence of float or Quantity
            Depths from the service inlet [m].

        Returns
        -------
        numpy.ndarray
            Shape (throughputs, depths), from 0 to 1; nan before the step begins.
        """
        import numpy as np

        lines = self.lines()
        lines = lines[lines["step"] == step]
        sign = 1.0 if self._steps[step]["with_service"] else -1.0
        start, end = lines["from_bv"].to_numpy(), lines["to_bv"].to_numpy()
        z0, z1 = sign * lines["from_depth_m"].to_numpy(), sign * lines["to_depth_m"].to_numpy()
        behind, ahead = lines["resin_behind"].to_numpy(), lines["resin_ahead"].to_numpy()
        along = sign * np.array(numbers("depth_m", depth_m))
        throughputs = numbers("bv", bv, self.case)
        found = np.full((len(throughputs), len(along)), np.nan)
        for row, at in enumerate(throughputs):
            alive = np.flatnonzero((start <= at) & (at < end))
            if alive.size == 0:
                # The last wave has left: all of the bed is as it was behind that one.
                gone = np.flatnonzero(end <= at)
                if gone.size:
                    found[row] = behind[gone[np.argmax(end[gone])]]
                continue
            place = z0[alive] + (z1 - z0)[alive] * (at - start[alive]) / (end - start)[alive]
            # Waves that set out from one place part in the order of their speeds.
            order = np.lexsort(((z1 - z0)[alive] / (end - start)[alive], place))
            states = np.concatenate([[behind[alive[order[0]]]], ahead[alive[order]]])
            found[row] = states[np.searchsorted(place[order], along)]
        return found

    def __repr__(self) -> str:
        return (
            f"<Waves, {self.direction}: feed {self.feed_normality_eq_per_l:.4g} eq/L, brine "
            f"{self.brine_normality_eq_per_l:.3g} eq/L, reversal at {self.reversal_eq_per_l:.3g} eq/L, "
            f"run {self.run_length_bv:.1f} BV>"
        )

    def _repr_html_(self) -> str:
        return notebook.waves(self)


def waves(case: Case, *, levels: int = 200) -> Waves:
    """Give the waves of a case's cycle by equilibrium theory: shocks, fans and steps of concentration.

    No cells: plug flow, every bead in equilibrium, the case's own recipe and end of service, at the cycle that repeats
    itself. See :func:`brinefront.plot.waves` for the picture.

    Parameters
    ----------
    case : Case
        Its grid, rates and kinetics do not matter here.
    levels : int, default 200
        How many values of the resin's fraction fans are made of, 10 to 2000.

    Returns
    -------
    Waves
        Figures of the cycle, its steps and the paths of its waves.

    Raises
    ------
    InputError
        For a feed without hardness, or levels out of limits.

    See Also
    --------
    efficiency_ceiling : The efficiency that equilibrium allows.

    Examples
    --------
    >>> import brinefront as bf
    >>> found = bf.waves(bf.default_case())
    >>> found.brine_normality_eq_per_l < found.reversal_eq_per_l
    True
    >>> found.resin_fraction(0, bv=[0.1, 0.2], depth_m=[0.0, 0.4, 0.8]).shape
    (2, 3)
    """
    found = _core.waves(case, levels)
    steps, pieces = found.pop("steps"), found.pop("pieces")
    known = {each.name for each in fields(Waves)}
    return Waves(
        case=case, _steps=steps, _pieces=pieces, **{name: value for name, value in found.items() if name in known}
    )
