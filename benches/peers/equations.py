"""The semi-discrete column for general integrators: right-hand side and Jacobian, compiled.

For each ion, per volume of bed,

    eps dC/dt + dq/dt + d(u C)/dz = d/dz(eps D dC/dz),   dq/dt = (C - C*)/Rf = (q* - q)/Rb

with Rf = 1/kf_a, Rb = 1/kb and q*_i = K_i rho^z_i C*_i, sum q* = Q. The grid, the limited faces, the half cell at the
inlet and the extrapolation at the outlet are those of the package (``core/src/bed/transport.rs``), so that both solve the
very same ordinary differential equations and differ in their integration alone.

The state stands cell by cell along the flow, so that the Jacobian is a narrow band: C_Na, C_Mg, C_Ca [eq/L of liquid],
q_Mg, q_Ca [eq/L of bed]. q_Na is what the capacity leaves. One last entry integrates the hardness that leaves [eq/L of
bed]: the mean leakage is then as exact as the integration.
"""

from __future__ import annotations

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]

IONS = ("Na", "Mg", "Ca")
#: Unknowns of a cell.
WIDTH = 5
#: Half bandwidths: a cell sees the two before it and the one after it, through its concentrations.
LOWER, UPPER = 2 * WIDTH + 2, WIDTH + 2

# Places in the array of coefficients.
VELOCITY, CONDUCTANCE, VOID, CELL, FILM, BEAD, CAPACITY, K_MG, K_CA, IN_NA, IN_MG, IN_CA = range(12)

# Iterations of one interface, and the correction of ln(rho) after which Halley's last step is exact to 1e-12.
MOST_ITERATIONS = 60
LAST_CORRECTION = 1e-4
#: Concentrations ahead of a front fall below what has a reciprocal; smaller products and values count as nothing.
NEGLIGIBLE = 1e-200
#: Products of differences below this count as none: their cubes would be too small to divide by.
LEAST_PRODUCT = 1e-190
#: First guess of rho where none is known: a sodium bed in feed.
FIRST_RATIO = 300.0


@njit(cache=True, fastmath=False)
def increment(before: float, after: float) -> float:
    """Limited increment over a cell from the differences to its neighbours: nearly that of an exponential."""
    product = before * after
    if product <= LEAST_PRODUCT:
        return 0.0
    b, a = before, after
    return (
        product
        * (2.0 * b * b + 3.3 * product + 2.8 * a * a)
        / (b * (b * b + 1.7 * a * a) + a * (4.0 * b * b + 1.4 * a * a))
    )


@njit(cache=True)
def increment_slopes(before: float, after: float) -> tuple[float, float, float]:
    """`increment` and its derivatives by both differences."""
    product = before * after
    if product <= LEAST_PRODUCT:
        return 0.0, 0.0, 0.0
    b, a = before, after
    factor = 2.0 * b * b + 3.3 * product + 2.8 * a * a
    per = 1.0 / (b * (b * b + 1.7 * a * a) + a * (4.0 * b * b + 1.4 * a * a))
    value = product * factor * per
    by_before = a * factor + product * (4.0 * b + 3.3 * a) - value * (3.0 * b * b + 8.0 * product + 1.7 * a * a)
    by_after = b * factor + product * (3.3 * b + 5.6 * a) - value * (4.0 * b * b + 3.4 * product + 4.2 * a * a)
    return value, by_before * per, by_after * per


@njit(cache=True)
def outlet_increment(upstream: float, here: float) -> float:
    """Increment over the last cell, extrapolated without a neighbour after it."""
    return outlet_increment_slopes(upstream, here)[0]


@njit(cache=True)
def outlet_increment_slopes(upstream: float, here: float) -> tuple[float, float, float]:
    """`outlet_increment` and its derivatives by both values."""
    if here <= NEGLIGIBLE:
        return 0.0, 0.0, 0.0
    if upstream <= here:
        return here - upstream, -1.0, 1.0
    # With the ratio of the last two values from cell to cell.
    r = here / upstream
    above, below = 2.0 + r * (3.3 + 2.8 * r), 1.0 + r * (4.0 + r * (1.7 + 1.4 * r))
    share = above / below
    slope = (3.3 + 5.6 * r - share * (4.0 + r * (3.4 + 4.2 * r))) / below
    bend = (1.0 - r) * slope - share
    return -here * (1.0 - r) * share, r * r * bend, -(1.0 - r) * share - r * bend


