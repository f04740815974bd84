"""The figures of one cycle: every number that a finished run is known by, with its words and its unit."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from dataclasses import dataclass, field, fields
from typing import Any, TypeVar

__all__ = ["Figure", "Figures", "figure", "figures", "with_figures"]

Presented = TypeVar("Presented", bound=type)

MG_CACO3 = "mg/L as CaCO3"
EQ_BED = "eq/L of bed"


def _said(words: str, unit: str = "") -> Any:
    return field(metadata={"words": words, "unit": unit})


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Figures:
    """Everything one number says about a cycle. Volumes are of packed bed; hardness is as CaCO3.

    A figure that does not exist, such as one a week where no site is known, is nan.
    """

    direction: str = _said("direction of the brine")
    dose_g_per_l: float = _said("salt dose", "g/L of resin")
    feed_hardness_mg_per_l_caco3: float = _said("hardness of the feed", MG_CACO3)
    feed_normality_eq_per_l: float = _said("normality of the feed", "eq/L")
    brine_normality_eq_per_l: float = _said("normality of the brine", "eq/L")
    brine_volume_bv: float = _said("volume of brine", "BV")
    run_length_bv: float = _said("run length", "BV")
    run_length_l: float = _said("soft water of one run", "L")
    run_hours: float = _said("duration of the run", "h")
    stop_reason: str = _said("why service ended")
    capacity_eq_per_l: float = _said("operating capacity", EQ_BED)
    capacity_kgr_per_ft3: float = _said("operating capacity", "kgr/ft3")
    salt_efficiency_gr_per_lb: float = _said("salt efficiency", "gr/lb")
    salt_efficiency_fraction: float = _said("salt efficiency", "of stoichiometric")
    rinse_loss_eq_per_l: float = _said("hardness put on by rinses", EQ_BED)
    loading_change_eq_per_l: float = _said("rise of loading in service", EQ_BED)
    leakage_mean_mg_per_l_caco3: float = _said("leakage, mean", MG_CACO3)
    leakage_half_run_mg_per_l_caco3: float = _said("leakage, half run", MG_CACO3)
    leakage_initial_mg_per_l_caco3: float = _said("leakage, first bed volume", MG_CACO3)
    leakage_minimum_mg_per_l_caco3: float = _said("leakage, lowest", MG_CACO3)
    leakage_maximum_mg_per_l_caco3: float = _said("leakage, highest", MG_CACO3)
    leakage_end_mg_per_l_caco3: float = _said("leakage, end of run", MG_CACO3)
    sodium_product_mg_per_l: float = _said("sodium in the product", "mg/L")
    sodium_added_mg_per_l: float = _said("sodium added by softening", "mg/L")
    waste_volume_bv: float = _said("waste of one regeneration", "BV")
    waste_volume_l: float = _said("waste of one regeneration", "L")
    waste_chloride_g: float = _said("chloride in the waste", "g")
    waste_chloride_mg_per_l: float = _said("mean chloride of the waste", "mg/L")
    waste_hardness_g_caco3: float = _said("hardness in the waste", "g as CaCO3")
    waste_sodium_g: float = _said("sodium in the waste", "g")
    salt_kg: float = _said("salt of one regeneration", "kg")
    regeneration_min: float = _said("duration of the regeneration", "min")
    regenerations_per_week: float = _said("regenerations a week", "1/week")
    salt_kg_per_week: float = _said("salt a week", "kg")
    chloride_kg_per_week: float = _said("chloride to the drain a week", "kg")
    waste_m3_per_week: float = _said("waste a week", "m3")
    dose_as_sold_g_per_l: float = _said("salt dose as sold", "g/L of resin")
    salt_as_sold_kg: float = _said("salt as sold of one regeneration", "kg")
    salt_efficiency_as_sold_gr_per_lb: float = _said("salt efficiency, salt as sold", "gr/lb")
    restart_before_mg_per_l_caco3: float = _said("leakage before the rest", MG_CACO3)
    restart_first_bv_mg_per_l_caco3: float = _said("leakage, first bed volume after the rest", MG_CACO3)
    restart_peak_mg_per_l_caco3: float = _said("leakage, highest in that bed volume", MG_CACO3)
    reclaimed_volume_bv: float = _said("reclaimed brine", "BV")
    reclaimed_normality_eq_per_l: float = _said("normality of the reclaimed brine", "eq/L")
    reclaimed_hardness_fraction: float = _said("hardness of the reclaimed brine", "of its equivalents")
    reclaimed_salt_g_per_l: float = _said("salt in the reclaimed brine", "g/L of resin")
    cells: int = _said("cells along the bed")
    run_length_error_fraction: float = _said("numerical error of the run length", "of it")
    capacity_error_fraction: float = _said("numerical error of the capacity", "of it")
    leakage_mean_error_fraction: float = _said("numerical error of the mean leakage", "of it")
    leakage_half_run_error_fraction: float = _said("numerical error of the half-run leakage", "of it")
    ledger_error: float = _said("ledger error, worst ion", "of what entered")
    residual: float = _said("residual of the steady cycle", "of capacity")
    distance: float = _said("distance from the steady cycle", "of capacity")
    cycles_run: int = _said("cycles run")
    settled: bool = _said("cyclic steady state reached")
    outcome: str = _said("what the search for it did")

    def figures(self) -> dict[str, Any]:
        """Every figure by its name.

        Returns
        -------
        dict of str to object
            Numbers, texts and a truth value; a figure that does not exist is nan.
        """
        return {each.name: getattr(self, each.name) for each in figures()}

    def __repr__(self) -> str:
        return f"<Figures {self.direction}, {self.dose_g_per_l:g} g/L: {self.run_length_bv:.4g} BV>"


@dataclass(frozen=True)
class Figure:
    """One figure's name, words and unit; `kind` is "float", "int", "bool" or "str"."""

    name: str
    words: str
    unit: str
    kind: str

    @property
    def label(self) -> str:
        """Words and unit, as a table or an axis shows them."""
        return f"{self.words} [{self.unit}]" if self.unit else self.words


def figures() -> Iterator[Figure]:
    """The figures in their order."""
    for each in fields(Figures):
        yield Figure(each.name, each.metadata["words"], each.metadata["unit"], str(each.type))


def with_figures(presented: Presented) -> Presented:
    """Write every figure with its words and unit into the attributes at the end of a class's docstring."""
    # Without docstrings (``-OO``) a dataclass has its signature in their place.
    if presented.__doc__ and "Attributes\n" in presented.__doc__:
        lines = (f"\n{each.name} : {each.kind}\n    {_capital(each.label)}." for each in figures())
        presented.__doc__ = inspect.cleandoc(presented.__doc__) + "".join(lines) + "\n"
    return presented


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def figure(name: str) -> Figure:
    """One figure by its name."""
    return next(each for each in figures() if each.name == name)
