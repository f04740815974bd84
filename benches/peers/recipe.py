"""The recipe of a cycle, run by any integrator: the same steps, waters, directions and end points as the package's."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import brinefront as bf
import equations
import numpy as np
import problem
from equations import WIDTH, Array
from problem import Waters
from scipy.interpolate import PchipInterpolator

#: Service without a metered end stops at this many times the throughput that would load the whole bed.
MOST_LOADINGS = 20.0


@dataclass(frozen=True)
class Limit:
    """Hardness of the outlet that ends a step, once a void volume has been delivered."""

    level: float
    armed_s: float


@dataclass(frozen=True)
class Trajectory:
    """What an integrator gives back: its own steps, times [s] and states (steps, n)."""

    t: Array
    y: Array
    evaluations: int
    jacobians: int


class Integrator(Protocol):
    """A way to march one step of a recipe."""

    name: str

    @property
    def tolerance(self) -> float:
        """Its tolerance."""

    def integrate(self, y: Array, k: Array, duration_s: float, limit: Limit | None) -> Trajectory:
        """March from `y`."""


@dataclass(frozen=True)
class Answers:
    """What is read off a service run, under the package's names."""

    run_length_bv: float
    capacity_eq_per_l: float
    leakage_mean_mg_per_l_caco3: float
    leakage_half_run_mg_per_l_caco3: float


@dataclass(frozen=True)
class Loaded:
    """What is read off a loading run: mean hardness on the resin [eq/L of bed], volume [BV] at which half of it comes through."""

    loaded_eq_per_l: float
    half_breakthrough_bv: float


def half_rise(bv: Array, hardness: Array, feed: float) -> float:
    """The first volume at which the hardness rises to half the feed's, on straight lines between samples."""
    after = int(np.argmax(hardness >= 0.5 * feed))
    pair = slice(after - 1, after + 1)
    return float(np.interp(0.5 * feed, hardness[pair], bv[pair]))


@dataclass(frozen=True)
class Bed:
    """A column of `cells` cells in service order, (cells, 5) as in `equations`, run by one integrator."""

    integrator: Integrator
    waters: Waters
    cells: int
    direction: str

    def new_resin(self) -> Array:
        """Sodium-form resin in softened water."""
        y = np.zeros((self.cells, WIDTH))
        y[:, 0] = self.waters.feed.sum()
        return y

    def first_service(self) -> Array:
        """The bed that new resin becomes in its first service run: where every search begins."""
        return self.service(self.new_resin())[0]

    def march(
        self, bed: Array, inlet: Array, flow_bv_per_h: float, volume_bv: float, *, against: bool = False
    ) -> Trajectory:
        """Pass a volume of water; the trajectory lies along the flow."""
        k = problem.coefficients(self.cells, flow_bv_per_h, inlet)
        duration = volume_bv / flow_bv_per_h * problem.S_PER_H
        return self.integrator.integrate(_along(bed, against), k, duration, None)

    def service(self, bed: Array) -> tuple[Array, Answers]:
        """Serve to the limit; the bed afterwards and the figures of the run."""
        hardness = self.waters.feed[1:].sum()
        flow = problem.SERVICE_BV_PER_H
        per_s = flow / problem.S_PER_H
        limit = Limit(
            bf.units.convert(problem.LIMIT_MG_PER_L_CACO3, "mg/L CaCO3", "eq/L"),
            problem.VOID_FRACTION / per_s,
        )
        k = problem.coefficients(self.cells, flow, self.waters.feed)
        at_most = MOST_LOADINGS * (1.0 + problem.CAPACITY_EQ_PER_L / hardness) / per_s
        run = self.integrator.integrate(_along(bed, False), k, at_most, limit)
        return _bed(run, False), self.answers(run, per_s)

    def answers(self, run: Trajectory, bv_per_s: float) -> Answers:
        """Figures of a service run [eq/L of bed, mg/L as CaCO3, BV]."""
        length = run.t[-1] * bv_per_s
        left = run.y[-1, -1]
        to_mg = bf.units.convert(1.0, "eq/L", "mg/L CaCO3")
        # The outlet at half the run lies between two of the integrator's own steps.
        middle = int(np.searchsorted(run.t, 0.5 * run.t[-1]))
        near = slice(max(middle - 4, 0), middle + 4)
        outlet = [equations.outlet_hardness(y, self.cells) for y in run.y[near]]
        half = float(PchipInterpolator(run.t[near], outlet)(0.5 * run.t[-1]))
        return Answers(
            float(length),
            float(self.waters.feed[1:].sum() * length - left),
            float(left / length * to_mg),
            half * to_mg,
        )

    def load(self, volume_bv: float) -> Loaded:
        """Load a sodium bed."""
        flow = problem.SERVICE_BV_PER_H
        run = self.march(self.new_resin(), self.waters.feed, flow, volume_bv)
        feed = self.waters.feed[1:].sum()
        bv = run.t * flow / problem.S_PER_H
        hardness = np.array([equations.outlet_hardness(y, self.cells) for y in run.y])
        return Loaded(float(_bed(run, False)[:, 3:].sum(axis=1).mean()), half_rise(bv, hardness, feed))

    def in_a_row(self, n: int) -> Answers:
        """`n` cycles after the first service run; the figures of the last."""
        state = self.first_service()
        for _ in range(n):
            state, found = self.cycle(state)
        return found

    def cycle(self, bed: Array) -> tuple[Array, Answers]:
        """Regenerate and serve: the bed at the end of service and the figures of the run."""
        waters = self.waters
        against = self.direction == "counter-current"
        if not against:
            # A backwash fills the void with feed and turns the whole bed over.
            bed = np.tile(np.concatenate([waters.feed, bed[:, 3:].mean(axis=0)]), (self.cells, 1))
        flow = problem.BRINE_BV_PER_H
        for inlet, volume in ((waters.brine, waters.brine_bv), (waters.soft, problem.SLOW_RINSE_BV)):
            bed = _bed(self.march(bed, inlet, flow, volume, against=against), against)
        rinse = self.march(bed, waters.feed, problem.FAST_RINSE_BV_PER_H, problem.FAST_RINSE_BV)
        return self.service(_bed(rinse, False))


def _along(bed: Array, against: bool) -> Array:
    """A bed laid along the flow, with nothing yet delivered."""
    return np.append((bed[::-1] if against else bed).ravel(), 0.0)


def _bed(run: Trajectory, against: bool) -> Array:
    """The bed at the end of a march, in service order."""
    bed = run.y[-1, :-1].reshape(-1, WIDTH)
    return (bed[::-1] if against else bed).copy()
