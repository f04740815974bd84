"""Fluxes of ions through a liquid film, by integrating the film's own differential equations.

``python film_odes.py`` writes ``film_odes.json`` beside it, ``python film_odes.py --check`` compares with it instead.
``tests/rust/bed/film_coupling.rs`` reads the file, ``tests/python/physics/test_reference_values.py`` computes it again in every test run.

For ions of charge z, concentration C in equivalents, at s from 0 (liquid) to 1 (surface of the bead), and a co-ion of mean
charge z_Y that stands still,

    dC_i/ds = -J_i/D_i - z_i C_i dphi/ds,    z_Y N dphi/ds = dN/ds,    N = sum C_i,    sum J_i = 0

The liquid is given; at the surface C_i = C*_i sigma^z_i, the liquids in equilibrium with one loading. Unknown are sigma and
all fluxes but one; they are found by collocation. Nothing is shared with the closed form in the package.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import numpy as np
from scipy.integrate import solve_bvp

FILE = Path(__file__).with_name("film_odes.json")

# Charge, and diffusivity in water at 25 C [1e-9 m2/s]: Nernst's relation with limiting conductivities of the CRC Handbook.
IONS = {
    "Na": (1, 1.334),
    "K": (1, 1.957),
    "NH4": (1, 1.957),
    "H": (1, 9.311),
    "Mg": (2, 0.7057),
    "Ca": (2, 0.7918),
    "Sr": (2, 0.7909),
    "Ba": (2, 0.8468),
    "Fe": (2, 0.7190),
    "Mn": (2, 0.7123),
}

# Liquid, its equilibrium with the surface at the liquid's own normality (both as fractions of it), mean charge of co-ions.
FILMS: list[tuple[dict[str, float], dict[str, float], float]] = [
    # One charge: a whole exchange each way, and a half.
    ({"H": 1.0, "Na": 0.0}, {"H": 0.0, "Na": 1.0}, 1.0),
    ({"H": 0.0, "Na": 1.0}, {"H": 1.0, "Na": 0.0}, 1.0),
    ({"Na": 0.5, "K": 0.5}, {"Na": 0.9, "K": 0.1}, 1.0),
    ({"Mg": 0.8, "Ca": 0.2}, {"Mg": 0.1, "Ca": 0.9}, 1.0),
    # Two charges: service and brine.
    ({"Na": 0.3, "Ca": 0.7}, {"Na": 0.999, "Ca": 0.001}, 1.0),
    ({"Na": 0.999, "Ca": 0.001}, {"Na": 0.3, "Ca": 0.7}, 1.0),
    ({"Na": 0.02, "Ca": 0.98}, {"Na": 0.9, "Ca": 0.1}, 2.0),
    ({"Na": 0.3, "Ca": 0.7}, {"Na": 0.301, "Ca": 0.699}, 1.2),
    ({"H": 0.95, "Ca": 0.05}, {"H": 0.2, "Ca": 0.8}, 1.0),
    ({"H": 0.05, "Ca": 0.95}, {"H": 0.9, "Ca": 0.1}, 1.0),
    # Several ions.
    ({"Na": 0.17, "Mg": 0.28, "Ca": 0.55}, {"Na": 0.98, "Mg": 0.012, "Ca": 0.008}, 1.2),
    ({"Na": 0.98, "Mg": 0.012, "Ca": 0.008}, {"Na": 0.5, "Mg": 0.2, "Ca": 0.3}, 1.0),
    (
        {"Na": 0.2, "K": 0.1, "H": 0.1, "Mg": 0.2, "Ca": 0.4},
        {"Na": 0.6, "K": 0.05, "H": 0.2, "Mg": 0.1, "Ca": 0.05},
        1.1,
    ),
    (
        dict(zip(IONS, [0.2, 0.05, 0.05, 0.02, 0.2, 0.3, 0.06, 0.04, 0.03, 0.05], strict=True)),
        dict(zip(IONS, [0.7, 0.05, 0.03, 0.05, 0.07, 0.05, 0.02, 0.01, 0.01, 0.01], strict=True)),
        1.3,
    ),
]


def film(liquid: dict[str, float], surface: dict[str, float], co_ion: float) -> tuple[list[float], float]:
    """Give the fluxes, in units of 1e-9 m2/s times normality over thickness, and the normality at the surface."""
    z = np.array([IONS[ion][0] for ion in liquid], dtype=float)
    d = np.array([IONS[ion][1] for ion in liquid])
    bulk, lumped = np.array(list(liquid.values())), np.array(list(surface.values()))

    def fluxes(unknown: np.ndarray) -> np.ndarray:
        return np.append(unknown[:-1], -unknown[:-1].sum())

    def slopes(_: np.ndarray, c: np.ndarray, unknown: np.ndarray) -> np.ndarray:
        per_d = (fluxes(unknown) / d)[:, None]
        charges = z[:, None] * c
        field = -per_d.sum() / (co_ion * c.sum(axis=0) + charges.sum(axis=0))
        return -per_d - charges * field

    def miss(at_liquid: np.ndarray, at_surface: np.ndarray, unknown: np.ndarray) -> np.ndarray:
        return np.concatenate([at_liquid - bulk, at_surface - lumped * np.exp(unknown[-1]) ** z])

    s = np.linspace(0.0, 1.0, 41)
    straight = bulk[:, None] + (lumped - bulk)[:, None] * s
    start = np.append((d.mean() * (bulk - lumped))[:-1], 0.0)
    found = solve_bvp(slopes, miss, s, straight, p=start, tol=1e-9, max_nodes=20_000)
    if not found.success:
        raise RuntimeError(f"not solved: {liquid}, {surface}: {found.message}")
    return [float(flux) for flux in fluxes(found.p)], float(found.y[:, -1].sum())


def make() -> dict[str, Any]:
    """Compute everything that the file holds."""
    rows = []
    for liquid, surface, co_ion in FILMS:
        fluxes, normality = film(liquid, surface, co_ion)
        rows.append(
            {
                "ions": list(liquid),
                "liquid": list(liquid.values()),
                "surface": list(surface.values()),
                "co_ion": co_ion,
                "flux": [float(f"{flux:.8g}") for flux in fluxes],
                "normality": float(f"{normality:.8g}"),
            }
        )
    return {"diffusivity_1e-9_m2_per_s": {ion: d for ion, (_, d) in IONS.items()}, "films": rows}


if __name__ == "__main__":
    from make import differences

    values = make()
    if sys.argv[1:] == ["--check"]:
        lines = differences(json.loads(FILE.read_text()), values)
        print("\n".join(lines) or "nothing differs")
        sys.exit(bool(lines))
    rows = ",\n".join("  " + json.dumps(row) for row in values["films"])
    head = json.dumps(values["diffusivity_1e-9_m2_per_s"])
    FILE.write_text(f'{{\n "diffusivity_1e-9_m2_per_s": {head},\n "films": [\n{rows}\n ]\n}}\n')
