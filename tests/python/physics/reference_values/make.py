"""Values of general-purpose libraries that the laws are tested against.

Run by hand (``python make.py`` writes ``libraries.json`` beside it, ``python make.py --check`` compares with it instead) in an
environment with ``fluids``, ``ht``, ``thermo``, ``aquasol``, ``CoolProp`` and ``iapws``. ``tests/rust/laws/libraries.rs`` reads the
file. ``tests/python/physics/test_reference_values.py`` computes the part that needs ``fluids`` alone again in every test run.
"""

from __future__ import annotations

import itertools
import json
import math
import sys
import warnings
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path
from typing import Any

FILE = Path(__file__).with_name("libraries.json")

BEAD_M = 0.6e-3
VOID = 0.38
# Water at 20 C and at 10 C, 10 % NaCl at 20 C: density [kg/m3], viscosity [Pa s].
LIQUIDS = ((998.207, 1.0016e-3), (999.702, 1.3059e-3), (1070.75, 1.1905e-3))
VELOCITY_M_PER_H = (1.0, 3.0, 10.0, 20.0, 40.0)
TEMPERATURES_C = (5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0)
PERCENT = (2.0, 5.0, 8.0, 10.0, 15.0, 20.0, 25.0)
CAS = {"NaCl": "7647-14-5", "KCl": "7447-40-7"}
# D of calcium in water at 25 C [m2/s], scaled by Stokes and Einstein in the film rows.
CALCIUM_M2_PER_S = 7.918e-10
VISCOSITY_25_C_PA_S = 0.89002e-3


def beds() -> dict[str, list[dict[str, float]]]:
    """Pressure drop, drag and settling, by ``fluids``."""
    from fluids import drag, packed_bed

    velocities = [v / 3600.0 for v in VELOCITY_M_PER_H]
    grid = itertools.product((0.3e-3, BEAD_M, 1.2e-3), (0.34, VOID, 0.42), LIQUIDS, velocities)
    ergun = [
        {"d": d, "eps": eps, "rho": rho, "mu": mu, "u": u, "pa_per_m": packed_bed.Ergun(d, eps, u, rho, mu, L=1.0)}
        for d, eps, (rho, mu), u in grid
    ]
    settling = [
        {
            "d": d,
            "rho_p": rho_p,
            "rho": rho,
            "mu": mu,
            "cheng": drag.v_terminal(d, rho_p, rho, mu, Method="Cheng"),
            "barati": drag.v_terminal(d, rho_p, rho, mu),
        }
        for d, rho_p, (rho, mu) in itertools.product((0.3e-3, BEAD_M, 1.2e-3), (1200.0, 1280.0, 1320.0), LIQUIDS)
    ]
    cheng = [{"re": re, "drag": drag.Cheng(re)} for re in (1e-3, 0.1, 1.0, 16.0, 200.0, 1e4)]
    return {"ergun": ergun, "settling": settling, "drag": cheng}


def films() -> list[dict[str, float]]:
    """Film coefficient of calcium by heat-transfer analogy (Pr -> Sc), by ``ht``."""
    from ht import conv_packed_bed
    from iapws import IAPWS95

    rows = []
    for t_c, v in itertools.product((5.0, 15.0, 25.0, 40.0), (3.0, 20.0)):
        water = IAPWS95(T=t_c + 273.15, P=0.101325)
        diffusivity = CALCIUM_M2_PER_S * (t_c + 273.15) / 298.15 * VISCOSITY_25_C_PA_S / water.mu
        sc, u = water.mu / (water.rho * diffusivity), v / 3600.0
        nu = conv_packed_bed.Nu_packed_bed_Gnielinski(BEAD_M, VOID, u, water.rho, water.mu, sc)
        wakao = conv_packed_bed.Nu_Wakao_Kagei(water.rho * u * BEAD_M / water.mu, sc)
        rows.append(
            {
                "t_c": t_c,
                "u": u,
                "rho": water.rho,
                "mu": water.mu,
                "diffusivity": diffusivity,
                "gnielinski_m_per_s": nu * diffusivity / BEAD_M,
                "wakao_m_per_s": wakao * diffusivity / BEAD_M,
            }
        )
    return rows