@njit(cache=True)
def interface(s_na: float, s_mg: float, s_ca: float, k: Array, guess: float) -> float:
    """rho at the beads' surface: sum of m_i S_i / (Rb + m_i Rf) = Q with m_i = K_i rho^z_i, S_i = Rb C_i + Rf q_i."""
    film, bead, capacity, k_mg, k_ca = k[FILM], k[BEAD], k[CAPACITY], k[K_MG], k[K_CA]
    rho = guess
    for _ in range(MOST_ITERATIONS):
        m_mg, m_ca = k_mg * rho * rho, k_ca * rho * rho
        i_na, i_mg, i_ca = 1.0 / (bead + film * rho), 1.0 / (bead + film * m_mg), 1.0 / (bead + film * m_ca)
        q_na, q_mg, q_ca = rho * s_na * i_na, m_mg * s_mg * i_mg, m_ca * s_ca * i_ca
        f_na, f_mg, f_ca = bead * i_na, bead * i_mg, bead * i_ca
        g_na, g_mg, g_ca = q_na * f_na, 2.0 * q_mg * f_mg, 2.0 * q_ca * f_ca
        slope = g_na + g_mg + g_ca
        curvature = g_na * (2.0 * f_na - 1.0) + 2.0 * (g_mg * (2.0 * f_mg - 1.0) + g_ca * (2.0 * f_ca - 1.0))
        newton = (capacity - q_na - q_mg - q_ca) / slope
        size = abs(newton)
        if size < 0.3:
            halley = newton / (1.0 + 0.5 * newton * curvature / slope)
            rho *= 1.0 + halley * (1.0 + halley * (0.5 + halley / 6.0))
            if size < LAST_CORRECTION:
                return rho
        else:
            rho *= np.exp(min(max(newton, -2.0), 2.0))
    return np.nan


@njit(cache=True)
def right_hand_side(y: Array, out: Array, k: Array, rho: Array) -> None:
    """dy/dt into `out`; `rho` holds a guess for every interface and is renewed."""
    cells = rho.size
    u, d, per_cell, per_void = k[VELOCITY], k[CONDUCTANCE], 1.0 / k[CELL], 1.0 / k[VOID]
    film, bead, capacity, k_mg, k_ca = k[FILM], k[BEAD], k[CAPACITY], k[K_MG], k[K_CA]
    per_film = 1.0 / film
    in_na, in_mg, in_ca = u * k[IN_NA], u * k[IN_MG], u * k[IN_CA]
    c_na, c_mg, c_ca = y[0], y[1], y[2]
    b_na, b_mg, b_ca = 2.0 * (c_na - k[IN_NA]), 2.0 * (c_mg - k[IN_MG]), 2.0 * (c_ca - k[IN_CA])
    for j in range(cells):
        at = WIDTH * j
        c_n = c_na + c_mg + c_ca
        if j + 1 < cells:
            n_na, n_mg, n_ca = y[at + WIDTH], y[at + WIDTH + 1], y[at + WIDTH + 2]
            a_na, a_mg, a_ca = n_na - c_na, n_mg - c_mg, n_ca - c_ca
            l_na, l_mg, l_ca = increment(b_na, a_na), increment(b_mg, a_mg), increment(b_ca, a_ca)
            l_n = increment(b_na + b_mg + b_ca, a_na + a_mg + a_ca)
        else:
            n_na, n_mg, n_ca = 0.0, 0.0, 0.0
            a_na, a_mg, a_ca = 0.0, 0.0, 0.0
            l_na = outlet_increment(c_na - b_na, c_na)
            l_mg = outlet_increment(c_mg - b_mg, c_mg)
            l_ca = outlet_increment(c_ca - b_ca, c_ca)
            l_n = outlet_increment(c_n - b_na - b_mg - b_ca, c_n)
        missing = (l_n - l_na - l_mg - l_ca) / c_n
        out_na = u * (c_na + 0.5 * (l_na + c_na * missing)) - d * a_na
        out_mg = u * (c_mg + 0.5 * (l_mg + c_mg * missing)) - d * a_mg
        out_ca = u * (c_ca + 0.5 * (l_ca + c_ca * missing)) - d * a_ca

        q_mg, q_ca = y[at + 3], y[at + 4]
        s_na = bead * c_na + film * (capacity - q_mg - q_ca)
        s_mg = bead * c_mg + film * q_mg
        s_ca = bead * c_ca + film * q_ca
        ratio = interface(s_na, s_mg, s_ca, k, rho[j])
        rho[j] = ratio if ratio > 0.0 else 1.0
        square = ratio * ratio
        r_na = (c_na - s_na / (bead + film * ratio)) * per_film
        r_mg = (c_mg - s_mg / (bead + film * k_mg * square)) * per_film
        r_ca = (c_ca - s_ca / (bead + film * k_ca * square)) * per_film
        out[at] = ((in_na - out_na) * per_cell - r_na) * per_void
        out[at + 1] = ((in_mg - out_mg) * per_cell - r_mg) * per_void
        out[at + 2] = ((in_ca - out_ca) * per_cell - r_ca) * per_void
        out[at + 3] = r_mg
        out[at + 4] = r_ca
        in_na, in_mg, in_ca = out_na, out_mg, out_ca
        c_na, c_mg, c_ca = n_na, n_mg, n_ca
        b_na, b_mg, b_ca = a_na, a_mg, a_ca
    out[WIDTH * cells] = (in_mg + in_ca) * per_cell / cells


