"""What must hold before anything is timed: the formulas of the Jacobian, and the recipe that both sides run."""

from __future__ import annotations

import equations
import numpy as np
import problem
from equations import IONS, WIDTH
from problem import CAPACITY_EQ_PER_L, DIRECTIONS, VOID_FRACTION, Waters

#: The largest difference between formulas and central differences, relative to the largest entry.
JACOBIAN_AGREES = 1e-6
CELLS = 9


def jacobian_miss(waters: Waters) -> float:
    """Largest difference between `equations.jacobian` and differences of the right-hand side, relative."""
    draw = np.random.default_rng(1)
    worst = 0.0
    for inlet, flow in ((waters.feed, problem.SERVICE_BV_PER_H), (waters.brine, problem.BRINE_BV_PER_H)):
        k = problem.coefficients(CELLS, flow, inlet)
        bed = np.empty((CELLS, WIDTH))
        bed[:, :3] = waters.feed * draw.uniform(0.5, 1.5, (CELLS, 3))
        bed[:, 3:] = CAPACITY_EQ_PER_L * draw.uniform(0.05, 0.45, (CELLS, 2))
        y = np.append(bed.ravel(), 0.0)
        rho = np.full(CELLS, equations.FIRST_RATIO)
        formulas = np.zeros((y.size, y.size))
        equations.jacobian(y, formulas, k, rho)
        differences = np.empty_like(formulas)
        above, below = np.empty_like(y), np.empty_like(y)
        for column in range(y.size):
            step = np.zeros_like(y)
            step[column] = 1e-6 * max(abs(y[column]), 1e-3)
            equations.right_hand_side(y + step, above, k, rho)
            equations.right_hand_side(y - step, below, k, rho)
            differences[:, column] = (above - below) / (2.0 * step[column])
        worst = max(worst, np.abs(formulas - differences).max() / np.abs(differences).max())
    return worst


def recipe_differences(waters: Waters) -> list[str]:
    """Steps of the package's recipes that are not those of `recipe.Bed.cycle`."""
    against = {"counter-current": "against service", "co-current": "with service"}
    found = []
    for direction in DIRECTIONS:
        own = [
            ("brine", against[direction], waters.brine_bv, problem.BRINE_BV_PER_H, waters.brine.sum()),
            ("slow rinse", against[direction], problem.SLOW_RINSE_BV, problem.BRINE_BV_PER_H, waters.soft.sum()),
            ("fast rinse", "with service", problem.FAST_RINSE_BV, problem.FAST_RINSE_BV_PER_H, waters.feed.sum()),
        ]
        cycle = problem.case(direction, 20).cycles(2)[-1]
        steps = cycle.steps()
        washes = steps[steps["step"] == "backwash"]
        if len(washes) != (direction == "co-current") or (washes["volume_bv"] < VOID_FRACTION).any():
            found.append(f"{direction}: backwash {washes.to_dict('records')}")
        rest = steps[~steps["step"].isin(["backwash", "service"])]
        columns = ["step", "direction", "volume_bv", "flow_bv_per_h", "inlet_normality_eq_per_l"]
        theirs = list(rest[columns].itertuples(index=False, name=None))
        same = len(theirs) == len(own) and all(
            a[:2] == b[:2] and np.allclose(a[2:], b[2:], rtol=1e-12) for a, b in zip(theirs, own, strict=True)
        )
        if not same:
            found.append(f"{direction}: {theirs} against {own}")
        if set(cycle.leakage().columns) & set(IONS) != set(IONS):
            found.append(f"{direction}: other ions than {IONS}")
    return found
