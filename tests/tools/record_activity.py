"""Write `tests/rust/snapshots/activity.json`: activity coefficients by a library of its own, for the Rust test.

    pip install phreeqpython==1.6.2
    python tests/tools/record_activity.py          # Python 3.11 or later

The library (VIPhreeqc inside) is given the very parameters of `core/src/laws/data/HarvieMollerWeare1984.toml`, so that
what is compared is two programs, not two sets of parameters. Its Debye-Hueckel slope follows from the temperature; the
temperature is chosen at which it is the 0.392 of the file, while the parameters stand still.

Two more things come from its own parameters, `pitzer.dat`, which carry slopes in temperature: the same coefficients at
25 C, and how the exchange factor of calcium moves from 5 to 35 C; and the solubility of gypsum.
"""

import json
import math
from importlib.metadata import version
from pathlib import Path

import phreeqpython
import tomllib

ROOT = Path(__file__).parents[2]
DATA = ROOT / "core/src/laws/data/HarvieMollerWeare1984.toml"
OUT = ROOT / "tests/rust/snapshots/activity.json"

# Symbols of the project: name in the library's input, charge.
SPECIES = {
    "Na": ("Na+", 1),
    "K": ("K+", 1),
    "H": ("H+", 1),
    "Mg": ("Mg+2", 2),
    "Ca": ("Ca+2", 2),
    "Cl": ("Cl-", -1),
    "SO4": ("Su-2", -2),
    "HCO3": ("Bic-", -1),
}
ELEMENT = {"Na": "Na", "K": "K", "Mg": "Mg", "Ca": "Ca", "Cl": "Cl", "SO4": "Su", "HCO3": "Bic"}

SOLUTIONS = [
    {"Na": 0.01, "Cl": 0.01},
    {"Na": 4.0, "Cl": 4.0},
    {"Ca": 0.001, "SO4": 0.001},
    {"Ca": 0.015, "SO4": 0.015},
    {"Na": 2.0, "Ca": 0.03, "Cl": 2.0, "SO4": 0.03},
    {"Na": 1.0, "Ca": 0.5, "Mg": 0.2, "Cl": 2.4},
    {"K": 2.0, "Ca": 0.3, "Mg": 0.1, "Cl": 2.8},
    {"Na": 0.7, "K": 0.42, "Ca": 0.01, "Mg": 0.27, "Cl": 1.56, "SO4": 0.05, "HCO3": 0.02},
    {"Na": 0.002, "Ca": 0.002, "Mg": 0.001, "Cl": 0.003, "SO4": 0.0005, "HCO3": 0.004},
    {"Na": 0.5, "Mg": 0.8, "Cl": 1.1, "SO4": 0.5},
    {"Na": 3.0, "K": 0.2, "Ca": 0.6, "Mg": 0.3, "Cl": 4.9, "HCO3": 0.1},
]


def database() -> str:
    """The file's parameters in the library's input language."""
    data = tomllib.loads(DATA.read_text())
    lines = [
        "SOLUTION_MASTER_SPECIES",
        "H H+ -1 H 1.008",
        "H(1) H+ -1 0",
        "E e- 0 0 0",
        "O H2O 0 O 16",
        "O(-2) H2O 0 0",
    ]
    lines += [f"{element} {SPECIES[ion][0]} 0 {element} 30" for ion, element in ELEMENT.items()]
    lines += ["SOLUTION_SPECIES", "e- = e-", "H2O = H2O", "H2O = OH- + H+", "log_k -14"]
    lines += [f"{name} = {name}" for name, _ in SPECIES.values()]
    lines.append("PITZER")
    for block, key in [("B0", "beta0"), ("B1", "beta1"), ("B2", "beta2"), ("C0", "c_phi")]:
        lines.append(f"-{block}")
        for salt in data["salt"]:
            one, other = (SPECIES[ion][0] for ion in salt["ions"])
            lines.append(f"{one} {other} {salt.get(key, 0.0)}")
    lines.append("-THETA")
    for like in data["like"]:
        one, other = (SPECIES[ion][0] for ion in like["ions"])
        lines.append(f"{one} {other} {like['theta']}")
    lines.append("-PSI")
    for like in data["like"]:
        for opposite, psi in like["psi"].items():
            names = [SPECIES[ion][0] for ion in (*like["ions"], opposite)]
            lines.append(" ".join(names) + f" {psi}")
    return "\n".join([*lines, "END", ""])


def run(program: phreeqpython.PhreeqPython, text: str, columns: int) -> list[float]:
    """Run an input that punches `columns` numbers last, and return those."""
    program.ip.run_string(text)
    table = program.ip.get_selected_output_array()
    return [float(value) for value in table[-1][-columns:]]


