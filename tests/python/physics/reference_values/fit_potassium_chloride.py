"""Coefficients of the potassium chloride laws, fitted to published models as two libraries compute them.

Run by hand, in an environment with ``thermo`` 0.6.1, ``aquasol`` 1.8 and ``numpy``; prints the constants of
``core/src/laws/density.rs``, ``core/src/laws/viscosity.rs`` and ``core/src/inputs/salt.rs`` with their residuals.

Sources: M. Laliberte, W. E. Cooper (2004), J. Chem. Eng. Data 49, 1141 (density) and M. Laliberte (2007), ibid. 52, 321
(viscosity) by ``thermo``; Al Ghafri et al. (density), Mao & Duan (viscosity) and M. Steiger et al. (2008), Constr. Build.
Mater. 22, 1841 (solubility) by ``aquasol``.
"""

from __future__ import annotations

import warnings

import numpy as np
from aquasol import solutions
from thermo.electrochem import Laliberte_density, Laliberte_density_w, Laliberte_viscosity, Laliberte_viscosity_w

KCL = ["7447-40-7"]
G_PER_MOL = 74.551
WEIGHT = np.concatenate([[0.01, 0.02], np.arange(0.04, 0.241, 0.02), [0.25]])
# Laliberte's viscosity is not used below 5 C, where it runs away from the other model.
DENSITY_C = np.array([0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0])
VISCOSITY_C = DENSITY_C[1:]
SATURATION_C = np.linspace(0.0, 45.0, 19)


def fit_density() -> None:
    """Fit rho - rho_water = w (a1 + a2 w + a3 w^2) + w (t - 20) (b1 + b2 (t - 20) + b3 w)."""
    rows, excess = [], []
    for t in DENSITY_C:
        for w in WEIGHT:
            d = t - 20.0
            laliberte = Laliberte_density(t + 273.15, [w], KCL) - Laliberte_density_w(t + 273.15)
            other = solutions.density("KCl", w=w, T=t) - solutions.density("KCl", w=0.0, T=t)
            for value in (laliberte, other):
                rows.append([w, w**2, w**3, w * d, w * d**2, w * w * d])
                excess.append(float(value))
    solve("density, kg/m3", np.array(rows), np.array(excess))


def fit_viscosity() -> None:
    """Fit ln(mu/mu_water) = w (c1 + c2 w + c3 w^2) + w (t - 20) (d1 + d2 w + d3 (t - 20))."""
    rows, logs = [], []
    for t in VISCOSITY_C:
        for w in WEIGHT:
            d = t - 20.0
            laliberte = Laliberte_viscosity(t + 273.15, [w], KCL) / Laliberte_viscosity_w(t + 273.15)
            other = solutions.viscosity("KCl", w=w, T=t) / solutions.viscosity("KCl", w=0.0, T=t)
            for value in (laliberte, other):
                rows.append([w, w**2, w**3, w * d, w * w * d, w * d**2])
                logs.append(float(np.log(value)))
    solve("viscosity, ln", np.array(rows), np.array(logs))


def fit_saturation() -> None:
    """Fit weight percent = s0 + s1 t + s2 t^2."""
    molality = np.array([solutions.solubility("KCl", T=t) for t in SATURATION_C], dtype=float)
    grams = molality * G_PER_MOL
    percent = 100.0 * grams / (1000.0 + grams)
    solve("saturation, %", np.vander(SATURATION_C, 3, increasing=True), percent)


def solve(name: str, rows: np.ndarray, values: np.ndarray) -> None:
    """Print least-squares coefficients and the largest and the mean square residual."""
    coefficients, *_ = np.linalg.lstsq(rows, values, rcond=None)
    rounded = np.array([float(f"{c:.5g}") for c in coefficients])
    left = values - rows @ rounded
    print(f"{name}: {rounded.tolist()}; residual at most {np.abs(left).max():.4f}, rms {np.sqrt((left**2).mean()):.4f}")


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    fit_density()
    fit_viscosity()
    fit_saturation()
