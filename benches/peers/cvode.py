"""SUNDIALS CVODE as a competent user would set it up for this column.

BDF with a banded direct solver; right-hand side, Jacobian and event function compiled, so that the interpreter is
entered once a call and does no arithmetic.
"""

from __future__ import annotations

from dataclasses import dataclass

import equations
import numpy as np
from equations import LOWER, UPPER, WIDTH, Array
from recipe import Limit, Trajectory
from sksundae.cvode import CVODE


@dataclass(frozen=True)
class Cvode:
    """CVODE at a relative tolerance.

    Attributes
    ----------
    rtol : float
        Relative tolerance; the absolute ones follow from it by `floor_c` and `floor_q`.
    analytic : bool
        Take the Jacobian from its formulas, else let CVODE form it by differences.
    floor_c, floor_q : float
        Concentration [eq/L] and loading [eq/L of bed] below which the tolerance is absolute.
    max_order : int
        Highest order of the formula. On loose tolerances 3 was the fastest of 2 to 5 at equal error, by a tenth; the
        fronts are too sharp for more.
    """

    rtol: float = 3e-4
    analytic: bool = True
    floor_c: float = 1e-3
    floor_q: float = 0.3
    max_order: int = 3

    @property
    def name(self) -> str:
        """Words for tables."""
        return "CVODE" if self.analytic else "CVODE, Jacobian by differences"

    @property
    def tolerance(self) -> float:
        """The knob that the work-precision table turns."""
        return self.rtol

    def integrate(self, y: Array, k: Array, duration_s: float, limit: Limit | None) -> Trajectory:
        """March one step of the recipe to its end or to the limit."""
        cells = (y.size - 1) // WIDTH
        rho = np.full(cells, equations.FIRST_RATIO)

        def rhs(_: float, state: Array, rate: Array) -> None:
            equations.right_hand_side(state, rate, k, rho)

        def jac(_: float, state: Array, __: Array, matrix: Array) -> None:
            equations.jacobian(state, matrix, k, rho)

        def event(t: float, state: Array, value: Array) -> None:
            # Before it is armed the limit counts as kept; a bed above it then stops at the moment of arming.
            armed = limit is not None and t >= limit.armed_s
            value[0] = equations.outlet_hardness(state, cells) - limit.level if armed else -limit.level

        event.direction = [1]
        options = {"eventsfn": event, "num_events": 1} if limit is not None else {}
        if self.analytic:
            options["jacfn"] = jac
        solver = CVODE(
            rhs,
            method="BDF",
            rtol=self.rtol,
            atol=absolute(cells, self.rtol * self.floor_c, self.rtol * self.floor_q),
            linsolver="band",
            lband=LOWER,
            uband=UPPER,
            max_order=self.max_order,
            max_num_steps=200_000,
            **options,
        )
        found = solver.solve(np.array([0.0, duration_s]), y)
        if not found.success:
            raise RuntimeError(f"CVODE: {found.message}")
        return Trajectory(found.t, np.ascontiguousarray(found.y), found.nfev, found.njev)


def tight(rtol: float = 1e-7) -> Cvode:
    """Tight enough for a cycle to repeat itself to 1e-6: looser ones stall above, on the noise of their own steps."""
    return Cvode(rtol, floor_c=1e-2, floor_q=1.0, max_order=5)


def absolute(cells: int, concentration: float, loading: float) -> Array:
    """Absolute tolerances of every entry of the state; the outlet's integral counts like a concentration."""
    atol = np.empty(WIDTH * cells + 1)
    table = atol[:-1].reshape(cells, WIDTH)
    table[:, :3], table[:, 3:] = concentration, loading
    atol[-1] = loading
    return atol
