"""What is written beside numbers in a table or a dataset: words, units, titles, and where they come from."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

from brinefront._core import VERSION
from brinefront.words.figures import EQ_BED, MG_CACO3, figures

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    import pandas as pd

    from brinefront._core import Case

__all__ = ["about", "attributes", "field_attributes", "ion_words", "labelled", "udunits"]

# Words and unit of a column that is no figure; what carries no number has no unit, a bare ratio has "1".
COLUMNS: Mapping[str, tuple[str, str]] = {
    "adds": ("what it is", ""),
    "bed": ("what the flow does to the bed", ""),
    "bed_expansion_percent": ("expansion of a bed that nothing holds", "%"),
    "bv": ("throughput", "BV"),
    "carries_away_from_m_per_h": ("upflow that carries the beads away", "m/h"),
    "composite_mg_per_l": ("mean concentration in the spent brine and rinse", "mg/L"),
    "density_kg_per_m3": ("density of the liquid", "kg/m3"),
    "depth_m": ("depth from the service inlet", "m"),
    "direction": ("direction of the flow", ""),
    "divalent_fraction": ("divalent fraction of what enters", "1"),
    "ended": ("what ended the step", ""),
    "expansion_percent": ("expansion over the settled depth", "%"),
    "flow_bv_per_h": ("flow", "BV/h"),
    "from_bv": ("throughput of the step at its beginning", "BV"),
    "from_depth_m": ("depth from the service inlet at its beginning", "m"),
    "front": ("front between this liquid and the one it pushes out", ""),
    "front_critical_m_per_h": ("velocity at which the front changes between stable and fingers", "m/h"),
    "hardness_mg_per_l_caco3": ("hardness", MG_CACO3),
    "height_m": ("height of the cell", "m"),
    "inlet_normality_eq_per_l": ("normality of what enters", "eq/L"),
    "kept_eq_per_l": ("hardness that the bed kept", EQ_BED),
    "kind": ("kind of wave", ""),
    "lifts_from_m_per_h": ("upflow that lifts a bed that nothing holds", "m/h"),
    "liquid": ("liquid", ""),
    "liquid_ahead": ("divalent fraction of the liquid ahead", "1"),
    "liquid_behind": ("divalent fraction of the liquid behind", "1"),
    "mass_g": ("mass in the spent brine and rinse of one regeneration", "g"),
    "minutes": ("duration", "min"),
    "name": ("share", ""),
    "normality_ahead_eq_per_l": ("normality ahead", "eq/L"),
    "normality_behind_eq_per_l": ("normality behind", "eq/L"),
    "normality_eq_per_l": ("normality of what enters", "eq/L"),
    "notes": ("what the numbers should be read with", ""),
    "onset_m_per_h": ("upflow that lifts a bed that nothing holds", "m/h"),
    "pressure_drop_kpa": ("pressure drop over the settled bed", "kPa"),
    "resin_ahead": ("divalent fraction of the resin ahead", "1"),
    "resin_behind": ("divalent fraction of the resin behind", "1"),
    "reynolds": ("Reynolds number of a bead in the superficial flow", "1"),
    "saturation_index": ("saturation index of gypsum", "1"),
    "saturation_ratio": ("saturation ratio of gypsum", "1"),
    "share_error_g_per_l": ("numerical error of the share", "g/L of resin"),
    "share_g_per_l": ("share of the salt", "g/L of resin"),
    "share_of_dose": ("share of the salt", "of the dose"),
    "sound": ("every run behind it was soft and settled", ""),
    "step": ("step", ""),
    "terminal_m_per_h": ("velocity at which one bead settles", "m/h"),
    "to_bv": ("throughput of the step at its end", "BV"),
    "to_depth_m": ("depth from the service inlet at its end", "m"),
    "velocity_m_per_h": ("superficial velocity", "m/h"),
    "viscosity_mpa_s": ("viscosity of the liquid", "mPa s"),
    "volume_bv": ("volume", "BV"),
    "volume_l": ("volume", "L"),
    "wave": ("number of the wave", ""),
    "way": ("way of the flow", ""),
    "with_service": ("flows in the direction of service", ""),
}

# The unit that the end of a field's name means; the longest that fits counts.
ENDINGS: Mapping[str, str] = {
    "_mg_per_l_caco3": MG_CACO3,
    "_mg_per_l": "mg/L",
    "_eq_per_l": "eq/L",
    "_g_per_l": "g/L of resin",
    "_kg_per_m3": "kg/m3",
    "_kj_per_mol": "kJ/mol",
    "_percent_per_year": "%/year",
    "_m3_per_day": "m3/day",
    "_kg_per_week": "kg/week",
    "_bv_per_h": "BV/h",
    "_m_per_h": "m/h",
    "_m2_per_s": "m2/s",
    "_per_s": "1/s",
    "_percent": "%",
    "_years": "year",
    "_hours": "h",
    "_min": "min",
    "minutes": "min",
    "_bv": "BV",
    "_mm": "mm",
    "_m": "m",
    "_l": "L",
    "_c": "degC",
}
# Equivalents of the bed, not of a liquid: the name leaves it to the reader.
OF_BED: Mapping[str, str] = {"resin.capacity_eq_per_l": EQ_BED}

CONVENTIONS = "CF-1.11"


def labelled(
    frame: pd.DataFrame,
    title: str,
    case: Case | None = None,
    ions: Mapping[str, tuple[str, str]] | None = None,
    words: Mapping[str, tuple[str, str]] | None = None,
) -> pd.DataFrame:
    """Put words, units, a title and the case's name into a frame's ``attrs``; the frame is returned.

    Parameters
    ----------
    frame : pandas.DataFrame
        Its columns are known here, figures, or in `ions` or `words`.
    title : str
        What the table is of.
    case : Case, optional
        Its name goes into ``attrs["case"]``, empty if it has none; no such entry without a case.
    ions : mapping, optional
        Words and unit of columns named by a bare ion.
    words : mapping, optional
        Words and unit of columns that mean something else here than elsewhere.
    """
    known = {**_figure_words(), **COLUMNS, **(ions or {}), **(words or {})}
    found = {str(name): known[str(name)] for name in frame.columns}
    frame.attrs["title"] = title
    if case is not None:
        frame.attrs["case"] = case.name or ""
    frame.attrs["units"] = {name: unit for name, (_, unit) in found.items() if unit}
    frame.attrs["long_names"] = {name: said for name, (said, _) in found.items()}
    return frame


def ion_words(ions: Iterable[str], of_what: str, unit: str) -> dict[str, tuple[str, str]]:
    """Words and unit of columns named by ions: "Ca, concentration of what left"."""
    return {ion: (f"{ion}, {of_what}", unit) for ion in ions}


def attributes(name: str, words: str | None = None, unit: str | None = None) -> dict[str, str]:
    """``long_name`` and ``units`` of a variable named like a column or a figure."""
    said, of = {**_figure_words(), **COLUMNS}.get(name, (name.replace("_", " "), ""))
    unit = of if unit is None else unit
    return {"long_name": words or said} | ({"units": unit} if unit else {})


def about(title: str, call: str, case: Case | None = None) -> dict[str, str]:
    """Give the global attributes of a dataset in the manner of the CF conventions.

    There is no time of day among them, so that equal runs give equal datasets; a file's ``history`` says when it was
    written. ``case_json`` is what :meth:`Case.from_json` reads back.
    """
    found = {
        "Conventions": CONVENTIONS,
        "title": title,
        "source": f"brinefront {VERSION}",
        "history": f"brinefront {VERSION}: {call}",
    }
    return found if case is None else found | {"case": case.name or "", "case_json": case.to_json()}


def field_attributes(name: str, case: Case) -> dict[str, str]:
    """``long_name`` and ``units`` of a case's field by its dotted name, "regeneration: dose"; texts have no unit."""
    room, _, field = name.rpartition(".")
    ending = max((ending for ending in ENDINGS if field.endswith(ending)), key=len, default="")
    words = (field if ending == field else field.removesuffix(ending)).replace("_", " ")
    unit = case.water.unit if room == "water.ions" else OF_BED.get(name, ENDINGS.get(ending, ""))
    return {"long_name": f"{room.replace('.', ', ')}: {words}" if room else words} | ({"units": unit} if unit else {})


