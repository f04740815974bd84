"""A finished loading or elution from a given loading."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from brinefront.files.export import save
from brinefront.native.handover import made_of, of_native
from brinefront.results.long_table import long_table
from brinefront.tables.datasets import run_dataset
from brinefront.tables.frames import curve_table, loading_table
from brinefront.words import notebook, text

if TYPE_CHECKING:
    from collections.abc import Mapping
    from os import PathLike

    import pandas as pd
    import xarray as xr

    from brinefront._core import Case
    from brinefront.native.sayings import Note
    from brinefront.results.long_table import LongTable

__all__ = ["Run"]


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class Run:
    """One loading or elution from a given loading; what :meth:`Case.load` and :meth:`Case.elute` return.

    Attributes
    ----------
    case : Case
        The case that was run.
    ledger_error : float
        Ledger error of the worst ion, as a share of what entered.
    cells : int
        Cells along the bed.
    effluent_error_fraction : float
        Estimated numerical error of the effluent, in the mean over the run and of the worst ion, as a share of what left of
        it, from runs on half the cells and on a quarter; nan on fewer than 8 cells.
    loading_error_fraction : float
        The same of the loading when the run ended, as a share of capacity.
    notes : tuple of Note
        What the figures should be read with.
    effort : mapping of str to int
        What it cost, by name of the count.
    """

    case: Case
    ledger_error: float
    cells: int
    effluent_error_fraction: float
    loading_error_fraction: float
    notes: tuple[Note, ...]
    effort: Mapping[str, int]
    _tables: Mapping[str, Any] = field(repr=False)

    @classmethod
    def _from_native(cls, data: dict[str, Any]) -> Run:
        known = {
            name: data.pop(name)
            for name in (
                "case",
                "ledger_error",
                "cells",
                "effluent_error_fraction",
                "loading_error_fraction",
                "notes",
                "effort",
            )
        }
        return cls(_tables=data, **of_native(known))

    def effluent(self) -> pd.DataFrame:
        """Concentration of what left.

        Returns
        -------
        pandas.DataFrame
            One row for each sample: ``bv`` from 0 [BV], each cation [eq/L] and ``hardness_mg_per_l_caco3``.
        """
        return curve_table(self._tables["effluent"], self.case.hardness_ions, "what left in a run", self.case)

    def loading(self) -> pd.DataFrame:
        """Loading of the bed at the end.

        Returns
        -------
        pandas.DataFrame
            One row for each cell, by depth from the service inlet [m], a column for each cation [eq/L of bed]; the mean
            is in ``attrs``.
        """
        return loading_table(self._tables["loading"], self.case)

    def to_xarray(self) -> xr.Dataset:
        """Everything of the run in one dataset.

        Returns
        -------
        xarray.Dataset
            The effluent by sample and ion, the final loading by depth and ion; units in the variables' ``attrs``.
        """
        return run_dataset(self)

    def long_table(self) -> LongTable:
        """Every value of :meth:`to_xarray` as a row of one long table.

        Returns
        -------
        LongTable
            Columns ``quantity``, ``step``, ``bv``, ``depth_m``, ``ion``, ``value``, ``text`` and ``unit``.
        """
        return long_table(self.to_xarray())

    def save(self, path: str | PathLike[str]) -> None:
        """Write the run to a file, as :func:`brinefront.save` does.

        Parameters
        ----------
        path : str or path
            Its suffix names the format: ``.csv``, ``.parquet``, ``.nc`` or ``.zarr``.
        """
        save(self, path)

    def summary(self) -> str:
        """Volume, mean loading and the ledger, in words.

        Returns
        -------
        str
            A few lines.
        """
        return text.run_summary(self)

    def to_dict(self) -> dict[str, Any]:
        """Effluent and loading as lists, with the ledger and the effort.

        Returns
        -------
        dict
            Plain data; a number that does not exist is None.
        """
        plain: dict[str, Any] = text.without_nan(
            {
                "ledger_error": self.ledger_error,
                "cells": self.cells,
                "effluent_error_fraction": self.effluent_error_fraction,
                "loading_error_fraction": self.loading_error_fraction,
                "notes": list(self.notes),
                "effort": dict(self.effort),
                "effluent": self.effluent().to_dict("list"),
                "loading": self.loading().to_dict("list"),
                "mean_loading_eq_per_l": self.loading().attrs["mean"],
            }
        )
        return plain

    def __repr__(self) -> str:
        return f"<Run of {text.number(self._tables['effluent']['bv'][-1])} BV>"

    def _repr_html_(self) -> str:
        return notebook.run(self)


made_of("run", Run._from_native)