def punch(names: list[str]) -> str:
    """A block that punches log10 of each coefficient, then the osmotic coefficient."""
    which = ", ".join(f'LG("{name}")' for name in names)
    return f"SELECTED_OUTPUT\n-reset false\n-high_precision true\nUSER_PUNCH\n-headings values\n10 PUNCH {which}, OSMOTIC\nEND\n"


def coefficients(program, solution: dict[str, float], temperature_c: float, own: bool) -> dict[str, float]:
    """ln of every coefficient, and the osmotic coefficient; `own` for the library's own names."""
    ions = list(solution)
    rename = {"SO4": ("S(6)", "SO4-2"), "HCO3": ("C(4)", "HCO3-")} if own else {}
    text = f"SOLUTION 1\nunits mol/kgw\ntemp {temperature_c}\npH 7\n"
    names = []
    for ion in ions:
        element, name = rename.get(ion, (ELEMENT[ion], SPECIES[ion][0]))
        text += f"{element} {solution[ion]!r}\n"
        names.append(name)
    values = run(program, text + punch(names), len(names) + 1)
    found = {ion: math.log(10.0) * value for ion, value in zip(ions, values, strict=False)}
    return found | {"osmotic": values[-1]}


def a_phi(program, temperature_c: float) -> float:
    """The slope, from sodium chloride strong enough that 1e-7 mol/kg of hydrogen and hydroxide do not count."""
    m = 0.5
    ln = coefficients(program, {"Na": m, "Cl": m}, temperature_c, own=False)
    root = math.sqrt(m)
    x = 2.0 * root
    g = 2.0 * (1.0 - (1.0 + x) * math.exp(-x)) / x**2
    # B + m B' + 3/2 m C_phi, with m the ionic strength.
    virial = 2.0 * m * (0.0765 + 0.2664 * g) + m * 0.2664 * (math.exp(-x) - g) + 1.5 * m**2 * 0.00127
    screened = root / (1.0 + 1.2 * root) + 2.0 / 1.2 * math.log1p(1.2 * root)
    return (virial - (ln["Na"] + ln["Cl"]) / 2.0) / screened


def main() -> None:
    """Compute and write."""
    same = phreeqpython.PhreeqPython()
    same.ip.load_database_string(database())
    low, high = 15.0, 40.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if a_phi(same, middle) < 0.392 else (low, middle)
    slope_c = 0.5 * (low + high)
    rows = [{"molality": s, "ln_gamma": coefficients(same, s, slope_c, own=False)} for s in SOLUTIONS]

    own = phreeqpython.PhreeqPython(database="pitzer.dat")
    others = []
    for solution in SOLUTIONS:
        if "HCO3" not in solution:  # there the library makes carbonic acid and carbonate of it
            others.append({"molality": solution, "ln_gamma": coefficients(own, solution, 25.0, own=True)})
    factors = []
    for na, ca in [(0.01, 0.002), (0.5, 0.05), (1.0, 0.1), (2.0, 0.5), (4.0, 0.2)]:
        row = {}
        for temperature_c in (5, 15, 25, 35):
            ln = coefficients(own, {"Na": na, "Ca": ca, "Cl": na + 2 * ca}, temperature_c, own=True)
            row[str(temperature_c)] = ln["Ca"] - 2.0 * ln["Na"]
        factors.append({"Na": na, "Ca": ca, "ln_factor_by_celsius": row})
    gypsum = []
    for salt in (0.0, 0.1, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0):
        gypsum.append({"background": {"Na": salt, "Cl": salt}})
    gypsum.append({"background": {"Na": 0.2, "SO4": 0.1}})
    gypsum.append({"background": {"Na": 2.0, "Mg": 0.2, "Ca": 0.3, "Cl": 3.0}})
    for row in gypsum:
        held = row["background"]
        text = "SOLUTION 1\nunits mol/kgw\ntemp 25\npH 7\n"
        text += "".join(f"{'S(6)' if ion == 'SO4' else ion} {m}\n" for ion, m in held.items())
        text += "EQUILIBRIUM_PHASES 1\nGypsum 0 10\n"
        text += (
            'SELECTED_OUTPUT\n-reset false\n-high_precision true\nUSER_PUNCH\n-headings s\n10 PUNCH TOT("Ca")\nEND\n'
        )
        row["dissolved"] = run(own, text, 1)[0] - held.get("Ca", 0.0)
    record = {
        "library": f"phreeqpython {version('phreeqpython')}",
        "temperature_of_the_slope_c": slope_c,
        "same_parameters": rows,
        "pitzer_dat": others,
        "exchange_by_temperature": factors,
        "gypsum": gypsum,
    }
    OUT.write_text(json.dumps(record, indent=1) + "\n")


if __name__ == "__main__":
    main()