# UDUNITS's word for a unit of ours whose meaning is not in its spelling. An equivalent is a mole of charge.
UDUNITS: Mapping[str, str] = {
    "BV": "1",
    "BV/h": "h-1",
    "eq/L": "mol L-1",
    "meq/L": "mmol L-1",
    "eq/kg": "mol kg-1",
    "mg/L CaCO3": "mg L-1",
    MG_CACO3: "mg L-1",
    "g as CaCO3": "g",
    EQ_BED: "mol L-1",
    "eq/L bed": "mol L-1",
    "g/L of resin": "g L-1",
    "g/L CaCO3": "g L-1",
    "kgr/ft3": "kilograin ft-3",
    "gr/ft3": "grain ft-3",
    "gr/gal": "grain gallon-1",
    "gr/lb": "grain lb-1",
    "gal/ft3": "gallon ft-3",
    "gal": "gallon",
    "gpm": "gallon min-1",
    "gpm/ft3": "gallon min-1 ft-3",
    "gpm/ft2": "gallon min-1 ft-2",
}


def udunits(unit: str) -> str:
    """The spelling of a unit that UDUNITS reads; a share "of" something is "1", what is none of ours stays as it is."""
    return "1" if re.match(r"of\b", unit) else UDUNITS.get(unit, unit)


@cache
def _figure_words() -> dict[str, tuple[str, str]]:
    return {each.name: (each.words, each.unit) for each in figures()}