@njit(cache=True)
def jacobian(y: Array, out: Array, k: Array, rho: Array) -> None:
    """d(dy/dt)/dy into the band of `out` (n x n); what lies outside the pattern is left alone.

    `rho` must hold guesses near the interfaces of `y`. Every entry of the pattern is written.
    """
    cells = rho.size
    u, d, per_cell, per_void = k[VELOCITY], k[CONDUCTANCE], 1.0 / k[CELL], 1.0 / k[VOID]
    film, bead, capacity = k[FILM], k[BEAD], k[CAPACITY]
    per_film = 1.0 / film
    by = np.zeros((3, 3, 3))  # place of the cell (before, here, after), ion of the flux, ion of the concentration
    c, b, a = np.empty(3), np.empty(3), np.empty(3)
    low, high, inc = np.empty(3), np.empty(3), np.empty(3)
    s, m, share, pull = np.empty(3), np.empty(3), np.empty(3), np.empty(3)
    last_row = WIDTH * cells
    # Exchange within each cell; transport is added to it below.
    for j in range(cells):
        at = WIDTH * j
        q_mg, q_ca = y[at + 3], y[at + 4]
        s[0] = bead * y[at] + film * (capacity - q_mg - q_ca)
        s[1] = bead * y[at + 1] + film * q_mg
        s[2] = bead * y[at + 2] + film * q_ca
        ratio = interface(s[0], s[1], s[2], k, rho[j])
        m[0], m[1], m[2] = ratio, k[K_MG] * ratio * ratio, k[K_CA] * ratio * ratio
        total = 0.0
        for i in range(3):
            charge = 1.0 if i == 0 else 2.0
            share[i] = 1.0 / (bead + film * m[i])
            pull[i] = charge * m[i] * s[i] * share[i] * share[i]
            total += bead * pull[i]
        for i in range(3):
            for n in range(3):
                # dC*_i/dS_n: its own share, and what rho moves.
                star = film * pull[i] * m[n] * share[n] / total
                if i == n:
                    star += share[i]
                by_c = -bead * star * per_film
                if i == n:
                    by_c += per_film
                out[at + i, at + n] = -by_c * per_void
                if i > 0:
                    out[at + 2 + i, at + n] = by_c
            for n in range(1, 3):
                # A rise of q_n is a fall of q_Na.
                star = film * pull[i] * (m[n] * share[n] - m[0] * share[0]) / total
                if i == n:
                    star += share[i]
                elif i == 0:
                    star -= share[0]
                by_q = -star
                out[at + i, at + 2 + n] = -by_q * per_void
                if i > 0:
                    out[at + 2 + i, at + 2 + n] = by_q
    # Transport: the flux out of each cell leaves it and enters the next.
    scale = per_cell * per_void
    for j in range(1, cells):
        for i in range(3):
            for n in range(3):
                out[WIDTH * j + i, WIDTH * (j - 1) + n] = 0.0
                out[WIDTH * (j - 1) + i, WIDTH * j + n] = 0.0
                if j > 1:
                    out[WIDTH * j + i, WIDTH * (j - 2) + n] = 0.0
    for j in range(cells):
        at = WIDTH * j
        normality, n_before, n_after = 0.0, 0.0, 0.0
        for i in range(3):
            c[i] = y[at + i]
            b[i] = c[i] - y[at - WIDTH + i] if j > 0 else 2.0 * (c[i] - k[IN_NA + i])
            a[i] = y[at + WIDTH + i] - c[i] if j + 1 < cells else 0.0
            normality += c[i]
            n_before += b[i]
            n_after += a[i]
        last = j + 1 == cells
        conductance = 0.0 if last else d
        missing = 0.0
        for i in range(3):
            if last:
                # By upstream and own value: turned into derivatives by differences, which the rest is written for.
                inc[i], by_up, by_own = outlet_increment_slopes(c[i] - b[i], c[i])
                low[i], high[i] = -by_up, -(by_own + by_up)
            else:
                inc[i], low[i], high[i] = increment_slopes(b[i], a[i])
            missing -= inc[i]
        if last:
            total, by_up, by_own = outlet_increment_slopes(normality - n_before, normality)
            n_low, n_high = -by_up, -(by_own + by_up)
        else:
            total, n_low, n_high = increment_slopes(n_before, n_after)
        missing = (missing + total) / normality
        for i in range(3):
            x = c[i] / normality
            for n in range(3):
                # The increments by the values before, here and after: -low, low - high, high.
                before = x * (low[n] - n_low)
                after = x * (n_high - high[n])
                here = -before - after - x * missing
                if i == n:
                    before -= low[n]
                    after += high[n]
                    here += low[n] - high[n] + missing
                by[0, i, n] = 0.5 * u * before
                by[1, i, n] = 0.5 * u * here
                by[2, i, n] = 0.5 * u * after
            by[1, i, i] += u + conductance
            by[2, i, i] -= conductance
        if j == 0:
            # The value before the first cell mirrors it at the inlet.
            for i in range(3):
                for n in range(3):
                    by[1, i, n] -= by[0, i, n]
        for place in range(3):
            other = j + place - 1
            if other < 0 or other >= cells:
                continue
            for i in range(3):
                for n in range(3):
                    flux = by[place, i, n]
                    out[at + i, WIDTH * other + n] -= scale * flux
                    if not last:
                        out[at + WIDTH + i, WIDTH * other + n] += scale * flux
            if last:
                for n in range(3):
                    out[last_row, WIDTH * other + n] = (by[place, 1, n] + by[place, 2, n]) * per_cell / cells


