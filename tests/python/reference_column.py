r"""An ion-exchange column integrated apart from the package, to check it against.

The equations are the package's lumped model, solved here from the equations alone by
the method of lines with SciPy's BDF. For each ion i, with C [eq/L of liquid], q [eq/L
of packed bed], q summed over the ions = Q and C summed over the ions = N:

    eps dC/dt + dq/dt + u dC/dz = eps D d2C/dz2
    dq/dt = kf (C - C*) = kb (q* - q)
    y_i = K_i x_i r^z_i (Q/N)^(z_i - 1),   x = C*/N,  y = q*/Q,  r = y_1/x_1

(Gaines-Thomas equilibrium on the normality/capacity scale, F. Helfferich, Ion
Exchange, 1962, ch. 5; two linear driving forces in series, ibid. ch. 6 and 9; from
memory). Feed enters as the flux u C_in (Danckwerts), and dC/dz = 0 at the outlet.

One scalar a cell closes the interface. Put S_i = kf C_i + kb q_i, which the two rates
make equal to kf C*_i + kb q*_i; then

    C*_i = N S_i / (kf N + kb Q b_i),   b_i = K_i r^z_i (Q/N)^(z_i - 1)

and C* summing to N fixes r.

Discretisation: cell averages on a uniform grid, advection by upwind faces with a
van Albada slope (second order where the profile is smooth, no new extrema at fronts;
form from memory), dispersion by central differences, each ion by itself: N is the sum
of the ions and is never solved for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq
from scipy.sparse import csc_matrix, diags_array, kron

Array = NDArray[np.float64]

# g/mol, the conventional atomic weights to the digits tabulated in handbooks.
ATOMIC_WEIGHT = {"Na": 22.990, "K": 39.098, "Mg": 24.305, "Ca": 40.078}
CHARGE = {"Na": 1, "K": 1, "Mg": 2, "Ca": 2}

# Relative change of log r below which the interface is solved.
ROOT_TOLERANCE = 1e-12
ROOT_ITERATIONS = 80
LOG_RATIO_BRACKET = (-60.0, 60.0)


@dataclass(frozen=True)
class Column:
    """A bed of one resin, with the rates that hold in it.

    The first ion is the reference, with selectivity 1. Capacity in eq/L of packed
    bed, film and bead rates in 1/s, interstitial dispersion in m2/s, superficial
    velocity in m/s.
    """

    ions: tuple[str, ...]
    selectivity: tuple[float, ...]
    capacity_eq_per_l: float
    void_fraction: float
    depth_m: float
    film_per_s: float
    bead_per_s: float
    dispersion_m2_per_s: float
    velocity_m_per_s: float
    cells: int = 200

    @property
    def kappa(self) -> float:
        """Weight of the downwind difference at a face.

        Central differences (1) have second order and, while the Peclet number of a
        cell is at most 2, cannot turn a concentration negative; coarser grids take
        the upwind-biased third-order face (1/3).
        """
        interstitial = self.velocity_m_per_s / self.void_fraction
        cell_peclet = interstitial * self.depth_m / self.cells / self.dispersion_m2_per_s
        return 1.0 if cell_peclet <= 2.0 else 1.0 / 3.0

    @property
    def charge(self) -> Array:
        """Charge of each ion."""
        return np.array([CHARGE[ion] for ion in self.ions], dtype=float)

    def at_flow(self, flow_bv_per_h: float) -> Column:
        """Give the same column at another flow [BV/h]."""
        return replace(self, velocity_m_per_s=flow_bv_per_h * self.depth_m / 3600.0)


@dataclass(frozen=True)
class Run:
    """Effluent of one run: volume [BV] and concentration of each ion [eq/L]."""

    bv: Array
    effluent: dict[str, Array]

    def hardness(self) -> Array:
        """Ca + Mg of the effluent [eq/L]."""
        return self.effluent["Ca"] + self.effluent["Mg"]


def equivalents(water_mg_per_l: dict[str, float]) -> dict[str, float]:
    """Turn mg/L of each cation into eq/L."""
    return {
        ion: 1e-3 * value * CHARGE[ion] / ATOMIC_WEIGHT[ion]
        for ion, value in water_mg_per_l.items()
    }


def _decreasing_root(strength: Array, film: Array, bead: Array, charge: Array) -> Array:
    """Solve sum_i strength_i / (film + bead_i exp(z_i p)) = 1 for p = log r.

    Arrays are (..., ion) but `film`, which is (..., 1). The sum falls with p, so
    Newton on its logarithm, kept inside a bracket that shrinks, cannot lose the root.
    """
    shape = strength.shape[:-1]
    low, high = (np.full(shape, end) for end in LOG_RATIO_BRACKET)
    guess = np.zeros(shape)
    for _ in range(ROOT_ITERATIONS):
        term = bead * np.exp(charge * guess[..., None])
        share = strength / (film + term)
        total = share.sum(axis=-1)
        slope = -(charge * share * term / (film + term)).sum(axis=-1) / total
        too_low = total > 1.0
        low, high = np.where(too_low, guess, low), np.where(too_low, high, guess)
        newton = guess - np.log(total) / slope
        inside = (newton > low) & (newton < high)
        following = np.where(inside, newton, 0.5 * (low + high))
        change = np.abs(following - guess).max()
        guess = following
        if change < ROOT_TOLERANCE:
            break
    return guess


def interface(column: Column, liquid: Array, loading: Array) -> Array:
    """Give C* [eq/L], shape (..., ion), from C and q of the same shape."""
    charge = column.charge
    normality = liquid.sum(axis=-1, keepdims=True)
    strength = column.film_per_s * liquid + column.bead_per_s * loading
    film = column.film_per_s * normality
    bead = (
        column.bead_per_s
        * column.capacity_eq_per_l
        * np.array(column.selectivity)
        * (column.capacity_eq_per_l / normality) ** (charge - 1.0)
    )
    log_ratio = _decreasing_root(strength, film, bead, charge)
    return normality * strength / (film + bead * np.exp(charge * log_ratio[..., None]))


def loading_at_equilibrium(column: Column, liquid: Array) -> Array:
    """Give q [eq/L of bed] in equilibrium with C [eq/L], one value an ion."""
    charge, capacity = column.charge, column.capacity_eq_per_l
    normality = liquid.sum()
    at_unit_ratio = (
        np.array(column.selectivity)
        * (liquid / normality)
        * (capacity / normality) ** (charge - 1.0)
    )
    log_ratio = brentq(
        lambda p: np.log((at_unit_ratio * np.exp(charge * p)).sum()),
        *LOG_RATIO_BRACKET,
        xtol=ROOT_TOLERANCE,
    )
    return capacity * at_unit_ratio * np.exp(charge * log_ratio)


def liquid_at_equilibrium(column: Column, loading: Array, normality: float) -> Array:
    """Give C [eq/L] at a normality [eq/L] in equilibrium with q [eq/L of bed]."""
    charge, capacity = column.charge, column.capacity_eq_per_l
    at_unit_ratio = (
        loading
        / capacity
        / np.array(column.selectivity)
        * (normality / capacity) ** (charge - 1.0)
    )
    log_ratio = brentq(
        lambda p: np.log((at_unit_ratio * np.exp(-charge * p)).sum()),
        *LOG_RATIO_BRACKET,
        xtol=ROOT_TOLERANCE,
    )
    return normality * at_unit_ratio * np.exp(-charge * log_ratio)


def faces(column: Column, liquid: Array, feed: Array) -> Array:
    """Give the concentration at the outlet face of every cell; axis 0 is the bed.

    With g the difference upwind of a cell and h the one downwind, the face is
    C + [(1 - kappa) g + (1 + kappa) h]/4. The last cell has nothing downwind and
    repeats g; the first takes g from the liquid just inside the inlet.
    """
    half_cell = 0.5 * column.depth_m / column.cells
    advection = column.velocity_m_per_s
    dispersion = column.void_fraction * column.dispersion_m2_per_s / half_cell
    # u C_in = u C - eps D dC/dz just inside the inlet.
    entering = (advection * feed + dispersion * liquid[0]) / (advection + dispersion)
    upwind = np.empty_like(liquid)
    upwind[0] = 2.0 * (liquid[0] - entering)
    upwind[1:] = np.diff(liquid, axis=0)
    downwind = np.concatenate([upwind[1:], upwind[-1:]])
    kappa = column.kappa
    return liquid + 0.25 * ((1.0 - kappa) * upwind + (1.0 + kappa) * downwind)


def _rates(column: Column, state: Array, feed: Array) -> Array:
    """Give d/dt of (C, q); state is (cell, phase, ion), or that with one axis more."""
    liquid, loading = state[:, 0], state[:, 1]
    feed = feed.reshape(feed.shape + (1,) * (liquid.ndim - 2))
    cell = column.depth_m / column.cells
    leaving = faces(column, liquid, feed)
    flux = np.empty((column.cells + 1, *liquid.shape[1:]))
    flux[0] = column.velocity_m_per_s * feed
    flux[1:] = column.velocity_m_per_s * leaving
    flux[1:-1] -= (
        column.void_fraction * column.dispersion_m2_per_s / cell
    ) * np.diff(liquid, axis=0)
    ion_last = (
        column,
        np.moveaxis(liquid, 1, -1),
        np.moveaxis(loading, 1, -1),
    )
    exchange = column.film_per_s * (liquid - np.moveaxis(interface(*ion_last), -1, 1))
    rate = np.empty_like(state)
    rate[:, 1] = exchange
    rate[:, 0] = (-np.diff(flux, axis=0) / cell - exchange) / column.void_fraction
    return rate


def _sparsity(column: Column) -> csc_matrix:
    """Give the pattern of the Jacobian: two cells upwind, one downwind, one ion each.

    Within a cell every ion and both phases meet through the interface.
    """
    ions, cells = len(column.ions), column.cells
    only_liquid = np.diag([1.0, 0.0])
    along = diags_array([1.0, 1.0, 1.0], offsets=[-2, -1, 1], shape=(cells, cells))
    pattern = kron(along, kron(only_liquid, np.eye(ions)))
    return csc_matrix(pattern + kron(np.eye(cells), np.ones((2 * ions, 2 * ions))))


def run(
    column: Column,
    feed: Array,
    liquid: Array,
    loading: Array,
    volume_bv: float,
    points: int = 4000,
    tolerance: float = 1e-6,
) -> Run:
    """Send `volume_bv` of feed through a bed that starts uniform.

    `liquid`, `feed` in eq/L and `loading` in eq/L of bed hold one value an ion;
    `tolerance` is relative in each integrator step.
    """
    shape = (column.cells, 2, len(column.ions))
    start = np.broadcast_to(np.stack([liquid, loading]), shape)
    seconds_a_bv = column.depth_m / column.velocity_m_per_s
    bv = np.linspace(0.0, volume_bv, points)
    strength = max(feed.sum(), liquid.sum())
    scale = np.array([[strength], [column.capacity_eq_per_l]])
    solution = solve_ivp(
        lambda _, y: _rates(column, y.reshape(*shape, -1), feed).reshape(y.shape),
        (0.0, volume_bv * seconds_a_bv),
        start.ravel(),
        method="BDF",
        t_eval=bv * seconds_a_bv,
        rtol=tolerance,
        atol=np.broadcast_to(1e-2 * tolerance * scale, shape).ravel(),
        jac_sparsity=_sparsity(column),
        vectorized=True,
    )
    if not solution.success:
        raise RuntimeError(solution.message)
    history = solution.y.reshape(*shape, -1)[:, 0]
    leaving = faces(column, history, feed[:, None])
    print("nfev",solution.nfev,"njev",solution.njev,"nlu",solution.nlu)
    return Run(bv, dict(zip(column.ions, leaving[-1], strict=True)))
