"""SciPy's ``solve_ivp(method="BDF")`` on the compiled right-hand side, with the pattern of the Jacobian."""

from __future__ import annotations

from dataclasses import dataclass

import equations
import numpy as np
from cvode import absolute
from equations import WIDTH, Array
from recipe import Limit, Trajectory
from scipy.integrate import solve_ivp
from scipy.sparse import csc_matrix


@dataclass(frozen=True)
class ScipyBdf:
    """SciPy's BDF at a relative tolerance; absolute ones as for CVODE."""

    rtol: float = 3e-4
    floor_c: float = 1e-3
    floor_q: float = 0.3

    name = "SciPy BDF"

    @property
    def tolerance(self) -> float:
        """The knob that the work-precision table turns."""
        return self.rtol

    def integrate(self, y: Array, k: Array, duration_s: float, limit: Limit | None) -> Trajectory:
        """March one step of the recipe to its end or to the limit."""
        cells = (y.size - 1) // WIDTH
        rho = np.full(cells, equations.FIRST_RATIO)

        def rhs(_: float, state: Array) -> Array:
            rate = np.empty_like(state)
            equations.right_hand_side(state, rate, k, rho)
            return rate

        def event(t: float, state: Array) -> float:
            if t < limit.armed_s:
                return -limit.level
            return equations.outlet_hardness(state, cells) - limit.level

        event.terminal, event.direction = True, 1.0
        # The differences by which it forms the Jacobian overflow harmlessly where a concentration is all but nothing.
        with np.errstate(over="ignore", invalid="ignore"):
            found = solve_ivp(
                rhs,
                (0.0, duration_s),
                y,
                method="BDF",
                rtol=self.rtol,
                atol=absolute(cells, self.rtol * self.floor_c, self.rtol * self.floor_q),
                jac_sparsity=csc_matrix(equations.sparsity(cells)),
                events=event if limit is not None else None,
            )
        if not found.success:
            raise RuntimeError(f"SciPy BDF: {found.message}")
        return Trajectory(found.t, np.ascontiguousarray(found.y.T), found.nfev, found.njev)