@njit(cache=True)
def outlet_hardness(y: Array, cells: int) -> float:
    """Mg + Ca of the liquid that leaves [eq/L]: the concentration of the flux through the outlet."""
    at = WIDTH * (cells - 1)
    sum_here, sum_up, sum_increments, hardness, hardness_increment = 0.0, 0.0, 0.0, 0.0, 0.0
    for i in range(3):
        up, here = y[at - WIDTH + i], y[at + i]
        increment = outlet_increment(up, here)
        sum_here += here
        sum_up += up
        sum_increments += increment
        if i > 0:
            hardness += here
            hardness_increment += increment
    missing = (outlet_increment(sum_up, sum_here) - sum_increments) / sum_here
    return hardness + 0.5 * (hardness_increment + hardness * missing)


def sparsity(cells: int) -> NDArray[np.bool_]:
    """The pattern of the Jacobian, (n, n) with n = 5 cells + 1."""
    n = WIDTH * cells + 1
    pattern = np.zeros((n, n), dtype=bool)
    for j in range(cells):
        own = slice(WIDTH * j, WIDTH * (j + 1))
        pattern[own, own] = True
        rows = slice(WIDTH * j, WIDTH * j + 3)
        for other in range(max(j - 2, 0), min(j + 2, cells)):
            pattern[rows, WIDTH * other : WIDTH * other + 3] = True
    for other in (cells - 2, cells - 1):
        pattern[-1, WIDTH * other : WIDTH * other + 3] = True
    return pattern