def water() -> list[dict[str, float]]:
    """Density and viscosity of water, by ``iapws``."""
    from iapws import IAPWS95

    states = {t: IAPWS95(T=t + 273.15, P=0.101325) for t in (1.0, *TEMPERATURES_C, 45.0)}
    return [{"t_c": t, "rho": state.rho, "mu": state.mu} for t, state in states.items()]


def brines() -> list[dict[str, Any]]:
    """Density and viscosity of brines, by ``thermo``, ``aquasol`` and, for NaCl where it has them, ``CoolProp``."""
    from aquasol import solutions
    from CoolProp.CoolProp import PropsSI
    from thermo.electrochem import Laliberte_density, Laliberte_viscosity

    def melinder(key: str) -> Callable[[float, float], float]:
        return lambda w, t: PropsSI(key, "T", t + 273.15, "P", 101325.0, f"INCOMP::MNA[{w}]")

    rows = []
    for salt, t, percent in itertools.product(CAS, TEMPERATURES_C, PERCENT):
        w, cas = percent / 100.0, [CAS[salt]]
        rho = {
            "thermo": Laliberte_density(t + 273.15, [w], cas),
            "aquasol": solutions.density(salt, w=w, T=t),
        }
        mu = {
            "thermo": Laliberte_viscosity(t + 273.15, [w], cas),
            "aquasol": solutions.viscosity(salt, w=w, T=t),
        }
        if salt == "NaCl" and percent <= 20.0 and t <= 30.0:
            rho["CoolProp"] = melinder("D")(w, t)
            mu["CoolProp"] = melinder("V")(w, t)
        rows.append(
            {
                "salt": salt,
                "t_c": t,
                "percent": percent,
                "rho": {library: float(value) for library, value in rho.items()},
                "mu": {library: float(value) for library, value in mu.items()},
            }
        )
    return rows


def rounded(value: Any) -> Any:
    """Give every number twelve significant digits, enough for any comparison here."""
    if isinstance(value, dict):
        return {key: rounded(item) for key, item in value.items()}
    if isinstance(value, list):
        return [rounded(item) for item in value]
    return float(f"{value:.12g}") if isinstance(value, float) else value


def differences(stored: Any, found: Any, where: str = "") -> list[str]:
    """List where two nests of numbers differ by more than 1e-9, relative."""
    if isinstance(stored, dict):
        assert stored.keys() == found.keys(), where
        return [line for key in stored for line in differences(stored[key], found[key], f"{where}.{key}")]
    if isinstance(stored, list):
        assert len(stored) == len(found), where
        pairs = enumerate(zip(stored, found, strict=True))
        return [line for i, (one, other) in pairs for line in differences(one, other, f"{where}[{i}]")]
    same = math.isclose(stored, found, rel_tol=1e-9) if isinstance(stored, float) else stored == found
    return [] if same else [f"{where}: {stored} stored, {found} found"]


def one_row_a_line(value: Any, indent: str = "") -> str:
    """Write JSON with one row of a table on each line, so that a change is seen where it is."""
    inner = indent + " "
    if (
        isinstance(value, dict)
        and any(isinstance(item, dict | list) for item in value.values())
        and "salt" not in value
    ):
        lines = [f"{inner}{json.dumps(key)}: {one_row_a_line(item, inner)}" for key, item in value.items()]
        return "{\n" + ",\n".join(lines) + f"\n{indent}}}"
    if isinstance(value, list):
        return "[\n" + ",\n".join(inner + json.dumps(row) for row in value) + f"\n{indent}]"
    return json.dumps(value)


def make() -> dict[str, Any]:
    """Compute everything that the file holds."""
    libraries = ("fluids", "ht", "thermo", "aquasol", "CoolProp", "iapws")
    return rounded(
        {
            "versions": {name: version(name) for name in libraries},
            "beds": beds(),
            "films": films(),
            "water": water(),
            "brines": brines(),
        }
    )


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    found = make()
    if sys.argv[1:] == ["--check"]:
        lines = differences(json.loads(FILE.read_text()), found)
        print("\n".join(lines) or "nothing differs")
        sys.exit(bool(lines))
    FILE.write_text(one_row_a_line(found) + "\n")
