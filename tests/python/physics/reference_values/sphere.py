"""Numbers about diffusion in a sphere that the Rust tests and `core/src/numerics/sphere.rs` hold.

Run it to print them: the ladder of ten shells, fitted to the sphere's admittance by least squares, and the uptake of a
sphere by Nernst-Planck diffusion between two ions, by SciPy's BDF on 400 and 800 ordinary shells, extrapolated to none.
Written apart from the package, which it does not import.
"""

from __future__ import annotations

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import least_squares
from scipy.sparse import diags_array

SHELLS = 10
TIMES = np.array([0.001, 0.003, 0.01, 0.03, 0.1, 0.3])


def ladder_admittance(volume: np.ndarray, conductance: np.ndarray, p: np.ndarray) -> np.ndarray:
    """Flux per volume that a ladder of shells answers to p at its surface."""
    inside = np.zeros_like(p)
    for v, k in zip(volume, conductance, strict=True):
        inside = 1 / (1 / k + 1 / (p * v + inside))
    return inside


def ordinary_grid(shells: int, ratio: float) -> tuple[np.ndarray, np.ndarray]:
    """Volumes and conductances of shells that grow by `ratio` from the surface inwards."""
    thickness = ratio ** np.arange(shells)[::-1]
    radius = np.concatenate([[0], np.cumsum(thickness / thickness.sum())])
    volume = np.diff(radius**3)
    middle = np.append(np.cbrt((radius[1:] ** 3 + radius[:-1] ** 3) / 2), 1.0)
    return volume, 3 * radius[1:] ** 2 / np.diff(middle)


def fitted_ladder() -> tuple[np.ndarray, np.ndarray, float]:
    """Volumes, conductances, and the largest error of ln Y."""
    p = np.logspace(-1, 4.7, 120)
    exact = 3 * (np.sqrt(p) / np.tanh(np.sqrt(p)) - 1)

    def parts(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        volume, conductance = np.exp(x[:SHELLS]), np.exp(x[SHELLS:])
        return volume / volume.sum(), conductance

    start = np.log(np.concatenate(ordinary_grid(SHELLS, 1.5)))
    found = least_squares(
        lambda x: np.log(ladder_admittance(*parts(x), p) / exact),
        start,
        x_scale="jac",
        max_nfev=4000,
        xtol=1e-15,
        ftol=1e-15,
        gtol=1e-15,
    )
    return *parts(found.x), float(np.abs(found.fun).max())


def uptake(
    shells: int,
    ratio: float,
    diffusivity: tuple[float, float],
    charge: tuple[int, int],
    before: float,
    surface: float,
) -> np.ndarray:
    """Mean share of the first ion at `TIMES` (of R^2 over 1)."""
    volume, conductance = ordinary_grid(shells, ratio)

    def rate(_t: float, y: np.ndarray) -> np.ndarray:
        full = np.append(y, surface)
        q = (full[1:] + full[:-1]) / 2
        first, second = charge[0] * diffusivity[0] * q, charge[1] * diffusivity[1] * (1 - q)
        common = (diffusivity[0] * second + diffusivity[1] * first) / (first + second)
        flux = conductance * common * np.diff(full)
        return (flux - np.append(0, flux[:-1])) / volume

    pattern = diags_array([np.ones(shells - 1), np.ones(shells), np.ones(shells - 1)], offsets=[-1, 0, 1])
    run = solve_ivp(
        rate,
        (0, TIMES[-1]),
        np.full(shells, before),
        "BDF",
        t_eval=TIMES,
        rtol=1e-9,
        atol=1e-12,
        jac_sparsity=pattern,
    )
    return volume @ run.y


def main() -> None:
    """Print everything."""
    volume, conductance, worst = fitted_ladder()
    print("volume", ", ".join(f"{v:.12g}" for v in volume))
    print("conductance", ", ".join(f"{k:.12g}" for k in conductance))
    print(f"largest error of ln Y: {worst:.1e}")
    for name, diffusivity, charge, before, surface in [
        ("sodium leaves, calcium enters, 5 to 1", (5, 1), (1, 2), 1.0, 0.0),
        ("calcium leaves, sodium enters, 5 to 1", (5, 1), (1, 2), 0.0, 1.0),
        ("equal charges, 5 leaves, 1 enters", (5, 1), (1, 1), 1.0, 0.0),
    ]:
        coarse = uptake(400, 1.016, diffusivity, charge, before, surface)
        fine = uptake(800, 1.016**0.5, diffusivity, charge, before, surface)
        print(name, np.round(np.abs(fine + (fine - coarse) / 3 - before), 6))


if __name__ == "__main__":
    main()
